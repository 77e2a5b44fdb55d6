"""The job file: its fields, what was typed, what is owed, what contradicts.

Every fault of a file in one run.

May use units, faults and quantities; knows nothing of equations, travel or parts.
"""

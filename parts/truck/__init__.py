"""A chassis designed whole: every family in the order of its ports, pins of the job file, bolts
with their lengths, twins.

May use design, pieces and everything below; knows nothing of loads, gaps or paper.
"""

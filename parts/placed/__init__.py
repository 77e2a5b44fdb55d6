"""The placed truck: does it go together, can a tool reach, what moves with what, what hits what.

May use the truck and everything below it; knows nothing of loads, verdicts or paper.
"""

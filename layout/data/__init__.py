"""The invented chassis of the demo and of the tests, and a blank truck.

Data, no code; nothing comes in.
"""

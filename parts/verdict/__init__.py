"""What is said of every part, pair, weld, bolt, reading and result, and what it rests on: one
finding each, worked out once.

May use strength, placed and everything below; screen, paper and archive read their words from here.
"""

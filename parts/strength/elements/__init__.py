"""Finite elements of one plate, where no hand rule covers its outline.

May use geometry, rules and the truck; knows nothing of rows or verdicts. mm, N, MPa.
"""

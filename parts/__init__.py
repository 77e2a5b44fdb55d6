"""Geometry in; sized plates, checks, drawings, schedules and cut files out.

May use ``layout``; the floors of its rooms, lowest first, stand in ``tests/test_architecture.py``.
"""

"""A job file designed, looked at and written: every file of one build, made in memory, swapped in
whole.

May use ``cli.disk``, ``parts`` and ``layout``; no command and nothing of the archive.
"""

"""Released revisions of every chassis, kept by content and never changed, and what is entered to
them later.

May use ``cli.building``, ``cli.disk``, ``parts`` and ``layout``; no command. Every write goes
through ``cli.disk``.
"""

"""What a person types and what lands on the disk: commands, builds, the archive of revisions.

May use ``layout`` and ``parts``; nothing of theirs may use it.
"""

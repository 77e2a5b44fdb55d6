"""Names, numbers and cautions as people read them.

No id of the model reaches screen or paper but through here.

May use ``layout`` and model only.
"""

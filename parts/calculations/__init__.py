"""The calculations for whoever signs: readings, forces, free bodies, every row by its formula.

A document of its own: an engineer who never saw the tool reworks any row from it by hand. Units
inside one document are of one system throughout (``figures``).
"""

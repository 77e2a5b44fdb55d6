"""The graph of quantities: what is given, what follows, what waits for what, what gives way, how
sure each value is.

Relations and readings come in; each relation can be solved for any name in it, so that an existing
hole or a bar on hand may be given instead of a choice. ``solution`` answers, ``numeric`` solves and
lets choices give way, ``system`` orders the equations, ``roots`` and ``slopes`` are the numbers.
"""

from .solution import Graph, solve_graph

__all__ = ["Graph", "solve_graph"]

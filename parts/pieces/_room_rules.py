"""Rules that a length leaves room for another, and that a hole keeps its distance from an edge."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from ..model.family import Grid, Rule, Site
from ..model.vectors import Number
from ..rules.bolts import edge_distance
from ..rules.clause import described
from ._from_stock import bolt_size


def edge_rule(
    name: str, bolt: Callable[[Site], str], edge: Callable[[Grid, Site], Number], says: str
) -> Rule:
    """A rule that a bolt's hole keeps its distance from the edge (AISC 360-16 Table J3.4).

    ``name``: its key in the checks; ``bolt(site)``: the bolt's stock key; ``edge(grid, site)``:
    hole center (or slot end's center) to the edge, mm, a float or an array of the grid's shape;
    ``says``: what it asks, for the shop.
    """
    return Rule(
        name,
        edge_distance,
        lambda grid, site: {
            "d_mm": bolt_size(bolt(site)).d + 0.0 * np.asarray(edge(grid, site)),
            "edge_mm": edge(grid, site),
        },
        says,
    )


def room(*, need_mm: Number, have_mm: Number) -> tuple[Number, Number]:
    """Demand and capacity of a length that must be there (scalars or arrays, mm).

    Common practice, no source.
    """
    return need_mm, have_mm


ROOM = described(room, "common practice, no source", formula="need <= have", tag="practice")
"""``room`` as a clause: what a room rule is held against."""


def room_rule(name: str, args: Callable[[Grid, Site], tuple[Number, Number]], says: str) -> Rule:
    """A rule that one length leaves room for another, held against ``ROOM``.

    ``name``: its key in the checks; ``args(grid, site)``: need and have, mm, floats or arrays of
    the grid's shape; ``says``: what it asks, for the shop.
    """

    def lengths(grid: Grid, site: Site) -> Mapping[str, Number]:
        need, have = args(grid, site)
        return {"need_mm": need, "have_mm": have}

    return Rule(name, ROOM, lengths, says)


NO_LIMIT = 1e6
"""A room that does not apply (mm): such rows are left out of the checks."""

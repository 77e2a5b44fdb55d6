"""Caster and pinion worked twice: by the layout, in plane and vector geometry, and by travel, where
the linkage rests on its four bushings; the second takes the pivots of the first and none of its
angles.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ...layout import reader, units
from ...layout.graph import Graph
from ...layout.quantities import Key
from .cycle import Cycle

AGREE = 0.25 * units.DEG
"""How far the two may differ: what an angle finder repeats (0.2 to 0.3 deg, common practice, no
source); what arms of two sides disagree by goes into it too.
"""
PAIRS = (
    ("caster", "caster.ride", "caster", "ride height"),
    ("pinion, nose up", "pinion.up", "pinion.up", "ride height"),
    ("pinion joint", "pinion.working", "pinion.joint", "ride height"),
    ("pinion, nose up", "pinion.up_at_bump", "pinion.up", "full bump"),
    ("pinion, nose up", "pinion.up_at_droop", "pinion.up", "full droop"),
)
"""What it is called, the layout's result, the output of travel, and where."""


class Twice(NamedTuple):
    """One angle both ways, rad."""

    what: str
    place: str
    laid_out: float
    moved: float

    @property
    def agrees(self) -> bool:
        """Whether the two ways come to the same."""
        return abs(self.laid_out - self.moved) <= AGREE

    def __str__(self) -> str:
        """Both, and that nothing is to be cut where they differ."""
        one, two = (reader.measure(angle, "angle") for angle in (self.laid_out, self.moved))
        said = f"{self.what} at {self.place}: {one} by the layout, {two} by the linkage at rest"
        return said if self.agrees else f"{said}: THEY DO NOT AGREE, cut nothing that rests on it"


def twice(cycle: Cycle, solved: Graph) -> tuple[Twice, ...]:
    """Every pair of ``PAIRS`` that both ways have; none while travel waits."""
    travel = cycle.travel
    if travel.pose is None:
        return ()
    names, found = [place.name for place in travel.places], []
    for what, result, output, place in PAIRS:
        laid_out = solved.values.get(Key(result, "C"))
        rows = [values for key, values in travel.found.items() if key.name == output]
        if laid_out is None or not rows or place not in names:
            continue
        moved = sum(float(row[names.index(place)]) for row in rows) / len(rows)
        if math.isfinite(moved):
            found.append(Twice(what, place, float(laid_out), moved))
    return tuple(found)

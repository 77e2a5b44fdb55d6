"""Coil-seat plate: the plate on the rail side that closes the cut and carries the coil mount.

It lies on the rail's outer face over the cut, up to the flange corners less one weld leg, and runs two rail heights
past the cut with round ends. A fillet in a round-ended slot ties it to sound wall beside each end of the cut.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..model import Assembly, Edge, Family, Frame, Grid, Loop, Member, Plate, Scribe, Site, Weld
from ..outline import check, slot

IN = 25.4


def leg(wall: float) -> float:
    """Fillet leg: 3/16 in where cyclic [AWS D1.1:2025 Table 7.7 note c], never more than the wall."""
    return min(3 * IN / 16, wall)


def outline(left: float, right: float, low: float, high: float) -> Loop:
    """Plate with half-round ends, x from ``left`` to ``right`` over all."""
    r = (high - low) / 2
    return check((Edge("bottom", (left + r, low)), Edge("rear_end", (right - r, low), 1.0),
                  Edge("top", (right - r, high)), Edge("front_end", (left + r, high), 1.0)))


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """The plate of one side. Part x runs rearward, y up, z outboard; origin under the coil at the rail bottom."""
    x, y, z = s.q("seat.upper.x"), s.q("rail.coil.outer"), s.q("rail.coil.bottom")
    height, w = s.q("rail.coil.height"), leg(s.q("rail.coil.wall"))
    front, rear = x - s.q("frame.notch.x_last"), x - s.q("frame.notch.x_first")
    low, high, reach = w, height - w, 2 * height
    wide, tall = 2 * w + IN / 4, (high - low) - 2 * IN
    beside = wide / 2 + IN / 8
    slots = tuple(slot((c, height / 2), tall, wide, 1.5707963267948966, n) for c, n in ((front - beside, "slot1"), (rear + beside, "slot2")))
    plate = Plate(d["plate"], outline(front - reach, rear + reach, low, high), slots)
    place = Frame((x, y, z), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    member = Member("CS1", "coil-seat plate", "CS", plate, place, ("front_end", "bottom"), ref="on the rail side, centred over the cut", fixed_after="plates in")
    scribes = (Scribe("CS1", "centre", (((0.0, low), (0.0, high)),), "AXLE"), Scribe("CS1", "mate", tuple(((c, low), (c, high)) for c in (front, rear))))
    welds = (Weld("W1", "CS1", ("top", "bottom"), "rail", "fillet", w, run=2 * IN, pitch=6 * IN),
             Weld("W2", "CS1", ("front_end", "rear_end"), "rail", "fillet", w), Weld("W3", "CS1", ("slot1", "slot2"), "rail", "fillet", w))
    return Assembly((member,), (), welds, (), scribes)


def mass(v: Grid, s: Site) -> Any:
    """Box of the plate times thickness, kg."""
    span = s.q("frame.notch.x_last") - s.q("frame.notch.x_first") + 4 * s.q("rail.coil.height")
    return span * s.q("rail.coil.height") * v["plate.t"] * 7.85e-6


FAMILY = Family("CS", "coil-seat plate", "each side", (), (), (), (), mass, build)

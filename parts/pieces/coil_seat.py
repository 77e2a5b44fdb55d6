"""Coil-seat plate: the plate on the rail side that closes the cut and carries the coil mount.

It lies on the plane of the cut, up to the flange corners less one weld leg, and runs two rail heights past the cut
with round ends. A fillet in a round-ended slot ties it to sound wall beside each end of the cut.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from .. import section
from ..model import Assembly, Edge, Family, Frame, Grid, Loop, Member, Plate, Port, Rule, Scribe, Site, Variable, Weld, add, cross, scale, unit
from ..outline import check, slot
from ..site import Refused
from ._coil import mount_half
from ._shapes import IN, from_datum, plate_keys, weldable


SAME = IN / 8
"""Two tapes of 1/16 in each."""


def leg(wall: float) -> float:
    """Fillet leg: 3/16 in where cyclic [AWS D1.1:2025 Table 7.7 note c], never more than the wall."""
    return min(3 * IN / 16, wall)


def slot_width(s: Site) -> float:
    """Width of a slot that takes a fillet on both sides, and the gun between them."""
    return 2 * leg(s.q("rail.coil.wall")) + IN / 4


def outline(left: float, right: float, low: float, high: float) -> Loop:
    """Plate with half-round ends, x from ``left`` (front) to ``right`` (rear) over all."""
    r = (high - low) / 2
    return check((Edge("bottom", (left + r, low)), Edge("rear_end", (right - r, low), 1.0), Edge("top", (right - r, high)),
                  Edge("front_end", (left + r, high), 1.0)))


def edge(s: Site) -> float:
    """Height of the plate's lower edge above the rail bottom: a weld leg in, and on the flat of the wall, clear of the corner's radius."""
    return max(leg(s.q("rail.coil.wall")), s.q("frame.corner_radius") if s.has("frame.corner_radius") else 0.0)


def plane(s: Site) -> Frame:
    """The plate's plane: origin under the coil at the rail bottom, x rearward, z outward.

    Where the cut's four readings agree with the rail's side to the tape (1/8 in at the plate's ends), the plate lies on the rail's
    side. Where they do not, it cannot lie on sound wall at both ends: Refused, with the miss.
    """
    x, z, y, yaw = s.q("seat.upper.x"), s.q("rail.coil.bottom"), s.q("rail.coil.outer"), s.q("rail.coil.slope_side")
    height = s.q("rail.coil.height")
    if s.has("notch.y0"):
        for name, way in (("frame.notch.x_first", -1.0), ("frame.notch.x_last", 1.0)):
            reach = s.q(name) + way * 2 * height - x
            for up in (0.0, height):
                miss = s.q("notch.y0") + s.q("notch.yaw") * reach + s.q("notch.lean") * up - y - yaw * reach
                if abs(miss) > SAME:
                    raise Refused(f"the plane of the cut stands {abs(miss) / IN:.2f} in {'outside' if miss > 0 else 'inside'} the rail's side at the plate's "
                                  f"{'rear' if way < 0 else 'front'} end: the plate cannot lie on sound wall there. Read the plane (F-44 to F-51) and the "
                                  "stations again, or cut the bulge flush with the rail's side")
    along = unit((1.0, yaw, s.q("rail.coil.slope_bottom")))
    return Frame.of((x, y, z), scale(along, -1.0), unit(cross((0.0, 0.0, 1.0), along)))


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """The plate of one side; port ``coil.plate``: its top face, origin under the coil at the rail bottom, x rearward."""
    weldable(s)
    x = s.q("seat.upper.x")
    height, w = s.q("rail.coil.height"), leg(s.q("rail.coil.wall"))
    front, rear = x - s.q("frame.notch.x_last"), x - s.q("frame.notch.x_first")
    low = edge(s)
    high, reach = height - low, 2 * height
    wide, tall = slot_width(s), (high - low) - 2 * IN
    clear = mount_half(s) + w + IN / 8
    slots = tuple(slot((c, height / 2), tall, wide, math.pi / 2, n) for c, n in ((min(front - IN / 8, -clear) - wide / 2, "slot1"), (max(rear + IN / 8, clear) + wide / 2, "slot2")))
    place = plane(s)
    plate = Plate(d["plate"], outline(front - reach, rear + reach, low, high), slots)
    member = Member("CS1", "coil-seat plate", "CS", plate, place, ("front_end", "bottom"), ref="on the plane of the cut, its line under the coil "
                    + from_datum(s, place.origin), fixed_after="plates in")
    scribes = (Scribe("CS1", "ride", (((0.0, low), (0.0, high)),), "AXLE"), Scribe("CS1", "mate", tuple(((c, low), (c, high)) for c in (front, rear))))
    rail = s.port("rail.coil.side").member
    welds = (Weld("coil.plate.long", "CS1", ("top", "bottom"), rail, "fillet", w, run=2 * IN, pitch=6 * IN, order=2),
             Weld("coil.plate.ends", "CS1", ("front_end", "rear_end"), rail, "fillet", w, order=3),
             Weld("coil.plate.slots", "CS1", ("slot1", "slot2"), rail, "fillet", w, order=1))
    top = Port(place._replace(origin=add(place.origin, scale(place.z, d["plate.t"]))), {"t": d["plate.t"], "low": low, "high": high, "front": front, "rear": rear}, "CS1")
    return Assembly((member,), (), welds, (), scribes, {"coil.plate": top})


def mass(v: Grid, s: Site) -> Any:
    """Box of the plate times thickness, kg."""
    span = s.q("frame.notch.x_last") - s.q("frame.notch.x_first") + 4 * s.q("rail.coil.height")
    return span * s.q("rail.coil.height") * v["plate.t"] * 7.85e-6


def ratio(which: str, v: Grid, s: Site) -> Any:
    """W plated / W as measured for each thickness of the grid."""
    width, height, wall = (s.q(f"rail.coil.{k}") for k in ("width", "height", "wall"))
    notch = (s.q("frame.notch.z_low"), s.q("frame.notch.z_high"))
    w = edge(s)
    return np.vectorize(lambda t: section.restored(width, height, wall, notch, float(t), (w, height - w))[which])(v["plate.t"])


def at_least_one(*, have: Any) -> tuple[Any, Any]:
    """W plated / W as measured against 1: the rail must come back to what it was."""
    return 1.0, have


def thickness(*, t_mm: Any, most_mm: Any) -> tuple[Any, Any]:
    """Plate against 1.5 times the rail's wall."""
    return t_mm, most_mm


def rail_thickness(*, t_mm: Any, most_mm: Any) -> tuple[Any, Any]:
    """Plate no thicker than the rail there; a warning on light rails."""
    return t_mm, most_mm


_TAGS: tuple[tuple[Any, dict[str, Any]], ...] = (
    (at_least_one, {"ref": "unsymmetric bending of the measured section", "edition": "", "formula": "W plated >= W as measured", "tag": "read", "unit": "ratio"}),
    (thickness, {"ref": "common practice, no source", "edition": "", "formula": "t <= 1.5 wall", "tag": "practice", "unit": "mm"}),
    (rail_thickness, {"ref": "VSB 6 Section H clause 5", "edition": "2022-12", "formula": "t <= wall", "tag": "read", "unit": "mm", "must": False}),
)
for _f, _tags in _TAGS:
    for _k, _v in _tags.items():
        setattr(_f, _k, _v)

FAMILY = Family(
    code="CS",
    title="coil-seat plate",
    where="each side",
    needs=("rail.coil.side",),
    gives=("coil.plate",),
    variables=(Variable("plate", "plate", plate_keys),),
    rules=(
        Rule("coil.plate.vertical", at_least_one, lambda v, s: {"have": ratio("vertical", v, s)}, "the plated rail carries vertical bending as before"),
        Rule("coil.plate.lateral", at_least_one, lambda v, s: {"have": ratio("lateral", v, s)}, "the plated rail carries sideways bending as before"),
        Rule("coil.plate.thick", thickness, lambda v, s: {"t_mm": v["plate.t"], "most_mm": 1.5 * s.q("rail.coil.wall")}, "plate at most 1.5 times the rail's wall"),
        Rule("coil.plate.rail", rail_thickness, lambda v, s: {"t_mm": v["plate.t"], "most_mm": s.q("rail.coil.wall")}, "plate no thicker than the rail's wall"),
    ),
    mass=mass,
    build=build,
)

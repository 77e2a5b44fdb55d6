"""From where to where each reading is taped in the measuring sketch: its datum, and the arrow from
there to the place it is read at.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from ...layout.job.field import Field
from .sketch import PLAN, SIDE, place_of

PLUMB = 590.0
"""The plumb line in the sketch, points from its left edge."""
FLOOR, RAIL_BOTTOM, HUB = 321.0, 438.0, 390.0
"""Heights in the side view."""
CENTER = 184.0
"""The center line in the plan."""
IN_PLAN = {
    "arm bolt": (590.0, 232.0),
    "upper mount": (590.0, 214.0),
    "upper joint": (520.0, 216.0),
    "arm joint": (340.0, 226.0),
    "seat low": (580.0, 246.0),
    "pinion": (540.0, 172.0),
    "output": (376.0, 172.0),
    "transmission mount": (320.0, 174.0),
    "pitman": (640.0, 228.0),
    "stop": (556.0, 246.0),
    "shock": (546.0, 252.0),
    "strap": (606.0, 252.0),
    "obstacle": (480.0, 210.0),
    "notch": (566.0, 240.0),
    "hole": (214.0, 240.0),
}
"""Where what the side view shows stands in the plan."""
IN_SIDE = {
    "bar axle": (612.0, 404.0),
    "drag ball": (636.0, 400.0),
    "tie rod": (652.0, 382.0),
    "diff": (604.0, 400.0),
}
"""And the other way round."""
OWN = {
    "frame.station.*.outer": ((330.0, CENTER), (330.0, 240.0)),
    "frame.station.*.inside": ((330.0, 144.0), (330.0, 226.0)),
    "frame.station.*.outside": ((330.0, 130.0), (330.0, 240.0)),
    "frame.diagonal_a": ((580.0, 236.0), (350.0, 136.0)),
    "frame.diagonal_b": ((580.0, 136.0), (350.0, 236.0)),
    "axle.wheel_track": ((590.0, 84.0), (590.0, 286.0)),
    "track_bar.length": ((612.0, 130.0), (612.0, 228.0)),
}
"""Taped between two places of the plan."""
_ALONG = re.compile(r".*\.x[12]?|.*_x(_\w+)?|frame\.(datum_hole|wheelbase)|arms\.joint_behind")
_ACROSS = re.compile(
    r".*\.y|.*_y(_\w+)?|frame\.station\.\*\.outer|frame\.notch\.plane_(front|rear)_\w+"
    r"|axle\.(kingpin_y|tube_half_length|casting_\w+)|arms\.offset_(front|rear)"
)
_UP = re.compile(
    r".*\.z[12]?|.*_z(_\w+)?|frame\.station\.\*\.bottom|axle\.tire_loaded_radius"
    r"|arms\.joint_height|travel\.cg_height|wanted\.belly_limit"
)


class Span(NamedTuple):
    """Where a reading is read in the sketch, points: ``at``; ``start``: its datum, None where it is
    no distance from one; ``plan``: whether in the plan or in the side view.
    """

    at: tuple[float, float]
    start: tuple[float, float] | None
    plan: bool


def span(field: Field) -> Span:
    """The span of a field's reading in the measuring sketch.

    >>> from ...layout.job.fields import FIELDS
    >>> span(FIELDS["frame.station.*.bottom"]).start
    (250.0, 321.0)
    """
    if field.name in OWN:
        return Span(OWN[field.name][1], OWN[field.name][0], True)
    place = place_of(field.name)
    side, plan = SIDE.get(place), PLAN.get(place)
    half = field.name.startswith("travel.obstacle.*.half")
    at: tuple[float, float] | None
    if half or field.kind != "length":
        return _alone(side, plan)
    if _ACROSS.fullmatch(field.name):
        at = plan or IN_PLAN.get(place)
        return Span(at, (at[0], CENTER), True) if at else _alone(side, plan)
    if _ALONG.fullmatch(field.name):
        seen = side or plan or (PLUMB, HUB)
        return Span(seen, (PLUMB, seen[1]), side is None)
    if _UP.fullmatch(field.name):
        at = side or IN_SIDE.get(place)
        return Span(at, (at[0], _from_height(field)), False) if at else _alone(side, plan)
    return _alone(side, plan)


def _alone(side: tuple[float, float] | None, plan: tuple[float, float] | None) -> Span:
    return Span(side or plan or (PLUMB, HUB), None, side is None)


def _from_height(field: Field) -> float:
    """The height a reading upward starts from, as its own words say."""
    if "axle center" in field.how:
        return HUB
    return RAIL_BOTTOM if "rail bottom" in field.how and "Floor" not in field.how else FLOOR

"""Plates and tubes that end on a round: saddles, ears and the ends of tubes at a bushing's shell.

Lengths in mm, angles in rad. Values marked "practice" are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import NamedTuple

from ...layout import reader
from ..design.site import Refused
from ..geometry.contours import tangent, turned
from ..geometry.outline import arc_of, check
from ..model.body import Edge, Loop, TubeEnd
from ..model.vectors import Vec2
from ._lengths import IN

IN_LINE = 1e-9
"""Twice the area of a triangle (mm2) under which its corners lie in one line."""


def bulge_through(start: Vec2, middle: Vec2, stop: Vec2) -> float:
    """Bulge of the arc from ``p`` to ``q`` through ``mid``; 0 if the three are in line.

    The angle at ``mid`` is half the arc's other side, so bulge = tan((pi - angle) / 2), +
    counter-clockwise.
    """
    from_x, from_y, to_x, to_y = (
        start[0] - middle[0],
        start[1] - middle[1],
        stop[0] - middle[0],
        stop[1] - middle[1],
    )
    side = (stop[0] - start[0]) * (middle[1] - start[1]) - (stop[1] - start[1]) * (
        middle[0] - start[0]
    )
    angle = math.acos(
        max(
            -1.0,
            min(
                1.0,
                (from_x * to_x + from_y * to_y)
                / (math.hypot(from_x, from_y) * math.hypot(to_x, to_y)),
            ),
        )
    )
    return -math.copysign(math.tan((math.pi - angle) / 2), side) if abs(side) > IN_LINE else 0.0


def on_round(center: Vec2, a: float, b: float, at: float) -> Vec2:
    """Point of an ellipse with half axes ``a`` (along x) and ``b`` at parameter angle ``at``."""
    return (center[0] + a * math.cos(at), center[1] + b * math.sin(at))


def saddle(
    center: Vec2,
    a: float,
    b: float,
    start: float,
    sweep: float,
    name: str = "saddle",
    parts: int = 2,
) -> Loop:
    """Edges along a round seen as an ellipse, each arc through three exact points of it; open,
    without the last point.

    ``sweep`` < 0 runs clockwise: the hollow side of a counter-clockwise outline.
    """
    step = sweep / parts
    found = []
    for part in range(parts):
        first, middle, last = (
            on_round(center, a, b, start + step * (part + share)) for share in (0.0, 0.5, 1.0)
        )
        found.append(Edge(name, first, bulge_through(first, middle, last)))
    return tuple(found)


def saddle_miss(center: Vec2, a: float, b: float, edges: Iterable[tuple[Edge, Vec2]]) -> float:
    """Largest distance between saddle arcs and the true ellipse, mm (sampled along each arc)."""
    worst = 0.0
    for edge, stop in edges:
        arc = arc_of(edge.start, stop, edge.bulge)
        for i in range(9):
            turn = arc.start + arc.sweep * i / 8
            x, y = (
                arc.center[0] + arc.radius * math.cos(turn) - center[0],
                arc.center[1] + arc.radius * math.sin(turn) - center[1],
            )
            off = math.hypot(x / a, y / b)
            worst = max(worst, abs(off - 1.0) * math.hypot(x, y))
    return worst


HORN = 3 * IN / 16
"""Least flat at the end of a saddle, mm (practice)."""


LEAST_SPAN = math.radians(60.0)


def no_room(reach: float, b: float, flat: float, radius: float) -> Refused:
    """What to do about a tab whose sides would run into its tube (half axis ``b``)."""
    return Refused(
        f"a tab with its bolt {reader.length(reach)} from the middle of a tube"
        f" {reader.fine(2 * b)} across has no room for a saddle: its sides would run into the"
        f" tube. Put the bolt at least {reader.length(b + flat + radius)} from the tube's"
        " middle, or use a smaller bolt"
    )


class _Side(NamedTuple):
    """One side of a tab: its horn at the round, the flat's outer end, where the side touches the
    end circle.
    """

    horn: Vec2
    outer: Vec2
    touch: Vec2


class _Round(NamedTuple):
    """A round beside a tab about the origin: middle, half axes, the length of the flats on it and
    the radius of the tab's end circle.
    """

    center: Vec2
    a: float
    b: float
    flat: float
    radius: float

    def side(self, at: float, side: float) -> _Side | None:
        """The side whose horn stands at parameter angle ``at``; None where it would cut into the
        round or its flat reaches the end circle. ``side`` +1: the lower.
        """
        horn = on_round(self.center, self.a, self.b, at)
        slope = math.hypot(math.cos(at) / self.a, math.sin(at) / self.b)
        out = (math.cos(at) / self.a / slope, math.sin(at) / self.b / slope)
        outer = (horn[0] + self.flat * out[0], horn[1] + self.flat * out[1])
        if math.hypot(*outer) <= self.radius:
            return None
        touch = tangent(outer, (0.0, 0.0), self.radius, side)
        leaves = (touch[0] - outer[0]) * out[0] + (touch[1] - outer[1]) * out[1]
        return _Side(horn, outer, touch) if leaves >= 0 else None


def ear_on_round(
    center: Vec2,
    a: float,
    b: float,
    span: float,
    radius: float,
    thick: float,
    names: tuple[str, str, str, str] = ("saddle", "side_low", "end", "side_high"),
) -> Loop:
    """Tab ``thick`` mm about the origin (end circle ``radius``) that sits on a round at ``center``
    over ``span`` (rad), counter-clockwise.

    The round lies on the +x side; the saddle runs from its lower to its upper end, hollow toward
    the tab. Each horn ends in a flat of at least its thickness and 3/16 in square to the round
    ("horn_low", "horn_high"), so that all of the saddle's weld has as much steel behind it; where
    the sides would cut closer to the round, the saddle is shorter. Refused if that leaves less than
    60 deg of it.
    """
    middle = math.atan2(-center[1] / b, -center[0] / a) % math.tau
    about = _Round(center, a, b, max(HORN, thick), radius)

    def both(half: float) -> tuple[_Side, _Side] | None:
        low, high = about.side(middle + half, 1.0), about.side(middle - half, -1.0)
        return (low, high) if low and high else None

    half = _longest(lambda reach: both(reach) is not None, LEAST_SPAN / 2, span / 2)
    sides = both(half) if half else None
    if sides is None:
        raise no_room(math.hypot(*center), b, about.flat, radius)
    low, high = sides
    sweep = math.atan2(low.touch[1], low.touch[0]) - math.atan2(high.touch[1], high.touch[0])
    return check(
        (
            *saddle(center, a, b, middle + half, -2 * half, names[0]),
            Edge("horn_high", high.horn),
            Edge(names[3], high.outer),
            Edge(names[2], high.touch, math.tan((sweep % math.tau) / 4)),
            Edge(names[1], low.touch),
            Edge("horn_low", low.outer),
        )
    )


def _longest(serves: Callable[[float], bool], least: float, most: float) -> float:
    """The most that serves between two bounds, 0 if the least does not.

    What serves is taken to reach up from the least.
    """
    if most < least or not serves(least):
        return 0.0
    if serves(most):
        return most
    for _ in range(40):
        middle = (least + most) / 2
        least, most = (middle, most) if serves(middle) else (least, middle)
    return least


def saddle_end(radius: float, flat: float, middle: float, half: float, far: Vec2) -> float | None:
    """Angle at which a saddle on a round about the origin ends, at most ``half`` (signed) from its
    ``middle``, rad: there a flat as long as ``flat`` stands square on the round, and the side from
    its outer end to ``far`` comes no nearer the round. None if less than 30 deg are left.
    """

    def serves(span: float) -> bool:
        at = middle + math.copysign(span, half)
        out = (math.cos(at), math.sin(at))
        return far[0] * out[0] + far[1] * out[1] >= radius + flat

    found = _longest(serves, LEAST_SPAN / 2, abs(half))
    return middle + math.copysign(found, half) if found else None


def ear_to_tube(to: Vec2, od: float, end: float, thick: float, span: float = 110.0) -> Loop:
    """Ear ``thick`` mm about the origin whose foot is saddled over ``span`` degrees of a tube of
    diameter ``od``, its middle at ``to``; the tube runs square to it.
    """
    return turned(
        ear_on_round((math.hypot(*to), 0.0), od / 2, od / 2, math.radians(span), end, thick),
        math.atan2(to[1], to[0]),
    )


def eye_end(reach: float, shell: float, od: float, aslant: float) -> tuple[TubeEnd, float]:
    """How a tube meets a bushing's shell, and how much longer its long points make it than on the
    center line.

    ``reach``: bolt center to tube end; ``aslant``: by how much the tube is off square to the bolt.
    Where the end lies on the shell (within 1/16 in) it is coped to it; further out it is cut square
    for an eye with a neck.
    """
    radius = shell / 2
    if reach > radius + IN / 16:
        return TubeEnd("square", item="weld-on eye with neck"), 0.0
    half = min(od / 2, radius)
    return TubeEnd("cope", onto=shell, angle=math.pi / 2 + aslant), radius - math.sqrt(
        radius * radius - half * half
    )

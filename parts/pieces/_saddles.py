"""Plates and tubes that end on a round: saddles, ears and the ends of tubes at a bushing's shell.

Lengths in mm, angles in rad. Values marked "practice" are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from ...layout import reader
from ..design.site import Refused
from ..geometry.outline import arc_of, check, tangent, turned
from ..model.body import Edge, Loop, TubeEnd
from ..model.vectors import Vec2
from ._lengths import IN

IN_LINE = 1e-9
"""Twice the area of a triangle (mm2) under which its corners lie in one line."""


def bulge_through(p: Vec2, mid: Vec2, q: Vec2) -> float:
    """Bulge of the arc from ``p`` to ``q`` through ``mid``; 0 if the three are in line.

    The angle at ``mid`` is half the arc's other side, so bulge = tan((pi - angle) / 2), +
    counter-clockwise.
    """
    ax, ay, bx, by = p[0] - mid[0], p[1] - mid[1], q[0] - mid[0], q[1] - mid[1]
    side = (q[0] - p[0]) * (mid[1] - p[1]) - (q[1] - p[1]) * (mid[0] - p[0])
    angle = math.acos(
        max(-1.0, min(1.0, (ax * bx + ay * by) / (math.hypot(ax, ay) * math.hypot(bx, by))))
    )
    return -math.copysign(math.tan((math.pi - angle) / 2), side) if abs(side) > IN_LINE else 0.0


def on_round(centre: Vec2, a: float, b: float, at: float) -> Vec2:
    """Point of an ellipse with half axes ``a`` (along x) and ``b`` at parameter angle ``at``."""
    return (centre[0] + a * math.cos(at), centre[1] + b * math.sin(at))


def saddle(
    centre: Vec2,
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
    for i in range(parts):
        p, m, q = (on_round(centre, a, b, start + step * (i + k)) for k in (0.0, 0.5, 1.0))
        found.append(Edge(name, p, bulge_through(p, m, q)))
    return tuple(found)


def saddle_miss(centre: Vec2, a: float, b: float, edges: Iterable[tuple[Edge, Vec2]]) -> float:
    """Largest distance between saddle arcs and the true ellipse, mm (sampled along each arc)."""
    worst = 0.0
    for e, q in edges:
        c = arc_of(e.start, q, e.bulge)
        for i in range(9):
            t = c.start + c.sweep * i / 8
            x, y = (
                c.centre[0] + c.radius * math.cos(t) - centre[0],
                c.centre[1] + c.radius * math.sin(t) - centre[1],
            )
            k = math.hypot(x / a, y / b)
            worst = max(worst, abs(k - 1.0) * math.hypot(x, y))
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


def ear_on_round(
    centre: Vec2,
    a: float,
    b: float,
    span: float,
    radius: float,
    t: float,
    names: tuple[str, str, str, str] = ("saddle", "side_low", "end", "side_high"),
) -> Loop:
    """Tab ``t`` thick about the origin (end circle ``radius``) that sits on a round at ``centre``
    over ``span`` (rad), counter-clockwise.

    The round lies on the +x side; the saddle runs from its lower to its upper end, hollow toward
    the tab. Each horn ends in a flat of at least its thickness and 3/16 in square to the round
    ("horn_low", "horn_high"), so that all of the saddle's weld has as much steel behind it; where
    the sides would cut closer to the round, the saddle is shorter. Refused if that leaves less than
    60 deg of it.
    """
    mid = math.atan2(-centre[1] / b, -centre[0] / a) % math.tau
    flat = max(HORN, t)

    def horn(at: float) -> tuple[Vec2, Vec2, Vec2]:
        p = on_round(centre, a, b, at)
        n = math.hypot(math.cos(at) / a, math.sin(at) / b)
        out = (math.cos(at) / a / n, math.sin(at) / b / n)
        return p, (p[0] + flat * out[0], p[1] + flat * out[1]), out

    def touch(half: float, side: float) -> tuple[Vec2, Vec2, Vec2] | None:
        p, o, out = horn(mid + side * half)
        if math.hypot(*o) <= radius:
            return None
        q = tangent(o, (0.0, 0.0), radius, side)
        leaves = (q[0] - o[0]) * out[0] + (q[1] - o[1]) * out[1]
        return (p, o, q) if leaves >= 0 else None

    half = _longest(lambda h: bool(touch(h, 1.0) and touch(h, -1.0)), LEAST_SPAN / 2, span / 2)
    low, high = (touch(half, side) if half else None for side in (1.0, -1.0))
    if low is None or high is None:
        raise no_room(math.hypot(*centre), b, flat, radius)
    foot = saddle(centre, a, b, mid + half, -2 * half, names[0])
    sweep = (math.atan2(low[2][1], low[2][0]) - math.atan2(high[2][1], high[2][0])) % math.tau
    return check(
        (
            *foot,
            Edge("horn_high", high[0]),
            Edge(names[3], high[1]),
            Edge(names[2], high[2], math.tan(sweep / 4)),
            Edge(names[1], low[2]),
            Edge("horn_low", low[1]),
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


def saddle_end(r: float, flat: float, middle: float, half: float, far: Vec2) -> float | None:
    """Angle at which a saddle on a round about the origin ends, at most ``half`` (signed) from its
    ``middle``, rad: there a flat as long as ``flat`` stands square on the round, and the side from
    its outer end to ``far`` comes no nearer the round. None if less than 30 deg are left.
    """

    def serves(span: float) -> bool:
        at = middle + math.copysign(span, half)
        out = (math.cos(at), math.sin(at))
        return far[0] * out[0] + far[1] * out[1] >= r + flat

    found = _longest(serves, LEAST_SPAN / 2, abs(half))
    return middle + math.copysign(found, half) if found else None


def ear_to_tube(to: Vec2, od: float, end: float, t: float, span: float = 110.0) -> Loop:
    """Ear ``t`` thick about the origin whose foot is saddled over ``span`` degrees of a tube of
    diameter ``od``, its middle at ``to``; the tube runs square to it.
    """
    return turned(
        ear_on_round((math.hypot(*to), 0.0), od / 2, od / 2, math.radians(span), end, t),
        math.atan2(to[1], to[0]),
    )


def eye_end(reach: float, shell: float, od: float, aslant: float) -> tuple[TubeEnd, float]:
    """How a tube meets a bushing's shell, and how much longer its long points make it than on the
    center line.

    ``reach``: bolt center to tube end; ``aslant``: by how much the tube is off square to the bolt.
    Where the end lies on the shell (within 1/16 in) it is coped to it; further out it is cut square
    for an eye with a neck.
    """
    r = shell / 2
    if reach > r + IN / 16:
        return TubeEnd("square", item="weld-on eye with neck"), 0.0
    half = min(od / 2, r)
    return TubeEnd("cope", onto=shell, angle=math.pi / 2 + aslant), r - math.sqrt(
        r * r - half * half
    )

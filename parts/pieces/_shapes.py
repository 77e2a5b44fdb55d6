"""Small shapes and choices several families share.

No family here; add to it, do not change what is used.

Lengths in mm. Values marked "practice" are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any

import numpy as np

from ...layout import reader
from ..design.site import Refused
from ..geometry.outline import Corner, arc_of, check, circle, rounded, tangent, turned
from ..model.body import Edge, Loop, TubeEnd
from ..model.family import Grid, Rule, Site
from ..model.vectors import Frame, Vec2, Vec3
from ..rules.bolts import edge_distance
from ..rules.clause import described
from ..stock import STEEL_DENSITY
from ..words import numbers as shown

IN = 25.4
STEEL = STEEL_DENSITY
UP: Vec3 = (0.0, 0.0, 1.0)
FRAME_BOLTS = ("1/2-13", "9/16-12", "5/8-11")


def round_up(x: float, step: float = IN / 16) -> float:
    """The next multiple of ``step`` at or above ``x`` (a free size to the shop's increment)."""
    return math.ceil(x / step - 1e-6) * step


def round_down(x: float, step: float = IN / 16) -> float:
    """The multiple of ``step`` at or below ``x``."""
    return math.floor(x / step + 1e-6) * step


def round_near(x: float, step: float = IN / 16) -> float:
    """The multiple of ``step`` nearest ``x``."""
    return math.floor(x / step + 0.5) * step


def tape_step(shop: Any) -> float:
    """What tube is cut to: 1/16 in, or 1 mm where the shop cuts in mm.

    A length is rounded here, once.
    """
    return 1.0 if shop.unit == "mm" else IN / 16


def plate_keys(shop: Any) -> tuple[str, ...]:
    """Stock keys of every plate on hand."""
    return tuple(p.key for p in shop.plates)


def plate_keys_over(least: float) -> Any:
    """``values`` of a plate variable: keys of the plates at least ``least`` thick."""
    return lambda shop: tuple(p.key for p in shop.plates if p.thickness >= least - 1e-6)


def tube_keys_between(low: float, high: float) -> Any:
    """``values`` of a tube variable: keys of round tubes with an outside diameter in [low, high]."""
    return lambda shop: tuple(t.key for t in shop.tubes if low - 1e-6 <= t.od <= high + 1e-6)


def tube_key(shop: Any, od: float, wall: float) -> str:
    """Stock key of the tube of this outside diameter and wall; Refused lists what there is."""
    for t in shop.tubes:
        if abs(t.od - od) < 0.01 and abs(t.wall - wall) < 0.01:
            return str(t.key)
    raise Refused(
        f"no tube {reader.number(od, 'length')} x {reader.fine(wall)} on hand; there is"
        f" {', '.join(t.key for t in shop.tubes)}"
    )


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
    return -math.copysign(math.tan((math.pi - angle) / 2), side) if abs(side) > 1e-9 else 0.0


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
        reach = math.hypot(*centre)
        raise Refused(
            f"a tab with its bolt {reader.length(reach)} from the middle of a tube"
            f" {reader.fine(2 * b)} across has no room for a saddle: its sides would run into the"
            f" tube. Put the bolt at least {reader.length(b + flat + radius)} from the tube's"
            " middle, or use a smaller bolt"
        )
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


def as_chosen(name: str, number: str) -> Any:
    """Arguments of a rule that the stock tube is no less than the job's: ``name`` of the reading,
    ``number`` "od" or "wall".
    """
    return lambda v, s: (s.q(name), v[f"tube.{number}"])


def gusset_outline(
    a: float,
    b: float,
    clip: float = 9.525,
    nose: float = 9.525,
    names: tuple[str, str] = ("foot", "plate"),
) -> Loop:
    """Gusset with legs ``a`` along +x (edge names[0]) and ``b`` along +y (edge names[1]), inner
    corner clipped, ends blunt.

    Default clip and nose 3/8 in: practice.
    """
    pts = [
        ("clip", 0.0, clip),
        (names[0], clip, 0.0),
        ("nose_a", a, 0.0),
        ("slope", a, nose),
        ("nose_b", nose, b),
        (names[1], 0.0, b),
    ]
    return rounded([Corner(n, x, y) for n, x, y in pts])


def ring(outer: float, bore: float, names: tuple[str, str] = ("rim", "bore")) -> tuple[Loop, Loop]:
    """Outer and inner circles about the origin, by diameter."""
    return circle((0.0, 0.0), outer, names[0]), circle((0.0, 0.0), bore, names[1])


def socket_radius(d: float) -> float:
    """Radius a socket needs round a bolt of diameter ``d``: head across corners 1.5 d x 1.155, wall
    1/8 in (practice).
    """
    return 0.5 * 1.5 * d * 1.1547 + 0.125 * IN


def line(a: Vec2, b: Vec2) -> tuple[tuple[Vec2, ...], ...]:
    """One scribed stroke."""
    return ((a, b),)


def own_holes(s: Site, face: str, use: str) -> list[int]:
    """Numbers of the readings ``frame.hole.N`` in this side's rail, on ``face``, with this ``use``.

    A site shows its own side as the left.
    """
    found, n = [], 1
    while s.has(f"frame.hole.{n}.x"):
        if (
            s.word(f"frame.hole.{n}.side"),
            s.word(f"frame.hole.{n}.face"),
            s.word(f"frame.hole.{n}.use"),
        ) == ("left", face, use):
            found.append(n)
        n += 1
    return found


def along_to_x(f: Frame, x: float) -> float:
    """Distance along a rail face's own x axis at which truck x equals ``x``."""
    return (x - f.origin[0]) / f.x[0]


def bolt_size(key: str) -> Any:
    """Row of the bolt table for a stock key such as "3/4-10" (``.d`` in mm)."""
    from ..stock import bolt

    return bolt(key)


def from_datum(s: Site, p: Vec3) -> str:
    """Where a truck point is, in the fitter's words: from the datum hole, the center line and the
    floor at ride height.
    """
    along = ""
    if s.has("frame.datum_hole"):
        behind = s.q("frame.datum_hole") - p[0]
        along = (
            f"{shown.tape(abs(behind))} {'behind' if behind >= 0 else 'ahead of'} the datum hole, "
        )
    return (
        f"{along}{shown.tape(abs(p[1]))} from the center line, {shown.tape(p[2])} above the floor"
    )


def ear_radius(d: float, slot: Any = 0.0) -> Any:
    """End radius of an ear: 1.5 bolt diameters past the end of its slot (practice), to the next
    1/16 in.
    """
    return np.ceil((1.5 * d + slot / 2) / (IN / 16) - 1e-6) * (IN / 16)


def edge_rule(
    name: str, bolt: Callable[[Site], str], edge: Callable[[Grid, Site], Any], says: str
) -> Rule:
    """A rule that a bolt's hole keeps its distance from the edge.

    ``edge(v, s)``: hole center (or slot end's center) to the edge, mm.
    """
    return Rule(
        name,
        edge_distance,
        lambda v, s: {
            "d_mm": bolt_size(bolt(s)).d + 0.0 * np.asarray(edge(v, s)),
            "edge_mm": edge(v, s),
        },
        says,
    )


def room(*, need_mm: Any, have_mm: Any) -> tuple[Any, Any]:
    """Demand and capacity of a length that must be there (scalars or arrays, mm).

    Common practice, no source.
    """
    return need_mm, have_mm


ROOM = described(room, "common practice, no source", formula="need <= have", tag="practice")


def room_rule(name: str, args: Callable[[Grid, Site], tuple[Any, Any]], says: str) -> Rule:
    """A rule that one length leaves room for another: ``args(v, s)`` gives (need, have) in mm on
    the grid.
    """

    def lengths(v: Grid, s: Site) -> Mapping[str, Any]:
        need, have = args(v, s)
        return {"need_mm": need, "have_mm": have}

    return Rule(name, ROOM, lengths, says)


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


def weldable(s: Site) -> None:
    """Refused where the rail may be heat-treated [US Army TM 5-4210-230-14&P-1; maker frame-weld
    sheets: rails not heat-treated only].
    """
    if s.word("frame.heat_treated") != "no":
        raise Refused(
            "the rail may be heat-treated: welding on it is refused. Find a label or the"
            ' body-builder guide that says it is not, then say heat_treated = "no"'
        )


OFF_SQUARE = math.radians(1.0)
"""How far a bolt may read off square before parts drawn square to it no longer go on: 0.04 in over
a 2 1/4 in sleeve (judgment, no source).
"""


def bolt_square(s: Site, base: str, bolt: str, what: str) -> None:
    """Refused by name where a bolt's own axis reading is further off square than ``what`` can
    follow.
    """
    for n, way in (("plan", "in plan"), ("tilt", "seen from ahead")):
        k = f"arms.{base}_{n}"
        if s.has(k) and abs(s.q(k)) > OFF_SQUARE + 1e-9:
            raise Refused(
                f"the {bolt} reads {math.degrees(s.q(k)):.1f} deg off square {way} ({k}); {what} is"
                f" drawn square and follows up to {math.degrees(OFF_SQUARE):.1f} deg: true the"
                " bracket that holds the bolt, then read it again"
            )


def inner_wall(s: Site, what: str) -> None:
    """Refused where the rail is a channel open inboard: it has no inner side to weld ``what`` to."""
    if s.open_face() == "inner":
        raise Refused(
            f"the rail is a channel open on its inner face, and {what} would be welded there: box"
            " the rail there with a plate as thick as its wall (common practice) and say"
            ' frame.section = "boxed" where it is boxed over the whole length in question, or have'
            " this part made to suit"
        )


def off_casting(s: Site, y: float, half: float, what: str, field: str) -> None:
    """Refused if plates ``half`` each side of ``y`` and their welds (1/4 in) would land on the
    axle's cast centre.
    """
    if not s.has("axle.casting_from"):
        return
    low, high = sorted((s.q("axle.casting_from"), s.q("axle.casting_to")))
    reach = half + IN / 4
    if y - reach < high and y + reach > low:
        raise Refused(
            f"{what} at {reader.length(y)} from the center line would stand on the casting"
            f" ({reader.length(low)} to {reader.length(high)}): set {field} at least"
            f" {reader.length(high + reach)} out, or have the bracket made by someone who welds"
            " castings"
        )


NO_LIMIT = 1e6
"""A room that does not apply (mm): such rows are left out of the checks."""

"""Exact plate outlines: closed loops of lines and circular arcs, nothing else.

A loop is a tuple of ``Edge`` (name, start, bulge), closed by construction: each edge ends
where the next begins, the last where the first begins. bulge = tan(included angle / 4), positive
counter-clockwise. Lengths in mm. Outer loops run counter-clockwise; so do openings.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from ...layout import reader
from ..model.body import Edge, Loop
from ..model.vectors import Vec2

LEAST_EDGES = 2
"""A loop of arcs needs two, as a circle has."""
ROUNDING = 1e-9
"""mm, rad or share of a bulge that is rounding."""
NO_EDGE = 1e-6
"""An edge shorter than this, mm, is none."""


class OutlineError(ValueError):
    """A loop that cannot be cut: too few edges, a zero-length edge, a corner with no room for its
    radius.
    """


class Corner(NamedTuple):
    """A corner of a polygon to be rounded by ``r``; ``name`` names the straight edge that leaves
    it.
    """

    name: str
    x: float
    y: float
    r: float = 0.0


class Arc(NamedTuple):
    """Circle of one bulged edge: center, radius, start angle, signed sweep (rad)."""

    centre: Vec2
    radius: float
    start: float
    sweep: float


def spans(loop: Loop) -> Iterator[tuple[Edge, Vec2]]:
    """Each edge with the point it ends at."""
    for i, e in enumerate(loop):
        yield e, loop[(i + 1) % len(loop)].start


def arc_of(p: Vec2, q: Vec2, bulge: float) -> Arc:
    """Circle through ``p`` and ``q`` for a non-zero bulge.

    A quarter turn to the left has a bulge of tan(22.5 deg):

    >>> arc = arc_of((10.0, 0.0), (0.0, 10.0), math.tan(math.pi / 8))
    >>> [round(x, 6) + 0.0 for x in (*arc.centre, arc.radius, math.degrees(arc.sweep))]
    [0.0, 0.0, 10.0, 90.0]
    """
    cx, cy = q[0] - p[0], q[1] - p[1]
    k = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = (p[0] + cx / 2 - cy * k, p[1] + cy / 2 + cx * k)
    radius = math.hypot(cx, cy) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    return Arc(
        centre, radius, math.atan2(p[1] - centre[1], p[0] - centre[0]), 4.0 * math.atan(bulge)
    )


def check(loop: Loop, gap: float = NO_EDGE) -> Loop:
    """Return ``loop`` if it can be cut, else raise OutlineError naming the edge and the point."""
    if len(loop) < LEAST_EDGES:
        raise OutlineError("a loop needs at least two edges")
    for e, q in spans(loop):
        if math.hypot(q[0] - e.start[0], q[1] - e.start[1]) <= gap:
            raise OutlineError(
                f"edge {e.name!r} at ({e.start[0]:.3f}, {e.start[1]:.3f}) has no length"
            )
        if not all(map(math.isfinite, (*e.start, e.bulge))):
            raise OutlineError(f"edge {e.name!r} is not finite")
    return loop


def signed_area(loop: Loop) -> float:
    """Area in mm2, positive counter-clockwise. Exact.

    >>> half = (Edge("flat", (-10.0, 0.0)), Edge("round", (10.0, 0.0), 1.0))
    >>> round(signed_area(half), 3) == round(math.pi * 10**2 / 2, 3)
    True
    """
    total = 0.0
    for e, q in spans(loop):
        p = e.start
        total += (p[0] * q[1] - q[0] * p[1]) / 2
        if e.bulge:
            a = arc_of(p, q, e.bulge)
            total += a.radius**2 * (a.sweep - math.sin(a.sweep)) / 2
    return total


def area(loop: Loop) -> float:
    """Absolute area in mm2."""
    return abs(signed_area(loop))


def edge_length(e: Edge, q: Vec2) -> float:
    """Length of one edge ending at ``q``."""
    if not e.bulge:
        return math.hypot(q[0] - e.start[0], q[1] - e.start[1])
    a = arc_of(e.start, q, e.bulge)
    return a.radius * abs(a.sweep)


def centroid(loop: Loop) -> Vec2:
    """Area centroid. Exact (chord polygon plus circular segments)."""
    sa = sx = sy = 0.0
    for e, q in spans(loop):
        p = e.start
        c = (p[0] * q[1] - q[0] * p[1]) / 2
        sa, sx, sy = sa + c, sx + c * (p[0] + q[0]) / 3, sy + c * (p[1] + q[1]) / 3
        if e.bulge:
            a = arc_of(p, q, e.bulge)
            seg = a.radius**2 * (a.sweep - math.sin(a.sweep)) / 2
            reach = 4 * a.radius * math.sin(a.sweep / 2) ** 3 / (3 * (a.sweep - math.sin(a.sweep)))
            mid = a.start + a.sweep / 2
            sa, sx, sy = (
                sa + seg,
                sx + seg * (a.centre[0] + reach * math.cos(mid)),
                sy + seg * (a.centre[1] + reach * math.sin(mid)),
            )
    return (sx / sa, sy / sa)


def bbox(loop: Loop) -> tuple[float, float, float, float]:
    """(x_min, y_min, x_max, y_max), arcs included exactly."""
    xs, ys = [], []
    for e, q in spans(loop):
        xs.append(e.start[0])
        ys.append(e.start[1])
        if e.bulge:
            a = arc_of(e.start, q, e.bulge)
            lo, hi = sorted((a.start, a.start + a.sweep))
            for k in range(math.ceil(lo / (math.pi / 2)), math.floor(hi / (math.pi / 2)) + 1):
                xs.append(a.centre[0] + a.radius * math.cos(k * math.pi / 2))
                ys.append(a.centre[1] + a.radius * math.sin(k * math.pi / 2))
    return (min(xs), min(ys), max(xs), max(ys))


def edge_points(e: Edge, q: Vec2, sagitta: float = 0.05) -> list[Vec2]:
    """Points along one edge from its start up to but not including ``q``; chords leave the arc by
    at most ``sagitta``.
    """
    if not e.bulge:
        return [e.start]
    a = arc_of(e.start, q, e.bulge)
    step = 2 * math.acos(max(-1.0, 1 - min(sagitta / a.radius, 1.0)))
    n = max(2, math.ceil(abs(a.sweep) / step))
    pts = [
        (
            a.centre[0] + a.radius * math.cos(a.start + a.sweep * i / n),
            a.centre[1] + a.radius * math.sin(a.start + a.sweep * i / n),
        )
        for i in range(n)
    ]
    pts[0] = e.start
    return pts


def flatten(loop: Loop, sagitta: float = 0.05) -> list[Vec2]:
    """Polygon vertices of the loop; the first is not repeated."""
    return [p for e, q in spans(loop) for p in edge_points(e, q, sagitta)]


def named(loop: Loop, name: str) -> list[tuple[Edge, Vec2]]:
    """Every edge called ``name`` with its end; KeyError lists the known names."""
    found = [(e, q) for e, q in spans(loop) if e.name == name]
    if not found:
        raise KeyError(f"no edge {name!r}; known: {', '.join(sorted({e.name for e in loop}))}")
    return found


def moved(loop: Loop, f: Callable[[Vec2], Vec2]) -> Loop:
    """The loop under a rigid motion that keeps orientation."""
    return tuple(Edge(e.name, f(e.start), e.bulge) for e in loop)


def shifted(loop: Loop, dx: float, dy: float) -> Loop:
    """The loop moved by (dx, dy)."""
    return moved(loop, lambda p: (p[0] + dx, p[1] + dy))


def turned(loop: Loop, angle: float, about: Vec2 = (0.0, 0.0)) -> Loop:
    """The loop turned by ``angle`` about a point."""
    c, s = math.cos(angle), math.sin(angle)
    return moved(
        loop,
        lambda p: (
            about[0] + (p[0] - about[0]) * c - (p[1] - about[1]) * s,
            about[1] + (p[0] - about[0]) * s + (p[1] - about[1]) * c,
        ),
    )


def reversed_loop(loop: Loop) -> Loop:
    """The same loop run the other way; each edge keeps its name."""
    out = [Edge(e.name, q, -e.bulge) for e, q in spans(loop)]
    return tuple(reversed(out))


def flipped(loop: Loop) -> Loop:
    """Mirror image in the x axis (y -> -y), still counter-clockwise."""
    return reversed_loop(tuple(Edge(e.name, (e.start[0], -e.start[1]), -e.bulge) for e in loop))


def mirrored(loop: Loop) -> Loop:
    """Mirror image in the y axis (x -> -x), still counter-clockwise."""
    return turned(flipped(loop), math.pi)


def contains(loop: Loop, p: Vec2) -> bool:
    """Whether ``p`` lies inside, arcs exact. Winding by signed angle of each edge."""
    total = 0.0
    for e, q in spans(loop):
        a0 = math.atan2(e.start[1] - p[1], e.start[0] - p[0])
        a1 = math.atan2(q[1] - p[1], q[0] - p[0])
        turn = math.remainder(a1 - a0, math.tau)
        if e.bulge:
            a = arc_of(e.start, q, e.bulge)
            inside_circle = math.hypot(p[0] - a.centre[0], p[1] - a.centre[1]) < a.radius
            side = (q[0] - e.start[0]) * (p[1] - e.start[1]) - (q[1] - e.start[1]) * (
                p[0] - e.start[0]
            )
            on_arc_side = side < 0 if e.bulge > 0 else side > 0
            if inside_circle and side == 0:
                turn = math.copysign(turn, e.bulge)
            elif inside_circle and on_arc_side:
                turn += math.copysign(math.tau, e.bulge) if (turn < 0) == (e.bulge > 0) else 0.0
        total += turn
    return abs(total) > math.pi


def distance(loop: Loop, p: Vec2) -> float:
    """Distance from ``p`` to the nearest point of the loop, mm."""
    return min(edge_distance(e, q, p) for e, q in spans(loop))


def edge_distance(e: Edge, q: Vec2, p: Vec2) -> float:
    """Distance from ``p`` to one edge, mm."""
    if e.bulge:
        a = arc_of(e.start, q, e.bulge)
        around = math.atan2(p[1] - a.centre[1], p[0] - a.centre[0]) - a.start
        along = around % math.tau if a.sweep > 0 else -(-around % math.tau)
        if abs(along) <= abs(a.sweep):
            return abs(math.hypot(p[0] - a.centre[0], p[1] - a.centre[1]) - a.radius)
        return min(
            math.hypot(p[0] - e.start[0], p[1] - e.start[1]), math.hypot(p[0] - q[0], p[1] - q[1])
        )
    dx, dy = q[0] - e.start[0], q[1] - e.start[1]
    t = max(
        0.0, min(1.0, ((p[0] - e.start[0]) * dx + (p[1] - e.start[1]) * dy) / (dx * dx + dy * dy))
    )
    return math.hypot(p[0] - e.start[0] - t * dx, p[1] - e.start[1] - t * dy)


def rounded(corners: Sequence[Corner]) -> Loop:
    """Polygon with rounded corners, run counter-clockwise.

    A fillet takes its corner's name plus "~". OutlineError if two fillets need more than the
    edge between them has.

    >>> corners = [Corner("bottom", 0, 0), Corner("right", 60, 0, 5), Corner("slope", 60, 40)]
    >>> plate = rounded(corners)
    >>> [edge.name for edge in plate]
    ['bottom', 'right~', 'right', 'slope']
    >>> rounded([corner._replace(r=30) for corner in corners])  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    soapstone.parts.geometry.outline.OutlineError: edge ... too short for the radii at its ends
    """
    pts = [c for c in corners]
    if _polygon_area([(c.x, c.y) for c in pts]) < 0:
        raise OutlineError("corners must run counter-clockwise")
    at = [(c.x, c.y) for c in pts]
    cuts = [fillet(at[i - 1], at[i], at[(i + 1) % len(at)], pts[i].r) for i in range(len(at))]
    edges: list[Edge] = []
    for i, c in enumerate(pts):
        n = pts[(i + 1) % len(pts)]
        here, there = cuts[i], cuts[(i + 1) % len(pts)]
        room = math.hypot(n.x - c.x, n.y - c.y) - here[0] - there[0]
        if room < -ROUNDING:
            raise OutlineError(
                f"edge {c.name!r} is {reader.fine(-room)} too short for the radii at its ends"
            )
        if here[3]:
            edges.append(Edge(c.name + "~", here[1], here[3]))
        if room > NO_EDGE:
            edges.append(Edge(c.name, here[2], 0.0))
    return check(tuple(edges))


def fillet(a: Vec2, b: Vec2, c: Vec2, r: float) -> tuple[float, Vec2, Vec2, float]:
    """Setback, arc start, arc end, bulge of the fillet of radius ``r`` at ``b``, between straight
    edges from ``a`` and to ``c``.
    """
    ux, uy = a[0] - b[0], a[1] - b[1]
    vx, vy = c[0] - b[0], c[1] - b[1]
    lu, lv = math.hypot(ux, uy), math.hypot(vx, vy)
    turn = math.atan2(-ux * vy + uy * vx, -(ux * vx + uy * vy))
    if r <= 0 or abs(turn) < ROUNDING:
        return (0.0, b, b, 0.0)
    back = r * math.tan(abs(turn) / 2)
    return (
        back,
        (b[0] + ux / lu * back, b[1] + uy / lu * back),
        (b[0] + vx / lv * back, b[1] + vy / lv * back),
        math.tan(turn / 4),
    )


def _polygon_area(pts: Sequence[Vec2]) -> float:
    return sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(pts, [*pts[1:], pts[0]], strict=True)) / 2


def rectangle(
    x0: float,
    y0: float,
    x1: float,
    y1: float,
    r: float = 0.0,
    names: Sequence[str] = ("bottom", "right", "top", "left"),
) -> Loop:
    """Rectangle from its lower-left to its upper-right corner, corners rounded by ``r``."""
    return rounded(
        [
            Corner(names[0], x0, y0, r),
            Corner(names[1], x1, y0, r),
            Corner(names[2], x1, y1, r),
            Corner(names[3], x0, y1, r),
        ]
    )


def circle(centre: Vec2, diameter: float, name: str = "hole") -> Loop:
    """Circle as two half-turn arcs."""
    r = diameter / 2
    return (
        Edge(name, (centre[0] + r, centre[1]), 1.0),
        Edge(name, (centre[0] - r, centre[1]), 1.0),
    )


def is_circle(loop: Loop) -> tuple[Vec2, float] | None:
    """Center and diameter if the loop is one full circle, else None."""
    if len(loop) != LEAST_EDGES or any(abs(abs(e.bulge) - 1.0) > ROUNDING for e in loop):
        return None
    (ax, ay), (bx, by) = loop[0].start, loop[1].start
    return ((ax + bx) / 2, (ay + by) / 2), math.hypot(bx - ax, by - ay)


def slot(centre: Vec2, length: float, width: float, angle: float = 0.0, name: str = "slot") -> Loop:
    """Slot with round ends, ``length`` overall, long axis at ``angle``."""
    if length <= width + ROUNDING:
        return circle(centre, width, name)
    h, r = (length - width) / 2, width / 2
    base: Loop = (
        Edge(name, (-h, -r), 0.0),
        Edge(name, (h, -r), 1.0),
        Edge(name, (h, r), 0.0),
        Edge(name, (-h, r), 1.0),
    )
    return shifted(turned(base, angle), *centre)


def tangent(p: Vec2, c: Vec2, r: float, side: float) -> Vec2:
    """Touch point on circle (c, r) of the tangent from ``p``; ``side`` +1 keeps the circle's left
    as seen from p, -1 its right.
    """
    dx, dy = p[0] - c[0], p[1] - c[1]
    d = math.hypot(dx, dy)
    if d <= r:
        raise OutlineError(
            f"the point ({p[0]:.3f}, {p[1]:.3f}) lies inside the end radius of {r:.3f}"
        )
    base, half = math.atan2(dy, dx), math.acos(r / d)
    a = base - side * half
    return (c[0] + r * math.cos(a), c[1] + r * math.sin(a))

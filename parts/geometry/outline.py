"""Exact plate outlines: closed loops of lines and circular arcs, nothing else, and what is measured
on them.

A loop is a tuple of ``Edge`` (name, start, bulge), closed by construction: each edge ends
where the next begins, the last where the first begins. bulge = tan(included angle / 4), positive
counter-clockwise. Lengths in mm. Outer loops run counter-clockwise; so do openings. Nothing here
flattens an arc unless its name says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

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

    Its words name the edge and the place, mm in the plate's own coordinates; families turn it into
    a refusal with the readings it came from.
    """


class Arc(NamedTuple):
    """Circle of one bulged edge.

    Attributes
    ----------
    center : Vec2
        mm.
    radius : float
        mm, always positive.
    start : float
        Angle from the center to the edge's start, rad from +x.
    sweep : float
        Angle the edge turns through, rad: positive counter-clockwise, at most a full turn.
    """

    center: Vec2
    radius: float
    start: float
    sweep: float


def spans(loop: Loop) -> Iterator[tuple[Edge, Vec2]]:
    """Each edge with the point it ends at, which the edge itself does not hold.

    >>> square = (Edge("a", (0.0, 0.0)), Edge("b", (1.0, 0.0)), Edge("c", (1.0, 1.0)))
    >>> [(edge.name, end) for edge, end in spans(square)]
    [('a', (1.0, 0.0)), ('b', (1.0, 1.0)), ('c', (0.0, 0.0))]
    """
    for i, edge in enumerate(loop):
        yield edge, loop[(i + 1) % len(loop)].start


def arc_of(start: Vec2, end: Vec2, bulge: float) -> Arc:
    """Circle through ``start`` and ``end`` for a non-zero bulge.

    A bulge is the arc's rise over half its chord; 1 is a half turn, which is also where the center
    changes sides of the chord.

    A quarter turn to the left has a bulge of tan(22.5 deg):

    >>> arc = arc_of((10.0, 0.0), (0.0, 10.0), math.tan(math.pi / 8))
    >>> [round(x, 6) + 0.0 for x in (*arc.center, arc.radius, math.degrees(arc.sweep))]
    [0.0, 0.0, 10.0, 90.0]
    """
    chord_x, chord_y = end[0] - start[0], end[1] - start[1]
    rise = (1.0 - bulge * bulge) / (4.0 * bulge)
    center = (start[0] + chord_x / 2 - chord_y * rise, start[1] + chord_y / 2 + chord_x * rise)
    radius = math.hypot(chord_x, chord_y) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    return Arc(
        center,
        radius,
        math.atan2(start[1] - center[1], start[0] - center[0]),
        4.0 * math.atan(bulge),
    )


def check(loop: Loop, gap: float = NO_EDGE) -> Loop:
    """The loop itself, if it can be cut.

    Parameters
    ----------
    gap : float
        An edge no longer than this, mm, counts as none.

    Raises
    ------
    OutlineError
        For an edge without length or a number that is not finite.
        Crossings, openings and feathers are ``shape.faults``.
    """
    if len(loop) < LEAST_EDGES:
        raise OutlineError("it has fewer than two edges")
    for edge, end in spans(loop):
        if math.hypot(end[0] - edge.start[0], end[1] - edge.start[1]) <= gap:
            raise OutlineError("two of its corners fall together")
        if not all(map(math.isfinite, (*edge.start, edge.bulge))):
            raise OutlineError("one of its corners lies nowhere")
    return loop


def signed_area(loop: Loop) -> float:
    """Area in mm2, positive counter-clockwise. Exact: chord polygon plus circular segments.

    >>> half = (Edge("flat", (-10.0, 0.0)), Edge("round", (10.0, 0.0), 1.0))
    >>> round(signed_area(half), 3) == round(math.pi * 10**2 / 2, 3)
    True
    """
    total = 0.0
    for edge, end in spans(loop):
        start = edge.start
        total += (start[0] * end[1] - end[0] * start[1]) / 2
        if edge.bulge:
            arc = arc_of(start, end, edge.bulge)
            total += arc.radius**2 * (arc.sweep - math.sin(arc.sweep)) / 2
    return total


def area(loop: Loop) -> float:
    """Area in mm2, whichever way the loop runs."""
    return abs(signed_area(loop))


def edge_length(edge: Edge, end: Vec2) -> float:
    """Length of one edge ending at ``end``, mm: along the arc, not its chord."""
    if not edge.bulge:
        return math.hypot(end[0] - edge.start[0], end[1] - edge.start[1])
    arc = arc_of(edge.start, end, edge.bulge)
    return arc.radius * abs(arc.sweep)


def centroid(loop: Loop) -> Vec2:
    """Center of the enclosed area, mm.

    Exact: the chord polygon's triangles from the origin, and each arc's segment at its own
    centroid, 4 r sin^3(a/2) / (3 (a - sin a)) from the circle's center (any table of plane areas).
    A loop without area has none: ZeroDivisionError.
    """
    total = moment_x = moment_y = 0.0
    for edge, end in spans(loop):
        start = edge.start
        triangle = (start[0] * end[1] - end[0] * start[1]) / 2
        total, moment_x, moment_y = (
            total + triangle,
            moment_x + triangle * (start[0] + end[0]) / 3,
            moment_y + triangle * (start[1] + end[1]) / 3,
        )
        if edge.bulge:
            arc = arc_of(start, end, edge.bulge)
            segment = arc.radius**2 * (arc.sweep - math.sin(arc.sweep)) / 2
            reach = (
                4
                * arc.radius
                * math.sin(arc.sweep / 2) ** 3
                / (3 * (arc.sweep - math.sin(arc.sweep)))
            )
            mid = arc.start + arc.sweep / 2
            total, moment_x, moment_y = (
                total + segment,
                moment_x + segment * (arc.center[0] + reach * math.cos(mid)),
                moment_y + segment * (arc.center[1] + reach * math.sin(mid)),
            )
    return (moment_x / total, moment_y / total)


def bbox(loop: Loop) -> tuple[float, float, float, float]:
    """Smallest upright box round the loop: (x_min, y_min, x_max, y_max), mm.

    Arcs count to where they truly reach, not to their ends:

    >>> bbox((Edge("flat", (-10.0, 0.0)), Edge("round", (10.0, 0.0), 1.0)))
    (-10.0, 0.0, 10.0, 10.0)
    """
    xs, ys = [], []
    for edge, end in spans(loop):
        xs.append(edge.start[0])
        ys.append(edge.start[1])
        if edge.bulge:
            arc = arc_of(edge.start, end, edge.bulge)
            low, high = sorted((arc.start, arc.start + arc.sweep))
            for quarter in range(
                math.ceil(low / (math.pi / 2)), math.floor(high / (math.pi / 2)) + 1
            ):
                xs.append(arc.center[0] + arc.radius * math.cos(quarter * math.pi / 2))
                ys.append(arc.center[1] + arc.radius * math.sin(quarter * math.pi / 2))
    return (min(xs), min(ys), max(xs), max(ys))


def edge_points(edge: Edge, end: Vec2, sagitta: float = 0.05) -> list[Vec2]:
    """Points along one edge, from its start up to but not including its ``end``.

    Parameters
    ----------
    sagitta : float
        How far a chord may leave its arc, mm. Chords lie inside the circle, so a flattened outer
        corner is a little short of steel and a flattened hole a little full.
    """
    if not edge.bulge:
        return [edge.start]
    arc = arc_of(edge.start, end, edge.bulge)
    step = 2 * math.acos(max(-1.0, 1 - min(sagitta / arc.radius, 1.0)))
    count = max(2, math.ceil(abs(arc.sweep) / step))
    points = [
        (
            arc.center[0] + arc.radius * math.cos(arc.start + arc.sweep * i / count),
            arc.center[1] + arc.radius * math.sin(arc.start + arc.sweep * i / count),
        )
        for i in range(count)
    ]
    points[0] = edge.start  # to the last bit, so that a flattened loop meets its neighbors
    return points


def flatten(loop: Loop, sagitta: float = 0.05) -> list[Vec2]:
    """Polygon vertices of the loop, chords leaving arcs by ``sagitta`` mm at most; the first is not
    repeated at the end.
    """
    return [point for edge, end in spans(loop) for point in edge_points(edge, end, sagitta)]


def named(loop: Loop, name: str) -> list[tuple[Edge, Vec2]]:
    """Every edge called ``name``, each with its end: several edges may share a name, as the two
    halves of a circle do.

    Raises
    ------
    KeyError
        No such edge; the names the loop has are listed.
    """
    found = [(edge, end) for edge, end in spans(loop) if edge.name == name]
    if not found:
        raise KeyError(
            f"no edge {name!r}; known: {', '.join(sorted({edge.name for edge in loop}))}"
        )
    return found


def contains(loop: Loop, point: Vec2) -> bool:
    """Whether ``point`` lies inside, arcs exact.

    The angles under which the edges are seen add up to a full turn from inside and to nothing from
    outside; an arc seen from within its own circle, beyond its chord, turns the long way round. A
    point on the loop itself may fall either way.

    >>> half = (Edge("flat", (-10.0, 0.0)), Edge("round", (10.0, 0.0), 1.0))
    >>> contains(half, (0.0, 9.9)), contains(half, (8.0, 8.0))
    (True, False)
    """
    total = 0.0
    for edge, end in spans(loop):
        begins = math.atan2(edge.start[1] - point[1], edge.start[0] - point[0])
        ends = math.atan2(end[1] - point[1], end[0] - point[0])
        turn = math.remainder(ends - begins, math.tau)
        if edge.bulge:
            arc = arc_of(edge.start, end, edge.bulge)
            inside_circle = (
                math.hypot(point[0] - arc.center[0], point[1] - arc.center[1]) < arc.radius
            )
            side = (end[0] - edge.start[0]) * (point[1] - edge.start[1]) - (
                end[1] - edge.start[1]
            ) * (point[0] - edge.start[0])
            on_arc_side = side < 0 if edge.bulge > 0 else side > 0
            # seen from the chord the two ways round are equal, and half a turn has no sign
            if inside_circle and side == 0:
                turn = math.copysign(turn, edge.bulge)
            elif inside_circle and on_arc_side:
                turn += (
                    math.copysign(math.tau, edge.bulge) if (turn < 0) == (edge.bulge > 0) else 0.0
                )
        total += turn
    return abs(total) > math.pi


def distance(loop: Loop, point: Vec2) -> float:
    """Distance from ``point`` to the nearest point of the loop, mm: positive inside and out."""
    return min(edge_distance(edge, end, point) for edge, end in spans(loop))


def edge_distance(edge: Edge, end: Vec2, point: Vec2) -> float:
    """Distance from ``point`` to one edge that ends at ``end``, mm; to the nearer of its ends where
    no point of it is square to the edge.
    """
    if edge.bulge:
        arc = arc_of(edge.start, end, edge.bulge)
        around = math.atan2(point[1] - arc.center[1], point[0] - arc.center[0]) - arc.start
        along = around % math.tau if arc.sweep > 0 else -(-around % math.tau)
        if abs(along) <= abs(arc.sweep):
            return abs(math.hypot(point[0] - arc.center[0], point[1] - arc.center[1]) - arc.radius)
        return min(
            math.hypot(point[0] - edge.start[0], point[1] - edge.start[1]),
            math.hypot(point[0] - end[0], point[1] - end[1]),
        )
    dx, dy = end[0] - edge.start[0], end[1] - edge.start[1]
    share = max(
        0.0,
        min(
            1.0,
            ((point[0] - edge.start[0]) * dx + (point[1] - edge.start[1]) * dy)
            / (dx * dx + dy * dy),
        ),
    )
    return math.hypot(point[0] - edge.start[0] - share * dx, point[1] - edge.start[1] - share * dy)

"""Loops made and moved: polygons with rounded corners, rectangles, circles, slots; shifted, turned,
mirrored. Lengths in mm, angles in rad.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from ...layout import reader
from ..model.body import Edge, Loop
from ..model.vectors import Vec2
from .outline import LEAST_EDGES, NO_EDGE, ROUNDING, OutlineError, check, spans


class Corner(NamedTuple):
    """A corner of a polygon that is to be rounded.

    Attributes
    ----------
    name : str
        Of the straight edge that leaves the corner.
    x, y : float
        Where the two straight edges would meet, mm.
    r : float
        Radius, mm; 0 leaves the corner sharp.
    """

    name: str
    x: float
    y: float
    r: float = 0.0


def moved(loop: Loop, motion: Callable[[Vec2], Vec2]) -> Loop:
    """The loop with every start put through ``motion``, which must be rigid and keep orientation:
    bulges are taken over as they are, so a mirror or a scale would give arcs that are not these.
    """
    return tuple(Edge(edge.name, motion(edge.start), edge.bulge) for edge in loop)


def shifted(loop: Loop, dx: float, dy: float) -> Loop:
    """The loop moved by (dx, dy), mm."""
    return moved(loop, lambda point: (point[0] + dx, point[1] + dy))


def turned(loop: Loop, angle: float, about: Vec2 = (0.0, 0.0)) -> Loop:
    """The loop turned counter-clockwise by ``angle`` rad about a point."""
    cosine, sine = math.cos(angle), math.sin(angle)
    return moved(
        loop,
        lambda point: (
            about[0] + (point[0] - about[0]) * cosine - (point[1] - about[1]) * sine,
            about[1] + (point[0] - about[0]) * sine + (point[1] - about[1]) * cosine,
        ),
    )


def reversed_loop(loop: Loop) -> Loop:
    """The same loop run the other way; each edge keeps its name and its steel.

    >>> [edge.name for edge in reversed_loop(circle((0.0, 0.0), 10.0))]
    ['hole', 'hole']
    >>> [(edge.name, edge.start) for edge in reversed_loop(rectangle(0, 0, 2, 1))]
    [('left', (0, 0)), ('top', (0, 1)), ('right', (2, 1)), ('bottom', (2, 0))]
    """
    out = [Edge(edge.name, end, -edge.bulge) for edge, end in spans(loop)]
    return tuple(reversed(out))


def flipped(loop: Loop) -> Loop:
    """Mirror image in the x axis (y -> -y), still counter-clockwise; edges keep their names."""
    return reversed_loop(
        tuple(Edge(edge.name, (edge.start[0], -edge.start[1]), -edge.bulge) for edge in loop)
    )


def mirrored(loop: Loop) -> Loop:
    """Mirror image in the y axis (x -> -x), still counter-clockwise; edges keep their names. This
    is how the right-hand part is made of the left-hand one's outline.
    """
    return turned(flipped(loop), math.pi)


def rounded(corners: Sequence[Corner]) -> Loop:
    """Polygon with rounded corners.

    Parameters
    ----------
    corners : sequence of Corner
        Counter-clockwise. Each names the edge that leaves it; its fillet takes that name plus "~".

    Raises
    ------
    OutlineError
        Corners run clockwise, a rounded one stands on its neighbor, or two fillets need more than
        the edge between them has; how much is missing is said.

    Examples
    --------
    >>> corners = [Corner("bottom", 0, 0), Corner("right", 60, 0, 5), Corner("slope", 60, 40)]
    >>> plate = rounded(corners)
    >>> [edge.name for edge in plate]
    ['bottom', 'right~', 'right', 'slope']
    >>> rounded([corner._replace(r=30) for corner in corners])  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    soapstone.parts.geometry.outline.OutlineError: an edge of it is ... radii at its ends
    """
    polygon = list(corners)
    if _polygon_area([(corner.x, corner.y) for corner in polygon]) < 0:
        raise OutlineError("its edges cross over, so that it is turned inside out")
    places = [(corner.x, corner.y) for corner in polygon]
    after = [*places[1:], places[0]]
    for i, corner in enumerate(polygon):
        beside = min(math.dist(places[i], place) for place in (places[i - 1], after[i]))
        if corner.r > 0 and beside < NO_EDGE:
            raise OutlineError("one of its corners has no edge to be rounded from")
    cuts = [fillet(places[i - 1], place, after[i], polygon[i].r) for i, place in enumerate(places)]
    edges: list[Edge] = []
    for i, corner in enumerate(polygon):
        here, there = cuts[i], cuts[(i + 1) % len(polygon)]
        room = math.dist(places[i], after[i]) - here[0] - there[0]
        if room < -ROUNDING:
            raise OutlineError(
                f"an edge of it is {reader.fine(-room)} too short for the radii at its ends"
            )
        if here[3]:
            edges.append(Edge(corner.name + "~", here[1], here[3]))
        if room > NO_EDGE:
            edges.append(Edge(corner.name, here[2], 0.0))
    return check(tuple(edges))


def fillet(
    before: Vec2, corner: Vec2, after: Vec2, radius: float
) -> tuple[float, Vec2, Vec2, float]:
    """The arc that rounds a corner between straight edges from ``before`` and to ``after``.

    Parameters
    ----------
    before, corner, after : Vec2
        mm; only the directions from the corner count, not the lengths.
    radius : float
        mm; 0, or edges in one line, give no arc.

    Returns
    -------
    setback : float
        How much of each straight edge the arc takes, mm: r tan(turn / 2). Nobody looks here whether
        the edges have it.
    start, end : Vec2
        Where the arc touches them.
    bulge : float
        Positive where the loop turns left; 0 where there is no arc.

    >>> setback, start, end, bulge = fillet((-10.0, 0.0), (0.0, 0.0), (0.0, 10.0), 3.0)
    >>> [round(x, 6) for x in (setback, *start, *end, math.degrees(4 * math.atan(bulge)))]
    [3.0, -3.0, 0.0, 0.0, 3.0, 90.0]
    """
    back_x, back_y = before[0] - corner[0], before[1] - corner[1]
    ahead_x, ahead_y = after[0] - corner[0], after[1] - corner[1]
    back_length, ahead_length = math.hypot(back_x, back_y), math.hypot(ahead_x, ahead_y)
    turn = math.atan2(-back_x * ahead_y + back_y * ahead_x, -(back_x * ahead_x + back_y * ahead_y))
    if radius <= 0 or abs(turn) < ROUNDING:
        return (0.0, corner, corner, 0.0)
    setback = radius * math.tan(abs(turn) / 2)
    return (
        setback,
        (corner[0] + back_x / back_length * setback, corner[1] + back_y / back_length * setback),
        (
            corner[0] + ahead_x / ahead_length * setback,
            corner[1] + ahead_y / ahead_length * setback,
        ),
        math.tan(turn / 4),
    )


def _polygon_area(points: Sequence[Vec2]) -> float:
    return (
        sum(
            start[0] * end[1] - end[0] * start[1]
            for start, end in zip(points, [*points[1:], points[0]], strict=True)
        )
        / 2
    )


def rectangle(
    x0: float,
    y0: float,
    x1: float,
    y1: float,
    radius: float = 0.0,
    names: Sequence[str] = ("bottom", "right", "top", "left"),
) -> Loop:
    """Rectangle from its lower-left (x0, y0) to its upper-right corner (x1, y1), mm, all four
    corners rounded by ``radius``; ``names`` are those of bottom, right, top and left edge.

    Raises
    ------
    OutlineError
        A side is shorter than two radii, or the corners are the wrong way about.
    """
    return rounded(
        [
            Corner(names[0], x0, y0, radius),
            Corner(names[1], x1, y0, radius),
            Corner(names[2], x1, y1, radius),
            Corner(names[3], x0, y1, radius),
        ]
    )


def circle(center: Vec2, diameter: float, name: str = "hole") -> Loop:
    """Full circle as two half-turn arcs, counter-clockwise, both called ``name``. Lengths in mm."""
    radius = diameter / 2
    return (
        Edge(name, (center[0] + radius, center[1]), 1.0),
        Edge(name, (center[0] - radius, center[1]), 1.0),
    )


def is_circle(loop: Loop) -> tuple[Vec2, float] | None:
    """Center and diameter, mm, if the loop is one full circle as ``circle`` makes it, else None:
    what tells a hole to be drilled from an opening to be cut.
    """
    if len(loop) != LEAST_EDGES or any(abs(abs(edge.bulge) - 1.0) > ROUNDING for edge in loop):
        return None
    (ax, ay), (bx, by) = loop[0].start, loop[1].start
    return ((ax + bx) / 2, (ay + by) / 2), math.hypot(bx - ax, by - ay)


def slot(center: Vec2, length: float, width: float, angle: float = 0.0, name: str = "slot") -> Loop:
    """Slot with round ends.

    Parameters
    ----------
    length, width : float
        Overall, mm: a bolt of ``width`` may travel length - width. Not longer than wide, it is a
        circle.
    angle : float
        Of the long axis, rad from +x.
    """
    if length <= width + ROUNDING:
        return circle(center, width, name)
    half, radius = (length - width) / 2, width / 2
    base: Loop = (
        Edge(name, (-half, -radius), 0.0),
        Edge(name, (half, -radius), 1.0),
        Edge(name, (half, radius), 0.0),
        Edge(name, (-half, radius), 1.0),
    )
    return shifted(turned(base, angle), *center)


def tangent(point: Vec2, center: Vec2, radius: float, side: float) -> Vec2:
    """Where the tangent from ``point`` touches a circle.

    Parameters
    ----------
    center, radius : Vec2, float
        The circle, mm.
    side : float
        +1 keeps the circle's left as seen from the point, -1 its right.

    Raises
    ------
    OutlineError
        The point lies inside the circle or on it.

    >>> [round(v, 6) for v in tangent((-2.0, 0.0), (0.0, 0.0), 1.0, +1)]
    [-0.5, 0.866025]
    """
    dx, dy = point[0] - center[0], point[1] - center[1]
    away = math.hypot(dx, dy)
    if away <= radius:
        raise OutlineError(f"a point of it lies inside the end radius of {reader.fine(radius)}")
    base, half = math.atan2(dy, dx), math.acos(radius / away)
    angle = base - side * half
    return (center[0] + radius * math.cos(angle), center[1] + radius * math.sin(angle))

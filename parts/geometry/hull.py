"""Outlines tangent to circles: a tab about one bolt, a plate about several. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from ..model.body import Edge, Loop
from ..model.vectors import Vec2
from .contours import circle, tangent
from .outline import ROUNDING, check

SLIVER = 2.0
"""Arcs of a hull shorter than this, mm, become a corner: a table loses them in its kerf."""
DIRECTIONS = 720
"""Directions in which the outermost circle is looked for."""


def ear(
    left: Vec2,
    right: Vec2,
    center: Vec2,
    radius: float,
    names: tuple[str, str, str, str] = ("root", "side_a", "end", "side_b"),
) -> Loop:
    """A tab about one bolt: straight root, sides tangent to the end circle.

    Parameters
    ----------
    left, right : Vec2
        Ends of the root, mm. Counter-clockwise if ``center`` lies to the left of left -> right.
    center, radius : Vec2, float
        The end circle, mm.
    names : tuple of str
        Of root, first side, round end, second side.

    Raises
    ------
    OutlineError
        A root corner lies inside the circle: the tab has no side there.
    """
    t_right = tangent(right, center, radius, -1)
    t_left = tangent(left, center, radius, +1)
    begins = math.atan2(t_right[1] - center[1], t_right[0] - center[0])
    ends = math.atan2(t_left[1] - center[1], t_left[0] - center[0])
    sweep = (ends - begins) % math.tau
    return check(
        (
            Edge(names[0], left),
            Edge(names[1], right),
            Edge(names[2], t_right, math.tan(sweep / 4)),
            Edge(names[3], t_left),
        )
    )


def hull(circles: Iterable[tuple[Vec2, float]], name: str = "edge") -> Loop:
    """Tightest outline round several circles, counter-clockwise: arcs of them joined by the
    tangents they share.

    Parameters
    ----------
    circles : iterable of (center, radius)
        mm, radius > 0. One that lies within the hull of the others is left out.
    name : str
        Tangents are called name1, name2, ... and each arc as the tangent before it plus "~".

    Notes
    -----
    An arc shorter than SLIVER, at a circle that barely stands out, is left out: its two tangents
    run on to where they meet.

    >>> links = hull([((0.0, 0.0), 5.0), ((40.0, 0.0), 5.0)])
    >>> [edge.name for edge in links]
    ['edge1', 'edge1~', 'edge2', 'edge2~']
    """
    items = list(circles)
    if len(items) == 1:
        return circle(items[0][0], 2 * items[0][1], name)
    order = _gift_wrap(items)
    edges: list[Edge] = []
    count = len(order)
    tangents = [
        _outer_tangent(items[order[i]], items[order[(i + 1) % count]]) for i in range(count)
    ]
    meets: list[Vec2 | None] = []
    for i in range(count):
        radius, sweep = (
            items[order[(i + 1) % count]][1],
            (tangents[(i + 1) % count][2] - tangents[i][2]) % math.tau,
        )
        back = radius * math.tan(sweep / 2)
        touch, along = tangents[i][1], tangents[i][2]
        meets.append(
            (touch[0] + back * math.cos(along), touch[1] + back * math.sin(along))
            if sweep > ROUNDING and radius * sweep < SLIVER
            else None
        )
    for i in range(count):
        begins, touch, direction = tangents[i]
        sweep = (tangents[(i + 1) % count][2] - direction) % math.tau
        edges.append(Edge(f"{name}{i + 1}", meets[i - 1] or begins, 0.0))
        if meets[i] is None and ROUNDING < sweep < math.tau - ROUNDING:
            edges.append(Edge(f"{name}{i + 1}~", touch, math.tan(sweep / 4)))
    return check(tuple(edges))


def _outer_tangent(one: tuple[Vec2, float], two: tuple[Vec2, float]) -> tuple[Vec2, Vec2, float]:
    """Tangent that keeps both circles on its left, and its direction."""
    (ax, ay), radius = one
    (bx, by), other_radius = two
    apart = math.hypot(bx - ax, by - ay)
    direction = math.atan2(by - ay, bx - ax) - math.asin((radius - other_radius) / apart) * -1.0
    out_x, out_y = math.sin(direction), -math.cos(direction)
    return (
        (ax + radius * out_x, ay + radius * out_y),
        (bx + other_radius * out_x, by + other_radius * out_y),
        direction,
    )


def _gift_wrap(items: Sequence[tuple[Vec2, float]]) -> list[int]:
    """Circles on the hull, counter-clockwise, by support angle."""
    found: list[int] = []
    for step in range(DIRECTIONS):
        angle = math.tau * step / DIRECTIONS
        i = max(
            range(len(items)),
            key=lambda circle_number: (
                items[circle_number][0][0] * math.cos(angle)
                + items[circle_number][0][1] * math.sin(angle)
                + items[circle_number][1]
            ),
        )
        if not found or found[-1] != i:
            found.append(i)
    if len(found) > 1 and found[0] == found[-1]:
        found.pop()
    return found

"""Outlines tangent to circles: a tab about one bolt, a plate about several. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from ..model.body import Edge, Loop
from ..model.vectors import Vec2
from .outline import ROUNDING, check, circle, tangent

SLIVER = 2.0
"""Arcs of a hull shorter than this, mm, become a corner: a table loses them in its kerf."""
DIRECTIONS = 720
"""Directions in which the outermost circle is looked for."""


def ear(
    left: Vec2,
    right: Vec2,
    centre: Vec2,
    radius: float,
    names: tuple[str, str, str, str] = ("root", "side_a", "end", "side_b"),
) -> Loop:
    """A tab: straight root from ``left`` to ``right``, sides tangent to the end circle.

    Counter-clockwise if ``centre`` lies to the left of left->right. OutlineError if a root corner
    lies inside the circle.
    """
    t_right = tangent(right, centre, radius, -1)
    t_left = tangent(left, centre, radius, +1)
    a0 = math.atan2(t_right[1] - centre[1], t_right[0] - centre[0])
    a1 = math.atan2(t_left[1] - centre[1], t_left[0] - centre[0])
    sweep = (a1 - a0) % math.tau
    return check(
        (
            Edge(names[0], left),
            Edge(names[1], right),
            Edge(names[2], t_right, math.tan(sweep / 4)),
            Edge(names[3], t_left),
        )
    )


def hull(circles: Iterable[tuple[Vec2, float]], name: str = "edge") -> Loop:
    """Outer tangent outline round circles (center, radius > 0), counter-clockwise, in convex
    position.

    An arc shorter than SLIVER, at a circle that barely stands out, is left out: its two tangents
    run on to where they meet.
    """
    items = list(circles)
    if len(items) == 1:
        return circle(items[0][0], 2 * items[0][1], name)
    order = _gift_wrap(items)
    edges: list[Edge] = []
    n = len(order)
    tangents = [_outer_tangent(items[order[i]], items[order[(i + 1) % n]]) for i in range(n)]
    meets: list[Vec2 | None] = []
    for i in range(n):
        r, sweep = (
            items[order[(i + 1) % n]][1],
            (tangents[(i + 1) % n][2] - tangents[i][2]) % math.tau,
        )
        back = r * math.tan(sweep / 2)
        q, along = tangents[i][1], tangents[i][2]
        meets.append(
            (q[0] + back * math.cos(along), q[1] + back * math.sin(along))
            if sweep > ROUNDING and r * sweep < SLIVER
            else None
        )
    for i in range(n):
        p, q, ang = tangents[i]
        sweep = (tangents[(i + 1) % n][2] - ang) % math.tau
        edges.append(Edge(f"{name}{i + 1}", meets[i - 1] or p, 0.0))
        if meets[i] is None and ROUNDING < sweep < math.tau - ROUNDING:
            edges.append(Edge(f"{name}{i + 1}~", q, math.tan(sweep / 4)))
    return check(tuple(edges))


def _outer_tangent(a: tuple[Vec2, float], b: tuple[Vec2, float]) -> tuple[Vec2, Vec2, float]:
    """Tangent that keeps both circles on its left, and its direction."""
    (ax, ay), ra = a
    (bx, by), rb = b
    d = math.hypot(bx - ax, by - ay)
    ang = math.atan2(by - ay, bx - ax) - math.asin((ra - rb) / d) * -1.0
    nx, ny = math.sin(ang), -math.cos(ang)
    return ((ax + ra * nx, ay + ra * ny), (bx + rb * nx, by + rb * ny), ang)


def _gift_wrap(items: Sequence[tuple[Vec2, float]]) -> list[int]:
    """Circles on the hull, counter-clockwise, by support angle."""
    found: list[int] = []
    for k in range(DIRECTIONS):
        a = math.tau * k / DIRECTIONS
        i = max(
            range(len(items)),
            key=lambda j: items[j][0][0] * math.cos(a) + items[j][0][1] * math.sin(a) + items[j][1],
        )
        if not found or found[-1] != i:
            found.append(i)
    if len(found) > 1 and found[0] == found[-1]:
        found.pop()
    return found

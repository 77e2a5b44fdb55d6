"""A plate's outline in triangles: nodes on its rim, its openings and on every line asked for, finer
where a size field says so.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...design.site import Refused
from ...geometry import outline
from ...geometry.prism import Flat
from ...model.body import Loop
from ...model.vectors import Array

Size = Callable[[Array], Array]
"""Edge length asked for at points (n, 2), mm."""
STEP = 2**0.5
"""From one grid to the next coarser one."""
CROWDED, TOO_NEAR = 0.45, 0.6
"""Shares of the size under which a point of a line, or of a grid, is left out beside another."""
LARGEST = (math.inf, 40.0, 20.0)
"""Sizes no element is larger than, mm, the next where corners of an outline far from every load
were left out.
"""
LOST = 0.02
"""Share of the area that may be lost where arcs become chords."""
GROWS = 0.3
"""Size gained per millimeter away from a small opening."""


class Mesh(NamedTuple):
    """Nodes (n, 2) and triangles (m, 3), counter-clockwise."""

    nodes: Array
    tris: NDArray[np.int64]

    @property
    def areas(self) -> Array:
        """Of each triangle, (m,), mm2."""
        first, second, third = (self.nodes[self.tris[:, i]] for i in range(3))
        one, two = second - first, third - first
        return np.asarray((one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / 2)


def mesh(
    outer: Loop,
    inner: Sequence[Loop],
    size: float | Size,
    lines: Sequence[Array] = (),
    points: Array | None = None,
) -> Mesh:
    """Triangles of about ``size`` mm, finer at openings; ``lines`` (n, 2) and ``points`` (n, 2) get
    nodes exactly on them.

    Refused if the outline cannot be meshed.
    """
    field = _finer_at(inner, size) if isinstance(size, float) else size
    placed = np.empty((0, 2)) if points is None else points
    want = abs(outline.signed_area(outer)) - sum(abs(outline.signed_area(o)) for o in inner)
    got = 0.0
    for most in LARGEST:
        made = _filled(outer, inner, _at_most(field, most), lines, placed)
        got = float(made.areas.sum())
        if abs(got - want) <= LOST * want:
            return made
    raise Refused(f"the outline does not mesh: {got:.0f} of {want:.0f} mm2")


def _at_most(field: Size, most: float) -> Size:
    return lambda points: np.minimum(field(points), most)


def _filled(
    outer: Loop, inner: Sequence[Loop], field: Size, lines: Sequence[Array], placed: Array
) -> Mesh:
    """Triangles as the field asks; where it asks for large ones a corner may be cut off."""
    from scipy.spatial import Delaunay

    rims = [np.array(outline.flatten(loop, 0.1)) for loop in (outer, *inner)]
    for line in [*lines, *(np.vstack((rim, rim[:1])) for rim in rims)]:
        placed = _with(placed, _walked(line, field), field, CROWDED)
    finest = float(field(placed).min())
    for grid in _grids(outer, field, finest):
        kept = grid[inside(grid, outer, inner)]
        placed = _with(placed, kept, field, TOO_NEAR)
    tris = Delaunay(placed).simplices
    tris = tris[inside(placed[tris].mean(axis=1), outer, inner)]
    areas = Mesh(placed, tris).areas
    tris = np.where(areas[:, None] > 0, tris, tris[:, [0, 2, 1]])
    tris = tris[np.abs(areas) > 1e-4 * finest**2]
    used = np.unique(tris)
    back = np.full(len(placed), -1)
    back[used] = np.arange(len(used))
    return Mesh(placed[used], back[tris])


def inside(points: Array, outer: Loop, inner: Sequence[Loop]) -> NDArray[np.bool_]:
    """Which points (n, 2) lie in the plate."""
    found = Flat(outer, 0.1).inside(points)
    for loop in inner:
        found &= ~Flat(loop, 0.1).inside(points)
    return found


def near(points: Array, line: Array, within: float) -> NDArray[np.bool_]:
    """Which points (n, 2) lie within a distance of a polyline."""
    found = np.zeros(len(points), dtype=bool)
    low, high = line.min(axis=0) - within, line.max(axis=0) + within
    maybe = np.flatnonzero(((points >= low) & (points <= high)).all(axis=1))
    close = points[maybe]
    for start, end in itertools.pairwise(line):
        along = end - start
        share = np.clip((close - start) @ along / max(float(along @ along), 1e-12), 0, 1)
        found[maybe] |= np.hypot(*(close - start - share[:, None] * along).T) < within
    return found


def _finer_at(inner: Sequence[Loop], size: float) -> Size:
    """One size, less beside an opening that it is large for."""
    small = [
        (Flat(loop, 0.1), max(1.0, math.sqrt(outline.area(loop)) / 6))
        for loop in inner
        if max(1.0, math.sqrt(outline.area(loop)) / 6) < size
    ]

    def field(points: Array) -> Array:
        found = np.full(len(points), size)
        for rim, least in small:
            found = np.minimum(found, least + GROWS * rim.away(points))
        return found

    return field


def _walked(line: Array, field: Size) -> Array:
    """Points along a polyline, as far apart as the field asks; its corners stay."""
    found = [line[:1]]
    for start, end in itertools.pairwise(line):
        long = math.dist(start, end)
        if not long:
            continue
        fine = np.linspace(0.0, 1.0, 9)[:, None]
        asked = float(field(start + (end - start) * fine).mean())
        many = max(1, round(long / asked))
        found.append(start + (end - start) * (np.arange(1, many + 1) / many)[:, None])
    return np.vstack(found)


def _with(placed: Array, more: Array, field: Size, apart: float) -> Array:
    """Points and those of ``more`` that stand ``apart`` sizes from them; of a line, from each other
    too.
    """
    from scipy.spatial import cKDTree

    if not len(more):
        return placed
    room = apart * field(more)
    if len(placed):
        clear = cKDTree(placed).query(more)[0] > room
        more, room = more[clear], room[clear]
    if apart == CROWDED and len(more):
        kept: list[int] = []
        for i, point in enumerate(more):
            if not kept or np.hypot(*(more[kept] - point).T).min() > room[i]:
                kept.append(i)
        more = more[kept]
    return np.vstack((placed, more))


def _grids(outer: Loop, field: Size, finest: float) -> list[Array]:
    """Points of triangular grids, each where the field asks for about its size."""
    x0, y0, x1, y1 = outline.bbox(outer)
    found, size = [], finest
    while size < max(x1 - x0, y1 - y0):
        rows = [
            np.column_stack((across, np.full(len(across), y)))
            for i, y in enumerate(np.arange(y0, y1, size * math.sqrt(3) / 2))
            for across in [np.arange(x0 + (size / 2 if i % 2 else 0.0), x1, size)]
        ]
        grid = np.vstack(rows)
        asked = field(grid)
        least = 0.0 if size == finest else size / math.sqrt(STEP)
        found.append(grid[(asked >= least) & (asked < size * math.sqrt(STEP))])
        size *= STEP
    return found

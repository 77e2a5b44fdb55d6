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

from ....layout.arrays import Array
from ...design.site import Refused
from ...geometry import outline
from ...geometry.prism import Flat
from ...model.body import Loop

Size = Callable[[Array], Array]
"""Edge length asked for at points (n, 2), mm."""
ON_LINE = 0.05
"""A node this near a line is on it, mm."""
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
CORNER = 0.45
"""Turn of a line that is a corner, rad: nodes stand on it."""
STRAIGHT = 1e-3
"""Below this, mm2, the triangle of three points of a line is none, and the middle one left out."""
CELL, STEEPEST = 4.0, 1.0
"""Cells in which the field is asked first, mm, and the most it may grow per millimeter."""
CLIPPED = 0.5
"""Millimeters to which a line is cut off at a plate's rim."""
ARC = 0.3
"""Most turn of an arc from one node to the next, rad."""
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
    """A plate in triangles.

    Parameters
    ----------
    outer, inner : outline and openings
        Exact, mm.
    size : float or function of points
        Edge length, mm: one for all, then finer at small openings, or as a function says at
        points (n, 2).
    lines, points : (n, 2) arrays, optional
        What gets nodes exactly on it, mm: welds, places of contact.

    Returns
    -------
    Mesh
        Within ``LOST`` of the plate's area, no triangle upside down.

    Raises
    ------
    Refused
        The outline cannot be meshed, whatever the size.
    """
    field = _finer_at(inner, size) if isinstance(size, float) else size
    placed = np.empty((0, 2)) if points is None else points
    want = abs(outline.signed_area(outer)) - sum(abs(outline.signed_area(o)) for o in inner)
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
    for line in lines:
        walked = _walked(line, field)
        placed = _with(placed, walked, CROWDED * field(walked), itself=True)
    for rim in rims:
        walked = _walked(np.vstack((rim, rim[:1])), field)
        walked = (
            walked[~np.any([near(walked, line, ON_LINE) for line in lines], axis=0)]
            if lines
            else walked
        )
        placed = _with(placed, walked, CROWDED * field(walked), itself=True)
    finest = float(field(placed).min())
    for grid, asked in _grids(outer, field, finest):
        kept = inside(grid, outer, inner)
        placed = _with(placed, grid[kept], TOO_NEAR * asked[kept], itself=False)
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
    """Which points (n, 2), mm, lie in the plate: within its outline and in no opening, (n,)."""
    found = Flat(outer, 0.1).inside(points)
    for loop in inner:
        found &= ~Flat(loop, 0.1).inside(points)
    return found


def near(points: Array, line: Array, within: float) -> NDArray[np.bool_]:
    """Which points (n, 2) lie less than ``within`` mm from a polyline (k, 2), its ends rounded,
    (n,).

    >>> near(np.array([(5.0, 1.0), (5.0, 3.0)]), np.array([(0.0, 0.0), (10.0, 0.0)]), 2.0).tolist()
    [True, False]
    """
    found = np.zeros(len(points), dtype=bool)
    low, high = line.min(axis=0) - within, line.max(axis=0) + within
    maybe = np.flatnonzero(((points >= low) & (points <= high)).all(axis=1))
    if not len(maybe):
        return found
    along = np.diff(line, axis=0)
    square = np.maximum((along**2).sum(axis=1), 1e-12)
    dx, dy = (points[maybe, way, None] - line[:-1, way] for way in range(2))
    share = np.clip((dx * along[:, 0] + dy * along[:, 1]) / square, 0, 1)
    away = np.hypot(dx - share * along[:, 0], dy - share * along[:, 1])
    found[maybe] = (away < within).any(axis=1)
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
    line = line[np.append(True, np.hypot(*np.diff(line, axis=0).T) > 0)]
    ends = [0, *(1 + np.flatnonzero(_turns(line) > CORNER)), len(line) - 1]
    found = [line[:1]]
    for first, last in itertools.pairwise(ends):
        found.append(_run(line[first : last + 1], field))
    return np.vstack(found)


def _turns(line: Array) -> Array:
    """By how much a polyline turns at each of its inner points, rad."""
    along = np.diff(line, axis=0)
    way = np.arctan2(along[:, 1], along[:, 0])
    return np.asarray(np.abs((np.diff(way) + np.pi) % (2 * np.pi) - np.pi))


def _run(line: Array, field: Size) -> Array:
    """Points along a polyline without corners, its beginning left out."""
    at = np.append(0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T)))
    fine = np.linspace(0.0, at[-1], max(9, math.ceil(at[-1])))
    asked = field(_along(line, at, fine))
    passed = np.append(0.0, np.cumsum(np.diff(fine) * (1 / asked[1:] + 1 / asked[:-1]) / 2))
    many = max(1, round(passed[-1]), math.ceil(_turns(line).sum() / ARC))
    return _along(line, at, np.interp(np.arange(1, many + 1) / many * passed[-1], passed, fine))


def _along(line: Array, at: Array, where: Array) -> Array:
    """Points of a polyline at lengths ``where``; ``at``: the length at each of its own."""
    return np.column_stack([np.interp(where, at, way) for way in line.T])


def _with(placed: Array, more: Array, room: Array, *, itself: bool) -> Array:
    """Points and those of ``more`` that stand farther from them than ``room``; ``itself``: from
    each other too.
    """
    from scipy.spatial import cKDTree

    if len(placed) and len(more):
        clear = cKDTree(placed).query(more)[0] > room
        more, room = more[clear], room[clear]
    if itself and len(more):
        dropped: set[int] = set()
        for first, second in sorted(cKDTree(more).query_pairs(float(room.max()))):
            close = math.dist(more[first], more[second]) <= room[second]
            if close and first not in dropped:
                dropped.add(second)
        more = np.delete(more, sorted(dropped), axis=0)
    return np.vstack((placed, more))


def _grids(outer: Loop, field: Size, finest: float) -> list[tuple[Array, Array]]:
    """Points of triangular grids, each where the field asks for about its size, and what it asks
    there.
    """
    x0, y0, x1, y1 = outline.bbox(outer)
    corner = np.array((x0, y0))
    many = np.ceil((np.array((x1, y1)) - corner) / CELL).astype(int)
    cells = np.stack(np.meshgrid(*(np.arange(n) for n in many), indexing="ij"), axis=-1)
    middles = corner + (cells.reshape(-1, 2) + 0.5) * CELL
    least_of = (field(middles) - STEEPEST * CELL * math.sqrt(0.5)).reshape(many)
    found, size = [], finest
    while size < max(x1 - x0, y1 - y0):
        rows = [
            np.column_stack((across, np.full(len(across), y)))
            for i, y in enumerate(np.arange(y0, y1, size * math.sqrt(3) / 2))
            for across in [np.arange(x0 + (size / 2 if i % 2 else 0.0), x1, size)]
        ]
        grid = np.vstack(rows)
        cell = np.minimum(((grid - corner) / CELL).astype(int), many - 1)
        grid = grid[least_of[cell[:, 0], cell[:, 1]] < size * math.sqrt(STEP)]
        asked = field(grid)
        least = 0.0 if size == finest else size / math.sqrt(STEP)
        fit = (asked >= least) & (asked < size * math.sqrt(STEP))
        found.append((grid[fit], asked[fit]))
        size *= STEP
    return found


def straightened(line: Array) -> Array:
    """A polyline (n, 2), mm, without the points in the middle of what is straight; its ends stay.

    >>> straightened(np.array([(0.0, 0.0), (5.0, 0.0), (9.0, 0.0), (9.0, 4.0)])).tolist()
    [[0.0, 0.0], [9.0, 0.0], [9.0, 4.0]]
    """
    ways = np.diff(line, axis=0)
    bends = np.abs(ways[:-1, 0] * ways[1:, 1] - ways[:-1, 1] * ways[1:, 0]) > STRAIGHT
    return line[np.concatenate(((True,), bends, (True,)))]


def dense(line: Array, step: float) -> Array:
    """Points (n, 2) of a polyline (k, 2), its own among them, at most ``step`` mm apart.

    >>> dense(np.array([(0.0, 0.0), (3.0, 0.0)]), 2.0).tolist()
    [[0.0, 0.0], [1.5, 0.0], [3.0, 0.0]]
    """
    found = [line[:1]]
    for start, end in itertools.pairwise(line):
        many = max(1, math.ceil(math.dist(start, end) / step))
        found.append(start + (end - start) * (np.arange(1, many + 1) / many)[:, None])
    return np.vstack(found)


def clipped(line: Array, outer: Loop, inner: Sequence[Loop]) -> list[Array]:
    """The pieces of a polyline (n, 2), mm, that lie in a plate, to ``CLIPPED`` at its rim: each
    again without points in the middle of what is straight. None where it does not touch the plate.
    """
    fine = dense(line, CLIPPED)
    within = inside(fine, outer, inner)
    ends = np.flatnonzero(np.diff(within)) + 1
    pieces = np.split(fine, ends)
    return [
        straightened(piece)
        for piece, first in zip(pieces, [0, *ends], strict=True)
        if within[first] and len(piece) > 1
    ]

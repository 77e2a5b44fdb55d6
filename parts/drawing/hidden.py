"""Hidden lines: which pieces of the edges of solids are in sight from one side, exactly for flat
facets.

Every edge is held against every triangle in front of it, each of which hides one stretch of it
(``facing``). Lengths in mm, seen along parallels.
"""

from __future__ import annotations

import itertools
from collections.abc import Container, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array, Integers, Mask
from ..geometry.facets import Facets, joined
from ..model.vectors import Vec2
from .facing import Facing, Hidden
from .picture import View

SHARP = 0.978
"""Cosine below which two surfaces that meet have an edge between them: 12 deg, more than half of
what a chord turns."""
EDGE_ON = 1e-3
"""Cosine to the eye below which a facet hides nothing."""
SHORT = 0.5
"""mm of line not told apart from nothing."""
SAME = 0.05
"""mm within which two lines are one."""
TINY = 1e-7
"""mm that are nothing."""
SPAN = 1e6
"""mm no view is long: keeps intervals of numbered lines apart."""


class LinePiece(NamedTuple):
    """A polyline of one solid, by its number, as seen: across, up; and whether in sight."""

    solid: int
    points: tuple[Vec2, ...]
    seen: bool


class Solids:
    """Solids to be looked at.

    ``facets``: one a solid; ``clear``: numbers of solids that hide nothing of the first ``own``
    ones, though they are hidden by them: what stands on another sheet.
    """

    def __init__(self, facets: Sequence[Facets], own: int = 0, clear: Container[int] = ()) -> None:
        self.whole, self.owner = joined(facets)
        self.own = own
        self.clear = np.array([index in clear for index in range(len(facets))], dtype=bool)
        one, two, three = (
            self.whole.corners[self.whole.triangles[:, corner]] for corner in range(3)
        )
        normal = np.cross(two - one, three - one)
        long = np.linalg.norm(normal, axis=1)
        self.normals: Array = normal / np.maximum(long, 1e-12)[:, None]
        self.pairs, self.sides, self.one, self.two = self._edges()
        self._seen_from: dict[bytes, tuple[Facing, Integers]] = {}

    def _edges(self) -> tuple[Integers, Integers, Integers, Integers]:
        """Edges by two corners (e, 2); the edge of each side of each triangle (m, 3); the two
        triangles of each edge, the same one twice where it has but one.
        """
        corners = self.whole.triangles
        ends = np.sort(np.stack((corners, np.roll(corners, -1, axis=1)), axis=2), axis=2).reshape(
            -1, 2
        )
        count = len(self.whole.corners) + 1
        _, first, number = np.unique(
            ends[:, 0] * count + ends[:, 1], return_index=True, return_inverse=True
        )
        number = number.reshape(-1)
        order = np.argsort(number, kind="stable")
        starts = np.searchsorted(number[order], np.arange(len(first)))
        stops = np.append(starts[1:], len(order)) - 1
        return ends[first], number.reshape(-1, 3), order[starts] // 3, order[stops] // 3

    def look(
        self, view: View, own: int | None = None, only: Sequence[int] | None = None
    ) -> list[LinePiece]:
        """Every edge and outline of the solids from one side, as polylines.

        ``own``: how many of the solids, from the first, are given with their hidden lines; None for
        all. ``only``: numbers of the solids that are given at all; None for every one.
        """
        return _pieces(*self._cut(view, only), own)

    def hides(self, view: View, points: Array, enough: int | None = None) -> Mask:
        """Which points are hidden from one side.

        ``points``: (n, 3), mm, truck axes; ``enough``: so many hidden ones that no more need be
        looked for, None for all. Gives (n,), True behind a face nearer to the eye.
        """
        if not len(points):
            return np.zeros(0, dtype=bool)
        facing, owner = self._facing(view)
        kept = ~self.clear[owner] | (self.own == 0)
        return facing.covered(points @ _turn(view), kept, enough)

    def _front(self, view: View) -> Array:
        front: Array = self.normals @ np.asarray(view.eye)
        return front

    def _cut(self, view: View, only: Sequence[int] | None) -> tuple[Array, Integers, Hidden]:
        """Edges to draw, ends as seen (e, 2, 3), with solid, and hidden stretches of each."""
        front = self._front(view) > EDGE_ON
        surface = self.whole.surfaces
        turned = np.einsum("ij,ij->i", self.normals[self.one], self.normals[self.two]) < SHARP
        single = self.one == self.two
        sharp = (surface[self.one] != surface[self.two]) & turned
        ends = self.whole.ends
        outline = (front[self.one] != front[self.two]) & ~(ends[self.one] & ends[self.two])
        drawn = single | sharp | outline
        if only is not None:
            drawn &= np.isin(self.owner[self.one], only)
        lines = (self.whole.corners @ _turn(view))[self.pairs[drawn]]
        long = np.linalg.norm(lines[:, 1, :2] - lines[:, 0, :2], axis=1) > TINY
        lines, solid = lines[long], self.owner[self.one[drawn][long]]
        facing, owner = self._facing(view)
        hidden = facing.hidden(lines[:, 0], lines[:, 1], solid < self.own, self.clear[owner])
        return lines, solid, hidden

    def _facing(self, view: View) -> tuple[Facing, Integers]:
        """The triangles that face a view, and whose each is; worked once a view."""
        key = b"".join(np.asarray(way, dtype=float).tobytes() for way in view)
        if key not in self._seen_from:
            front = self._front(view) > EDGE_ON
            kept = np.flatnonzero(front)
            corners = (self.whole.corners @ _turn(view))[self.whole.triangles[kept]]
            one, two = self.one[self.sides[kept]], self.two[self.sides[kept]]
            facing = Facing(corners, front[one] & front[two] & (one != two))
            self._seen_from[key] = facing, self.owner[kept]
        return self._seen_from[key]


def _turn(view: View) -> Array:
    """Columns across, up and towards the eye."""
    return np.column_stack((view.right, view.up, view.eye))


def _joined(line: Integers, low: Array, high: Array, gap: Array) -> tuple[Integers, Array, Array]:
    """Intervals on numbered lines, those that touch made one; ``gap``: what still touches."""
    if not len(line):
        return line, low, high
    order = np.lexsort((low, line))
    line, low, high, gap = line[order], low[order], high[order], gap[order]
    base = SPAN * line
    reach = np.maximum.accumulate(high + base)
    fresh = np.ones(len(line), dtype=bool)
    fresh[1:] = (line[1:] != line[:-1]) | (low[1:] + base[1:] > reach[:-1] + gap[1:])
    starts = np.flatnonzero(fresh)
    stops = np.append(starts[1:], len(line)) - 1
    return line[starts], low[starts], (reach - base)[stops]


def _pieces(ends: Array, solid: Integers, hidden: Hidden, own: int | None) -> list[LinePiece]:
    """Lines in sight and hidden, chained; a hidden one that lies on one in sight left out."""
    if not len(ends):
        return []
    long = np.linalg.norm(ends[:, 1, :2] - ends[:, 0, :2], axis=1)
    least = np.minimum(0.5, SHORT / long)
    edge, low, high = _joined(*hidden, least[hidden.segment])
    first = np.ones(len(edge), dtype=bool)
    first[1:] = edge[1:] != edge[:-1]
    before = np.where(first, 0.0, np.roll(high, 1))
    last = np.roll(first, -1)
    whole = np.setdiff1d(np.arange(len(ends)), edge)
    rows = np.concatenate((edge, edge[last], whole))
    starts = np.concatenate((before, high[last], np.zeros(len(whole))))
    stops = np.concatenate((low, np.ones(int(last.sum())), np.ones(len(whole))))
    kept = stops - starts > np.minimum(least[rows], 0.999)
    seen = _cut_out(ends, rows[kept], starts[kept], stops[kept])
    mine = solid[edge] < (len(solid) + 1 if own is None else own)
    found = _chained(seen, solid[rows[kept]], True)
    if mine.any():
        left, of = _less(_cut_out(ends, edge[mine], low[mine], high[mine]), seen)
        found += _chained(left, solid[edge[mine]][of], False)
    return found


def _cut_out(ends: Array, edge: Integers, start: Array, stop: Array) -> Array:
    """Stretches of edges by their shares, as seen (n, 2, 2)."""
    one, two = ends[edge, 0, :2], ends[edge, 1, :2]
    return np.stack((one + start[:, None] * (two - one), one + stop[:, None] * (two - one)), axis=1)


def _less(hid: Array, seen: Array) -> tuple[Array, Integers]:
    """Hidden stretches that lie on no other line, each once (ISO 128: order of lines), and the
    number of one each is of.
    """
    every, count = np.concatenate((hid, seen)), len(hid)
    way = every[:, 1] - every[:, 0]
    way /= np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]
    flip = (way[:, 0] < -TINY) | ((np.abs(way[:, 0]) <= TINY) & (way[:, 1] < 0))
    way[flip] *= -1.0
    off = way[:, 0] * every[:, 0, 1] - way[:, 1] * every[:, 0, 0]
    keys = np.round(np.column_stack((way * 500, off / SAME))).astype(np.int64)
    _, first, line = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    line = line.reshape(-1)
    alone = np.bincount(line, minlength=len(first))[line[:count]] == 1
    single, rest = np.flatnonzero(alone), np.flatnonzero(~alone)
    if not len(rest):
        return hid[single], single
    along = np.einsum("nj,nkj->nk", way[first[line]], every)
    low, high, none = along.min(axis=1), along.max(axis=1), np.zeros(len(line))
    over = count + np.flatnonzero(np.isin(line[count:], line[rest]))
    dark, light = (_joined(line[kept], low[kept], high[kept], none[kept]) for kept in (rest, over))
    where, start, stop = _minus(dark, light)
    towards, aside = way[first[where]], off[first[where]]
    ends = np.stack(
        [
            np.column_stack(
                (
                    towards[:, 0] * end - towards[:, 1] * aside,
                    towards[:, 1] * end + towards[:, 0] * aside,
                )
            )
            for end in (start, stop)
        ],
        axis=1,
    )
    order = np.argsort(line[rest], kind="stable")
    of = rest[order[np.searchsorted(line[rest][order], where)]]
    return np.concatenate((hid[single], ends)), np.concatenate((single, of))


Intervals = tuple[Integers, Array, Array]


def _minus(dark: Intervals, light: Intervals) -> Intervals:
    """Intervals on numbered lines without others; each set without overlaps of its own."""
    spans = [(SPAN * line + low, SPAN * line + high) for line, low, high in (dark, light)]
    marks = np.unique(np.concatenate([ends for span in spans for ends in span]))
    middle = (marks[1:] + marks[:-1]) / 2
    inside = []
    for low, high in spans:
        order = np.argsort(low)
        at = np.searchsorted(low[order], middle) - 1
        inside.append(
            (at >= 0) & (middle < high[order][np.maximum(at, 0)]) if len(low) else middle < -np.inf
        )
    kept = inside[0] & ~inside[1]
    kept &= marks[1:] - marks[:-1] > SAME
    line = np.floor((middle[kept] + SPAN / 2) / SPAN).astype(np.int64)
    return line, marks[:-1][kept] - SPAN * line, marks[1:][kept] - SPAN * line


def _chained(rows: Array, solid: Integers, seen: bool) -> list[LinePiece]:
    """Stretches that follow one another as polylines, so that a dashed line runs on over its
    chords.
    """
    import shapely

    rows = np.round(rows, 2)
    kept = np.any(rows[:, 0] != rows[:, 1], axis=1)
    rows, solid = rows[kept], solid[kept]
    starts, ends = rows[:, 0], rows[:, 1]
    turned = (starts[:, 0] > ends[:, 0]) | (
        (starts[:, 0] == ends[:, 0]) & (starts[:, 1] > ends[:, 1])
    )
    rows[turned] = rows[turned][:, ::-1]
    every = np.column_stack((solid, rows.reshape(-1, 4)))
    every = every[np.lexsort(every.T[::-1])]
    fresh = np.ones(len(every), dtype=bool)
    fresh[1:] = np.any(every[1:] != every[:-1], axis=1)
    every = every[fresh]
    lines = shapely.linestrings(every[:, 1:].reshape(-1, 2, 2))
    numbers, group = np.unique(every[:, 0].astype(np.int64), return_inverse=True)
    merged = shapely.line_merge(shapely.multilinestrings(lines, indices=group))
    chains, of = shapely.get_parts(shapely.simplify(merged, 0.005), return_index=True)
    points = list(map(tuple, shapely.get_coordinates(chains).tolist()))
    stops = np.cumsum(shapely.get_num_coordinates(chains)).tolist()
    return [
        LinePiece(number, tuple(points[start:stop]), seen)
        for number, start, stop in zip(numbers[of].tolist(), [0, *stops], stops, strict=False)
    ]


def bounds(pieces: Sequence[LinePiece]) -> tuple[Vec2, Vec2]:
    """Lower left and upper right of lines."""
    every = np.array(list(itertools.chain.from_iterable(piece.points for piece in pieces)))
    low, high = every.min(axis=0), every.max(axis=0)
    return (float(low[0]), float(low[1])), (float(high[0]), float(high[1]))

"""Facets that face the eye, and what they hide: of segments which stretches, of points which.

Within a triangle and behind it are four linear conditions along a segment, so that what a triangle
hides is one interval. As seen: across, up and towards the eye, mm.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...layout.arrays import Array, Index, Mask

if TYPE_CHECKING:
    from shapely import STRtree

BEHIND = 0.25
"""mm a point must lie behind a facet to be hidden by it: a chord stands off its arc by less."""
LINE = 1e-4
"""mm a facet reaches less far than its outline, so that what lies on its outline is in sight."""
SIZES = (64, 256, 1024, 4096)
"""Triangles, the largest first, that points are held against before the rest."""
SOME = 1 << 15
"""Pairs of a segment and a triangle held against each other at a time: as many as stay in a
processor's nearest memory."""


class Hidden(NamedTuple):
    """What is hidden of numbered segments, as shares of each.

    Attributes
    ----------
    segment : array (n,)
        Its number; one may stand here any number of times.
    low, high : array (n,)
        From where to where.
    """

    segment: Index
    low: Array
    high: Array


class _Bound(NamedTuple):
    """A line each triangle lies to the left of: ``off`` plus ``along`` times what is left of a
    point of it; each (m,).
    """

    along_x: Array
    along_y: Array
    at_x: Array
    at_y: Array
    off: Array

    def past(self, x: Array, y: Array, which: Index) -> Array:
        """How far points (n,) lie within the bound of the triangle each is held against."""
        left: Array = self.along_x[which] * (y - self.at_y[which])
        left -= self.along_y[which] * (x - self.at_x[which])
        left -= self.off[which]
        return left


class _Plane(NamedTuple):
    """The plane of each triangle: how its depth grows across and up from a point of it; (m,)."""

    x: Array
    y: Array
    z: Array
    slope_x: Array
    slope_y: Array

    def past(self, points: tuple[Array, Array, Array], which: Index) -> Array:
        """How far points (n,) lie behind the plane of the triangle each is held against."""
        deep: Array = self.z[which] + self.slope_x[which] * (points[0] - self.x[which])
        deep += self.slope_y[which] * (points[1] - self.y[which])
        deep -= points[2]
        deep -= BEHIND
        return deep


class Facing:
    """Triangles that face the eye.

    ``corners``: (m, 3, 3) as seen; ``inner``: (m, 3) whether on the other side of an edge another
    of them goes on.
    """

    def __init__(self, corners: Array, inner: Mask) -> None:
        self.corners, self.inner = corners, inner
        one, two, three = (corners[:, index] for index in range(3))
        self.low: Array = np.minimum(np.minimum(one, two), three)
        self.high: Array = np.maximum(np.maximum(one, two), three)

    @cached_property
    def _tree(self) -> STRtree:
        import shapely

        return shapely.STRtree(_boxes(self.low, self.high))

    @cached_property
    def _bounds(self) -> list[_Bound]:
        """Of every triangle its three edges, the one that cuts most off the box round it first:
        what is held against a triangle is in that box already.
        """
        ways = np.roll(self.corners[:, :, :2], -1, axis=1) - self.corners[:, :, :2]
        first = np.argmax(np.abs(ways[:, :, 0] * ways[:, :, 1]), axis=1)
        rows = np.arange(len(ways))
        slack = np.where(self.inner, -LINE, LINE)
        found = []
        for index in range(3):
            edge = (first + index) % 3
            way, at = ways[rows, edge], self.corners[rows, edge]
            x, y = way[:, 0], way[:, 1]
            long = np.maximum(np.sqrt(x * x + y * y), 1e-12)
            found.append(
                _Bound(
                    along_x=x / long,
                    along_y=y / long,
                    at_x=np.ascontiguousarray(at[:, 0]),
                    at_y=np.ascontiguousarray(at[:, 1]),
                    off=slack[rows, edge],
                )
            )
        return found

    @cached_property
    def _plane(self) -> _Plane:
        at = np.ascontiguousarray(self.corners[:, 0].T)
        one, two = self.corners[:, 1] - self.corners[:, 0], self.corners[:, 2] - self.corners[:, 0]
        normal = np.cross(one, two)
        slope_x, slope_y = -normal[:, 0] / normal[:, 2], -normal[:, 1] / normal[:, 2]
        return _Plane(at[0], at[1], at[2], slope_x, slope_y)

    def _near(self, start: Array, end: Array) -> tuple[Index, Index]:
        """Segments (n, 3) to (n, 3) and the triangles whose boxes they come into, by pairs."""
        least, most = np.minimum(start, end), np.maximum(start, end)
        segment, triangle = self._tree.query(_boxes(least, most))
        near = self.high[:, 2][triangle] > (least[:, 2] + BEHIND)[segment]
        return segment[near], triangle[near]

    def hidden(self, start: Array, end: Array, spared: Mask, clear: Mask) -> Hidden:
        """What is hidden of segments (n, 3) to (n, 3).

        ``spared``: (n,) segments of which triangles that are ``clear``, (m,), hide nothing.
        """
        segment, triangle = self._near(start, end)
        if clear.any():
            kept = ~(clear[triangle] & spared[segment])
            segment, triangle = segment[kept], triangle[kept]
        ends = tuple(np.ascontiguousarray(each.T) for each in (start, end))
        found = [
            self._stretches(ends, segment[at : at + SOME], triangle[at : at + SOME])
            for at in range(0, len(segment), SOME)
        ]
        return Hidden(
            np.concatenate([np.zeros(0, dtype=np.intp), *(each.segment for each in found)]),
            np.concatenate([np.zeros(0), *(each.low for each in found)]),
            np.concatenate([np.zeros(0), *(each.high for each in found)]),
        )

    def _stretches(self, ends: tuple[Array, ...], segment: Index, triangle: Index) -> Hidden:
        """What single triangles hide of segments, both given by pairs."""
        low, high = np.zeros(len(segment)), np.ones(len(segment))
        for number in range(4):
            before, after = (self._past(number, each, segment, triangle) for each in ends)
            alive = np.flatnonzero((np.maximum(before, after) >= 0) & (high > low))
            segment, triangle = segment[alive], triangle[alive]
            low, high, before, after = (each[alive] for each in (low, high, before, after))
            enters, leaves = before < 0, after < 0
            with np.errstate(divide="ignore", invalid="ignore"):
                at = before / (before - after)
            low = np.where(enters, np.maximum(low, at), low)
            high = np.where(leaves, np.minimum(high, at), high)
        hit = high > low
        return Hidden(segment[hit], low[hit], high[hit])

    def _past(self, number: int, points: Array, which: Index, triangle: Index) -> Array:
        """One of four values at points of pairs, all at least nought where its triangle hides it;
        what most pairs fail first.
        """
        x, y = points[0][which], points[1][which]
        if number == 1:
            return self._plane.past((x, y, points[2][which]), triangle)
        return self._bounds[max(number - 1, 0)].past(x, y, triangle)

    @cached_property
    def _by_size(self) -> Index:
        """The largest first."""
        wide, tall = (self.high - self.low)[:, :2].T
        return np.argsort(-wide * tall, kind="stable")

    def covered(self, points: Array, kept: Mask, enough: int | None = None) -> Mask:
        """Which points (n, 3) lie behind any triangle of those ``kept``, (m,). Gives (n,); no
        further are looked for once ``enough`` are found.

        Most lie behind one of the largest triangles: the others are asked of what those leave.
        """
        found = np.zeros(len(points), dtype=bool)
        every = self._by_size[kept[self._by_size]]
        for some in np.split(every, [size for size in SIZES if size < len(every)]):
            left = np.flatnonzero(~found)
            if enough is not None and len(points) - len(left) >= enough:
                break
            low, high = self.low[some], self.high[some]
            x, y, z = points[left].T
            over = (x >= low[:, :1]) & (x <= high[:, :1]) & (y >= low[:, 1:2]) & (y <= high[:, 1:2])
            triangle, which = np.nonzero(over & (high[:, 2:] > z + BEHIND))
            found[self._behind(points, left[which], some[triangle])] = True
        return found

    def _behind(self, points: Array, which: Index, triangle: Index) -> Index:
        """Numbers of points that lie behind a triangle, both given by pairs."""
        across = np.ascontiguousarray(points.T)
        for number in range(4):
            past = self._past(number, across, which, triangle) >= 0
            which, triangle = which[past], triangle[past]
        return which


def _boxes(low: Array, high: Array) -> NDArray[np.object_]:
    """What a tree knows boxes by, (n,): a line from corner to corner."""
    import shapely

    found: NDArray[np.object_] = shapely.linestrings(np.stack((low[:, :2], high[:, :2]), axis=1))
    return found

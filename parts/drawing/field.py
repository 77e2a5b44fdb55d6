"""Room on a sheet: which cells of a fine grid a line or a text stands in, so that what is placed
next falls on neither.

Coordinates in points. A cell counts as taken where anything passes it, and boxes are asked with a
cell of clearance round them, so that the grid never finds room where there is none.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...layout.arrays import Array, Mask
from ..model.vectors import Vec2

CELL = 2.0
"""Points a side of a cell."""
Bits = NDArray[np.uint8]


class Box(NamedTuple):
    """A rectangle on the sheet, points."""

    left: float
    low: float
    right: float
    high: float

    def grown(self, by: float) -> Box:
        """With as much more on every side."""
        return Box(self.left - by, self.low - by, self.right + by, self.high + by)


TAKEN, SOLID, LINES, STEEL = 1, 2, 4, 8
"""What stands in a cell, as bits: anything a text may not stand on; texts and leaders, which no
leader may cross; any other line; the part's steel.
"""


class DrawingArea:
    """The room of one drawing area."""

    def __init__(self, area: Box) -> None:
        self.area = area
        self.shape = (
            int((area.right - area.left) / CELL) + 1,
            int((area.high - area.low) / CELL) + 1,
        )
        self.bits: Bits = np.zeros(self.shape, dtype=np.uint8)

    def cells(self, points: Array) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Cells of points.

        ``points``: (..., 2), points of the sheet. Gives column and row, each (...), the nearest
        within the area for what lies outside.
        """
        columns = ((points[..., 0] - self.area.left) / CELL).astype(np.int64)
        rows = ((points[..., 1] - self.area.low) / CELL).astype(np.int64)
        return (
            np.clip(columns, 0, self.shape[0] - 1),
            np.clip(rows, 0, self.shape[1] - 1),
        )

    def line(self, points: Sequence[Vec2], leader: bool = False) -> None:
        """Takes the room of a polyline.

        ``points``: points of the sheet, nothing is taken for fewer than two; ``leader``: no other
        leader may cross it.
        """
        every = np.asarray(points, dtype=float)
        if len(every) > 1:
            self._take(every[:-1], every[1:], TAKEN | (SOLID if leader else LINES))

    def lines(self, starts: Array, ends: Array) -> None:
        """Takes the room of many segments.

        ``starts``, ``ends``: (n, 2) each, points of the sheet.
        """
        self._take(starts, ends, TAKEN | LINES)

    def _take(self, starts: Array, ends: Array, what: int) -> None:
        """Marks the cells along segments, samples of each a point apart or closer."""
        count = np.hypot(*(ends - starts).T).astype(np.int64) + 2
        which = np.repeat(np.arange(len(count)), count)
        step = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
        share = (step / (count - 1)[which])[:, None]
        points = starts[which] + share * (ends - starts)[which]
        self.bits[self.cells(points)] |= what

    def box(self, box: Box) -> None:
        """Takes the room of a text."""
        corners = np.array(((box.left, box.low), (box.right, box.high)))
        columns, rows = self.cells(corners)
        at = np.s_[columns[0] : columns[1] + 1, rows[0] : rows[1] + 1]
        self.bits[at] |= TAKEN | SOLID

    def fill(self, inside: Mask) -> None:
        """Says which cells lie in the part's steel."""
        self.bits[inside] |= STEEL

    def shade(self, inside: Mask) -> None:
        """Says in which cells no lettering may stand, though leaders may cross them."""
        self.bits[inside] |= TAKEN

    def middles(self) -> tuple[Array, Array]:
        """x and y of every cell's middle, each of the field's shape."""
        columns = self.area.left + CELL * (np.arange(self.shape[0]) + 0.5)
        rows = self.area.low + CELL * (np.arange(self.shape[1]) + 0.5)
        x, y = np.meshgrid(columns, rows, indexing="ij")
        return x, y

    def free(self, low: Array, high: Array) -> Mask:
        """Whether boxes lie in the area on nothing.

        ``low``, ``high``: lower-left and upper-right corners, (n, 2) each, points of the sheet.
        Gives (n,).
        """
        within: Mask = (
            (low[:, 0] >= self.area.left)
            & (low[:, 1] >= self.area.low)
            & (high[:, 0] <= self.area.right)
            & (high[:, 1] <= self.area.high)
        )
        asked = np.flatnonzero(within)
        if not len(asked):
            return within
        (left, bottom), (right, top) = (
            self.cells(low[asked] - CELL),
            self.cells(high[asked] + CELL),
        )
        first = int(left.min()), int(bottom.min())
        sums = self._sums(first, (int(right.max()) + 1, int(top.max()) + 1))
        left, right = left - first[0], right - first[0] + 1
        bottom, top = bottom - first[1], top - first[1] + 1
        taken = sums[right, top] - sums[left, top] - sums[right, bottom] + sums[left, bottom]
        within[asked] = taken == 0
        return within

    def _sums(self, first: tuple[int, int], last: tuple[int, int]) -> NDArray[np.int32]:
        """How many cells are taken from the ``first`` up to each one before the ``last``, one row
        and column of noughts before them.
        """
        bits = self.bits[first[0] : last[0], first[1] : last[1]] & TAKEN
        sums = np.zeros((bits.shape[0] + 1, bits.shape[1] + 1), dtype=np.int32)
        np.cumsum(bits, axis=0, out=sums[1:, 1:], dtype=np.int32)
        np.cumsum(sums[1:, 1:], axis=1, out=sums[1:, 1:])
        return sums

    def along(self, starts: Array, ends: Array, skip: float) -> tuple[Array, Array, Array]:
        """How many samples along segments (n, 2) to (n, 2), each cell or closer, fall on texts or
        leaders, on other lines, on steel; the first ``skip`` points of each left out.
        """
        span = ends - starts
        reach = np.hypot(span[:, 0], span[:, 1])
        steps = max(2, int(reach.max(initial=0.0) / CELL * 1.3))
        share = np.linspace(0.0, 1.0, steps)
        bits = self.bits[self.cells(starts[:, None, :] + span[:, None, :] * share[None, :, None])]
        bits[share[None, :] * reach[:, None] <= skip] = 0
        solid, lines, steel = (
            np.count_nonzero(bits & mask, axis=1) for mask in (SOLID, LINES, STEEL)
        )
        return solid, lines, steel


def extent(points: Iterable[Vec2]) -> Box:
    """The box round points."""
    every = np.asarray(list(points), dtype=float)
    (left, low), (right, high) = every.min(axis=0), every.max(axis=0)
    return Box(float(left), float(low), float(right), float(high))

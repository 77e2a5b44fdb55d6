"""Room on a sheet: which cells of a fine grid a line or a text stands in, so that what is placed
next falls on neither.

Coordinates in points. A cell counts as taken where anything passes it, and boxes are asked with a
cell of clearance round them, so that the grid never finds room where there is none.
"""

from __future__ import annotations

import itertools
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
        self._sums: NDArray[np.int32] | None = None

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
        pieces = [
            start
            + (end - start) * np.linspace(0.0, 1.0, int(np.hypot(*(end - start))) + 2)[:, None]
            for start, end in itertools.pairwise(np.asarray(points, dtype=float))
        ]
        if not pieces:
            return
        self.bits[self.cells(np.vstack(pieces))] |= TAKEN | (SOLID if leader else LINES)
        self._sums = None

    def lines(self, starts: Array, ends: Array) -> None:
        """Takes the room of many segments.

        ``starts``, ``ends``: (n, 2) each, points of the sheet.
        """
        count = np.hypot(*(ends - starts).T).astype(np.int64) + 2
        which = np.repeat(np.arange(len(count)), count)
        step = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
        share = (step / (count - 1)[which])[:, None]
        points = starts[which] + share * (ends - starts)[which]
        self.bits[self.cells(points)] |= TAKEN | LINES
        self._sums = None

    def box(self, box: Box) -> None:
        """Takes the room of a text."""
        corners = np.array(((box.left, box.low), (box.right, box.high)))
        columns, rows = self.cells(corners)
        at = np.s_[columns[0] : columns[1] + 1, rows[0] : rows[1] + 1]
        self.bits[at] |= TAKEN | SOLID
        self._sums = None

    def fill(self, inside: Mask) -> None:
        """Says which cells lie in the part's steel."""
        self.bits[inside] |= STEEL

    def shade(self, inside: Mask) -> None:
        """Says in which cells no lettering may stand, though leaders may cross them."""
        self.bits[inside] |= TAKEN
        self._sums = None

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
        if self._sums is None:
            sums = np.zeros((self.shape[0] + 1, self.shape[1] + 1), dtype=np.int32)
            np.cumsum(self.bits & TAKEN, axis=0, out=sums[1:, 1:], dtype=np.int32)
            np.cumsum(sums[1:, 1:], axis=1, out=sums[1:, 1:])
            self._sums = sums
        within: Mask = (
            (low[:, 0] >= self.area.left)
            & (low[:, 1] >= self.area.low)
            & (high[:, 0] <= self.area.right)
            & (high[:, 1] <= self.area.high)
        )
        (left, bottom), (right, top) = self.cells(low - CELL), self.cells(high + CELL)
        sums = self._sums
        inside = (
            sums[right + 1, top + 1]
            - sums[left, top + 1]
            - sums[right + 1, bottom]
            + sums[left, bottom]
        )
        found: Mask = within & (inside == 0)
        return found

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

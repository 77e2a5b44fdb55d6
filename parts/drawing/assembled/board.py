"""One attempt at an assembly sheet: its views placed side by side, and what is lettered round
them so that nothing stands on anything.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...model.vectors import Vec2
from ..canvas import POINTS
from ..dimensions import Ordinate, PlateAxis
from ..field import Box
from ..filling import Filling
from ..leaders import ArrowPlace, LeaderPlace, Wanted, find
from ..lettering import HEIGHT, Anchor, letters, width
from ..ordinates import Chosen, PaperSide, place
from ..placed import Measured, PlacedDimension, arrow
from ..symbols import Sized, draw_symbol
from .pictures import Picture

SIDE, BETWEEN = 78.0, 96.0
"""Points beside the views and between them, for leaders and lettering."""
OVER, UNDER, STACKED = 44.0, 78.0, 92.0
"""Points above and below the views, and between one and the next above it."""
BESIDE, AROUND = 60.0, 24.0
"""Points a picture keeps from the views beside it, and from the edge."""
RADIUS = 11.0
"""Radius of a balloon, points."""
WAYS = 16
"""Directions a leader may leave in."""
CAPTION = 8.0
"""Points under a view's ordinates to its words."""


class Position(NamedTuple):
    """An ordinate of a view: axis of the paper, mm, the point as seen, its side, words; and where
    on that axis, as seen, it is counted from.
    """

    axis: PlateAxis
    size: float
    at: Vec2
    side: PaperSide
    words: str
    nought: float


class Laid(NamedTuple):
    """Where each view's nought comes on the sheet, and the box each takes."""

    origins: tuple[Vec2, ...]
    boxes: tuple[Box, ...]
    free: tuple[Box, ...]


def lay(pictures: Sequence[Picture], scale: float, area: Box) -> Laid | None:
    """The views in columns and rows, aligned, at ``scale`` points a mm; None where they are too
    large. ``free``: the cells of the grid that hold no view.
    """
    columns = _spans(pictures, 0, scale)
    rows = _spans(pictures, 1, scale)
    wide = sum(high - low for low, high in columns.values()) + BETWEEN * (len(columns) - 1)
    tall = sum(high - low for low, high in rows.values()) + STACKED * (len(rows) - 1)
    room = (area.right - area.left - 2 * SIDE - wide, area.high - area.low - OVER - UNDER - tall)
    if min(room) < 0:
        return None
    starts = (
        _starts(columns, area.left + SIDE, BETWEEN, room[0]),
        _starts(rows, area.low + UNDER, STACKED, room[1]),
    )
    origins, boxes = [], []
    for each in pictures:
        column, row = each.direction.column, each.direction.row
        (u0, v0), (u1, v1) = each.low, each.high
        x, y = starts[0][column] - columns[column][0], starts[1][row] - rows[row][0]
        if each.direction.removed:
            x = (
                starts[0][column]
                + (columns[column][1] - columns[column][0] - scale * (u1 - u0)) / 2
                - scale * u0
            )
            y = starts[1][row] + (rows[row][1] - rows[row][0] - scale * (v1 - v0)) / 2 - scale * v0
        origins.append((x, y))
        boxes.append(Box(x + scale * u0, y + scale * v0, x + scale * u1, y + scale * v1))
    taken = {(picture.direction.column, picture.direction.row) for picture in pictures}
    free = [
        Box(
            starts[0][column],
            starts[1][row],
            starts[0][column] + columns[column][1] - columns[column][0],
            starts[1][row] + rows[row][1] - rows[row][0],
        )
        for column, row in itertools.product(columns, rows)
        if (column, row) not in taken
    ]
    return Laid(tuple(origins), tuple(boxes), tuple(free))


def left_free(area: Box, boxes: Sequence[Box]) -> list[Box]:
    """The rectangles of an area that no view, nor what is lettered beside one, comes into."""
    taken = [
        Box(box.left - BESIDE, box.low - UNDER, box.right + BESIDE, box.high + OVER)
        for box in boxes
    ]
    lefts = [area.left + AROUND, *(box.right for box in taken)]
    rights = [area.right - AROUND, *(box.left for box in taken)]
    lows = [area.low + AROUND, *(box.high for box in taken)]
    highs = [area.high - AROUND, *(box.low for box in taken)]
    found = [
        Box(left, low, right, high)
        for left, right, low, high in itertools.product(lefts, rights, lows, highs)
        if area.left < left < right < area.right and area.low < low < high < area.high
    ]
    return [
        each
        for each in found
        if not any(
            each.left < box.right
            and box.left < each.right
            and each.low < box.high
            and box.low < each.high
            for box in taken
        )
    ]


def _spans(pictures: Sequence[Picture], axis: int, scale: float) -> dict[int, Vec2]:
    """Least and greatest of the views of each column or row, points; of a removed one its length
    alone.
    """
    found: dict[int, Vec2] = {}
    for each in sorted(pictures, key=lambda each: each.direction.removed):
        index = (each.direction.column, each.direction.row)[axis]
        low, high = scale * each.low[axis], scale * each.high[axis]
        was = found.get(index, (low, high))
        if each.direction.removed:
            found[index] = (was[0], max(was[1], was[0] + high - low))
        else:
            found[index] = (min(was[0], low), max(was[1], high))
    return dict(sorted(found.items()))


def _starts(
    spans: Mapping[int, Vec2], first: float, between: float, room: float
) -> dict[int, float]:
    """Where each column or row begins, what room is left shared out."""
    share = room / (len(spans) + 1)
    found, at = {}, first + share
    for key, (low, high) in spans.items():
        found[key] = at
        at += high - low + between + share
    return found


class Board(Filling):
    """A sheet's drawing area with its views, being filled; ``aslant``: points a mm of the last
    view, where that is a picture to a scale of its own.
    """

    def __init__(
        self,
        pictures: Sequence[Picture],
        ratio: float,
        area: Box,
        laid: Laid,
        aslant: float | None = None,
    ) -> None:
        self.pictures, self.laid = pictures, laid
        self.scale = ratio * POINTS
        self.scales = [self.scale] * len(pictures)
        if aslant is not None:
            self.scales[-1] = aslant
        super().__init__(area)
        for index, each in enumerate(pictures):
            self.lines += [
                (tuple(self.to(index, point) for point in points), kind)
                for points, kind in each.lines
            ]
            for hull in each.hulls:
                self._shade([self.to(index, point) for point in hull])
        ends = [pair for points, _ in self.lines for pair in itertools.pairwise(points)]
        both = np.array(ends, dtype=float)
        self.field.lines(both[:, 0], both[:, 1])

    def to(self, view: int, point: Vec2) -> Vec2:
        """A point as seen in a view, on the sheet.

        ``view``: its number; ``point``: mm, right and up as seen. Gives points of the sheet.
        """
        (x, y), scale = self.laid.origins[view], self.scales[view]
        return x + scale * point[0], y + scale * point[1]

    def _shade(self, hull: Sequence[Vec2]) -> None:
        """No lettering within a hull."""
        import shapely

        points = np.array(hull)
        low, high = points.min(axis=0), points.max(axis=0)
        (left, right), (bottom, top) = self.field.cells(np.vstack((low, high)))
        if right <= left or top <= bottom:
            return
        x, y = self._middles()
        part = np.s_[left : right + 1, bottom : top + 1]
        inside = np.zeros(self.field.shape, dtype=bool)
        inside[part] = shapely.contains_xy(shapely.Polygon(points), x[part], y[part])
        self.field.shade(inside)

    def _middles(self) -> tuple[np.ndarray, np.ndarray]:
        if not hasattr(self, "_grid"):
            self._grid = self.field.middles()
        return self._grid

    def ordinates(self, view: int, rows: Sequence[Position]) -> None:
        """Ordinates of a view."""
        said: dict[Ordinate, str] = {}
        start: dict[tuple[str, Vec2], Vec2] = {}
        chosen = []
        for row in rows:
            ordinate = Ordinate(row.axis, row.size, (row.at,))
            said[ordinate] = row.words
            at = self.to(view, row.at)
            chosen.append(Chosen(ordinate, row.side, at))
            start[row.axis, at] = self.to(view, (row.nought, row.nought))
        for placed in place(chosen, self.laid.boxes[view], {}, said.__getitem__):
            what, points = placed.measured.what, placed.measured.points
            measured = placed.measured._replace(points=(*points, start[what, points[0]]))
            self.take(placed._replace(arrows=(), measured=measured))

    def caption(self, view: int, words: str) -> bool:
        """The view's words under it, below or beside its ordinates, or else above it."""
        wide = width(words, True)
        for middle, low in self._under_or_above(view, wide):
            left = middle - wide / 2
            at = Box(left - 3, low - 3, left + wide + 3, low + HEIGHT + 2)
            if self.field.free(np.array([[at.left, at.low]]), np.array([[at.right, at.high]]))[0]:
                text = letters((middle, low), words, "middle", bold=True)
                self.take(PlacedDimension(Measured("note", 0.0, (), words), (), (), (text,)))
                self.field.box(at)
                return True
        return False

    def _under_or_above(self, view: int, wide: float) -> Iterator[Vec2]:
        """Where the middle and foot of a view's words of this width may be, the best first."""
        box = self.laid.boxes[view]
        middle = (box.left + box.right) / 2
        beside = (box.right - box.left + wide) / 2
        for shift in (0.0, beside / 2, -beside / 2, beside, -beside):
            for down in np.arange(CAPTION, UNDER + STACKED, 3.0):
                yield middle + shift, box.low - down - HEIGHT
        for up in np.arange(CAPTION, UNDER + STACKED, 3.0):
            yield middle, box.high + up

    def _find(
        self, view: int, tips: Sequence[Vec2], wide: float, tall: float
    ) -> LeaderPlace | None:
        starts = tuple(
            ArrowPlace(self.to(view, tip), math.tau * (index + 0.5) / WAYS)
            for tip in tips
            for index in range(WAYS)
        )
        return find(self.field, Wanted(starts, wide, tall, True))

    def balloon(self, view: int, tips: Sequence[Vec2], number: str) -> bool:
        """A ringed number with a leader."""
        found = self._find(view, tips, 2 * RADIUS, 2 * RADIUS)
        if found is None:
            return False
        x = (found.box.left + found.box.right) / 2
        y = (found.box.low + found.box.high) / 2
        ring = tuple(
            (
                x + RADIUS * math.cos(index * math.tau / 32),
                y + RADIUS * math.sin(index * math.tau / 32),
            )
            for index in range(33)
        )
        away = math.atan2(found.knee[1] - y, found.knee[0] - x)
        edge = (x + RADIUS * math.cos(away), y + RADIUS * math.sin(away))
        text = letters((x, y - HEIGHT / 2), number, "middle")
        self.take(
            PlacedDimension(
                Measured("note", 0.0, (found.tip,), number),
                (((found.tip, found.knee, edge), "narrow"), (ring, "narrow")),
                (arrow(found.tip, found.knee),),
                (text,),
            ),
            True,
        )
        return True

    def note(self, view: int, tips: Sequence[Vec2], words: str) -> bool:
        """A leader with a line of lettering."""
        found = self._find(view, tips, width(words), HEIGHT)
        if found is None:
            return False
        right = found.end[0] >= found.knee[0]
        anchor: Anchor = "start" if right else "end"
        x = found.box.left if right else found.box.right
        text = letters((x, found.box.low), words, anchor)
        self.take(
            PlacedDimension(
                Measured("note", 0.0, (found.tip,), words),
                (((found.tip, found.knee, found.end), "narrow"),),
                (arrow(found.tip, found.knee),),
                (text,),
            ),
            True,
        )
        return True

    def weld(self, view: int, tips: Sequence[Vec2], sized: Sized) -> bool:
        """A weld's symbol."""
        found = self._find(view, tips, sized.wide, sized.tall)
        if found is None:
            return False
        self.take(draw_symbol(sized, found.tip, found.knee, found.box), True)
        return True

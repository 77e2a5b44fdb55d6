"""Pages at full size: what is drawn 1:1 side by side on as few of them as take it, and scale bars
both ways on each.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from ...layout.reader import metric
from ..drawing.display import Sheet, wrap
from ..model.vectors import Vec2
from ..stock import IN

PT = 72 / IN
"""Points a millimetre."""
EDGE = 40.0
"""Paper left free round a page, points."""
LOW, RIGHT, TOP = EDGE + 24.0, 56.0, 70.0
"""Paper kept below for the bar along, at the right for the bar up, above for how it is used."""
GAP = 16.0
"""Points between two pieces."""
BAR_IN, BAR_MM = 4.0 * IN, 100.0
"""Scale bars: one is drawn both ways, in the reader's unit."""
MEASURE = "Measure both bars before any of it is used."


class Lying(NamedTuple):
    """A piece one way round: its box with its words, points, and what draws it with the box's lower
    left corner at a place.
    """

    size: Vec2
    draw: Callable[[Sheet, Vec2], None]


class FullSize(NamedTuple):
    """Something drawn at full size; ``ways``: round which it may lie, each as true as the other;
    ``use``: how it is used, said once on its page.
    """

    ways: Sequence[Lying]
    use: Sequence[str] = ()


class _Shelf(NamedTuple):
    """Pieces side by side: how far along it is taken, its lower edge, how high it is."""

    right: float
    low: float
    high: float


class _Page:
    """A page being filled: shelves from the top down."""

    def __init__(self, room: Vec2) -> None:
        self.room = room
        self.shelves: list[_Shelf] = []
        self.laid: list[tuple[FullSize, Lying, Vec2]] = []

    def take(self, piece: FullSize, way: Lying) -> bool:
        """Lay a piece down where it finds room; whether it did."""
        wide, high = way.size
        for at, shelf in enumerate(self.shelves):
            if high <= shelf.high and shelf.right + GAP + wide <= self.room[0]:
                left = shelf.right + GAP
                self.shelves[at] = shelf._replace(right=left + wide)
                self.laid.append((piece, way, (left, shelf.low + shelf.high - high)))
                return True
        low = (self.shelves[-1].low - GAP if self.shelves else self.room[1]) - high
        if self.shelves and (low < 0 or wide > self.room[0]):
            return False
        self.shelves.append(_Shelf(wide, low, high))
        self.laid.append((piece, way, (0.0, low)))
        return True


def bars(sheet: Sheet, x: float, y: float, upright: float) -> None:
    """Scale bars of 4 in or 100 mm along and up, the upright one at ``upright``."""
    long, parts, words = (BAR_MM, 10, "100.0 mm") if metric() else (BAR_IN, 4, "4.000 in")
    step = long / parts * PT
    sheet.line((x, y), (x + long * PT, y), kind="wide")
    for block in range(parts + 1):
        sheet.line((x + block * step, y), (x + block * step, y + 6))
    sheet.text(x + 80, y + 9, words, 8)
    sheet.line((upright, y), (upright, y + long * PT), kind="wide")
    for block in range(parts + 1):
        sheet.line((upright, y + block * step), (upright - 6, y + block * step))
    sheet.text(upright - 9, y + long * PT / 2, words, 8, anchor="middle", turn=90)


def upright(paper: Vec2) -> float:
    """Where the bar up stands across a page."""
    return paper[0] - 34.0


def room_of(paper: Vec2) -> Vec2:
    """What a page has for pieces, across and up, points."""
    return paper[0] - EDGE - RIGHT, paper[1] - LOW - TOP


def fits(way: Lying, paper: Vec2) -> int:
    """How many of a piece a page takes, this way round."""
    across, up = (
        max(0, int((room + GAP) // (size + GAP)))
        for room, size in zip(room_of(paper), way.size, strict=True)
    )
    return across * up


def packed(pieces: Sequence[FullSize], paper: Vec2) -> Iterator[Sheet]:
    """Pages with the pieces on them, each whole on one, none over another.

    ``paper``: width and height, points. A piece that is larger than a page is laid alone.
    """
    pages: list[_Page] = []
    for piece in pieces:
        ways = sorted(piece.ways, key=lambda way: -fits(way, paper))
        if not any(page.take(piece, way) for page in pages for way in ways if fits(way, paper)):
            pages.append(_Page(room_of(paper)))
            pages[-1].take(piece, ways[0])
    for page in pages:
        sheet = Sheet("full size", paper)
        for _, way, (x, y) in page.laid:
            way.draw(sheet, (EDGE + x, LOW + y))
        said = dict.fromkeys(row for piece, _, _ in page.laid for row in piece.use)
        rows = [line for row in said for line in wrap(row, 7, room_of(paper)[0])]
        for at, row in enumerate(rows):
            sheet.text(EDGE, paper[1] - 38 - 9 * at, row, 7)
        bars(sheet, EDGE, EDGE, upright(paper))
        sheet.text(EDGE + 300, EDGE, MEASURE, 8)
        yield sheet

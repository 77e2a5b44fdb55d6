"""Pages of the calculations: chapters, headings, lines, tables and room for sketches, one after the
other from page to page.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ..drawing.display import PAGE, Sheet, wrap
from ..drawing.pages import INNER, TOP, page
from ..drawing.sheet import MARGIN

SAY = (
    "Calculations, not an approval: they do not replace the judgment of whoever may sign for the"
    " work; local law decides. Steering and brakes are never passed by a tool."
)
KIND = "Calculations"
SIZE, LINE = 7.0, 8.8
HEADING = 8.5
LOW = MARGIN + 22
"""Foot of the last line."""
LEFT = MARGIN + 8
GUTTER = 7.0


class Column(NamedTuple):
    """A column of a table: its heading and its width in points."""

    head: str
    wide: float


class Chapter(NamedTuple):
    """A chapter and the index of its first page."""

    title: str
    first: int


class Paper:
    """What is written, page by page.

    Attributes
    ----------
    sheets: pages so far.
    chapters: where each begins.
    """

    def __init__(self, chassis: str, date: str) -> None:
        self.chassis, self.date = chassis, date
        self.sheets: list[Sheet] = []
        self.chapters: list[Chapter] = []
        self.y = 0.0

    def chapter(self, title: str) -> None:
        """Begin a page."""
        self.chapters.append(Chapter(title, len(self.sheets)))
        self._turn()

    def part(self, title: str) -> None:
        """A chapter that begins on the page there is."""
        self.chapters.append(Chapter(title, len(self.sheets) - 1))
        self.heading(title.capitalize())

    def _turn(self) -> None:
        self.sheets.append(page(self.chassis, self.date, KIND, self.chapters[-1].title, SAY))
        self.y = TOP

    def room(self, high: float) -> bool:
        """Make sure that so much is left on the page, points; whether a page was begun for it."""
        if self.y - high >= LOW:
            return False
        self._turn()
        return True

    def heading(self, words: str, below: float = 6 * LINE) -> None:
        """A heading, with room for what comes under it."""
        rows = wrap(words, HEADING, INNER - 16, bold=True)
        self.room(below + len(rows) * (LINE + 1) + 4)
        self.y -= 4
        for row in rows:
            self.sheets[-1].text(LEFT, self.y, row, HEADING, bold=True)
            self.y -= LINE + 1

    def line(self, words: str, *, bold: bool = False, indent: float = 0.0) -> None:
        """A paragraph, wrapped; its second line and those after stand further in."""
        rows = wrap(words, SIZE, INNER - 16 - indent - 8, bold)
        self.room(LINE * min(2, len(rows)))
        for place, row in enumerate(rows):
            self.room(LINE)
            self.sheets[-1].text(LEFT + indent + (8 if place else 0), self.y, row, SIZE, bold)
            self.y -= LINE

    def space(self, high: float = LINE / 2) -> None:
        """Leave a gap."""
        self.y -= high

    def table(self, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
        """A table, every cell wrapped within its column, the heading again on every page."""
        heads = [column.head for column in columns]
        for place, row in enumerate(rows):
            cells = _cells(columns, row)
            head = _cells(columns, heads, bold=True)
            tall = LINE * _deep(cells) + 1
            if not place and self.y - tall - LINE * _deep(head) - 4 < LOW:
                self._turn()
            if self.room(tall) or not place:
                self._row(columns, head, bold=True)
                self.y -= 1
            self._row(columns, cells)
        self.space()

    def _row(
        self,
        columns: Sequence[Column],
        cells: Sequence[Sequence[str]],
        *,
        bold: bool = False,
    ) -> None:
        x = LEFT
        for column, cell in zip(columns, cells, strict=True):
            for place, words in enumerate(cell):
                self.sheets[-1].text(x, self.y - LINE * place, words, SIZE, bold)
            x += column.wide
        self.y -= LINE * _deep(cells) + 1

    def sketch(self, high: float) -> tuple[Sheet, float]:
        """Room for a sketch: the page and the height of its lower edge on it, points."""
        self.room(high)
        self.y -= high
        return self.sheets[-1], self.y

    def numbered(self) -> list[Sheet]:
        """All pages with "page n of m" on each."""
        for place, sheet in enumerate(self.sheets, start=1):
            sheet.text(
                PAGE[0] - MARGIN - 8,
                MARGIN + 7,
                f"page {place} of {len(self.sheets)}",
                SIZE,
                bold=True,
                anchor="end",
            )
        return self.sheets


def _cells(columns: Sequence[Column], row: Sequence[str], bold: bool = False) -> list[list[str]]:
    return [
        wrap(cell, SIZE, column.wide - GUTTER, bold)
        for cell, column in zip(row, columns, strict=True)
    ]


def _deep(cells: Sequence[Sequence[str]]) -> int:
    return max(1, *(len(cell) for cell in cells))

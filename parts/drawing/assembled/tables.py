"""The lists of an assembly drawing, one under the other."""

from __future__ import annotations

from collections.abc import Sequence

from ..display import Sheet
from ..field import Box
from ..lettering import HEIGHT, LINE, letters, width, wrapped
from .lists import SheetTable

PAD = 6.0
MOST = {"name": 190.0, "what": 190.0, "joins items": 170.0, "size": 120.0}
"""Points a column of a list is wide at most; never less than its longest word."""


def _columns(table: SheetTable) -> list[float]:
    """Widths of a table's columns."""
    found = []
    for index, head in enumerate(table.heads):
        cells = [row[index] for row in (table.heads, *table.rows)]
        word = max((width(word) for cell in cells for word in cell.split()), default=0.0)
        found.append(max(word, min(max(map(width, cells)), MOST.get(head, 400.0))) + 2 * PAD)
    return found


def wide(table: SheetTable) -> float:
    """Points a table is wide."""
    return sum(_columns(table))


def _cells(table: SheetTable) -> list[list[list[str]]]:
    """Every row's cells, wrapped."""
    rooms = _columns(table)
    return [
        [wrapped(cell, room - 2 * PAD + 0.1) or [""] for cell, room in zip(row, rooms, strict=True)]
        for row in (table.heads, *table.rows)
    ]


def tall(table: SheetTable) -> float:
    """Points it is high, with the gap below it."""
    return LINE * (2 + sum(max(map(len, row)) for row in _cells(table)))


def draw_tables(sheet: Sheet, tables: Sequence[SheetTable], box: Box) -> None:
    """The lists one under the other, from the top of a box."""
    y = box.high
    for table in tables:
        rooms = _columns(table)
        sheet.texts.append(letters((box.left, y - HEIGHT - 2), table.title, bold=True))
        y -= LINE
        for index, row in enumerate(_cells(table)):
            sheet.line((box.left, y - 1), (box.left + sum(rooms), y - 1))
            x = box.left
            for cell, room in zip(row, rooms, strict=True):
                for place, words in enumerate(cell):
                    at = (x + PAD, y - HEIGHT - 4 - place * LINE)
                    sheet.texts.append(letters(at, words, bold=False))
                x += room
            y -= LINE * max(map(len, row))
            if index == 0:
                sheet.line((box.left, y - 1), (box.left + sum(rooms), y - 1), kind="wide")
        sheet.line((box.left, y - 1), (box.left + sum(rooms), y - 1))
        y -= LINE

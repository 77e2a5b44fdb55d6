"""The revision block of a drawing (ISO 7200, ASME Y14.35 by web copy): revision, what changed, date
and by whom, above the title block.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from .display import Sheet
from .lettering import HEIGHT, LINE, letters, wrapped

MOST = 3
"""Revisions a drawing lists, the last; the earlier ones are named."""
REV, DATE, BY = 34.0, 78.0, 150.0
"""Points the columns take beside what changed."""
PAD = 5.0
NONE_YET = "none released yet"


class Revision(NamedTuple):
    """One released revision of a drawing; every field as printed."""

    letter: str
    changed: str
    date: str
    by: str


class LaidRevisions(NamedTuple):
    """The block laid out: cells of each row, in lines; and the height it takes, points."""

    rows: tuple[tuple[list[str], ...], ...]
    height: float


def lay(revisions: Sequence[Revision], wide: float) -> LaidRevisions:
    """The rows of a block ``wide`` points wide, headings first, the last revision at the foot."""
    rooms = columns(wide)
    shown = [*revisions[-MOST:]]
    earlier = ", ".join(each.letter for each in revisions[:-MOST])
    heading = "what changed" + (f" (before that {earlier})" if earlier else "")
    if not revisions:
        heading = f"what changed: {NONE_YET}"
    rows = tuple(
        tuple(wrapped(cell, room - 2 * PAD) or [""] for cell, room in zip(row, rooms, strict=True))
        for row in (Revision("rev", heading, "date", "by"), *shown)
    )
    return LaidRevisions(rows, sum(_tall(row) for row in rows))


def columns(wide: float) -> tuple[float, float, float, float]:
    """Points of each column."""
    return REV, wide - REV - DATE - BY, DATE, BY


def _tall(row: Sequence[Sequence[str]]) -> float:
    return LINE * max(map(len, row)) + 2.5


def draw(sheet: Sheet, laid: LaidRevisions, left: float, right: float, low: float) -> None:
    """The block above ``low``, from ``left`` to ``right``, points of the sheet."""
    rooms = columns(right - left)
    top = y = low + laid.height
    sheet.line((left, top), (right, top), kind="wide")
    for index, row in enumerate(laid.rows):
        if index:
            sheet.line((left, y), (right, y))
        x = left
        for cell, room in zip(row, rooms, strict=True):
            for place, words in enumerate(cell):
                at = (x + PAD, y - HEIGHT - 4 - place * LINE)
                sheet.texts.append(letters(at, words, bold=False))
            x += room
        y -= _tall(row)
    for x in (left + rooms[0], right - BY - DATE, right - BY):
        sheet.line((x, low), (x, top))

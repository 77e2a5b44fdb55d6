"""Pages of words: a titled frame, wrapped lines, lists under headings that run on from page to
page, tables in columns.
"""

from __future__ import annotations

from collections.abc import Sequence

from .display import PAGE, Sheet, width_of, wrap
from .sheet import MARGIN

INNER = PAGE[0] - 2 * MARGIN
TOP = PAGE[1] - MARGIN - 36


def page(chassis: str, date: str, kind: str, what: str, say: str) -> Sheet:
    """A framed page with its title, date and one line at the foot."""
    sheet = Sheet(f"{chassis} {kind.lower()}, {what}")
    sheet.box(MARGIN, MARGIN, INNER, PAGE[1] - 2 * MARGIN)
    called = f"{kind} of chassis {chassis}: {what}"
    size = min(12.0, 12.0 * (INNER - 90) / width_of(called, 12, True))
    sheet.text(MARGIN + 8, PAGE[1] - MARGIN - 18, called, size, True)
    sheet.text(PAGE[0] - MARGIN - 8, PAGE[1] - MARGIN - 18, date, 9, anchor="end")
    sheet.text(MARGIN + 8, MARGIN + 7, say, 7)
    return sheet


def listing(
    head: tuple[str, str, str, str, str], lists: Sequence[tuple[str, Sequence[str]]]
) -> list[Sheet]:
    """Headings with their lines, wrapped, over as many pages as they take.

    ``head``: what ``page`` takes.
    """
    sheets: list[Sheet] = []
    sheet, y = None, 0.0
    for title, rows in lists:
        for index, row in enumerate(("", *rows) if rows else ()):
            parts = [title] if index == 0 else wrap(row, 7.5, INNER - 24)
            if (
                sheet is None
                or y - 9.6 * len(parts) < MARGIN + 20
                or (index == 0 and y < MARGIN + 60)
            ):
                sheet = page(*head)
                sheets.append(sheet)
                y = TOP
            for place, part in enumerate(parts):
                sheet.text(
                    MARGIN + 8 + (8 if place else 0),
                    y,
                    part,
                    8.5 if index == 0 else 7.5,
                    index == 0,
                )
                y -= 9.6
        y -= 6
    return sheets


def table(
    head: tuple[str, str, str, str, str],
    columns: Sequence[tuple[str, float]],
    rows: Sequence[Sequence[str]],
) -> list[Sheet]:
    """A table; ``columns``: heading and width in points, every cell wrapped within its column, the
    heading on every page.
    """
    sheets: list[Sheet] = []
    sheet, y = None, 0.0
    for row in rows:
        cells = [wrap(cell, 7, width - 9) for cell, (_, width) in zip(row, columns, strict=True)]
        tall = 8.6 * max(1, *(len(cell) for cell in cells)) + 2
        if sheet is None or y - tall < MARGIN + 20:
            sheet = page(*head)
            sheets.append(sheet)
            y = _line(sheet, TOP, columns, [[head] for head, _ in columns], True) - 4
        y = _line(sheet, y, columns, cells, False)
    return sheets


def _line(
    sheet: Sheet,
    y: float,
    columns: Sequence[tuple[str, float]],
    cells: Sequence[Sequence[str]],
    bold: bool,
) -> float:
    x = MARGIN + 8
    for (_, wide), cell in zip(columns, cells, strict=True):
        for index, part in enumerate(cell):
            sheet.text(x, y - 8.6 * index, part, 7, bold)
        x += wide
    return y - 8.6 * max(1, *(len(each) for each in cells)) - 2

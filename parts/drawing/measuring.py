"""The measuring sheet on paper: every reading with its code, where and how, and a line to write
on.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from ...layout.job.sheet import SheetRow
from .display import PAGE, Sheet, fit_text, pdf, width_of
from .sheet import MARGIN
from .sketch import sketches

ROW = 15.0
HOW_ROOM = 306.0
"""Width of the column that says where and how, points."""
TOP = PAGE[1] - MARGIN - 34
CAUTION = (
    "Truck on level floor, chocked; frame on stands, never on a jack alone (29 CFR 1910.244(a)(2))."
    " Say the height state of every reading."
)


def measuring_pdf(chassis: str, rows: Sequence[SheetRow], paper: str = "letter") -> bytes:
    """Sketches with a ring for every code, then pages of the sheet, a heading for each table of the
    job file.
    """
    sheets: list[Sheet] = []
    drawn: list[Sheet] = []
    y = 0.0
    for table, group in (
        (head, list(group))
        for head, group in groupby(rows, key=lambda row: row.reading.split(".", 1)[0])
    ):
        drawn += sketches(
            chassis,
            table,
            [(row.code, row.reading.removesuffix(".left").removesuffix(".right")) for row in group],
        )
        heading = True
        for row in group:
            if y < MARGIN + 2.5 * ROW:
                sheets.append(_page(chassis, len(sheets) + 1))
                y, heading = TOP, True
            if heading:
                sheets[-1].text(MARGIN + 6, y, table.replace("_", " ").upper(), 9, True)
                y, heading = y - ROW, False
            _row(sheets[-1], row, y)
            y -= ROW
    return pdf([*drawn, *sheets], paper)


def _page(chassis: str, number: int) -> Sheet:
    sheet = Sheet(f"{chassis} measuring sheet")
    sheet.box(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN)
    sheet.text(
        MARGIN + 6,
        PAGE[1] - MARGIN - 14,
        f"Measuring sheet, chassis {chassis}, page {number}",
        11,
        True,
    )
    sheet.text(
        PAGE[0] - MARGIN - 6,
        PAGE[1] - MARGIN - 14,
        "by ______________   date ______________",
        9,
        anchor="end",
    )
    sheet.text(MARGIN + 6, MARGIN + 6, CAUTION, 7)
    return sheet


def _row(sheet: Sheet, row: SheetRow, y: float) -> None:
    sheet.text(MARGIN + 6, y, row.code, 8, True)
    sheet.text(MARGIN + 40, y, fit_text(row.reading, 8, 176), 8)
    size = next(
        (index / 4 for index in range(30, 22, -1) if width_of(row.how, index / 4) <= HOW_ROOM), 5.75
    )
    sheet.text(MARGIN + 216, y, fit_text(row.how, size, HOW_ROOM), size)
    sheet.text(MARGIN + 526, y, row.state, 7.5)
    sheet.text(MARGIN + 556, y, fit_text(row.value, 8, 66), 8, True)
    sheet.line((MARGIN + 556, y - 3), (MARGIN + 626, y - 3))
    sheet.text(
        MARGIN + 630,
        y,
        fit_text(f"{row.unit}  {row.low} .. {row.high}" if row.low else row.high, 6.5, 86),
        6.5,
    )

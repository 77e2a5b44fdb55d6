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
        (t, list(g)) for t, g in groupby(rows, key=lambda r: r.reading.split(".", 1)[0])
    ):
        drawn += sketches(
            chassis,
            table,
            [(r.code, r.reading.removesuffix(".left").removesuffix(".right")) for r in group],
        )
        heading = True
        for r in group:
            if y < MARGIN + 2.5 * ROW:
                sheets.append(_page(chassis, len(sheets) + 1))
                y, heading = TOP, True
            if heading:
                sheets[-1].text(MARGIN + 6, y, table.replace("_", " ").upper(), 9, True)
                y, heading = y - ROW, False
            _row(sheets[-1], r, y)
            y -= ROW
    return pdf([*drawn, *sheets], paper)


def _page(chassis: str, number: int) -> Sheet:
    s = Sheet(f"{chassis} measuring sheet")
    s.box(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN)
    s.text(
        MARGIN + 6,
        PAGE[1] - MARGIN - 14,
        f"Measuring sheet, chassis {chassis}, page {number}",
        11,
        True,
    )
    s.text(
        PAGE[0] - MARGIN - 6,
        PAGE[1] - MARGIN - 14,
        "by ______________   date ______________",
        9,
        anchor="end",
    )
    s.text(MARGIN + 6, MARGIN + 6, CAUTION, 7)
    return s


def _row(s: Sheet, r: SheetRow, y: float) -> None:
    s.text(MARGIN + 6, y, r.code, 8, True)
    s.text(MARGIN + 40, y, fit_text(r.reading, 8, 176), 8)
    size = next((k / 4 for k in range(30, 22, -1) if width_of(r.how, k / 4) <= HOW_ROOM), 5.75)
    s.text(MARGIN + 216, y, fit_text(r.how, size, HOW_ROOM), size)
    s.text(MARGIN + 526, y, r.state, 7.5)
    s.text(MARGIN + 556, y, fit_text(r.value, 8, 66), 8, True)
    s.line((MARGIN + 556, y - 3), (MARGIN + 626, y - 3))
    s.text(
        MARGIN + 630,
        y,
        fit_text(f"{r.unit}  {r.low} .. {r.high}" if r.low else r.high, 6.5, 86),
        6.5,
    )

"""Nested sheets as pictures: every part where it lies, with its number; how much is used, what is
left.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ...layout.reader import measure, number
from ..export.nest import SQUARE, Nested, Piece, moved
from ..stock import IN
from ..words import names
from .display import PAGE, Sheet, width_of
from .pages import INNER, page
from .sheet import MARGIN

SAY = (
    "Nominal size: kerf and lead-ins belong to the table. Cut the check square first and measure"
    " it. Holes before outlines; mind small slugs that tip up. Good side up as drawn."
)


def nest_sheets(
    chassis: str,
    date: str,
    found: Sequence[Nested],
    by: Mapping[str, Piece],
    left: Mapping[str, str],
    unit: str,
) -> list[Sheet]:
    """A page a sheet, and one for what found no place."""
    made = [_sheet(chassis, date, n, by, unit) for n in found]
    if left:
        s = page(chassis, date, "Nest", "on no sheet", SAY)
        for i, (name, why) in enumerate(left.items()):
            s.text(MARGIN + 10, PAGE[1] - MARGIN - 44 - 11 * i, f"{names.part(name)}: {why}", 9)
        made.append(s)
    return made


def _sheet(chassis: str, date: str, n: Nested, by: Mapping[str, Piece], unit: str) -> Sheet:
    from shapely.geometry import Polygon

    s = page(chassis, date, "Nest", f"{n.sheet.stock}, sheet {n.sheet.name} no {n.number}", SAY)
    room = (INNER - 20, PAGE[1] - 2 * MARGIN - 96)
    shown = n.sheet.length if n.used > 0.55 * n.sheet.length else min(n.sheet.length, 1.12 * n.used)
    k = min(room[0] / shown, room[1] / n.sheet.width)
    x0, y0 = MARGIN + 10, MARGIN + 52
    at = lambda p: (x0 + k * float(p[0]), y0 + k * float(p[1]))
    s.line(
        at((shown, 0.0)),
        at((0.0, 0.0)),
        at((0.0, n.sheet.width)),
        at((shown, n.sheet.width)),
        kind="wide",
    )
    if shown == n.sheet.length:
        s.line(at((shown, 0.0)), at((shown, n.sheet.width)), kind="wide")
    else:
        s.text(*at((shown, n.sheet.width / 2)), f"... to {measure(n.sheet.length, 'length', 0)}", 8)
    if n.used < n.sheet.length:
        s.line(at((n.used, 0.0)), at((n.used, n.sheet.width)), kind="dashed")
    for p in n.placed:
        pts = moved(by[p.name].points, p)
        s.poly([at(q) for q in pts], "narrow")
        mid = Polygon(pts).representative_point().coords[0]
        words = (
            ("4.000 in" if unit == "in" else "100 mm") if p.name == SQUARE else names.part(p.name)
        )
        size = 7.0
        wide, tall = np.ptp(np.array(pts), axis=0) * k
        upright = tall > wide and width_of(words, size) > wide - 2
        while size > 3.5 and width_of(words, size) > (tall if upright else wide) - 2:
            size -= 0.5
        x, y = at(mid)
        s.text(
            x + (size / 3 if upright else 0),
            y - (0 if upright else size / 3),
            words,
            size,
            anchor="middle",
            turn=90 if upright else 0,
        )
    count = sum(p.name != SQUARE for p in n.placed)
    wide, left = n.remnant
    s.text(
        x0,
        MARGIN + 34,
        f"{count} parts and the check square. {100 * n.utilisation:.0f} % of the strip used,"
        f" {measure(n.used, 'length')} of {measure(n.sheet.length, 'length')}. Remnant:"
        f" {number(wide, 'length')} x {measure(left, 'length')}"
        + (
            f", name it {chassis}-{n.sheet.name}-{n.number} and carry its heat number over."
            if left > 2 * IN
            else "."
        ),
        8,
    )
    s.text(
        x0,
        MARGIN + 22,
        f"Sheet {number(n.sheet.length, 'length')} x {measure(n.sheet.width, 'length')}. Heat no"
        " ____________   cut by ____________   check square measured ____________ x ____________",
        8,
    )
    return s

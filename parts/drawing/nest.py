"""Nested sheets as pictures: every part where it lies, with its number; how much is used, what is
left.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ...layout.reader import measure, number
from ..export.nest import SQUARE, Nested
from ..export.packing import Piece, moved
from ..model.vectors import Vec2
from ..stock import IN
from ..words import names
from .display import PAGE, Sheet, width_of
from .pages import INNER, page
from .sheet import MARGIN

SAY = (
    "Nominal size: kerf and lead-ins belong to the table. Cut the check square first and measure"
    " it. Holes before outlines; mind small slugs that tip up. Good side up as drawn."
)

MOSTLY = 0.55
"""Share of a sheet from which on all of it is drawn."""
SMALLEST = 3.5
"""Points of lettering below which a number is not set."""


def nest_sheets(
    chassis: str,
    date: str,
    found: Sequence[Nested],
    by: Mapping[str, Piece],
    left: Mapping[str, str],
    unit: str,
) -> list[Sheet]:
    """A page a sheet, and one for what found no place."""
    made = [_sheet(chassis, date, nested, by, unit) for nested in found]
    if left:
        sheet = page(chassis, date, "Nest", "on no sheet", SAY)
        for index, (name, why) in enumerate(left.items()):
            sheet.text(
                MARGIN + 10, PAGE[1] - MARGIN - 44 - 11 * index, f"{names.part(name)}: {why}", 9
            )
        made.append(sheet)
    return made


def _sheet(chassis: str, date: str, nested: Nested, by: Mapping[str, Piece], unit: str) -> Sheet:
    from shapely.geometry import Polygon

    sheet = page(
        chassis,
        date,
        "Nest",
        f"{nested.sheet.stock}, sheet {nested.number}, {nested.sheet.name},"
        f" cut {'after set-down' if nested.after else 'now'}",
        SAY,
    )
    plate = nested.sheet
    shown = (
        plate.length
        if nested.used > MOSTLY * plate.length
        else min(plate.length, 1.12 * nested.used)
    )
    scale = min((INNER - 20) / shown, (PAGE[1] - 2 * MARGIN - 96) / plate.width)

    def at(x: float, y: float) -> Vec2:
        return MARGIN + 10 + scale * float(x), MARGIN + 52 + scale * float(y)

    sheet.line(at(shown, 0), at(0, 0), at(0, plate.width), at(shown, plate.width), kind="wide")
    if shown == plate.length:
        sheet.line(at(shown, 0), at(shown, plate.width), kind="wide")
    else:
        rest = f"... to {measure(plate.length, 'length', 0)}"
        sheet.text(*at(shown, plate.width / 2), rest, 8)
    if nested.used < plate.length:
        sheet.line(at(nested.used, 0), at(nested.used, plate.width), kind="dashed")
    for lie in nested.placed:
        corners = moved(by[lie.name].points, lie)
        middle = at(*Polygon(corners).representative_point().coords[0])
        points = [at(*corner) for corner in corners]
        sheet.poly(points, "narrow")
        square = "4.000 in" if unit == "in" else "100 mm"
        _letter(sheet, points, middle, square if lie.name == SQUARE else names.part(lie.name))
    _foot(sheet, chassis, nested)
    return sheet


def _letter(sheet: Sheet, points: Sequence[Vec2], middle: Vec2, words: str) -> None:
    """A piece's number in its middle, along its longer side, smaller where it would not fit."""
    x, y = middle
    size = 7.0
    wide, tall = np.ptp(np.array(points), axis=0)
    upright = bool(tall > wide and width_of(words, size) > wide - 2)
    while size > SMALLEST and width_of(words, size) > (tall if upright else wide) - 2:
        size -= 0.5
    sheet.text(
        x + (size / 3 if upright else 0),
        y - (0 if upright else size / 3),
        words,
        size,
        anchor="middle",
        turn=90 if upright else 0,
    )


def _foot(sheet: Sheet, chassis: str, nested: Nested) -> None:
    """What is on the sheet and what is left of it, with lines to fill in."""
    plate = nested.sheet
    count = sum(lie.name != SQUARE for lie in nested.placed)
    wide, left = nested.remnant
    keep = (
        f", name it {chassis} {nested.remnant_name} and carry its heat number over."
        if left > 2 * IN
        else "."
    )
    sheet.text(
        MARGIN + 10,
        MARGIN + 34,
        f"{count} parts and the check square. {100 * nested.utilisation:.0f} % of the strip used,"
        f" {measure(nested.used, 'length')} of {measure(plate.length, 'length')}. Remnant:"
        f" {number(wide, 'length')} x {measure(left, 'length')}{keep}",
        8,
    )
    sheet.text(
        MARGIN + 10,
        MARGIN + 22,
        f"Sheet {number(plate.length, 'length')} x {measure(plate.width, 'length')}. Heat no"
        " ____________   cut by ____________   check square measured ____________ x ____________",
        8,
    )

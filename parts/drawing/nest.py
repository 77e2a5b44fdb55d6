"""Nested sheets as pictures: every part where it lies, with its number; how much is used, what is
left.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ...layout.reader import measure, number
from ..export.inside import first_cut
from ..export.nest import SQUARE, Nested
from ..export.packing import Piece, moved
from ..model.vectors import Vec2
from ..stock import IN
from ..words import names
from .display import PAGE, Sheet, width_of
from .pages import INNER, page
from .placed import arrow
from .sheet import MARGIN

if TYPE_CHECKING:
    from shapely.geometry import Polygon

SAY = (
    "Nominal size: kerf and lead-ins belong to the table. Cut first what is measured."
    " Holes before outlines; mind small slugs that tip up. Good side up as drawn."
)

TURNED = "Drawn a quarter turn to the left of the cut file."
GRAIN = "grain: plate is rolled along its length"
"""Mill practice (common practice, no source); what a remnant is, its first sheet was."""
NAMED = 6
"""Parts named in one line."""
MOSTLY = 0.55
"""Share of a sheet from which on all of it is drawn."""
NO_BENDS: Mapping[str, Sequence[Vec2]] = {}
LEANS = 1.0 + 1e-9
"""A bend halfway between along and across is as good as across."""
LARGEST, SMALLEST, STEP = 7.0, 3.5, 0.5
"""Points of lettering a number is set in, and below which none is."""


def nest_sheets(
    chassis: str,
    date: str,
    found: Sequence[Nested],
    by: Mapping[str, Piece],
    left: Mapping[str, str],
    unit: str,
    bends: Mapping[str, Sequence[Vec2]] = NO_BENDS,
) -> list[Sheet]:
    """A page a sheet, and one for what found no place; ``bends``: the way each bend line of a part
    runs on its flat, by the part's name.
    """
    made = []
    for nested in found:
        sheet = _sheet(chassis, date, nested, by, unit)
        if along := along_grain(nested, bends):
            _bend_words(sheet, along)
        made.append(sheet)
    if left:
        sheet = page(chassis, date, "Nest", "on no sheet", SAY)
        for index, (name, why) in enumerate(left.items()):
            sheet.text(
                MARGIN + 10, PAGE[1] - MARGIN - 44 - 11 * index, f"{names.part(name)}: {why}", 9
            )
        made.append(sheet)
    return made


def _sheet(chassis: str, date: str, nested: Nested, by: Mapping[str, Piece], unit: str) -> Sheet:
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
    laid = _laid(shown, plate.width)
    at = laid.at
    sheet.line(at(shown, 0), at(0, 0), at(0, plate.width), at(shown, plate.width), kind="wide")
    if shown == plate.length:
        sheet.line(at(shown, 0), at(shown, plate.width), kind="wide")
    else:
        rest = f"... to {measure(plate.length, 'length', 0)}"
        x, y = at(shown, plate.width / 2)
        sheet.text(x, y + 3, rest, 8, anchor="middle" if laid.turned else "start")
    if laid.turned:
        sheet.text(MARGIN + 10, PAGE[1] - MARGIN - 34, TURNED, 7)
    _grain(sheet, laid.turned)
    if nested.used < plate.length:
        sheet.line(at(nested.used, 0), at(nested.used, plate.width), kind="dashed")
    for lie in nested.placed:
        piece = by[lie.name]
        loops = [
            [at(*corner) for corner in moved(loop, lie)] for loop in (piece.points, *piece.openings)
        ]
        for loop in loops:
            sheet.poly(loop, "narrow")
        square = "4.000 in" if unit == "in" else "100 mm"
        _letter(sheet, loops, square if lie.name == SQUARE else names.part(lie.name))
    _foot(sheet, chassis, nested)
    if pairs := first_cut(nested.placed, by):
        said = _some([f"{names.part(own)} in {names.part(host)}" for own, host in pairs])
        sheet.text(
            MARGIN + 10, PAGE[1] - MARGIN - 42, f"Cut before the opening they lie in: {said}.", 7
        )
    return sheet


def _some(words: Sequence[str]) -> str:
    """As many as go in a line, and how many more there are."""
    more = f" and {len(words) - NAMED} more" if len(words) > NAMED else ""
    return ", ".join(words[:NAMED]) + more


def along_grain(nested: Nested, bends: Mapping[str, Sequence[Vec2]]) -> list[str]:
    """Parts of a sheet of which a bend line lies nearer along the sheet than across it."""
    found = []
    for lie in nested.placed:
        turn = math.radians(lie.angle)
        for x, y in bends.get(lie.name, ()):
            along = abs(x * math.cos(turn) - y * math.sin(turn))
            if along > abs(x * math.sin(turn) + y * math.cos(turn)) * LEANS:
                found.append(names.part(lie.name))
    return list(dict.fromkeys(found))


def _bend_words(sheet: Sheet, along: Sequence[str]) -> None:
    """The word of caution about bends along the grain (common practice, no source)."""
    said = (
        f"Bent along the grain as they lie: {_some(along)}. Across it where there is room; else"
        " look at the outside of the bend for cracks."
    )
    sheet.text(MARGIN + 10, MARGIN + 43.5, said, 7)


def _grain(sheet: Sheet, turned: bool) -> None:
    """An arrow along the sheet's length, in the corner above it."""
    x, y = PAGE[0] - MARGIN - 14, PAGE[1] - MARGIN - 34
    tail, tip = ((x, y - 14), (x, y + 6)) if turned else ((x - 50, y + 2), (x, y + 2))
    sheet.line(tail, tip)
    sheet.head(arrow(tip, tail))
    sheet.text(x - (8 if turned else 56), y, GRAIN, 7, anchor="end")


class _Laid(NamedTuple):
    """How a plate lies on its page: points a mm, its width, and whether a quarter turn from how the
    table has it.
    """

    scale: float
    width: float
    turned: bool

    def at(self, x: float, y: float) -> Vec2:
        """A place of the plate on the page; never mirrored."""
        across, up = (self.width - y, x) if self.turned else (x, y)
        return MARGIN + 10 + self.scale * float(across), MARGIN + 52 + self.scale * float(up)


def _laid(shown: float, width: float) -> _Laid:
    """The way to lay what is shown of a plate in which it is drawn larger."""
    wide, high = INNER - 20, PAGE[1] - 2 * MARGIN - 96
    level, upright = min(wide / shown, high / width), min(wide / width, (high - 14) / shown)
    turned = upright > level
    return _Laid(upright if turned else level, width, turned)


def _letter(sheet: Sheet, loops: Sequence[Sequence[Vec2]], words: str) -> None:
    """A piece's number on its steel, level or upright, as large as stays on it; ``loops``: its
    outline, then its openings.
    """
    import shapely

    steel = shapely.Polygon(loops[0], loops[1:])
    circle = shapely.maximum_inscribed_circle(steel, 0.5)
    spots = [circle.coords[0], steel.representative_point().coords[0]]
    places = [
        (size, turn, spot)
        for size in np.arange(LARGEST, SMALLEST - STEP / 2, -STEP).tolist()
        for turn in (0.0, 90.0)
        for spot in spots
    ]
    size, turn, (x, y) = next(
        (each for each in places if steel.contains(_box(words, *each))), places[-1]
    )
    at = (x + size / 3, y) if turn else (x, y - size / 3)
    sheet.text(*at, words, size, anchor="middle", turn=turn)


def _box(words: str, size: float, turn: float, middle: Vec2) -> Polygon:
    """What lettering about a point takes."""
    import shapely

    half, tall = width_of(words, size) / 2 + 1.0, size / 2
    (x, y), (across, up) = middle, (tall, half) if turn else (half, tall)
    return shapely.box(x - across, y - up, x + across, y + up)


def _foot(sheet: Sheet, chassis: str, nested: Nested) -> None:
    """What is on the sheet and what is left of it, with lines to fill in."""
    plate = nested.sheet
    count = sum(lie.name != SQUARE for lie in nested.placed)
    square, measured = " and the check square", "check square"
    if not nested.has_square:
        square, measured = "; no room for the check square", "first part cut"
    wide, left = nested.remnant
    keep = (
        f", name it {chassis} {nested.remnant_name} and carry its heat number over."
        if left > 2 * IN
        else "."
    )
    sheet.text(
        MARGIN + 10,
        MARGIN + 34,
        f"{count} parts{square}. {100 * nested.utilisation:.0f} % of the strip used,"
        f" {measure(nested.used, 'length')} of {measure(plate.length, 'length')}. Remnant:"
        f" {number(wide, 'length')} x {measure(left, 'length')}{keep}",
        8,
    )
    sheet.text(
        MARGIN + 10,
        MARGIN + 22,
        f"Sheet {number(plate.length, 'length')} x {measure(plate.width, 'length')}. Heat no"
        f" ____________   cut by ____________   {measured} measured ____________ x ____________",
        8,
    )

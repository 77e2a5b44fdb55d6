"""The layout sheet: every solved point as the fitter tapes it - from the datum hole, from the
center line, from the floor at ride height - with room for what the tape says, check diagonals, then
the lengths and angles, each with its plus-minus.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple, TypedDict

from ...layout.graph import Graph
from ...layout.quantities import Key, Side
from ...layout.reader import unit as unit_of
from ...layout.setout import surety
from ...layout.units import SHORT
from ...layout.units import tape as fraction
from .display import Sheet, pdf, wrap
from .pages import INNER, TOP, page, table
from .sheet import MARGIN

POINTS = (
    ("arm.bolt", "lower bolt at the axle"),
    ("arm.joint", "radius arm's frame joint"),
    ("upper.joint", "upper joint on the radius arm"),
    ("upper.mount", "upper bolt at the axle"),
    ("seat.lower", "lower coil seat, top face"),
    ("seat.upper", "upper coil seat, underside"),
    ("bar.axle", "track bar at the axle"),
    ("bar.frame", "track bar at the frame"),
)
ROW = 17.0
"""Points of a row somebody writes in."""
SAY = (
    "Heights are with the frame blocked at ride height, truck level. Set no line from the tape"
    " alone: check the diagonals. Calculations, not an approval; local law decides."
)


LEAST = 0.005
"""What two decimals would print as nothing, in the row's unit."""
COLUMNS = (
    ("side", 34.0),
    ("point", 150.0),
    ("along, from the datum hole", 112.0),
    ("tape", 44.0),
    ("from the center line", 86.0),
    ("tape", 44.0),
    ("above the floor", 66.0),
    ("tape", 44.0),
    ("± along / across / up", 92.0),
    ("done", 32.0),
)
DIAGONALS = (
    ("what", 242.0),
    ("left front to right rear", 104.0),
    ("tape", 44.0),
    ("right front to left rear", 104.0),
    ("tape", 44.0),
    ("differ by", 60.0),
    ("tape", 44.0),
    ("done", 32.0),
)
"""Columns with their widths, points."""


class SetoutRow(TypedDict):
    """A quantity of the layout in the reader's unit; value and plus-minus are None while it waits.

    Attributes
    ----------
    role: what the layout takes it for, such as given, solved, waiting or conflict.
    plus_minus: two standard uncertainties.
    shown: value as printed, empty while it waits.
    rests_on: readings behind it; those it waits for where it waits.
    """

    key: str
    title: str
    role: str
    unit: str
    rests_on: list[str]
    value: float | None
    plus_minus: float | None
    shown: str


class SetoutPoint(NamedTuple):
    """A point on the truck as the fitter tapes it.

    Attributes
    ----------
    name, says : str
        As the layout calls it, and as people do.
    side : Side
        L, R, or C on the center line.
    at : (float, float, float)
        x from the full-bump plumb line, y outward, z above the floor, mm.
    sure : (float, float, float)
        Plus-minus of each, mm (2u).
    """

    name: str
    says: str
    side: Side
    at: tuple[float, float, float]
    sure: tuple[float, float, float]


def points(solved: Graph) -> tuple[SetoutPoint, ...]:
    """Every point of the sheet that is solved."""
    found: list[SetoutPoint] = []
    sides: tuple[Side, ...] = ("L", "R", "C")
    for name, says in POINTS:
        for side in sides:
            if side == "C" and any(point.name == name for point in found):
                continue
            x, y, z = (_key(solved, f"{name}.{axis}", side) for axis in "xyz")
            if all(key in solved.values for key in (x, y, z)) and side in (x.side, y.side, z.side):
                at = (solved.values[x], solved.values[y], solved.values[z])
                sure = (
                    2 * solved.half_width(x),
                    2 * solved.half_width(y),
                    2 * solved.half_width(z),
                )
                found.append(SetoutPoint(name, says, side, at, sure))
    return tuple(found)


def _key(solved: Graph, name: str, side: Side) -> Key:
    own = Key(name, side)
    return own if own in solved.values else Key(name, "C")


def sure_words(row: SetoutRow, solved: Graph) -> str:
    """A row's plus-minus as the decisions sheet prints it: up to the tape's step, 0.1 deg; forces
    and the like in the row's unit, never 0.00 where there is some.
    """
    key = next(key for key in solved.values if str(key) == row["key"])
    unit = solved.unit(key)
    if unit in ("length", "angle") or unit in SHORT:
        return surety.doubt(surety.plus_minus(solved, key), unit)
    plus_minus = float(row["plus_minus"] or 0.0)
    return "under 0.005" if 0 < plus_minus < LEAST else f"{plus_minus:.2f}"


CHECKED = (("arm.bolt", "arm.joint"), ("seat.upper", "arm.joint"))
"""Points whose diagonals are checked, front and rear."""


def diagonals(found: Sequence[SetoutPoint]) -> list[tuple[str, float, float]]:
    """Plan distances left front to right rear and right front to left rear, between lower bolts and
    frame joints, and between the seats and the joints.
    """
    by, says = {(point.name, point.side): point.at for point in found}, dict(POINTS)
    rows = []
    ways: tuple[tuple[Side, Side], ...] = (("L", "R"), ("R", "L"))
    for front, rear in CHECKED:
        if all((name, side) in by for name in (front, rear) for side, _ in ways):
            one, two = (
                math.hypot(
                    by[front, here][0] - by[rear, there][0],
                    by[front, here][1] + by[rear, there][1],
                )
                for here, there in ways
            )
            rows.append((f"{says[front]} to {says[rear]}", one, two))
    return rows


def setout_pdf(
    chassis: str,
    date: str,
    solved: Graph,
    rows: Sequence[SetoutRow],
    paper: str = "letter",
    assumed: Sequence[str] = (),
    foot: str = "",
) -> bytes:
    """The sheets.

    ``rows``: the set-out's rows as printed by the commands; ``assumed``: what of them nobody
    measured.
    """
    sheet = page(chassis, date, "Layout", f"points, {unit_of('length')}", SAY)
    found = points(solved)
    y = _grid(sheet, TOP, COLUMNS, [_point_cells(solved, point) for point in found])
    sheet.text(MARGIN + 8, y - ROW, "Check diagonals in plan", 8.5, True)
    y = _grid(sheet, y - 2.2 * ROW, DIAGONALS, [_diagonal_cells(*row) for row in diagonals(found)])
    y -= ROW
    for line in assumed:
        for words in wrap(line, 7.5, INNER - 24):
            sheet.text(MARGIN + 8, y, words, 7.5)
            y -= 9.6
    return pdf([sheet, *_lists(chassis, date, rows, solved)], paper, foot)


def _grid(
    sheet: Sheet, y: float, columns: Sequence[tuple[str, float]], rows: Sequence[Sequence[str]]
) -> float:
    """A ruled table from ``y`` down, its blank cells to be written in; the height of its foot."""
    lefts = [MARGIN + 8 + sum(wide for _, wide in columns[:at]) for at in range(len(columns) + 1)]
    top = y + ROW - 5
    for number, row in enumerate(([head for head, _ in columns], *rows)):
        for x, words in zip(lefts, row, strict=False):
            sheet.text(x + 3, y, words, 7.5, number == 0)
        sheet.line((lefts[0], y - 5), (lefts[-1], y - 5))
        y -= ROW
    low = y + ROW - 5
    sheet.line((lefts[0], top), (lefts[-1], top))
    for x in lefts:
        sheet.line((x, top), (x, low))
    return low


def _point_cells(solved: Graph, point: SetoutPoint) -> tuple[str, ...]:
    """A point with room for the tape's readings and a tick."""
    side, says, along, across, up, sure = point_row(solved, point)
    return side, says, along, "", across, "", up, "", sure.replace(" in", ""), ""


def _diagonal_cells(says: str, one: float, two: float) -> tuple[str, ...]:
    """A pair of diagonals with room for the tape's readings and a tick."""
    return says, fraction(one), "", fraction(two), "", fraction(abs(one - two)), "", ""


def point_row(solved: Graph, point: SetoutPoint) -> tuple[str, str, str, str, str, str]:
    """Side, name, along, across, up and plus-minus of a point."""
    near: Side = "L" if point.at[1] >= 0 else "R"
    side: Side = near if point.side == "C" else point.side
    hole = solved.values.get(Key("frame.datum_hole", side))
    behind = (
        "no datum hole read"
        if hole is None
        else f"{fraction(abs(hole - point.at[0]))} {'behind' if hole >= point.at[0] else 'ahead'}"
    )
    return (
        "left" if side == "L" else "right",
        point.says,
        behind,
        fraction(abs(point.at[1])),
        fraction(point.at[2]),
        " / ".join(
            surety.doubt(value, "length").removesuffix(f" {unit_of('length')}")
            for value in point.sure
        ),
    )


ROWS = (("what", 330.0), ("left, or the truck's own", 190.0), ("right", 190.0))
"""Columns of everything that is no point, points."""
SIDES = {".left": 1, ".right": 2}


def _lists(chassis: str, date: str, rows: Sequence[SetoutRow], solved: Graph) -> list[Sheet]:
    """Everything else: what it is, value and plus-minus of either side; what waits says so. Slopes
    of the rail, which no tape shows, stand in the table of the layout alone.
    """
    named = tuple(f"{name}.{axis}" for name, _ in POINTS for axis in "xyz")
    found: dict[str, list[str]] = {}
    for row in rows:
        if row["key"].startswith(named) or (row["key"].startswith("rail.") and not row["unit"]):
            continue
        ending = next((end for end in SIDES if row["key"].endswith(end)), "")
        cells = found.setdefault(row["key"].removesuffix(ending), [row["title"], "", ""])
        cells[SIDES.get(ending, 1)] = (
            f"{row['shown']}  ±{sure_words(row, solved)}"
            if row["value"] is not None
            else "waits: see what is owed"
        )
    head = (chassis, date, "Layout", "lengths, angles, forces", SAY)
    return table(head, ROWS, list(found.values()))

"""The layout sheet: every solved point as the fitter tapes it - from the datum hole, from the
centre line, from the floor at ride height - with check diagonals, then the lengths and angles, each
with its plus-minus.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from ...layout.graph import Graph
from ...layout.quantities import Key, Side
from ...layout.setout import surety
from ...layout.units import tape as fraction
from .display import PAGE, Sheet, fit_text, pdf
from .pages import listing
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
ROW, TOP = 13.0, PAGE[1] - MARGIN - 40
SAY = (
    "Heights are with the frame blocked at ride height, truck level. Set no line from the tape"
    " alone: check the diagonals. Calculations, not an approval; local law decides."
)


LEAST = 0.005
"""What two decimals would print as nothing, in the row's unit."""
COLUMNS = (0, 30, 190, 330, 470, 600)
"""Left of each column of the points, points from the first."""


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


def sure_words(row: Mapping[str, Any], solved: Graph) -> str:
    """A row's plus-minus as the decisions sheet prints it: up to the tape's step, 0.1 deg; forces
    and the like in the row's unit, never 0.00 where there is some.
    """
    key = next(key for key in solved.values if str(key) == row["key"])
    if solved.unit(key) in ("length", "angle"):
        return surety.doubt(surety.plus_minus(solved, key), solved.unit(key))
    plus_minus = float(row["plus_minus"])
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
    rows: Sequence[Mapping[str, Any]],
    paper: str = "letter",
    assumed: Sequence[str] = (),
    foot: str = "",
) -> bytes:
    """The sheets.

    ``rows``: the set-out's rows as printed by the commands; ``assumed``: what of them nobody
    measured.
    """
    sheet = _page(chassis, date, "points")
    y = _points(sheet, solved)
    _diagonals(sheet, points(solved), y - 1.6 * ROW)
    said = listing(
        (chassis, date, "Layout", "what nobody measured", SAY), [("ASSUMED", list(assumed))]
    )
    return pdf([sheet, *_lists(chassis, date, rows, solved), *said], paper, foot)


def _points(sheet: Sheet, solved: Graph) -> float:
    """The table of points; the height of its last row."""
    heads = (
        "side",
        "point",
        "along, from the datum hole",
        "from the center line",
        "above the floor",
        "± along / across / up",
    )
    for dx, words in zip(COLUMNS, heads, strict=True):
        sheet.text(MARGIN + 8 + dx, TOP, words, 7.5, True)
    y = TOP
    for point in points(solved):
        y -= ROW
        for dx, words in zip(COLUMNS, point_row(solved, point), strict=True):
            sheet.text(MARGIN + 8 + dx, y, fit_text(words, 8, 158), 8)
    return y


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
        " / ".join(surety.doubt(value, "length") for value in point.sure),
    )


def _diagonals(sheet: Sheet, found: Sequence[SetoutPoint], y: float) -> None:
    """The check diagonals from ``y`` downward."""
    say = "Check diagonals in plan, left front to right rear and right front to left rear"
    sheet.text(MARGIN + 8, y, say, 8, True)
    for name, one, two in diagonals(found):
        y -= ROW
        apart = fraction(abs(one - two))
        alike = fraction(0) == apart
        says = "they are equal" if alike else f"they differ by {apart}"
        words = f"{name}:  {fraction(one)}  and  {fraction(two)};  {says}"
        sheet.text(MARGIN + 8, y, words, 8)


def _page(chassis: str, date: str, what: str) -> Sheet:
    sheet = Sheet(f"{chassis} layout, {what}")
    sheet.box(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN)
    sheet.text(MARGIN + 8, PAGE[1] - MARGIN - 18, f"Layout of chassis {chassis}: {what}", 12, True)
    sheet.text(PAGE[0] - MARGIN - 8, PAGE[1] - MARGIN - 18, date, 9, anchor="end")
    sheet.text(MARGIN + 8, MARGIN + 7, SAY, 7)
    return sheet


def _lists(
    chassis: str, date: str, rows: Sequence[Mapping[str, Any]], solved: Graph
) -> list[Sheet]:
    """Everything else in two columns a page: what it is, value, plus-minus; what waits says for
    what.
    """
    named = tuple(f"{name}.{axis}" for name, _ in POINTS for axis in "xyz")
    kept = [row for row in rows if not row["key"].startswith(named)]
    each = int((TOP - MARGIN - 24) / ROW)
    sheets = []
    for start in range(0, len(kept), 2 * each):
        sheet = _page(chassis, date, "lengths, angles, forces")
        for index, row in enumerate(kept[start : start + 2 * each]):
            x, y = MARGIN + 8 + (index // each) * 360, TOP - (index % each) * ROW
            sheet.text(x, y, fit_text(row["title"], 7.5, 190), 7.5)
            sheet.text(
                x + 194,
                y,
                (
                    {"L": "left", "R": "right"}.get(row["key"].rpartition(".")[2][:1].upper(), "")
                    if row["key"].endswith((".left", ".right"))
                    else ""
                ),
                7,
            )
            value = (
                f"{row['shown']}  ±{sure_words(row, solved)}"
                if row["value"] is not None
                else "waits: see what is owed"
            )
            sheet.text(x + 218, y, fit_text(value, 7.5, 134), 7.5, row["value"] is not None)
        sheets.append(sheet)
    return sheets

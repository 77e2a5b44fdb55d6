"""The measuring sheet on paper: a stop of the walk a sheet, a sketch with a numbered arrow for each
reading on it, and an empty box for left, right and again.

What is cut first comes first, so that the shop can stop there and cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from ...layout import units
from ...layout.job.field import Field, pattern
from ...layout.job.fields import FIELDS
from ...layout.job.owed import applies
from ...layout.job.sheet import SheetRow
from ...layout.job.walk import STOPS, stop_of, walked
from ..model.vectors import Vec2
from ..truck.needs import first_fields
from .display import PAGE, Sheet, pdf, width_of, wrap
from .measuring_lists import counted, line_sheet
from .picture import balloons
from .placed import arrow
from .sheet import MARGIN
from .sketch import draw_truck
from .spans import span

CAUTION = (
    "Truck on level floor, chocked; frame on stands, never on a jack alone (29 CFR 1910.244(a)(2))."
    " Say the height state of every reading."
)
SIZE, SMALL = 10.0, 8.0
LINE, GAP = 11.5, 6.0
"""Between lines of a row, and above and below them, points."""
WIDE = PAGE[0] - 2 * MARGIN
SKETCH = 162.0
"""Height of the sketch, points."""
TOP = PAGE[1] - MARGIN - 24.0
LOWEST = MARGIN + 16.0
SPLIT = 305.0
"""What stands higher in the sketch is the side view, lower the plan."""
FEW = 6
"""Words that have a box to tick each; of more the one that holds is written."""
TICK, BESIDE, TICKS = 7.0, 11.0, 74.0
"""Side of a box to tick, from its left edge to its word, and from box to box at least, points."""
MOST = 16
"""Numbers in one sketch; more cannot be told apart."""
COLUMNS = (
    ("", 22.0),
    ("where, and what the tape is held on", 318.0),
    ("state, how sure", 92.0),
    ("left", 80.0),
    ("right", 80.0),
    ("again", 62.0),
    ("photo, or not", 66.0),
)
STATES = {
    "ride": "ride height",
    "stand": "on stands",
    "droop": "axle hanging",
    "said": "how it stands:",
}
TOOLS = {"tape": "tape", "finder": "angle finder"}
FINE = units.IN / 48
"""A reading surer than this is by caliper (judgment, no source)."""


class PaperRow(NamedTuple):
    """A reading or word to write down.

    ``name``: path without its side; ``typed``: what is known already, by "left", "right" or "".
    """

    name: str
    field: Field
    typed: Mapping[str, str]
    unit: str
    lines: tuple[str, ...]

    @property
    def high(self) -> float:
        """Height of its row, points."""
        ticks = len(self.field.words) if len(self.field.words) <= FEW else 0
        rows = -(-ticks // _across(self)[0])
        return max(2, len(self.lines), len(_aside(self)), rows) * LINE + GAP


def measuring_pdf(
    chassis: str,
    rows: Sequence[SheetRow],
    paper: str = "letter",
    words: Mapping[str, str] | None = None,
) -> bytes:
    """The sheets of the short form in the order of the walk, then those of the rest, then one with
    lines for old holes and what may be hit.

    ``words``: words of the job file by path; what another answer asks for is left out.
    """
    asked = list(_asked(rows, words or {}))
    first = first_fields()
    sheets: list[Sheet] = []
    for title, own in (
        ("what is cut first", [row for row in asked if row.field.name in first]),
        ("the rest", [row for row in asked if row.field.name not in first]),
    ):
        for group in _on_sheets(own):
            sheets.append(_sheet(chassis, title, group))
    unit = next((row.unit for row in asked if row.field.kind == "length"), "in")
    sheets.append(line_sheet(chassis, counted([row.reading for row in rows]), unit))
    for number, sheet in enumerate(sheets, 1):
        sheet.text(PAGE[0] - MARGIN, MARGIN, f"{number} of {len(sheets)}", SMALL, anchor="end")
    return pdf(sheets, paper)


def _asked(rows: Sequence[SheetRow], words: Mapping[str, str]) -> Iterator[PaperRow]:
    """Rows of the sheet with both sides in one, in the order of the walk."""
    found: dict[str, dict[str, str]] = {}
    units_of: dict[str, str] = {}
    for row in rows:
        name, _, side = row.reading.rpartition(".")
        name, side = (name, side) if side in ("left", "right") else (row.reading, "")
        found.setdefault(name, {})[side] = row.value
        units_of[name] = row.unit
    given = {name for name, typed in found.items() if any(typed.values())}
    for name in sorted(found, key=lambda name: walked(name)[0]):
        field = FIELDS[pattern(name)]
        answered = any(one.partition("=")[0] in words for one in field.when.split(" or "))
        if answered and not applies(field.when, words, given):
            continue
        number = next((word for word in name.split(".") if word.isdigit()), "")
        says = f"{field.sheet_code} {f'no. {number}: ' if number else ''}{field.how}"
        says += f" ({field.range_text(units_of[name]).replace(' .. ', ' to ')})" * (
            not field.words and field.kind not in ("text", "date")
        )
        lines = wrap(says, SIZE, COLUMNS[1][1] - 8)
        yield PaperRow(name, field, found[name], units_of[name], tuple(lines))


def _on_sheets(rows: Sequence[PaperRow]) -> Iterator[list[PaperRow]]:
    """Rows of one sheet after the other: a stop begins on a sheet of its own where not all of it
    has room on the one before, unless that would be left half empty.
    """
    room = TOP - SKETCH - 2 * LINE - LOWEST
    own: list[PaperRow] = []

    def tall(some: Sequence[PaperRow]) -> float:
        stops = len({stop_of(row.name) for row in some})
        return sum(row.high for row in some) + (LINE + GAP) * stops

    for stop in dict.fromkeys(stop_of(row.name) for row in rows):
        here = [row for row in rows if stop_of(row.name) == stop]
        full = tall([*own, *here]) > room or len(own) + len(here) > MOST
        if full and tall(own) > room / 2:
            yield own
            own = []
        for row in here:
            if own and (tall([*own, row]) > room or len(own) == MOST):
                yield own
                own = []
            own.append(row)
    if own:
        yield own


def _sheet(chassis: str, title: str, rows: Sequence[PaperRow]) -> Sheet:
    sheet = Sheet(f"{chassis} measuring sheet")
    sheet.text(MARGIN, PAGE[1] - MARGIN - 10, f"{chassis}: measuring sheet, {title}", 12, True)
    sheet.text(
        PAGE[0] - MARGIN,
        PAGE[1] - MARGIN - 10,
        "by ______________   date ______________   tape no. ________",
        SIZE,
        anchor="end",
    )
    sheet.text(MARGIN, MARGIN, CAUTION, SMALL)
    _sketch(sheet, rows)
    y = _heads(sheet, TOP - SKETCH)
    stop = -1
    for number, row in enumerate(rows, 1):
        if (now := stop_of(row.name)) != stop:
            stop = now
            y -= LINE + GAP
            words = STOPS[stop][0]
            sheet.text(MARGIN + 4, y + 5, words[:1].upper() + words[1:], SIZE, True)
        y -= row.high
        _row(sheet, number, row, y)
    return sheet


def _heads(sheet: Sheet, y: float) -> float:
    x = MARGIN
    for words, wide in COLUMNS:
        sheet.text(x + 4, y - LINE + 2, words, SMALL, True)
        x += wide
    sheet.line((MARGIN, y - LINE - 2), (MARGIN + WIDE, y - LINE - 2), kind="wide")
    return y - LINE - 2


def _row(sheet: Sheet, number: int, row: PaperRow, y: float) -> None:
    """One reading: its number in the sketch, its words, its boxes; ``y``: its lower edge."""
    top = y + row.high
    edges = [MARGIN]
    for _, wide in COLUMNS:
        edges.append(edges[-1] + wide)
    sheet.line((MARGIN, y), (MARGIN + WIDE, y))
    sheet.text(edges[0] + 11, top - LINE, str(number), SIZE, True, anchor="middle")
    for line, words in enumerate(row.lines):
        sheet.text(edges[1] + 4, top - LINE * (line + 1), words, SIZE)
    for line, words in enumerate(_aside(row)):
        sheet.text(edges[2] + 4, top - LINE * (line + 1), words, SMALL, words == "SAFETY")
    if 0 < len(row.field.words) <= FEW:
        _ticks(sheet, row, edges[3], top)
        for edge in (edges[3], edges[6], edges[7]):
            sheet.line((edge, y), (edge, top))
        return
    sides = ("left", "right") if "left" in row.typed else ("",)
    for place, side in enumerate(sides):
        right = edges[4 + place] if len(sides) > 1 else edges[5]
        sheet.line((edges[3 + place], y), (edges[3 + place], top))
        known = row.typed.get(side, "")
        sheet.text(edges[3 + place] + 4, top - LINE - 2, known, SIZE, True)
        sheet.text(right - 3, y + 3, row.unit, SMALL, anchor="end")
    for edge in edges[5:]:
        sheet.line((edge, y), (edge, top))


def _aside(row: PaperRow) -> tuple[str, ...]:
    """What stands beside the words: whether others' safety hangs on it, state, how sure."""
    state = STATES.get(row.field.state, "")
    said = ("SAFETY" * row.field.safety, state, _sure(row))
    return tuple(words for words in said if words)


def _ticks(sheet: Sheet, row: PaperRow, x: float, top: float) -> None:
    """A box to tick for each word that may be said."""
    count, apart = _across(row)
    for number, word in enumerate(row.field.words):
        down, along = divmod(number, count)
        left, low = x + 6 + apart * along, top - LINE * (down + 1)
        sheet.box(left, low, TICK, TICK, "narrow")
        if row.typed.get("") == word:
            sheet.line((left, low), (left + TICK, low + TICK), kind="wide")
            sheet.line((left, low + TICK), (left + TICK, low), kind="wide")
        sheet.text(left + BESIDE, low, word.replace("_", " "), SIZE)


def _across(row: PaperRow) -> tuple[int, float]:
    """How many boxes to tick stand in a line, and how far apart, points."""
    said = [word.replace("_", " ") for word in row.field.words]
    apart = max([TICKS, *(BESIDE + width_of(word, SIZE) + TICK for word in said)])
    room = sum(wide for name, wide in COLUMNS if name in ("left", "right", "again"))
    return max(1, int((room - 6) / apart + 0.1)), apart


def _sure(row: PaperRow) -> str:
    """How sure the reading is, and with what."""
    field = row.field
    if field.half_width <= 0 or field.role != "measured":
        return "a wish" if field.role == "wanted" else ""
    fine = field.kind == "length" and field.half_width < FINE
    if fine:
        half = f"{units.to(field.half_width, 'length', row.unit):.3f}".rstrip("0") + f" {row.unit}"
    else:
        half = units.show(field.half_width, field.kind, row.unit, 32)
    tool = TOOLS.get(field.tool, "caliper" if fine else "")
    return f"± {half}{f', {tool}' if tool else ''}"


def _sketch(sheet: Sheet, rows: Sequence[PaperRow]) -> None:
    """Side view and plan beside each other; from where to where each reading is taped, by its
    number.
    """
    whole = Sheet("sketch")
    draw_truck(whole)
    half, gap = (WIDE - 12) / 2, 12.0
    scale = (half - 44) / 540.0
    corners = {False: (MARGIN + 22, 0.0), True: (MARGIN + half + gap + 22, 0.0)}
    base = {False: 312.0, True: 78.0}
    floor = TOP - SKETCH + 14

    def at(point: Vec2, plan: bool) -> Vec2:
        return (
            corners[plan][0] + (point[0] - 150.0) * scale,
            floor + (point[1] - base[plan]) * scale,
        )

    for line in whole.lines:
        plan = max(point[1] for point in line.points) < SPLIT
        moved = tuple(at(point, plan) for point in line.points)
        sheet.lines.append(line._replace(points=moved))
    for text in whole.texts:
        sheet.texts.append(text._replace(at=at(text.at, text.at[1] < SPLIT), size=SMALL - 1))
    spots: dict[bool, dict[str, Vec2]] = {False: {}, True: {}}
    for number, row in enumerate(rows, 1):
        place = span(row.field)
        tip = at(place.at, place.plan)
        if place.start is not None and place.start != place.at:
            tail = at(place.start, place.plan)
            sheet.line(tail, tip, kind="wide")
            sheet.head(arrow(tip, tail, 9.0))
        spots[place.plan][str(number)] = tip
    for plan, own in spots.items():
        left = MARGIN + (half + gap if plan else 0.0)
        sheet.box(left, floor - 10, half, SKETCH - 8, "narrow")
        balloons(sheet, own, (left + 2, floor - 8, half - 4, SKETCH - 24), SMALL)

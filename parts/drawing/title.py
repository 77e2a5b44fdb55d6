"""The title block of a part drawing (data fields after ISO 7200), and its notes above it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from ...layout.reader import metric
from ..model.vectors import Vec2
from ..words import numbers as shown
from .display import Sheet
from .field import Box
from .lettering import HEIGHT, LINE, cut_to, letters, width, wrapped
from .revisions import Revision
from .revisions import draw as draw_revisions
from .revisions import lay as lay_revisions

MARGIN = 36.0
"""Points from the paper's edge to the frame."""
ROW = 17.0
"""Points a row of the title block is high."""
PAD = 5.0
SYMBOL = 32.0
"""Points the projection symbol takes."""
WIDEST_SCALE = "quarter, 1:4"
"""What a scale is said in at most, so that the block is as high at any."""
COLUMN = 350.0
"""Points a column of notes is wide at least."""


class Title(NamedTuple):
    """What the title block says; every field as printed."""

    owner: str
    title: str
    chassis: str
    number: str
    revision: str
    date: str
    level: str
    hand: str
    material: str
    thickness: str
    mass: str
    quantity: str
    size: str
    finish: str = "bare till welded"
    revisions: tuple[Revision, ...] = ()


class TitleCell(NamedTuple):
    """A field of a title block: its name and what it says."""

    name: str
    words: str
    bold: bool = True

    @property
    def wide(self) -> float:
        """Points it takes."""
        own = width(self.words, self.bold) + 2 * PAD
        if self.name == "projection":
            own += SYMBOL
        return own + (width(self.name) + PAD if self.name else 0.0)


def units() -> str:
    """Unit of every length of a drawing that has none beside it."""
    return "millimeters" if metric() else "inches"


def rows_of(title: Title, scale: str, sheet: str) -> tuple[tuple[TitleCell, ...], ...]:
    """The rows of the block, the first at the top.

    General tolerances are common practice, no source: what a tape, a drill and a brake hold.
    """
    flat = "1.5 mm in 300" if metric() else "1/16 in 12"
    cut, drilled = shown.inches(1 / 32), shown.inches(1 / 64)
    return (
        (
            TitleCell("", title.owner),
            TitleCell("", title.title),
            TitleCell("drawing", f"{title.chassis}-{title.number}"),
            TitleCell("rev", title.revision),
            TitleCell("sheet", sheet),
        ),
        (
            TitleCell("material", title.material),
            TitleCell("thick", title.thickness),
            TitleCell("over all", title.size),
            TitleCell("mass", title.mass),
            TitleCell("make", title.quantity),
            TitleCell("", title.hand),
        ),
        (
            TitleCell("scale", scale),
            TitleCell("", units()),
            TitleCell("projection", ""),
            TitleCell("date", title.date),
            TitleCell("finish", title.finish),
            TitleCell("level", title.level),
        ),
        (
            TitleCell(
                "tolerances",
                f"cut ±{cut}, drilled ±{drilled}, bend line ±{cut}, angle ±1°, flat {flat};"
                " no burrs; do not scale",
                False,
            ),
        ),
        (TitleCell("drawn by", ""), TitleCell("checked by", ""), TitleCell("approved by", "")),
    )


def shares(row: Sequence[TitleCell], room: float) -> list[float]:
    """Widths of a row's cells: what each takes and as much more; a cell alone has all of it."""
    wide = [cell.wide for cell in row]
    over = sum(wide) - room
    return [own - over / len(row) for own in wide]


def broken(rows: Sequence[Sequence[TitleCell]], room: float) -> list[list[TitleCell]]:
    """The rows, one whose fields are wider than ``room`` points broken into several."""
    found: list[list[TitleCell]] = []
    for row in rows:
        found.append([])
        for cell in row:
            if found[-1] and sum(each.wide for each in (*found[-1], cell)) > room:
                found.append([])
            found[-1].append(cell)
    return found


def block_height(title: Title, wide: float) -> float:
    """Points title and revision block take above the frame's foot; ``wide``: of the sheet,
    points.
    """
    return foot_height(rows_of(title, WIDEST_SCALE, "1 of 1"), title.revisions, wide)


def foot_height(
    rows: Sequence[Sequence[TitleCell]], revisions: Sequence[Revision], wide: float
) -> float:
    """Points a block of these rows takes with the revisions above it; ``wide``: of the sheet."""
    room = wide - 2 * MARGIN
    return ROW * len(broken(rows, room)) + lay_revisions(revisions, room).height


def draw_title(sheet: Sheet, title: Title, scale: str, count: str) -> None:
    """The block along the foot of the frame."""
    draw_block(sheet, rows_of(title, scale, count), title.revisions)


def draw_block(
    sheet: Sheet, rows: Sequence[Sequence[TitleCell]], revisions: Sequence[Revision]
) -> None:
    """Rows of fields along the foot of the frame, the first at the top, the revisions above."""
    assert sheet.size is not None
    left, right = MARGIN, sheet.size[0] - MARGIN
    rows = broken(rows, right - left)
    top = MARGIN + ROW * len(rows)
    sheet.line((left, top), (right, top), kind="wide")
    draw_revisions(sheet, lay_revisions(revisions, right - left), left, right, top)
    for index, row in enumerate(rows):
        low = top - ROW * (index + 1)
        if index + 1 < len(rows):
            sheet.line((left, low), (right, low))
        x = left
        for column, (cell, room) in enumerate(zip(row, shares(row, right - left), strict=True)):
            if column:
                sheet.line((x, low), (x, low + ROW))
            _cell(sheet, cell, x + PAD, low + (ROW - HEIGHT) / 2, room - 2 * PAD)
            x += room


def _cell(sheet: Sheet, cell: TitleCell, x: float, y: float, room: float) -> None:
    if cell.name:
        sheet.texts.append(letters((x, y), cell.name))
        taken = width(cell.name) + PAD
        if cell.name == "projection":
            _projection(sheet, (x + taken + 2, y + HEIGHT / 2))
        if cell.name.endswith(" by"):
            date = width("date") + 70
            sheet.line((x + taken, y - 1), (x + room - date - PAD, y - 1))
            sheet.texts.append(letters((x + room - date, y), "date"))
            sheet.line((x + room - date + width("date") + PAD, y - 1), (x + room, y - 1))
        x, room = x + taken, room - taken
    if cell.words:
        words = cut_to(cell.words, room, cell.bold)
        sheet.texts.append(letters((x, y), words, bold=cell.bold))


def _projection(sheet: Sheet, at: Vec2) -> None:
    """Third angle: the cone's small end seen first (ISO 5456-2)."""
    x, y = at
    for radius in (2.6, 5.2):
        turns = [index * math.tau / 24 for index in range(24)]
        sheet.poly(
            [(x + 5.2 + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns],
            "narrow",
        )
    sheet.poly(
        [(x + 15, y - 2.6), (x + 27, y - 5.2), (x + 27, y + 5.2), (x + 15, y + 2.6)], "narrow"
    )


class Notes(NamedTuple):
    """Notes laid out in columns: rows of each, and the height they take."""

    columns: tuple[tuple[str, ...], ...]
    height: float


def lay_out(lines: Sequence[str], wide: float) -> Notes:
    """Notes in as many columns as there is room for, filled evenly.

    ``lines``: a note each, broken here; ``wide``: points. Gives the columns and the height they
    take, points, 0 for no notes.
    """
    count = max(1, int(wide // COLUMN))
    room = wide / count - 2 * PAD
    rows = [row for line in lines for row in wrapped(line, room)]
    each = math.ceil(len(rows) / count) if rows else 0
    columns = tuple(tuple(rows[index * each : (index + 1) * each]) for index in range(count))
    return Notes(columns, each * LINE + (PAD if rows else 0.0))


def draw_notes(sheet: Sheet, notes: Notes, box: Box) -> None:
    """The notes in a box, from its top."""
    pitch = (box.right - box.left) / len(notes.columns)
    for index, column in enumerate(notes.columns):
        for number, row in enumerate(column):
            at = (box.left + PAD + index * pitch, box.high - HEIGHT - 2 - LINE * number)
            sheet.texts.append(letters(at, row))

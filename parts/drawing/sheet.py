"""What every sheet has: frame, title block, cautions, dimension lines, how a tube's length is
printed.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...layout.reader import metric, unit
from ...layout.units import tape, tape_and_decimal
from ..words import numbers as shown
from .display import PAGE, Sheet, fit_text, wrap

IN = 25.4
MARGIN = 36.0
ROUNDING = 1e-3
"""Share of a step on the tape that arithmetic may leave."""
SMALLEST_NOTE = 5.5
"""Points of lettering below which notes are not set."""
CELLS = (
    (8, 250, (("Chassis", "chassis"), ("Part", "part"), ("Hand", "hand"))),
    (290, 200, (("Stock", "stock"), ("Mass", "mass"), ("Quantity", "quantity"))),
    (520, 160, (("Revision", "revision"), ("Level", "level"), ("Date", "date"))),
)


def saw_length(mm: float) -> str:
    """A tube's length as it is cut, the same on every paper: sixteenths or whole mm, which is what
    it was rounded to; sixteenths with the decimal where it is a reading's own.
    """
    if metric():
        return f"{round(mm, 1) + 0.0:g}"
    n = mm / IN * 16
    if abs(n - round(n)) < ROUNDING:
        return tape(mm)
    return f"{mm:.0f} mm" if abs(mm - round(mm)) < ROUNDING else tape_and_decimal(mm)


def with_unit(length: str) -> str:
    """A length as ``saw_length`` gives it with its unit, once."""
    return length if length.endswith("mm") else f"{length} {unit('length')}"


def blank(head: dict[str, str]) -> Sheet:
    """A sheet with frame and title block (data fields after ISO 7200)."""
    s = Sheet(f"{head['chassis']} {head['part']}")
    s.box(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN)
    s.box(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, 54)
    for dx, room, rows in CELLS:
        for i, (word, key) in enumerate(rows):
            y = MARGIN + 40 - 15 * i
            s.text(MARGIN + dx, y, word, 7)
            s.text(MARGIN + dx + 42, y, fit_text(head.get(key, ""), 9.5, room - 46), 9.5, True)
    s.text(
        PAGE[0] - MARGIN - 6,
        MARGIN + 58,
        f"{'millimeters' if metric() else 'inches'}; general tolerance ±{shown.inches(1 / 32)} cut,"
        f" ±{shown.inches(1 / 64)} drilled, unless the table says so; remove burrs; do not scale",
        6.5,
        anchor="end",
    )
    return s


def notes(s: Sheet, lines: Sequence[str], top: float, room: float) -> None:
    """Notes, the cautions last, from ``top`` downward, wrapped to ``room``; smaller where they are
    many.
    """
    size = 7.5
    while size > SMALLEST_NOTE:
        rows = [r for words in lines for r in wrap(words, size, room)]
        if top - 1.32 * size * (len(rows) - 1) > MARGIN + 66:
            break
        size -= 0.5
    for i, words in enumerate(rows):
        s.text(MARGIN + 6, top - 1.32 * size * i, words, size)


def along(s: Sheet, a: float, b: float, y: float, words: str) -> None:
    """A level dimension from a to b at height y, its extension lines going up."""
    s.line((a, y), (b, y))
    for x, way in ((a, 1), (b, -1)):
        s.line((x, y - 4), (x, y + 12))
        s.line((x + 5 * way, y + 1.6), (x, y), (x + 5 * way, y - 1.6))
    s.text((a + b) / 2, y - 11, words, 8.5, anchor="middle")


def upright(s: Sheet, x: float, a: float, b: float, words: str) -> None:
    """An upright dimension from a to b at x, its extension lines going right."""
    s.line((x, a), (x, b))
    for y, way in ((a, 1), (b, -1)):
        s.line((x - 4, y), (x + 12, y))
        s.line((x - 1.6, y + 5 * way), (x, y), (x + 1.6, y + 5 * way))
    s.text(x - 5, (a + b) / 2, words, 8.5, anchor="middle", turn=90)

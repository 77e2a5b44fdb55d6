"""What every sheet has: frame, title block, cautions, dimension lines, how inches are printed."""

from __future__ import annotations

from ...layout.units import fraction
from .display import PAGE, Sheet, fit_text, wrap

IN = 25.4
MARGIN = 36.0
CAUTIONS = (
    "These are calculations, not an approval; local law decides. Have the work checked by whoever may sign for it.",
    "Before welding: battery off, fuel and brake lines moved or shielded, fire watch during and 30 min after (29 CFR 1910.252(a)(2)).",
    "Ask first whether the rail is heat-treated; if it is, or nobody knows, do not weld or heat it. No weld across a flange.",
)
CELLS = (
    (8, 250, (("Chassis", "chassis"), ("Part", "part"), ("Hand", "hand"))),
    (290, 200, (("Stock", "stock"), ("Mass", "mass"), ("Quantity", "quantity"))),
    (520, 160, (("Revision", "revision"), ("Level", "level"), ("Date", "date"))),
)


def inches(mm: float) -> str:
    """Sixteenths with the decimal beside."""
    return f"{fraction(mm)} ({mm / IN:.3f})"


def saw_length(mm: float) -> str:
    """A tube's length as it is cut, the same on every paper: sixteenths or whole mm, which is what it was rounded to; sixteenths with the decimal where it is a reading's own."""
    n = mm / IN * 16
    if abs(n - round(n)) < 1e-3:
        return fraction(mm)
    return f"{mm:.0f} mm" if abs(mm - round(mm)) < 1e-3 else inches(mm)


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
        "inches; general tolerance +-1/32 cut, +-1/64 drilled, unless the table says so; remove burrs; do not scale",
        6.5,
        anchor="end",
    )
    return s


def notes(s: Sheet, lines: list[str], top: float, room: float = PAGE[0] - 2 * MARGIN - 12) -> None:
    """Notes and the cautions under them, from ``top`` downward, wrapped to ``room``; smaller where they are many."""
    size = 7.5
    while size > 5.5:
        rows = [r for words in (*lines, *CAUTIONS) for r in wrap(words, size, room)]
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

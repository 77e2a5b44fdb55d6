"""Labels to stick on parts: on sheets of labels any stationer has, with a code a phone reads.

The code is a QR code, ISO/IEC 18004, as the PDF library makes it. Sheets of labels: 30 of
2 5/8 x 1 in on letter, 21 of 63.5 x 38.1 mm on A4 (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import NamedTuple

from ..design.part_numbers import places_in_words
from ..drawing.display import PAPERS, Sheet, width_of
from ..drawing.entities import Polyline
from ..geometry.kept import Keep, anew
from ..model.assembly import Part
from ..model.vectors import Vec2
from ..stock import IN
from ..words import names
from .engine import Doc, Drawn
from .facts import Facts

PT = 72 / IN
QUIET = 4
"""Modules of white round a code, as the standard asks."""
PAD = 3.0
"""Points from a label's edge to its lettering."""
ROW = 9.5
"""Points from one line of lettering to the next."""


class Labels(NamedTuple):
    """A sheet of labels, points: its paper, the first label's upper left corner from the paper's,
    from one to the next, each one's size, how many across and down.
    """

    paper: Vec2
    first: Vec2
    pitch: Vec2
    size: Vec2
    grid: tuple[int, int]


LETTER = Labels(PAPERS["letter"], (13.5, 36.0), (198.0, 72.0), (189.0, 72.0), (3, 10))
A4 = Labels(
    PAPERS["A4"],
    (7.2 * PT, 15.1 * PT),
    (66.0 * PT, 38.1 * PT),
    (63.5 * PT, 38.1 * PT),
    (3, 7),
)


def coded(facts: Facts, part: Part) -> str:
    """What a part's code says: chassis, part, hand and revision, as the steel and its files do."""
    return f"{facts.chassis} {names.made(part)} rev {facts.revisions[part.id]}"


@cache
def modules(words: str) -> list[str]:
    """The code's rows of modules, "1" dark."""
    from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel

    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(words)
    code.make()
    count = code.getModuleCount()
    return [
        "".join(str(int(code.isDark(row, column))) for column in range(count))
        for row in range(count)
    ]


def labels(facts: Facts, keep: Keep = anew) -> Doc:
    """A label for every part: number, name, where it goes, revision, stock, a box for the heat;
    ``keep``: gives again the codes of the same words.
    """
    words = [coded(facts, part) for part in facts.truck.parts]
    codes = keep(lambda: {each: modules(each) for each in words}, "codes", words)
    kind = A4 if facts.shop.paper in ("A4", "A3") else LETTER
    return Doc(
        "labels",
        "Part labels",
        "Stage 2, cut",
        "the table operator",
        (),
        [Drawn(sheet, kind.paper, True) for sheet in _sheets(facts, kind, codes)],
    )


def _sheets(facts: Facts, kind: Labels, codes: Mapping[str, list[str]]) -> Iterator[Sheet]:
    across, down = kind.grid
    parts = [part for part in facts.truck.parts for _ in range(part.quantity * facts.trucks)]
    for start in range(0, len(parts), across * down):
        sheet = Sheet("labels", kind.paper)
        for at, part in enumerate(parts[start : start + across * down]):
            x = kind.first[0] + kind.pitch[0] * (at % across)
            top = kind.paper[1] - kind.first[1] - kind.pitch[1] * (at // across)
            _code(sheet, codes[coded(facts, part)], *_square((x, top), kind.size))
            _label(sheet, facts, part, (x, top), kind.size)
        yield sheet


def _square(corner: Vec2, size: Vec2) -> tuple[Vec2, float]:
    """Upper left corner and side of the square a label's code has."""
    side = min(size[1], 0.4 * size[0])
    return (corner[0], corner[1] - (size[1] - side) / 2), side


def _label(sheet: Sheet, facts: Facts, part: Part, corner: Vec2, size: Vec2) -> None:
    """One label; ``corner``: its upper left."""
    x, top = corner
    side = _square(corner, size)[1]
    left, room = x + side, size[0] - side - PAD
    stock = getattr(part.member.body, "stock", "")
    rows = [
        f"rev {facts.revisions[part.id]}  {stock}",
        part.member.title,
        "to " + ", ".join(places_in_words(part.places)),
    ]
    y = top - (size[1] - 5.6 * ROW) / 2 - 1.1 * ROW
    called = f"{facts.chassis} {names.made(part)}"
    sheet.text(left, y, called, _size(called, 10.5, room, True), True)
    for row in rows:
        y -= ROW
        sheet.text(left, y, row, _size(row, 7.0, room))
    y -= 1.3 * ROW
    sheet.text(left, y, "heat", 7.0)
    sheet.box(left + 22, y - 3, room - 24, ROW + 2, "narrow")


def _size(words: str, size: float, room: float, bold: bool = False) -> float:
    """Points of lettering: ``size``, less where the words would run past the label."""
    return min(size, size * room / max(1.0, width_of(words, size, bold)))


def _code(sheet: Sheet, rows: list[str], corner: Vec2, side: float) -> None:
    """A code in a square; ``corner``: its upper left."""
    step = side / (len(rows) + 2 * QUIET)
    x0, y0 = corner[0] + QUIET * step, corner[1] - QUIET * step
    for down, row in enumerate(rows):
        column = 0
        while column < len(row):
            run = len(row[column:]) - len(row[column:].lstrip("1"))
            if run:
                x, y = x0 + column * step, y0 - down * step
                wide = run * step
                corners = ((x, y), (x + wide, y), (x + wide, y - step), (x, y - step))
                sheet.lines.append(Polyline(corners, "narrow", closed=True, edge=False, solid=True))
            column += max(run, 1)

"""One display list for every sheet; written as PDF by reportlab; a part drawing as DXF too, see
``drawing_file``.

Coordinates in points, origin lower left.

Text is set in an embedded face in the PDF and as TEXT in the DXF. Line kinds after ISO 128: wide
continuous for visible edges, narrow continuous for dimensions, dashed narrow for scribed lines.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

from ..model.vectors import Vec2
from .entities import DASHES, WIDTHS, Kind, Polyline, Text
from .fonts import face

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from .placed_view import View

TOOL = "soapstone"
PAGE = (792.0, 612.0)
PAPERS = {
    "letter": (612.0, 792.0),
    "tabloid": (792.0, 1224.0),
    "A4": (595.28, 841.89),
    "A3": (841.89, 1190.55),
}
"""Portrait, points."""


class Sheet:
    """A page being drawn.

    ``size``: points, its own, or None for letter fitted to the shop's paper; ``view``: of a part's
    drawing; ``foot``: nominal size and narrowness of the line below the frame.
    """

    def __init__(self, title: str, size: Vec2 | None = None) -> None:
        self.title = title
        self.size = size
        self.lines: list[Polyline] = []
        self.texts: list[Text] = []
        self.view: View | None = None
        self.foot: tuple[float, float] = (7.0, 1.0)

    def head(self, points: Sequence[Vec2]) -> None:
        """Add a filled arrowhead."""
        self.lines.append(Polyline(tuple(points), "narrow", True, solid=True))

    def line(self, *points: Vec2, kind: Kind = "narrow", closed: bool = False) -> None:
        """Add a polyline."""
        self.lines.append(Polyline(points, kind, closed))

    def poly(self, points: Sequence[Vec2], kind: Kind = "wide", closed: bool = True) -> None:
        """Add a loop."""
        self.lines.append(Polyline(tuple(points), kind, closed))

    def face(self, points: Sequence[Vec2], edge: bool = True) -> None:
        """Add a white face, with its edge or without: a picture's."""
        self.lines.append(Polyline(tuple(points), "narrow", True, True, edge))

    def box(self, x: float, y: float, w: float, h: float, kind: Kind = "wide") -> None:
        """Add a rectangle."""
        self.line((x, y), (x + w, y), (x + w, y + h), (x, y + h), kind=kind, closed=True)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = 8.0,
        bold: bool = False,
        anchor: Literal["start", "middle", "end"] = "start",
        turn: float = 0.0,
    ) -> None:
        """Add a line of text."""
        if words:
            self.texts.append(Text((x, y), words, size, bold, anchor, turn))


def width_of(words: str, size: float, bold: bool = False) -> float:
    """Width of a text in points, by the font's own table."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(words, *face(size, bold)))


def wrap(words: str, size: float, room: float) -> list[str]:
    """Lines no wider than ``room``."""
    rows, row = [], ""
    for word in words.split():
        if row and width_of(f"{row} {word}", size) > room:
            rows.append(row)
            row = word
        else:
            row = f"{row} {word}".strip()
    return [*rows, row] if row else rows


def fit_text(words: str, size: float, room: float) -> str:
    """The text cut to a width, with dots if anything is lost."""
    if width_of(words, size) <= room:
        return words
    while words and width_of(words + " ...", size) > room:
        words = words[:-1]
    return words + " ..."


def signed(c: Canvas, title: str, shop: str) -> None:
    """What a PDF says of itself: title, shop, tool."""
    c.setTitle(title)
    c.setAuthor(shop)
    c.setCreator(TOOL)
    c.setProducer(TOOL)
    c.setSubject("")


def pdf(sheets: Sequence[Sheet], paper: str = "letter", foot: str = "", shop: str = "") -> bytes:
    """All sheets as one PDF on landscape paper, letter fitted to what there is, ``foot`` below the
    frame of each; same sheets, same bytes. KeyError for a paper nobody knows.
    """
    from reportlab.pdfgen.canvas import Canvas

    tall, wide = PAPERS[paper]
    k = min(wide / PAGE[0], tall / PAGE[1])
    out = io.BytesIO()
    c = Canvas(out, pagesize=(wide, tall), invariant=1, initialFontName=face(8)[0])
    signed(c, sheets[0].title, shop)
    for s in sheets:
        if s.size:
            c.setPageSize(s.size)
        elif paper != "letter":
            c.translate((wide - k * PAGE[0]) / 2, (tall - k * PAGE[1]) / 2)
            c.scale(k, k)
        paint(c, s)
        size, narrow = s.foot
        c.setFont(*face(size))
        if narrow != 1.0:
            c.translate(36 * (1 - narrow), 0)
            c.scale(narrow, 1.0)
        c.drawString(36, 24 if narrow == 1.0 else 20, foot)
        c.showPage()
    c.save()
    return out.getvalue()


def paint(c: Canvas, s: Sheet) -> None:
    """A sheet's lines and texts on a canvas."""
    c.setFillGray(1.0)
    for ln in s.lines:
        c.setLineWidth(WIDTHS[ln.kind])
        c.setDash(list(DASHES.get(ln.kind, ())))
        p = c.beginPath()
        p.moveTo(*ln.points[0])
        for q in ln.points[1:]:
            p.lineTo(*q)
        if ln.closed:
            p.close()
        if ln.solid:
            c.setFillGray(0.0)
        c.drawPath(p, stroke=int(ln.edge), fill=int(ln.white or ln.solid))
        if ln.solid:
            c.setFillGray(1.0)
    c.setFillGray(0.0)
    for t in s.texts:
        c.saveState()
        c.setFont(*face(t.size, t.bold))
        c.translate(*t.at)
        c.rotate(t.turn)
        if t.narrow != 1.0:
            c.scale(t.narrow, 1.0)
        {"start": c.drawString, "middle": c.drawCentredString, "end": c.drawRightString}[t.anchor](
            0, 0, t.words
        )
        c.restoreState()

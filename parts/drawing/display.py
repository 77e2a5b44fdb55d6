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
from ..words.terms import spoken
from .entities import DASHES, WIDTHS, LineKind, Polyline, Text
from .fonts import face

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from .placed_view import PlacedView

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
        self.view: PlacedView | None = None
        self.foot: tuple[float, float] = (7.0, 1.0)

    def head(self, points: Sequence[Vec2]) -> None:
        """Add a filled arrowhead."""
        self.lines.append(Polyline(tuple(points), "narrow", True, solid=True))

    def line(self, *points: Vec2, kind: LineKind = "narrow", closed: bool = False) -> None:
        """Add a polyline."""
        self.lines.append(Polyline(points, kind, closed))

    def poly(self, points: Sequence[Vec2], kind: LineKind = "wide", closed: bool = True) -> None:
        """Add a loop."""
        self.lines.append(Polyline(tuple(points), kind, closed))

    def face(self, points: Sequence[Vec2], edge: bool = True) -> None:
        """Add a white face, with its edge or without: a picture's."""
        self.lines.append(Polyline(tuple(points), "narrow", True, True, edge))

    def box(self, x: float, y: float, wide: float, high: float, kind: LineKind = "wide") -> None:
        """Add a rectangle."""
        self.line(
            (x, y), (x + wide, y), (x + wide, y + high), (x, y + high), kind=kind, closed=True
        )

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
    """Width of a text in points, by the font's own table; ``size``: nominal, points."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(spoken(words), *face(size, bold)))


def wrap(words: str, size: float, room: float, bold: bool = False) -> list[str]:
    """The words broken into lines.

    ``size``: nominal, points, of the face they are set in, ``bold`` or not; ``room``: width,
    points. A word wider than the room stands on a line of its own, unbroken.
    """
    rows, row = [], ""
    for word in spoken(words).split():
        if row and width_of(f"{row} {word}", size, bold) > room:
            rows.append(row)
            row = word
        else:
            row = f"{row} {word}".strip()
    return [*rows, row] if row else rows


def fit_text(words: str, size: float, room: float) -> str:
    """The text cut to a width, with dots if anything is lost.

    ``size``: nominal, points; ``room``: width, points.
    """
    words = spoken(words)
    if width_of(words, size) <= room:
        return words
    while words and width_of(words + " ...", size) > room:
        words = words[:-1]
    return words + " ..."


def signed(canvas: Canvas, title: str, shop: str) -> None:
    """What a PDF says of itself: title, shop, tool."""
    canvas.setTitle(title)
    canvas.setAuthor(shop)
    canvas.setCreator(TOOL)
    canvas.setProducer(TOOL)
    canvas.setSubject("")


def pdf(sheets: Sequence[Sheet], paper: str = "letter", foot: str = "", shop: str = "") -> bytes:
    """All sheets as one PDF on landscape paper, letter fitted to what there is, ``foot`` below the
    frame of each; same sheets, same bytes. KeyError for a paper nobody knows.
    """
    from reportlab.pdfgen.canvas import Canvas

    tall, wide = PAPERS[paper]
    scale = min(wide / PAGE[0], tall / PAGE[1])
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(wide, tall), invariant=1, initialFontName=face(8)[0])
    signed(canvas, sheets[0].title, shop)
    for sheet in sheets:
        if sheet.size:
            canvas.setPageSize(sheet.size)
        elif paper != "letter":
            canvas.translate((wide - scale * PAGE[0]) / 2, (tall - scale * PAGE[1]) / 2)
            canvas.scale(scale, scale)
        paint(canvas, sheet)
        size, narrow = sheet.foot
        room = (sheet.size or PAGE)[0] - 72
        size = min(size, size * room / max(1.0, narrow * width_of(foot, size)))
        canvas.setFont(*face(size))
        if narrow != 1.0:
            canvas.translate(36 * (1 - narrow), 0)
            canvas.scale(narrow, 1.0)
        canvas.drawString(36, 24 if narrow == 1.0 else 20, spoken(foot))
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def paint(canvas: Canvas, sheet: Sheet) -> None:
    """A sheet's lines and texts on a canvas."""
    canvas.setFillGray(1.0)
    for line in sheet.lines:
        canvas.setLineWidth(WIDTHS[line.kind])
        canvas.setDash(list(DASHES.get(line.kind, ())))
        path = canvas.beginPath()
        path.moveTo(*line.points[0])
        for point in line.points[1:]:
            path.lineTo(*point)
        if line.closed:
            path.close()
        if line.solid:
            canvas.setFillGray(0.0)
        canvas.drawPath(path, stroke=int(line.edge), fill=int(line.white or line.solid))
        if line.solid:
            canvas.setFillGray(1.0)
    canvas.setFillGray(0.0)
    for text in sheet.texts:
        canvas.saveState()
        canvas.setFont(*face(text.size, text.bold))
        canvas.translate(*text.at)
        canvas.rotate(text.turn)
        if text.narrow != 1.0:
            canvas.scale(text.narrow, 1.0)
        {
            "start": canvas.drawString,
            "middle": canvas.drawCentredString,
            "end": canvas.drawRightString,
        }[text.anchor](0, 0, spoken(text.words))
        canvas.restoreState()

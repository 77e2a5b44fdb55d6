"""One display list for every sheet; written as PDF by reportlab and as DXF by ezdxf.

Coordinates in points, origin lower left.

Text is set in an embedded face in the PDF and as TEXT in the DXF. Line kinds after ISO 128: wide
continuous for visible edges, narrow continuous for dimensions, dashed narrow for scribed lines.
"""

from __future__ import annotations

import io
import itertools
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, NamedTuple

from ..model.vectors import Vec2
from .fonts import face

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

TOOL = "soapstone"
PAGE = (792.0, 612.0)
PAPERS = {
    "letter": (612.0, 792.0),
    "tabloid": (792.0, 1224.0),
    "A4": (595.28, 841.89),
    "A3": (841.89, 1190.55),
}
"""Portrait, points."""
LEVEL = 1e-12
"""Points over which a line that rises less is level."""
PAPER_SCALE = 72 / 25.4
"""Points a millimeter of paper."""
Kind = Literal["wide", "narrow", "dashed"]
WIDTHS: dict[str, float] = {"wide": 1.4, "narrow": 0.5, "dashed": 0.5}
LAYERS = {
    "wide": ("VISIBLE", 7, 50),
    "narrow": ("THIN", 8, 18),
    "dashed": ("SCRIBED", 3, 18),
    "text": ("TEXT", 7, 18),
}


class Polyline(NamedTuple):
    """A polyline; ``closed`` joins the last point to the first; ``white`` hides what was drawn
    before within it, which a DXF cannot, so it is left out there.
    """

    points: tuple[Vec2, ...]
    kind: Kind
    closed: bool = False
    white: bool = False
    edge: bool = True


class Text(NamedTuple):
    """One line of lettering.

    ``anchor``: start, middle or end. ``turn`` in degrees. ``cover``: white behind it.
    """

    at: Vec2
    words: str
    size: float
    bold: bool = False
    anchor: Literal["start", "middle", "end"] = "start"
    turn: float = 0.0


class Sheet:
    """A page being drawn."""

    def __init__(self, title: str) -> None:
        self.title = title
        # what the drawing file is scaled by: points a millimeter of the part, and where its lower
        # left is; paper size without
        self.scale, self.origin = PAPER_SCALE, (0.0, 0.0)
        self.lines: list[Polyline] = []
        self.texts: list[Text] = []

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


def clear(
    s: Sheet, at: Vec2, words: str, size: float, bold: bool = False, prefer: float = 0.0
) -> Vec2:
    """Where to letter ``words`` (middle of its foot) near a point so that it lies on no line and no
    other text: round the point, from direction ``prefer`` (rad) outward; the nearest try where
    nothing is free.
    """
    w, h = width_of(words, size, bold), 0.72 * size
    first: Vec2 | None = None
    for reach in (6.5, 9.0, 12.0, 16.0, 21.0):
        for k in (0, 1, -1, 2, -2, 3, -3, 4):
            a = prefer + k * math.pi / 4
            mid = (
                at[0] + (reach + w / 2 * abs(math.cos(a))) * math.cos(a),
                at[1] + reach * math.sin(a),
            )
            box = (
                mid[0] - w / 2 - 0.8,
                mid[1] - h / 2 - 0.8,
                mid[0] + w / 2 + 0.8,
                mid[1] + h / 2 + 0.8,
            )
            spot = (mid[0], mid[1] - h / 2)
            first = first or spot
            if not any(_meets(ln, box) for ln in s.lines) and not any(
                _over(t, box) for t in s.texts
            ):
                return spot
    assert first is not None
    return first


def _over(t: Text, box: tuple[float, float, float, float]) -> bool:
    w, h = width_of(t.words, t.size, t.bold), 0.72 * t.size
    x = t.at[0] - {"start": 0.0, "middle": w / 2, "end": w}[t.anchor]
    low, high = (
        ((x, t.at[1]), (x + w, t.at[1] + h))
        if not t.turn
        else ((t.at[0] - h, t.at[1] - w / 2), (t.at[0], t.at[1] + w / 2))
    )
    return low[0] < box[2] and box[0] < high[0] and low[1] < box[3] and box[1] < high[1]


def _meets(ln: Polyline, box: tuple[float, float, float, float]) -> bool:
    pts = (*ln.points, ln.points[0]) if ln.closed else ln.points
    return any(crosses(p, q, box) for p, q in itertools.pairwise(pts))


def crosses(p: Vec2, q: Vec2, box: tuple[float, float, float, float]) -> bool:
    """Whether a line runs through a box."""
    t0, t1 = 0.0, 1.0
    for i in (0, 1):
        d = q[i] - p[i]
        for a, c in ((-d, p[i] - box[i]), (d, box[i + 2] - p[i])):
            if abs(a) < LEVEL:
                if c < 0:
                    return False
            elif a < 0:
                t0 = max(t0, c / a)
            else:
                t1 = min(t1, c / a)
    return t0 < t1


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
        if paper != "letter":
            c.translate((wide - k * PAGE[0]) / 2, (tall - k * PAGE[1]) / 2)
            c.scale(k, k)
        paint(c, s)
        c.setFont(*face(7))
        c.drawString(36, 24, foot)
        c.showPage()
    c.save()
    return out.getvalue()


def paint(c: Canvas, s: Sheet) -> None:
    """A sheet's lines and texts on a canvas."""
    c.setFillGray(1.0)
    for ln in s.lines:
        c.setLineWidth(WIDTHS[ln.kind])
        c.setDash(5, 3) if ln.kind == "dashed" else c.setDash()
        p = c.beginPath()
        p.moveTo(*ln.points[0])
        for q in ln.points[1:]:
            p.lineTo(*q)
        if ln.closed:
            p.close()
        c.drawPath(p, stroke=int(ln.edge), fill=int(ln.white))
    c.setFillGray(0.0)
    for t in s.texts:
        c.saveState()
        c.setFont(*face(t.size, t.bold))
        c.translate(*t.at)
        c.rotate(t.turn)
        {"start": c.drawString, "middle": c.drawCentredString, "end": c.drawRightString}[t.anchor](
            0, 0, t.words
        )
        c.restoreState()


def dxf(sheet: Sheet, unit: str = "in") -> bytes:
    """The same sheet as a drawing DXF (R2010), the part 1:1 in model space with its lower left at
    the origin, what stands about it scaled with it; paper size where the sheet is not to scale.
    ``unit``: in or mm, in the header too. Not a cut file: its layers say so.
    """
    import ezdxf
    from ezdxf.enums import TextEntityAlignment

    from ..export.cut import text_of

    ezdxf.options.write_fixed_meta_data_for_testing = True
    k = 1 / sheet.scale / (25.4 if unit == "in" else 1.0)
    doc = ezdxf.new("R2010", units=1 if unit == "in" else 4)
    doc.linetypes.add("DASHES", [72 * k * x for x in (0.12, 0.08, -0.04)])

    def at(x: float, y: float) -> Vec2:
        return (x - sheet.origin[0]) * k, (y - sheet.origin[1]) * k

    for kind, (name, colour, weight) in LAYERS.items():
        doc.layers.add(
            name,
            color=colour,
            lineweight=weight,
            linetype="DASHES" if kind == "dashed" else "Continuous",
        )
    space = doc.modelspace()
    for ln in (x for x in sheet.lines if not x.white):
        space.add_lwpolyline(
            [at(x, y) for x, y in ln.points],
            close=ln.closed,
            dxfattribs={"layer": LAYERS[ln.kind][0]},
        )
    place = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    for t in sheet.texts:
        entity = space.add_text(
            t.words, height=0.72 * t.size * k, rotation=t.turn, dxfattribs={"layer": "TEXT"}
        )
        entity.set_placement(at(*t.at), align=place[t.anchor])
    return text_of(doc).encode()

"""One dimensioned sheet per plate, PDF, letter landscape. Dimensions run from the datum edges, never in chains."""

from __future__ import annotations

import io

from ...layout.units import fraction
from .. import outline
from ..model import Part, Plate, Scribe, Vec2, Weld
from ..stock import IN, plate

PAGE = (792.0, 612.0)
MARGIN = 36.0
CAUTIONS = (
    "These are calculations, not an approval; local law decides. Have the work checked by whoever may sign for it.",
    "Before welding: battery off, fuel and brake lines moved or shielded, fire watch during and 30 min after (29 CFR 1910.252(a)(2)).",
    "Ask first whether the rail is heat-treated; if it is, or nobody knows, do not weld or heat it. No weld across a flange.",
)


def _inches(mm: float) -> str:
    return f"{fraction(mm)} ({mm / IN:.3f})"


def sheet(part: Part, scribes: tuple[Scribe, ...], welds: tuple[Weld, ...], head: dict[str, str]) -> bytes:
    """PDF bytes of one part's drawing; the same part gives the same bytes."""
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    c = Canvas(out, pagesize=PAGE, invariant=1)
    c.setTitle(f"{head['chassis']} {part.id} {part.member.title}")
    _view(c, part, scribes)
    _notes(c, part, welds)
    _title(c, part, head)
    c.showPage()
    c.save()
    return out.getvalue()


def _view(c, part: Part, scribes: tuple[Scribe, ...]) -> None:  # type: ignore[no-untyped-def]
    body = part.member.body
    assert isinstance(body, Plate)
    x0, y0, x1, y1 = outline.bbox(body.outline)
    k = min(620.0 / (x1 - x0), 190.0 / (y1 - y0))
    left, low = (PAGE[0] - k * (x1 - x0)) / 2 + 20, 330.0

    def at(p: Vec2) -> Vec2:
        return left + (p[0] - x0) * k, low + (p[1] - y0) * k

    c.setLineWidth(1.4)
    for loop in (body.outline, *body.openings):
        _path(c, [at(p) for p in outline.flatten(loop, 0.2)])
    c.setLineWidth(0.5)
    for s in scribes:
        c.setDash() if s.role == "text" else c.setDash(8, 3)
        for line in s.strokes:
            for a, b in zip(line, line[1:], strict=False):
                c.line(*at(a), *at(b))
    c.setDash()
    c.setFont("Helvetica", 8)
    stops = sorted({round((b[0] + b[2]) / 2, 3) for b in map(outline.bbox, body.openings)} | {round(s.strokes[0][0][0], 3) for s in scribes if s.role == "centre"})
    for row, x in enumerate((*stops, x1)):
        _along(c, at((x0, y0))[0], at((x, y0))[0], low - 24 - 18 * row, low - 4, _inches(x - x0))
    _upright(c, left - 26, at((x0, y0))[1], at((x0, y1))[1], left - 4, _inches(y1 - y0))
    for o in body.openings[:1]:
        b = outline.bbox(o)
        c.drawString(left, low + (y1 - y0) * k + 12,
                     f"{len(body.openings)} slots {_inches(b[2] - b[0])} wide x {_inches(b[3] - b[1])} long, round ends, on the mid height")
    c.drawString(left, low + (y1 - y0) * k + 26, "Lettered face out, away from the rail; lettering reads upright on the truck. Dashed: scribe lines - long pair = ends of the cut, middle = under the coil. Inches.")


def _path(c, pts: list[Vec2]) -> None:  # type: ignore[no-untyped-def]
    p = c.beginPath()
    p.moveTo(*pts[0])
    for q in pts[1:]:
        p.lineTo(*q)
    p.close()
    c.drawPath(p)


def _along(c, a: float, b: float, y: float, top: float, text: str) -> None:  # type: ignore[no-untyped-def]
    c.line(a, y, b, y)
    c.line(b, y - 3, b, top)
    c.line(a, y - 3, a, top)
    c.line(b - 4, y - 1.5, b, y)
    c.line(b - 4, y + 1.5, b, y)
    w = c.stringWidth(text, "Helvetica", 8)
    m = b - 8 - w if b - a > w + 20 else b + 6
    c.setFillGray(1)
    c.rect(m - 2, y - 3, w + 4, 8, stroke=0, fill=1)
    c.setFillGray(0)
    c.drawString(m, y - 2.5, text)


def _upright(c, x: float, a: float, b: float, right: float, text: str) -> None:  # type: ignore[no-untyped-def]
    c.line(x, a, x, b)
    c.line(x - 3, a, right, a)
    c.line(x - 3, b, right, b)
    c.saveState()
    c.translate(x - 6, (a + b) / 2)
    c.rotate(90)
    c.drawCentredString(0, 0, text)
    c.restoreState()


def _notes(c, part: Part, welds: tuple[Weld, ...]) -> None:  # type: ignore[no-untyped-def]
    m = part.member
    lines = [f"Sits: {m.ref}. Fixed after: {m.fixed_after}.", "Welds:"]
    lines += [f"  {w.id}: {w.kind} {w.leg / IN:.3f} in leg along {', '.join(w.edges)}" + (f", {w.run / IN:g} in on {w.pitch / IN:g} in centres" if w.run else "")
              for w in welds]
    lines += ["Cautions:", *("  " + t for t in CAUTIONS)]
    c.setFont("Helvetica", 8.5)
    for i, t in enumerate(lines):
        c.drawString(MARGIN + 6, 222 - 12 * i, t)


def _title(c, part: Part, head: dict[str, str]) -> None:  # type: ignore[no-untyped-def]
    m = part.member
    assert isinstance(m.body, Plate)
    c.setLineWidth(1.4)
    c.rect(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN)
    c.rect(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, 54)
    stockrow = plate(m.body.stock)
    hand = {"L": "LEFT", "R": "RIGHT", "E": "either"}[part.hand]
    cells = ((MARGIN + 8, (("Chassis", head["chassis"]), ("Part", f"{m.code}  {m.title}"), ("Hand", hand))),
             (MARGIN + 250, (("Plate", f"{stockrow.key}, {stockrow.t / IN:.4f} in"), ("Mass", f"{part.mass * 2.20462:.1f} lb"), ("Quantity", str(part.quantity)))),
             (MARGIN + 500, (("Revision", head["revision"]), ("Level", "DRAFT - not released"), ("Date", head["date"]))))
    for x, rows in cells:
        for i, (k, v) in enumerate(rows):
            c.setFont("Helvetica", 7)
            c.drawString(x, MARGIN + 40 - 15 * i, k)
            c.setFont("Helvetica-Bold", 9.5)
            c.drawString(x + 42, MARGIN + 40 - 15 * i, v[:40])

"""One dimensioned sheet per plate, PDF, letter landscape.

Every corner is numbered and given from the lower-left datum of the part, so the outline can be rebuilt from the sheet;
holes stand in a table with how they are made. Overall sizes are dimensioned on the view.
"""

from __future__ import annotations

import io

from .. import finish, marks, outline
from ..model import Part, Plate, Vec2, Weld
from ..stock import IN, Shop
from .sheet import CAUTIONS, MARGIN, PAGE, inches, title_block

VIEW = (70.0, 268.0, 400.0, 252.0)
"""Left, bottom, width, height of the view, points."""
MOST_ROWS = 24


def sheet(part: Part, welds: tuple[Weld, ...], head: dict[str, str], shop: Shop) -> bytes:
    """PDF bytes of one plate's drawing; the same part gives the same bytes."""
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    c = Canvas(out, pagesize=PAGE, invariant=1)
    c.setTitle(f"{head['chassis']} {part.id} {part.member.title}")
    body = part.member.body
    assert isinstance(body, Plate)
    p = shop.plate(body.stock)
    title_block(c, head | {"part": f"{part.id.rpartition('.')[0]}  {part.member.title}", "hand": _hand(part), "stock": f"{p.key}, {p.thickness / IN:.4f} in",
                           "mass": f"{part.mass * 2.20462:.2f} lb each", "quantity": str(part.quantity)})
    corners = _corners(body)
    _view(c, part, corners)
    _tables(c, part, corners)
    _notes(c, part, welds)
    c.showPage()
    c.save()
    return out.getvalue()


def _hand(part: Part) -> str:
    side = part.id.rpartition(".")[2]
    return {"L": "LEFT", "R": "RIGHT", "E": "centre" if side == "C" else "fits both sides"}[part.hand]


def _corners(body: Plate) -> list[tuple[Vec2, float]]:
    """Start of every edge of outline and openings (round openings left out), with the arc radius to the next, 0 = straight."""
    found = []
    for loop in (body.outline, *(o for o in body.openings if not outline.is_circle(o))):
        for e, q in outline.spans(loop):
            found.append((e.start, outline.arc_of(e.start, q, e.bulge).radius if e.bulge else 0.0))
    return found


def _view(c, part: Part, corners: list[tuple[Vec2, float]]) -> None:  # type: ignore[no-untyped-def]
    body = part.member.body
    assert isinstance(body, Plate)
    x0, y0, x1, y1 = outline.bbox(body.outline)
    k = min(VIEW[2] / (x1 - x0), VIEW[3] / (y1 - y0))
    left, low = VIEW[0] + (VIEW[2] - k * (x1 - x0)) / 2, VIEW[1] + (VIEW[3] - k * (y1 - y0)) / 2

    def at(p: Vec2) -> Vec2:
        return left + (p[0] - x0) * k, low + (p[1] - y0) * k

    c.setLineWidth(1.4)
    for loop in (body.outline, *body.openings, *(finish.slot_loop(h) for h in part.holes if h.how == "cut")):
        _path(c, [at(p) for p in outline.flatten(loop, 0.02)], True)
    c.setLineWidth(0.4)
    for m in part.marks:
        c.setDash(6, 3) if m.role not in ("text", "drill") else c.setDash()
        for line in m.strokes:
            _path(c, [at(p) for p in line], False)
    c.setDash()
    for i, h in enumerate(part.holes, 1):
        x, y = at(h.at)
        c.line(x - 7, y, x + 7, y)
        c.line(x, y - 7, x, y + 7)
        c.setFont("Helvetica-Bold", 8)
        c.drawRightString(x - 4, y + 4, f"H{i}")
    c.setFont("Helvetica", 6.5)
    mid = at(((x0 + x1) / 2, (y0 + y1) / 2))
    taken: list[Vec2] = []
    for i, (p, _) in enumerate(corners, 1):
        x, y = at(p)
        c.circle(x, y, 1.3, fill=1)
        side, lx, ly = (1 if x >= mid[0] else -1), x + (7 if x >= mid[0] else -7), y + (4 if y >= mid[1] else -8)
        while any(abs(lx - u) < 9 and abs(ly - v) < 7 for u, v in taken):
            lx += 9 * side
        taken.append((lx, ly))
        c.drawCentredString(lx, ly, str(i))
    c.setFont("Helvetica", 8.5)
    _along(c, at((x0, y0))[0], at((x1, y0))[0], low - 26, inches(x1 - x0))
    _upright(c, left - 24, at((x0, y0))[1], at((x0, y1))[1], inches(y1 - y0))


def _path(c, pts: list[Vec2], close: bool) -> None:  # type: ignore[no-untyped-def]
    p = c.beginPath()
    p.moveTo(*pts[0])
    for q in pts[1:]:
        p.lineTo(*q)
    if close:
        p.close()
    c.drawPath(p)


def _along(c, a: float, b: float, y: float, text: str) -> None:  # type: ignore[no-untyped-def]
    c.line(a, y, b, y)
    for x, s in ((a, 1), (b, -1)):
        c.line(x, y - 4, x, y + 12)
        c.line(x, y, x + 5 * s, y + 1.6)
        c.line(x, y, x + 5 * s, y - 1.6)
    c.drawCentredString((a + b) / 2, y - 11, text)


def _upright(c, x: float, a: float, b: float, text: str) -> None:  # type: ignore[no-untyped-def]
    c.line(x, a, x, b)
    for y, s in ((a, 1), (b, -1)):
        c.line(x - 4, y, x + 12, y)
        c.line(x, y, x - 1.6, y + 5 * s)
        c.line(x, y, x + 1.6, y + 5 * s)
    c.saveState()
    c.translate(x - 5, (a + b) / 2)
    c.rotate(90)
    c.drawCentredString(0, 0, text)
    c.restoreState()


def _tables(c, part: Part, corners: list[tuple[Vec2, float]]) -> None:  # type: ignore[no-untyped-def]
    body = part.member.body
    assert isinstance(body, Plate)
    x0, y0, *_ = outline.bbox(body.outline)
    x, y = 520.0, PAGE[1] - MARGIN - 16
    c.setFont("Helvetica-Bold", 8)
    c.drawString(x, y, "Corners, inches from the lower-left datum")
    c.drawString(x, y - 11, "no        x            y        radius to next")
    c.setFont("Helvetica", 7.5)
    y -= 21
    for i, (p, r) in enumerate(corners[:MOST_ROWS], 1):
        for dx, t in ((0, str(i)), (26, f"{(p[0] - x0) / IN:.3f}"), (72, f"{(p[1] - y0) / IN:.3f}"), (118, f"{r / IN:.3f}" if r else "straight")):
            c.drawString(x + dx, y, t)
        y -= 9.2
    if len(corners) > MOST_ROWS:
        c.drawString(x, y, f"and {len(corners) - MOST_ROWS} more: corners table of the schedules")
        y -= 9.2
    rounds = [o for o in map(outline.is_circle, body.openings) if o]
    if part.holes or rounds:
        y -= 8
        c.setFont("Helvetica-Bold", 8)
        c.drawString(x, y, "Holes")
        c.setFont("Helvetica", 7.5)
        for i, h in enumerate(part.holes, 1):
            y -= 10
            how = "cut" if h.how == "cut" else f"drill, pilot {marks.size_text(h.pilot)}"
            size = f"{marks.size_text(h.diameter)}" + (f" x {h.length / IN:.3f} slot" if h.length else "")
            c.drawString(x, y, f"H{i}  {(h.at[0] - x0) / IN:.3f}, {(h.at[1] - y0) / IN:.3f}   {size}  {how}")
        for at, d in rounds:
            y -= 10
            c.drawString(x, y, f"opening  {(at[0] - x0) / IN:.3f}, {(at[1] - y0) / IN:.3f}   {d / IN:.3f} dia  cut")


def _notes(c, part: Part, welds: tuple[Weld, ...]) -> None:  # type: ignore[no-untyped-def]
    m = part.member
    lines = [f"Sits: {m.ref or 'see the welds'}. Fixed after: {m.fixed_after}." + (f" May move until then: {', '.join(m.moves)}." if m.moves else "")]
    for w in welds[:6]:
        run = f", {w.run / IN:g} in on {w.pitch / IN:g} in centres" if w.run else ""
        care = f" ({', '.join(sorted(w.care))})" if w.care else ""
        lines.append(f"Weld {w.id}: {w.kind} {w.leg / IN:.3f} in, {' and '.join(w.edges)} of {w.on} to {w.to}{run}{care}")
    lines += list(CAUTIONS)
    c.setFont("Helvetica", 7.5)
    for i, t in enumerate(lines):
        c.drawString(MARGIN + 6, 212 - 10.5 * i, t if c.stringWidth(t, "Helvetica", 7.5) < PAGE[0] - 2 * MARGIN - 12 else t[:150] + " ...")

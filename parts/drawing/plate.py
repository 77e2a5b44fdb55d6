"""One sheet a plate. Every corner is numbered and given from the lower-left datum, so that the outline can be rebuilt from the sheet;
holes stand in a table with how they are made."""

from __future__ import annotations

import math

from .. import bend, finish, marks, outline
from ..model import Part, Plate, Vec2, Weld
from ..stock import IN, Shop
from .display import PAGE, Sheet, fit_text
from .sheet import MARGIN, along, blank, inches, notes, upright

VIEW = (86.0, 268.0, 384.0, 252.0)
"""Left, bottom, width, height of the view, points."""
MOST_ROWS = 26
TABLE_X = 520.0
LB = 2.20462


def hand_words(part: Part) -> str:
    """Hand in words for the title block."""
    side = part.id.rpartition(".")[2]
    return {"L": "LEFT", "R": "RIGHT", "E": "centre" if side == "C" else "fits both sides"}[part.hand]


def plate_sheet(part: Part, welds: tuple[Weld, ...], head: dict[str, str], shop: Shop) -> Sheet:
    """The drawing of one plate."""
    body = part.member.body
    assert isinstance(body, Plate)
    p = shop.plate(body.stock)
    s = blank(head | {"part": f"{part.id.rpartition('.')[0]}  {part.member.title}", "hand": hand_words(part), "stock": f"{p.key}, {p.thickness / IN:.3f} in",
                      "mass": f"{part.mass * LB:.2f} lb each", "quantity": str(part.quantity)})
    corners = corner_rows(body)
    _view(s, part, corners)
    _tables(s, part, corners, p.thickness)
    notes(s, [_where(part), *(_weld(w) for w in welds[:8])], 212)
    return s


def corner_rows(body: Plate) -> list[tuple[Vec2, float]]:
    """Start of every edge of outline and openings (round openings left out), with the arc radius to the next, 0 = straight."""
    found = []
    for loop in (body.outline, *(o for o in body.openings if not outline.is_circle(o))):
        for e, q in outline.spans(loop):
            found.append((e.start, outline.arc_of(e.start, q, e.bulge).radius if e.bulge else 0.0))
    return found


def _view(s: Sheet, part: Part, corners: list[tuple[Vec2, float]]) -> None:
    body = part.member.body
    assert isinstance(body, Plate)
    x0, y0, x1, y1 = outline.bbox(body.outline)
    k = min(VIEW[2] / (x1 - x0), VIEW[3] / (y1 - y0))
    left, low = VIEW[0] + (VIEW[2] - k * (x1 - x0)) / 2, VIEW[1] + (VIEW[3] - k * (y1 - y0)) / 2

    def at(p: Vec2) -> Vec2:
        return left + (p[0] - x0) * k, low + (p[1] - y0) * k

    for loop in (body.outline, *body.openings, *(finish.slot_loop(h) for h in part.holes if h.how == "cut")):
        s.poly([at(p) for p in outline.flatten(loop, 0.02)])
    for m in part.marks:
        for stroke in m.strokes:
            s.poly([at(p) for p in stroke], "narrow" if m.role in ("text", "drill") else "dashed", False)
    for b in body.bends:
        s.line(at(b.start), at(b.end), kind="dashed")
        s.text(*at(((b.start[0] + b.end[0]) / 2, (b.start[1] + b.end[1]) / 2)), f" {b.name}, {'up' if b.angle > 0 else 'down'} {math.degrees(abs(b.angle)):.0f} deg", 7)
    for i, h in enumerate(part.holes, 1):
        x, y = at(h.at)
        s.line((x - 7, y), (x + 7, y))
        s.line((x, y - 7), (x, y + 7))
        s.text(x - 4, y + 4, f"H{i}", 8, True, "end")
    _numbers(s, [at(p) for p, _ in corners], at(((x0 + x1) / 2, (y0 + y1) / 2)))
    along(s, at((x0, y0))[0], at((x1, y0))[0], low - 26, inches(x1 - x0))
    upright(s, left - 26, at((x0, y0))[1], at((x0, y1))[1], inches(y1 - y0))


def _numbers(s: Sheet, points: list[Vec2], mid: Vec2) -> None:
    """Corner numbers outside the corners, moved down where two would fall on each other."""
    taken: list[Vec2] = []
    for i, (x, y) in enumerate(points, 1):
        s.poly([(x - 1.2, y - 1.2), (x + 1.2, y - 1.2), (x + 1.2, y + 1.2), (x - 1.2, y + 1.2)], "narrow")
        way = 1 if x >= mid[0] else -1
        at = (x + 7 * way, y + (4 if y >= mid[1] else -8))
        while any(abs(at[0] - u) < 9 and abs(at[1] - v) < 7 for u, v in taken):
            at = (at[0], at[1] - 8)
        taken.append(at)
        s.text(*at, str(i), 6.5, anchor="middle")


def _tables(s: Sheet, part: Part, corners: list[tuple[Vec2, float]], t: float) -> None:
    body = part.member.body
    assert isinstance(body, Plate)
    x0, y0, *_ = outline.bbox(body.outline)
    y = PAGE[1] - MARGIN - 16
    s.text(TABLE_X, y, "Corners, inches from the lower-left datum", 8, True)
    for dx, words in ((0, "no"), (26, "x"), (72, "y"), (118, "radius to next")):
        s.text(TABLE_X + dx, y - 11, words, 7.5, True)
    y -= 21
    for i, (p, r) in enumerate(corners[:MOST_ROWS], 1):
        for dx, words in ((0, str(i)), (26, f"{(p[0] - x0) / IN:.3f}"), (72, f"{(p[1] - y0) / IN:.3f}"), (118, f"{r / IN:.3f}" if r else "straight")):
            s.text(TABLE_X + dx, y, words, 7.5)
        y -= 9.2
    if len(corners) > MOST_ROWS:
        s.text(TABLE_X, y, f"and {len(corners) - MOST_ROWS} more: corners table of the schedules", 7.5)
        y -= 9.2
    rounds = [o for o in map(outline.is_circle, body.openings) if o]
    if part.holes or rounds:
        y -= 8
        s.text(TABLE_X, y, "Holes", 8, True)
    for i, h in enumerate(part.holes, 1):
        y -= 10
        how = "cut" if h.how == "cut" else f"drill, pilot {marks.size_text(h.pilot)}"
        size = marks.size_text(h.diameter) + (f" x {h.length / IN:.3f} slot" if h.length else "")
        s.text(TABLE_X, y, f"H{i}  {(h.at[0] - x0) / IN:.3f}, {(h.at[1] - y0) / IN:.3f}   {size}  {how}", 7.5)
    for b in body.bends:
        y -= 10
        turn = f"{'up' if b.angle > 0 else 'down'} {math.degrees(abs(b.angle)):.1f} deg, inside radius {b.radius / IN:.3f}, takes {bend.allowance(b.angle, b.radius, t) / IN:.3f} of the flat"
        s.text(TABLE_X, y, fit_text(f"Bend {b.name}: {turn}", 7.5, PAGE[0] - MARGIN - TABLE_X - 4), 7.5)
    for at, d in rounds:
        y -= 10
        s.text(TABLE_X, y, f"opening  {(at[0] - x0) / IN:.3f}, {(at[1] - y0) / IN:.3f}   {d / IN:.3f} dia  cut", 7.5)


def _where(part: Part) -> str:
    m = part.member
    may = "; ".join(f"{k} {inches(lo)} to {inches(hi)}" for k, (lo, hi) in m.moves.items())
    return f"Sits: {m.ref or 'see the welds'}. Fixed after: {m.fixed_after}." + (f" May move until then: {may}." if may else "")


def _weld(w: Weld) -> str:
    run = f", {w.run / IN:g} in on {w.pitch / IN:g} in centres" if w.run else ""
    short = f", ends {w.stop / IN:g} in short" if w.stop else ""
    care = f" ({', '.join(sorted(w.care))})" if w.care else ""
    return f"Weld {w.id}: {w.kind} {w.leg / IN:.3f} in, {' and '.join(w.edges)} of {w.on} to {w.to}{run}{short}{care}"

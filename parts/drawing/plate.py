"""One sheet a plate.

Every corner is numbered and given from the lower-left datum, so that the outline can be rebuilt
from the sheet; holes stand in a table with how they are made.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from ...layout.reader import measure, metric
from ...layout.units import tape_and_decimal as inches
from ..design import lettering as marks
from ..design.part_numbers import places_in_words, ranges
from ..geometry import bend, outline
from ..geometry.holes import slot_loop
from ..model.assembly import Part, Weld
from ..model.body import Plate
from ..model.vectors import Vec2
from ..stock import Shop
from ..words import names
from ..words import numbers as shown
from ..words.cautions import of_part
from .display import PAGE, Sheet, clear, fit_text
from .picture import LEFT_AHEAD, draw, faces
from .sheet import MARGIN, along, blank, notes, upright
from .symbols import bevel_words, symbols

TABLE_X = 528.0
VIEW = (86.0, 268.0, 316.0, 252.0)
"""Left, bottom, width, height of the view, points."""
SYMBOLS_X = 424.0
PICTURE = (TABLE_X, 120.0, 226.0, 100.0)
MOST_ROWS = 26


def hand_words(part: Part) -> str:
    """Hand in words for the title block."""
    return {"L": "LEFT", "R": "RIGHT", "E": "center" if part.centered else "fits both sides"}[
        part.hand
    ]


def plate_sheet(
    part: Part,
    welds: tuple[Weld, ...],
    head: dict[str, str],
    shop: Shop,
    numbers: Mapping[str, str],
    aside: Sequence[str] = (),
) -> Sheet:
    """The drawing of one plate.

    ``numbers``: weld's or bolt's id -> its number on maps and lists.
    """
    body = part.member.body
    assert isinstance(body, Plate)
    p = shop.plate(body.stock)
    s = blank(
        head
        | {
            "part": f"{part.number}  {part.member.title}",
            "hand": hand_words(part),
            "stock": f"{p.key}, {measure(p.thickness, 'length', 2 if metric() else 3)}",
            "mass": f"{measure(part.mass, 'mass', 2)} each",
            "quantity": str(part.quantity),
        }
    )
    corners = corner_rows(body)
    low = _tables(s, part, corners, p.thickness, numbers)
    tips, letter = _view(s, part, corners)
    own = [(tip, w, numbers.get(w.id, "")) for w in welds if w.on == part.id for tip in tips(w)]
    left = symbols(s, own, SYMBOLS_X, VIEW[1] + 10, PAGE[1] - MARGIN - 24)
    letter()
    if low > PICTURE[1] + 60:
        draw(
            s,
            faces(part.member, part, shop),
            LEFT_AHEAD,
            (*PICTURE[:3], min(PICTURE[3], low - PICTURE[1] - 14)),
        )
        s.text(
            PICTURE[0],
            PICTURE[1] - 11,
            "as it stands on the truck, from ahead, left and above",
            6.5,
        )
    others = [w for w in welds if w.to == part.id]
    more = (
        [
            "Welded to it: "
            + ", ".join(f"{numbers.get(w.id, '')} {names.part(w.on)}" for w in others)
            + "."
        ]
        if others
        else []
    )
    notes(
        s,
        [
            *aside,
            where(part),
            *([f"{left} more welds: weld schedule."] if left else []),
            *elsewhere(part, welds, numbers),
            *more,
            *_weld_notes(own, numbers),
            *of_part(part, welds),
        ],
        214,
        TABLE_X - MARGIN - 14,
    )
    return s


def elsewhere(part: Part, welds: tuple[Weld, ...], numbers: Mapping[str, str]) -> list[str]:
    """Where else a part goes than to the place drawn, with the welds there."""
    if len(part.places) < 2:
        return []
    there = set(part.places[1:])
    laid = ranges(numbers.get(w.id, w.id) for w in welds if there & {w.on, w.to})
    goes = ", ".join(places_in_words(part.places))
    return [
        f"Goes to {goes}; drawn and welded here as {names.part(part.id)}"
        + (f"; at the others {laid}." if laid else ".")
    ]


def _weld_notes(own: list[tuple[Vec2, Weld, str]], numbers: Mapping[str, str]) -> list[str]:
    """A line a weld of the part's own edges: number, edges, what to, what is left out, care."""
    seen: dict[str, str] = {}
    for _, w, number in own:
        short = f", ends {shown.room(w.stop)} short" if w.stop else ""
        care = f" ({', '.join(sorted(w.care))})" if w.care else ""
        made = f"; {bevel_words(w)}" if w.groove else ""
        seen[w.id] = f"{number} {names.edges(w.edges)} to {names.part(w.to)}{short}{care}{made}"
    return list(seen.values())


def corner_rows(body: Plate) -> list[tuple[Vec2, float]]:
    """Start of every edge of outline and openings (round openings left out), with the arc radius to
    the next, 0 = straight.
    """
    found = []
    for loop in (body.outline, *(o for o in body.openings if not outline.is_circle(o))):
        for e, q in outline.spans(loop):
            found.append((e.start, outline.arc_of(e.start, q, e.bulge).radius if e.bulge else 0.0))
    return found


def _view(
    s: Sheet, part: Part, corners: list[tuple[Vec2, float]]
) -> tuple[Callable[[Weld], list[Vec2]], Callable[[], None]]:
    """The flat with its marks, holes and overall sizes; gives where a weld's symbol points, and
    what letters corners, holes and bends once every line is drawn.
    """
    body = part.member.body
    assert isinstance(body, Plate)
    x0, y0, x1, y1 = outline.bbox(body.outline)
    k = min(VIEW[2] / (x1 - x0), VIEW[3] / (y1 - y0))
    left, low = VIEW[0] + (VIEW[2] - k * (x1 - x0)) / 2, VIEW[1] + (VIEW[3] - k * (y1 - y0)) / 2

    s.scale, s.origin = k, (left, low)

    def at(p: Vec2) -> Vec2:
        return left + (p[0] - x0) * k, low + (p[1] - y0) * k

    for loop in (
        body.outline,
        *body.openings,
        *(slot_loop(h) for h in part.holes if h.how == "cut"),
    ):
        s.poly([at(p) for p in outline.flatten(loop, 0.02)])
    for m in part.marks:
        for stroke in m.strokes:
            s.poly(
                [at(p) for p in stroke],
                "narrow" if m.role in ("text", "drill") else "dashed",
                False,
            )
    for b in body.bends:
        s.line(at(b.start), at(b.end), kind="dashed")
    for h in part.holes:
        x, y = at(h.at)
        s.line((x - 7, y), (x + 7, y))
        s.line((x, y - 7), (x, y + 7))
    _squares(s, [at(p) for p, _ in corners])
    along(s, at((x0, y0))[0], at((x1, y0))[0], low - 26, inches(x1 - x0))
    upright(s, left - 26, at((x0, y0))[1], at((x0, y1))[1], inches(y1 - y0))

    def tips(w: Weld) -> list[Vec2]:
        found = []
        for name in w.edges:
            spans = [
                (e, q)
                for loop in (body.outline, *body.openings)
                for e, q in outline.spans(loop)
                if e.name == name
            ]
            if spans:
                e, q = max(spans, key=lambda r: outline.edge_length(*r))
                pts = (
                    [*outline.edge_points(e, q, 0.2), q]
                    if e.bulge
                    else [e.start, ((e.start[0] + q[0]) / 2, (e.start[1] + q[1]) / 2), q]
                )
                found.append(at(pts[len(pts) // 2]))
        return found

    def letter() -> None:
        for b in body.bends:
            words = (
                f"{b.name}, {'up' if b.angle > 0 else 'down'} {math.degrees(abs(b.angle)):.0f} deg"
            )
            s.text(
                *clear(s, at(((b.start[0] + b.end[0]) / 2, (b.start[1] + b.end[1]) / 2)), words, 7),
                words,
                7,
                anchor="middle",
            )
        for i, h in enumerate(part.holes, 1):
            s.text(*clear(s, at(h.at), f"H{i}", 8, True, 2.3), f"H{i}", 8, True, "middle")
        _numbers(s, [at(p) for p, _ in corners], [at(p) for p in _middles(body)], len(body.outline))

    return tips, letter


def _middles(body: Plate) -> list[Vec2]:
    """Middle of the loop each corner belongs to, in the order of ``corner_rows``."""
    found: list[Vec2] = []
    for loop in (body.outline, *(o for o in body.openings if not outline.is_circle(o))):
        x0, y0, x1, y1 = outline.bbox(loop)
        found += [((x0 + x1) / 2, (y0 + y1) / 2)] * len(loop)
    return found


def _squares(s: Sheet, points: list[Vec2]) -> None:
    """A small square on every corner."""
    for x, y in points:
        s.poly(
            [(x - 1.2, y - 1.2), (x + 1.2, y - 1.2), (x + 1.2, y + 1.2), (x - 1.2, y + 1.2)],
            "narrow",
        )


def _numbers(s: Sheet, points: list[Vec2], middles: list[Vec2], outer: int) -> None:
    """Corner numbers outside the outline's corners and above or below an opening's, moved where two
    would fall on each other.
    """
    for i, ((x, y), mid) in enumerate(zip(points, middles, strict=True), 1):
        away = (
            math.atan2(y - mid[1], x - mid[0])
            if i <= outer
            else (math.pi / 2 if y >= mid[1] else -math.pi / 2)
        )
        s.text(
            *clear(s, (x, y), str(i), 6.5, prefer=round(away / (math.pi / 4)) * math.pi / 4),
            str(i),
            6.5,
            anchor="middle",
        )


def _tables(
    s: Sheet, part: Part, corners: list[tuple[Vec2, float]], t: float, numbers: Mapping[str, str]
) -> float:
    """Corners, holes, bends, openings; the height at which they end."""
    body = part.member.body
    assert isinstance(body, Plate)
    x0, y0, *_ = outline.bbox(body.outline)
    y = PAGE[1] - MARGIN - 16
    s.text(
        TABLE_X,
        y,
        f"Corners, {'millimeters' if metric() else 'inches'} from the lower-left datum",
        8,
        True,
    )
    for dx, words in ((0, "no"), (26, "x"), (72, "y"), (118, "radius to next")):
        s.text(TABLE_X + dx, y - 11, words, 7.5, True)
    y -= 21
    for i, (p, r) in enumerate(corners[:MOST_ROWS], 1):
        for dx, words in (
            (0, str(i)),
            (26, shown.fine(p[0] - x0)),
            (72, shown.fine(p[1] - y0)),
            (118, shown.fine(r) if r else "straight"),
        ):
            s.text(TABLE_X + dx, y, words, 7.5)
        y -= 9.2
    if len(corners) > MOST_ROWS:
        s.text(
            TABLE_X, y, f"and {len(corners) - MOST_ROWS} more: corners table of the schedules", 7.5
        )
        y -= 9.2
    rounds = [o for o in map(outline.is_circle, body.openings) if o]
    if part.holes or rounds:
        y -= 8
        s.text(TABLE_X, y, "Holes", 8, True)
    for i, h in enumerate(part.holes, 1):
        y -= 10
        how = "cut" if h.how == "cut" else f"drill, pilot {marks.size_text(h.pilot)}"
        size = marks.size_text(h.diameter) + (f" x {shown.fine(h.length)} slot" if h.length else "")
        s.text(
            TABLE_X,
            y,
            f"H{i}  {shown.fine(h.at[0] - x0)}, {shown.fine(h.at[1] - y0)}   {size}  {how} "
            f" {numbers.get(h.bolt, '')}".rstrip(),
            7.5,
        )
    for b in body.bends:
        y -= 10
        turn = (
            f"{'up' if b.angle > 0 else 'down'} {math.degrees(abs(b.angle)):.1f} deg, inside radius"
            f" {shown.fine(b.radius)}, takes {shown.fine(bend.allowance(b.angle, b.radius, t))} of"
            " the flat"
        )
        s.text(
            TABLE_X, y, fit_text(f"Bend {b.name}: {turn}", 7.5, PAGE[0] - MARGIN - TABLE_X - 4), 7.5
        )
    for at, d in rounds:
        y -= 10
        s.text(
            TABLE_X,
            y,
            f"opening  {shown.fine(at[0] - x0)}, {shown.fine(at[1] - y0)}   {shown.fine(d)} dia"
            "  cut",
            7.5,
        )
    return y


def where(part: Part) -> str:
    """Where it sits, from something that can be touched, and how far it may still move."""
    m = part.member
    may = "; ".join(f"{k} {inches(lo)} to {inches(hi)}" for k, (lo, hi) in m.moves.items())
    return f"Sits: {names.sentence(m.ref) or 'see the welds'}. Fixed after: {m.fixed_after}." + (
        f" May move until then: {may}." if may else ""
    )

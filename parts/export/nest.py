"""Parts on the shop's sheets: a fast fixed rule that always gives the same answer, and a better one
on request, whose places are kept so that a rebuild repeats them.

Every sheet has a check square to cut first and measure. Lengths mm; a part's own lower-left corner
is turned and moved to its place on the sheet.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from ...layout import reader
from ..geometry import outline
from ..geometry.strokes import letter
from ..model.assembly import Part
from ..model.body import Plate
from ..model.vectors import Vec2
from ..stock import IN, SheetOnHand, Shop
from ..truck.truck import is_plate
from .cut import Stroke, dxf_text, strokes

CHORD = 0.2
"""mm a chord may lie inside its arc; the spacing is made larger by as much."""
CHECK = {"in": 4.0 * IN, "mm": 100.0}
SQUARE = "CHECK"


class Piece(NamedTuple):
    """What is placed: its name, plate, corners from its lower-left, area, and how many."""

    name: str
    stock: str
    points: tuple[Vec2, ...]
    area: float
    count: int


class Placed(NamedTuple):
    """A piece on a sheet: turned by ``angle`` degrees about its lower-left corner, which then lies
    at x, y.
    """

    name: str
    angle: float
    x: float
    y: float


class Nested(NamedTuple):
    """One sheet with what is cut from it; ``used``: length taken from one end; ``rule``: "fixed" or
    "kept".
    """

    sheet: SheetOnHand
    number: int
    placed: tuple[Placed, ...]
    used: float
    area: float
    rule: str

    @property
    def remnant_name(self) -> str:
        """What to paint on what is left: never the same on two plates."""
        return f"{self.sheet.stock} R{self.number}"

    @property
    def utilisation(self) -> float:
        """Parts over the strip they take."""
        return self.area / (self.sheet.width * self.used) if self.used else 0.0

    @property
    def remnant(self) -> tuple[float, float]:
        """Width and length of what is left past the last part and its margin."""
        return self.sheet.width, max(0.0, self.sheet.length - self.used)


class Result(NamedTuple):
    """Every sheet, and what found no place with the reason."""

    sheets: tuple[Nested, ...]
    left: Mapping[str, str]


def pieces(parts: Sequence[Part], trucks: int = 1) -> list[Piece]:
    """Every plate part, as often as so many trucks take."""
    found = []
    for p in filter(is_plate, parts):
        assert isinstance(p.member.body, Plate)
        x0, y0, *_ = outline.bbox(p.member.body.outline)
        found.append(
            Piece(
                p.called,
                p.member.body.stock,
                tuple((x - x0, y - y0) for x, y in outline.flatten(p.member.body.outline, CHORD)),
                abs(outline.signed_area(p.member.body.outline)),
                p.quantity * trucks,
            )
        )
    return found


def key_of(stock: str, group: Sequence[Piece], shop: Shop) -> str:
    """Name of a nest by what decides it: outlines, counts, sheets, spacing, margin."""
    said = repr(
        (
            stock,
            [(g.name, g.count, [(round(x, 2), round(y, 2)) for x, y in g.points]) for g in group],
            shop.sheets_of(stock),
            round(shop.spacing, 3),
            round(shop.margin, 3),
            shop.unit,
        )
    )
    return hashlib.sha256(said.encode()).hexdigest()[:16]


def groups(found: Sequence[Piece]) -> dict[str, list[Piece]]:
    """Pieces by plate."""
    by: dict[str, list[Piece]] = {}
    for p in found:
        by.setdefault(p.stock, []).append(p)
    return by


def nest(
    parts: Sequence[Part], shop: Shop, kept: Mapping[str, Any] | None = None, trucks: int = 1
) -> Result:
    """Every plate of ``parts``; ``kept``: places found by ``better``, used where nothing they rest
    on changed.
    """
    sheets: list[Nested] = []
    left: dict[str, str] = {}
    for stock, group in groups(pieces(parts, trucks)).items():
        stored = (kept or {}).get(key_of(stock, group, shop))
        done, lost = (
            (_stored(stored, group, shop, stock), {})
            if stored
            else _fill(stock, group, shop, _boxes)
        )
        sheets += done
        left |= lost
    return Result(tuple(sheets), left)


def better(
    parts: Sequence[Part],
    shop: Shop,
    seconds: int,
    trucks: int = 1,
    say: Callable[[str], None] = lambda _: None,
) -> dict[str, Any]:
    """Places by a strip-packing library, about ``seconds`` a plate thickness: what ``nest`` takes
    as ``kept``. Same seed, usually but not surely the same answer.
    """
    kept = {}
    for stock, group in groups(pieces(parts, trucks)).items():
        say(f"nesting {stock}")
        fixed, _ = _fill(stock, group, shop, _boxes)
        tight, lost = _fill(
            stock, group, shop, lambda g, sheet, shop: _strip(g, sheet, shop, seconds)
        )
        best = (
            min((tight, fixed), key=lambda r: (len(r), sum(s.used for s in r)))
            if not lost
            else fixed
        )
        kept[key_of(stock, group, shop)] = {
            "stock": stock,
            "sheets": [{"name": s.sheet.name, "placed": [list(p) for p in s.placed]} for s in best],
        }
    return kept


def check_square(shop: Shop, stock: str) -> Piece:
    """A square to cut first and measure: 4.000 in, or 100 mm where the cut files are in mm."""
    a = CHECK[shop.unit]
    return Piece(SQUARE, stock, ((0.0, 0.0), (a, 0.0), (a, a), (0.0, a)), a * a, 1)


def _fill(
    stock: str,
    group: Sequence[Piece],
    shop: Shop,
    rule: Callable[[list[Piece], SheetOnHand, Shop], list[Placed]],
) -> tuple[list[Nested], dict[str, str]]:
    """Sheet after sheet until everything is placed or nothing more fits."""
    todo = {g.name: g.count for g in group}
    by = {g.name: g for g in group}
    on_hand = [(s, s.count or 10_000) for s in shop.sheets_of(stock)]
    done: list[Nested] = []
    if not on_hand:
        return [], {g.name: f"no sheet of {stock} on the shop's list" for g in group}
    square = check_square(shop, stock)
    for sheet, count in on_hand:
        for _ in range(count):
            rest = [by[n]._replace(count=c) for n, c in todo.items() if c]
            if not rest:
                return done, {}
            placed = rule([square, *rest], sheet, shop)
            if not any(p.name != SQUARE for p in placed):
                break
            for p in placed:
                if p.name != SQUARE:
                    todo[p.name] -= 1
            done.append(
                _nested(sheet, len(done) + 1, placed, {**by, SQUARE: square}, shop, "fixed")
            )
    return done, {n: f"fits no sheet of {stock} that is left" for n, c in todo.items() if c}


def _nested(
    sheet: SheetOnHand,
    number: int,
    placed: Sequence[Placed],
    by: Mapping[str, Piece],
    shop: Shop,
    rule: str,
) -> Nested:
    used = max(x for p in placed for x, _ in moved(by[p.name].points, p)) + shop.margin
    return Nested(
        sheet,
        number,
        tuple(placed),
        min(used, sheet.length),
        sum(by[p.name].area for p in placed if p.name != SQUARE),
        rule,
    )


def _stored(
    stored: Mapping[str, Any], group: Sequence[Piece], shop: Shop, stock: str
) -> list[Nested]:
    by = {g.name: g for g in group} | {SQUARE: check_square(shop, stock)}
    sheets = {s.name: s for s in shop.sheets_of(stock)}
    return [
        _nested(
            sheets[s["name"]],
            n,
            [Placed(str(a), float(b), float(c), float(d)) for a, b, c, d in s["placed"]],
            by,
            shop,
            "kept",
        )
        for n, s in enumerate(stored["sheets"], 1)
    ]


def moved(points: Sequence[Vec2], p: Placed) -> list[Vec2]:
    """Corners of a piece where it lies."""
    c, s = math.cos(math.radians(p.angle)), math.sin(math.radians(p.angle))
    return [(x * c - y * s + p.x, x * s + y * c + p.y) for x, y in points]


def _boxes(todo: list[Piece], sheet: SheetOnHand, shop: Shop) -> list[Placed]:
    """Boxes of parts, largest first, lengthwise or across, by a rectangle-packing library: the same
    places every time.
    """
    import rectpack

    gap = shop.spacing
    room = (
        round((sheet.width - 2 * shop.margin + gap) * 100),
        round((sheet.length - 2 * shop.margin + gap) * 100),
    )  # across first, so that what is left is one piece
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        bin_algo=rectpack.PackingBin.BFF,
        pack_algo=rectpack.MaxRectsBl,
        rotation=True,
    )
    size = {}
    for g in todo:
        x, y = np.array(g.points).max(axis=0)
        size[g.name] = (math.ceil((y + gap) * 100), math.ceil((x + gap) * 100))
        for _ in range(g.count):
            packer.add_rect(*size[g.name], rid=g.name)
    packer.add_bin(*room)
    packer.pack()
    tall = {g.name: float(np.array(g.points).max(axis=0)[1]) for g in todo}
    found = []
    for _, y, x, w, h, name in packer.rect_list():
        turned = (w, h) != size[name]
        found.append(
            Placed(
                name,
                90.0 if turned else 0.0,
                x / 100 + shop.margin + (tall[name] if turned else 0.0),
                y / 100 + shop.margin,
            )
        )
    return sorted(found, key=lambda p: (p.x, p.y))


def _strip(todo: list[Piece], sheet: SheetOnHand, shop: Shop, seconds: int) -> list[Placed]:
    """Real outlines along the sheet; what lies past its end waits for the next sheet."""
    import spyrrow

    gap = shop.spacing + 2 * CHORD
    low = shop.margin - gap
    strip = sheet.width - 2 * low
    turns = [0.0, 90.0, 180.0, 270.0]
    fits = [
        g
        for g in todo
        if min(np.ptp(np.array(g.points), axis=0)) + 2 * shop.margin <= sheet.width
        and max(np.ptp(np.array(g.points), axis=0)) + 2 * shop.margin <= sheet.length
    ]
    if not fits:
        return []
    items = [spyrrow.Item(g.name, list(g.points), g.count, turns) for g in fits]
    got = spyrrow.StripPackingInstance("strip", strip, items).solve(
        spyrrow.StripPackingConfig(
            early_termination=True,
            min_items_separation=gap,
            total_computation_time=max(1, seconds),
            seed=1,
        )
    )
    by = {g.name: g for g in fits}
    found = [
        Placed(
            q.id, float(q.rotation), float(q.translation[0]) + low, float(q.translation[1]) + low
        )
        for q in got.placed_items
    ]
    first = min(x for p in found for x, _ in moved(by[p.name].points, p)) - shop.margin
    found = [p._replace(x=p.x - first) for p in found]
    return sorted(
        (
            p
            for p in found
            if max(x for x, _ in moved(by[p.name].points, p)) + shop.margin <= sheet.length + 1e-6
        ),
        key=lambda p: (p.x, p.y),
    )


def clashes(n: Nested, by: Mapping[str, Piece], shop: Shop) -> list[str]:
    """What is wrong with a nest: parts nearer than the spacing, or nearer to the edge than the
    margin. Empty if nothing is.
    """
    from shapely.geometry import Polygon
    from shapely.strtree import STRtree

    shapes = [Polygon(moved(by[p.name].points, p)) for p in n.placed]
    found = []
    for p, s in zip(n.placed, shapes, strict=True):
        x0, y0, x1, y1 = s.bounds
        if min(x0, y0, n.sheet.length - x1, n.sheet.width - y1) < shop.margin - 0.05:
            found.append(f"{p.name} lies in the margin")
    tree = STRtree(shapes)
    for i, s in enumerate(shapes):
        for j in tree.query(s.buffer(shop.spacing)):
            if i < j and s.distance(shapes[j]) < shop.spacing - 0.05:
                found.append(
                    f"{n.placed[i].name} and {n.placed[j].name} are"
                    f" {reader.fine(s.distance(shapes[j]))} apart"
                )
    return found


def sheet_dxf(n: Nested, parts: Mapping[str, Part], shop: Shop) -> str:
    """The sheet's DXF: its edge on the layer that is not cut, every part as in its own file, the
    check square.
    """
    w, h = n.sheet.length, n.sheet.width

    def every() -> Iterator[Stroke]:
        yield Stroke("NOT_CUT", ((0.0, 0.0, 0.0), (w, 0.0, 0.0), (w, h, 0.0), (0.0, h, 0.0)), True)
        for p in n.placed:
            c, s = math.cos(math.radians(p.angle)), math.sin(math.radians(p.angle))
            rows, (dx, dy) = _own(p, parts, shop)
            for k in rows:
                yield k._replace(
                    points=tuple(
                        ((x - dx) * c - (y - dy) * s + p.x, (x - dx) * s + (y - dy) * c + p.y, b)
                        for x, y, b in k.points
                    )
                )

    return dxf_text(every(), shop)


def _own(p: Placed, parts: Mapping[str, Part], shop: Shop) -> tuple[list[Stroke], Vec2]:
    if p.name != SQUARE:
        body = parts[p.name].member.body
        assert isinstance(body, Plate)
        return list(strokes(parts[p.name])), outline.bbox(body.outline)[:2]
    a = CHECK[shop.unit]
    words = "4.000 IN" if shop.unit == "in" else "100.0 MM"
    text = [
        Stroke("SCRIBE", tuple((x, y, 0.0) for x, y in line))
        for line in letter(words, (a * 0.12, a * 0.42), a * 0.12)
    ]
    return [
        Stroke("OUTLINE", ((0.0, 0.0, 0.0), (a, 0.0, 0.0), (a, a, 0.0), (0.0, a, 0.0)), True),
        *text,
    ], (0.0, 0.0)

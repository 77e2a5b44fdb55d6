"""Parts on the shop's sheets: a fast fixed rule that always gives the same answer, and a better one
on request, whose places are kept so that a rebuild repeats them.

Every sheet has a check square to cut first and measure. Lengths mm; a part's own lower-left corner
is turned and moved to its place on the sheet.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from typing import NamedTuple, TypedDict

from ...layout import reader
from ..geometry import outline
from ..geometry.strokes import letter
from ..model.assembly import Part
from ..model.body import Plate
from ..model.vectors import Vec2
from ..stock import IN, SheetOnHand, Shop
from ..truck.truck import is_plate
from .cut import Stroke, dxf_text, strokes
from .packing import CHORD, Piece, PlacedPiece, Rule, boxes, moved, strip

CHECK = {"in": 4.0 * IN, "mm": 100.0}
SQUARE = "CHECK"
NO_END = 10_000
"""Sheets of a size whose number nobody gave: as many as are bought."""


class Nested(NamedTuple):
    """One sheet with what is cut from it.

    Attributes
    ----------
    sheet, number : SheetOnHand, int
        Which it is, and its number among the sheets of its plate.
    placed : tuple of Placed
        What lies where.
    used : float
        Length taken from one end, mm; the rest is the remnant.
    area : float
        Of its parts, mm2.
    rule : str
        "fixed", or "kept" where places found by ``better`` were used.
    """

    sheet: SheetOnHand
    number: int
    placed: tuple[PlacedPiece, ...]
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


class KeptSheet(TypedDict):
    """A sheet's name, and on it pieces as name, angle, x, y."""

    name: str
    placed: list[list[str | float]]


class KeptNest(TypedDict):
    """Places found for one plate, as stored between builds."""

    stock: str
    sheets: list[KeptSheet]


class Result(NamedTuple):
    """Every sheet, and what found no place with the reason."""

    sheets: tuple[Nested, ...]
    left: Mapping[str, str]


def pieces(parts: Sequence[Part], trucks: int = 1) -> list[Piece]:
    """Every plate part, as often as so many trucks take."""
    found = []
    for part in filter(is_plate, parts):
        assert isinstance(part.member.body, Plate)
        x0, y0, *_ = outline.bbox(part.member.body.outline)
        found.append(
            Piece(
                part.called,
                part.member.body.stock,
                tuple(
                    (x - x0, y - y0) for x, y in outline.flatten(part.member.body.outline, CHORD)
                ),
                abs(outline.signed_area(part.member.body.outline)),
                part.quantity * trucks,
            )
        )
    return found


def key_of(stock: str, group: Sequence[Piece], shop: Shop) -> str:
    """Name of a nest by what decides it: outlines, counts, sheets, spacing, margin. Places found
    for one key are not used for another.
    """
    said = repr(
        (
            stock,
            [
                (piece.name, piece.copies, [(round(x, 2), round(y, 2)) for x, y in piece.points])
                for piece in group
            ],
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
    for piece in found:
        by.setdefault(piece.stock, []).append(piece)
    return by


def nest(
    parts: Sequence[Part], shop: Shop, kept: Mapping[str, KeptNest] | None = None, trucks: int = 1
) -> Result:
    """Every plate of ``parts`` on the shop's sheets.

    Parameters
    ----------
    kept : mapping of str to Kept, optional
        Places found by ``better``, by ``key_of``; used where nothing they rest on changed.
    trucks : int
        As many of each part as so many trucks take.
    """
    sheets: list[Nested] = []
    left: dict[str, str] = {}
    for stock, group in groups(pieces(parts, trucks)).items():
        stored = (kept or {}).get(key_of(stock, group, shop))
        done, lost = (
            (_stored(stored, group, shop, stock), {})
            if stored
            else _fill(stock, group, shop, boxes)
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
) -> dict[str, KeptNest]:
    """Places by a strip-packing library: what ``nest`` takes as ``kept``.

    Parameters
    ----------
    seconds : int
        About as long it looks, a plate thickness.
    say : function
        Told what is being looked for.

    Notes
    -----
    Same seed, usually but not surely the same answer: so places are kept, not found again.
    """
    kept: dict[str, KeptNest] = {}
    for stock, group in groups(pieces(parts, trucks)).items():
        say(f"nesting {stock}")
        fixed, _ = _fill(stock, group, shop, boxes)
        tight, lost = _fill(stock, group, shop, partial(strip, seconds=seconds))
        best = (
            min((tight, fixed), key=lambda way: (len(way), sum(sheet.used for sheet in way)))
            if not lost
            else fixed
        )
        kept[key_of(stock, group, shop)] = {
            "stock": stock,
            "sheets": [
                {"name": nested.sheet.name, "placed": [list(lie) for lie in nested.placed]}
                for nested in best
            ],
        }
    return kept


def check_square(shop: Shop, stock: str) -> Piece:
    """A square to cut first and measure: 4.000 in, or 100 mm where the cut files are in mm."""
    side = CHECK[shop.unit]
    return Piece(
        SQUARE, stock, ((0.0, 0.0), (side, 0.0), (side, side), (0.0, side)), side * side, 1
    )


def _fill(
    stock: str,
    group: Sequence[Piece],
    shop: Shop,
    rule: Rule,
) -> tuple[list[Nested], dict[str, str]]:
    """Sheet after sheet until everything is placed or nothing more fits."""
    todo = {piece.name: piece.copies for piece in group}
    by = {piece.name: piece for piece in group}
    on_hand = [(sheet, sheet.quantity or NO_END) for sheet in shop.sheets_of(stock)]
    done: list[Nested] = []
    if not on_hand:
        return [], {piece.name: f"no sheet of {stock} on the shop's list" for piece in group}
    square = check_square(shop, stock)
    for sheet, count in on_hand:
        for _ in range(count):
            rest = [by[key]._replace(copies=value) for key, value in todo.items() if value]
            if not rest:
                return done, {}
            placed = rule([square, *rest], sheet, shop)
            if not any(put.name != SQUARE for put in placed):
                break
            for put in placed:
                if put.name != SQUARE:
                    todo[put.name] -= 1
            done.append(
                _nested(sheet, len(done) + 1, placed, {**by, SQUARE: square}, shop, "fixed")
            )
    return done, {
        key: f"fits no sheet of {stock} that is left" for key, value in todo.items() if value
    }


def _nested(
    sheet: SheetOnHand,
    number: int,
    placed: Sequence[PlacedPiece],
    by: Mapping[str, Piece],
    shop: Shop,
    rule: str,
) -> Nested:
    used = max(x for put in placed for x, _ in moved(by[put.name].points, put)) + shop.margin
    return Nested(
        sheet,
        number,
        tuple(placed),
        min(used, sheet.length),
        sum(by[put.name].area for put in placed if put.name != SQUARE),
        rule,
    )


def _stored(stored: KeptNest, group: Sequence[Piece], shop: Shop, stock: str) -> list[Nested]:
    by = {piece.name: piece for piece in group} | {SQUARE: check_square(shop, stock)}
    sheets = {sheet.name: sheet for sheet in shop.sheets_of(stock)}
    return [
        _nested(
            sheets[sheet["name"]],
            number,
            [
                PlacedPiece(str(name), float(angle), float(x), float(y))
                for name, angle, x, y in sheet["placed"]
            ],
            by,
            shop,
            "kept",
        )
        for number, sheet in enumerate(stored["sheets"], 1)
    ]


def clashes(nested: Nested, by: Mapping[str, Piece], shop: Shop) -> list[str]:
    """What is wrong with a nest, from the outlines alone, whichever rule made it.

    Returns
    -------
    list of str
        Parts nearer than the spacing, or nearer to the edge than the margin; [] if nothing is.
    """
    from shapely.geometry import Polygon
    from shapely.strtree import STRtree

    shapes = [Polygon(moved(by[put.name].points, put)) for put in nested.placed]
    found = []
    for put, shape in zip(nested.placed, shapes, strict=True):
        x0, y0, x1, y1 = shape.bounds
        if min(x0, y0, nested.sheet.length - x1, nested.sheet.width - y1) < shop.margin - 0.05:
            found.append(f"{put.name} lies in the margin")
    tree = STRtree(shapes)
    for index, shape in enumerate(shapes):
        for other in tree.query(shape.buffer(shop.spacing)):
            if index < other and shape.distance(shapes[other]) < shop.spacing - 0.05:
                found.append(
                    f"{nested.placed[index].name} and {nested.placed[other].name} are"
                    f" {reader.fine(shape.distance(shapes[other]))} apart"
                )
    return found


def sheet_dxf(nested: Nested, parts: Mapping[str, Part], shop: Shop) -> str:
    """The sheet's DXF: its edge on the layer that is not cut, every part as in its own file, the
    check square.
    """
    wide, high = nested.sheet.length, nested.sheet.width

    def every() -> Iterator[Stroke]:
        yield Stroke(
            "NOT_CUT",
            ((0.0, 0.0, 0.0), (wide, 0.0, 0.0), (wide, high, 0.0), (0.0, high, 0.0)),
            True,
        )
        for put in nested.placed:
            cosine, sine = math.cos(math.radians(put.angle)), math.sin(math.radians(put.angle))
            rows, (dx, dy) = _own(put, parts, shop)
            for stroke in rows:
                yield stroke._replace(
                    points=tuple(
                        (
                            (x - dx) * cosine - (y - dy) * sine + put.x,
                            (x - dx) * sine + (y - dy) * cosine + put.y,
                            bulge,
                        )
                        for x, y, bulge in stroke.points
                    )
                )

    return dxf_text(every(), shop)


def _own(put: PlacedPiece, parts: Mapping[str, Part], shop: Shop) -> tuple[list[Stroke], Vec2]:
    if put.name != SQUARE:
        body = parts[put.name].member.body
        assert isinstance(body, Plate)
        return list(strokes(parts[put.name])), outline.bbox(body.outline)[:2]
    side = CHECK[shop.unit]
    words = "4.000 IN" if shop.unit == "in" else "100.0 MM"
    text = [
        Stroke("SCRIBE", tuple((x, y, 0.0) for x, y in line))
        for line in letter(words, (side * 0.12, side * 0.42), side * 0.12)
    ]
    return [
        Stroke(
            "OUTLINE",
            ((0.0, 0.0, 0.0), (side, 0.0, 0.0), (side, side, 0.0), (0.0, side, 0.0)),
            True,
        ),
        *text,
    ], (0.0, 0.0)

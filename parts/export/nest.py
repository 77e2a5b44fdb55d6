"""Parts on the shop's sheets: a fast fixed rule that always gives the same answer, and a better one
on request, whose places are kept so that a rebuild repeats them.

Every sheet with room for it has a check square to cut first and measure. Lengths mm; a part's own
lower-left corner is turned and moved to its place on the sheet.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypedDict

from ...layout import reader
from ..geometry import outline
from ..model.assembly import Part
from ..model.body import Loop, Plate
from ..model.vectors import Vec2
from ..stock import IN, SheetOnHand, Shop
from ..truck.truck import is_plate
from ..verdict.cut_today import stands_without
from .inside import guests, lay_inside, steel
from .packing import CHORD, PackingRule, Piece, PlacedPiece, boxes, moved, shortest

CHECK = {"in": 4.0 * IN, "mm": 100.0}
SQUARE = "CHECK"
NO_END = 10_000
"""Sheets of a size whose number nobody gave: as many as are bought."""


REST = "rest of sheet "
"""How what a nest leaves is called where more is cut from it."""


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
    after : bool
        Whether it is cut once the truck has stood right on its wheels: then all that lies on it is.
    least : float
        Length below which no layout of its parts goes, mm.
    """

    sheet: SheetOnHand
    number: int
    placed: tuple[PlacedPiece, ...]
    used: float
    area: float
    rule: str
    after: bool = False
    least: float = 0.0

    @property
    def of_rest(self) -> bool:
        """Whether it is what another nest left, no sheet of its own."""
        return self.sheet.name.startswith(REST)

    @property
    def has_square(self) -> bool:
        """Whether the check square found room beside the parts."""
        return any(lie.name == SQUARE for lie in self.placed)

    @property
    def remnant_name(self) -> str:
        """What to paint on what is left: never the same on two plates."""
        return f"{self.sheet.stock} R{self.number}"

    @property
    def utilisation(self) -> float:
        """Parts over the strip they take."""
        return self.area / (self.sheet.width * self.used) if self.used else 0.0

    @property
    def at_best(self) -> float:
        """Parts over the shortest strip any layout could take with the shop's spacing."""
        return self.area / (self.sheet.width * min(self.least, self.used)) if self.least else 0.0

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
        body = part.member.body
        assert isinstance(body, Plate)
        found.append(
            Piece(
                name=part.called,
                stock=body.stock,
                points=_corners(body.outline, body),
                area=abs(outline.signed_area(body.outline)),
                copies=part.quantity * trucks,
                after=stands_without(part),
                openings=tuple(_corners(opening, body) for opening in body.openings),
            )
        )
    return found


def _corners(loop: Loop, body: Plate) -> tuple[Vec2, ...]:
    """Corners of a plate's loop from the lower left of the plate's own box."""
    x0, y0, *_ = outline.bbox(body.outline)
    return tuple((x - x0, y - y0) for x, y in outline.flatten(loop, CHORD))


def key_of(stock: str, group: Sequence[Piece], shop: Shop, on_hand: Sequence[SheetOnHand]) -> str:
    """Name of a nest by what decides it: outlines, counts, sheets, spacing, margin. Places found
    for one key are not used for another.
    """
    said = repr(
        (
            stock,
            [
                (
                    piece.name,
                    piece.copies,
                    [
                        [(round(x, 2), round(y, 2)) for x, y in loop]
                        for loop in (piece.points, *piece.openings)
                    ],
                )
                for piece in group
            ],
            tuple(on_hand),
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


def turns(group: Sequence[Piece]) -> list[list[Piece]]:
    """Pieces of one plate in the order they are cut: now, and once the truck has stood right. No
    nest has both, or the table would cut too early what the set-down may still move.
    """
    parted = [[piece for piece in group if piece.after == late] for late in (False, True)]
    return [own for own in parted if own]


def left_of(shop: Shop, stock: str, done: Sequence[Nested]) -> tuple[SheetOnHand, ...]:
    """Sheets of a plate that are left once some nests are cut: first what these leave where more
    than the check square goes on it, then the others.
    """
    least = CHECK[shop.unit] + 2 * shop.margin
    cut = Counter(nested.sheet for nested in done)
    rests = [
        SheetOnHand(nested.sheet.stock, f"{REST}{nested.number}", *nested.remnant, 1)
        for nested in done
    ]
    others = [
        sheet._replace(quantity=sheet.quantity - cut[sheet]) if sheet.quantity else sheet
        for sheet in shop.sheets_of(stock)
        if not sheet.quantity or sheet.quantity > cut[sheet]
    ]
    return (*(rest for rest in rests if min(rest.width, rest.length) > least), *others)


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
        done: list[Nested] = []
        for turn in turns(group):
            on_hand = left_of(shop, stock, done)
            stored = (kept or {}).get(key_of(stock, turn, shop, on_hand))
            more, lost = (
                (_stored(stored, turn, shop, on_hand, len(done)), {})
                if stored
                else fill(turn, shop, boxes, on_hand, len(done))
            )
            done += more
            left |= lost
        sheets += done
    return Result(tuple(sheets), left)


def check_square(shop: Shop, stock: str) -> Piece:
    """A square to cut first and measure: 4.000 in, or 100 mm where the cut files are in mm."""
    side = CHECK[shop.unit]
    return Piece(
        SQUARE, stock, ((0.0, 0.0), (side, 0.0), (side, side), (0.0, side)), side * side, 1
    )


def fill(
    group: Sequence[Piece],
    shop: Shop,
    rule: PackingRule,
    sheets: Sequence[SheetOnHand],
    before: int,
) -> tuple[list[Nested], dict[str, str]]:
    """Sheet after sheet until everything is placed or nothing more fits; ``before``: nests of the
    plate there are already.
    """
    stock = group[0].stock
    todo = {piece.name: piece.copies for piece in group}
    by = {piece.name: piece for piece in group}
    on_hand = [(sheet, sheet.quantity or NO_END) for sheet in sheets]
    done: list[Nested] = []
    if not on_hand:
        return [], {piece.name: f"no sheet of {stock} on the shop's list" for piece in group}
    square = check_square(shop, stock)
    for sheet, count in on_hand:
        for _ in range(count):
            rest = [by[key]._replace(copies=value) for key, value in todo.items() if value]
            if not rest:
                return done, {}
            placed = _laid(rest, square, sheet, shop, rule)
            if not any(put.name != SQUARE for put in placed):
                break
            for put in placed:
                if put.name != SQUARE:
                    todo[put.name] -= 1
            done.append(
                _nested(
                    sheet, before + len(done) + 1, placed, {**by, SQUARE: square}, shop, "fixed"
                )
            )
    return done, {
        key: f"fits no sheet of {stock} that is left" for key, value in todo.items() if value
    }


def _laid(
    rest: Sequence[Piece], square: Piece, sheet: SheetOnHand, shop: Shop, rule: PackingRule
) -> list[PlacedPiece]:
    """What of the pieces goes on a sheet, some in the openings of others."""
    rows = guests(rest, shop)
    while True:
        inner = Counter(place.name for row in rows for place in row.places)
        outer = [piece._replace(copies=piece.copies - inner[piece.name]) for piece in rest]
        placed = rule([square, *(piece for piece in outer if piece.copies)], sheet, shop)
        hosts = Counter(put.name for put in placed)
        held = [
            row
            for at, row in enumerate(rows)
            if hosts[row.host] > sum(before.host == row.host for before in rows[:at])
        ]
        if len(held) == len(rows):
            return lay_inside(placed, rows)
        rows = held  # what would lie in one that found no place is laid beside the others


def _nested(
    sheet: SheetOnHand,
    number: int,
    placed: Sequence[PlacedPiece],
    by: Mapping[str, Piece],
    shop: Shop,
    rule: str,
) -> Nested:
    used = max(x for put in placed for x, _ in moved(by[put.name].points, put)) + shop.margin
    counts = Counter(put.name for put in placed)
    lying = [by[name]._replace(copies=count) for name, count in counts.items()]
    return Nested(
        sheet=sheet,
        number=number,
        placed=tuple(placed),
        used=min(used, sheet.length),
        area=sum(by[put.name].area for put in placed if put.name != SQUARE),
        rule=rule,
        after=any(by[put.name].after for put in placed),
        least=shortest(lying, sheet, shop),
    )


def _stored(
    stored: KeptNest,
    group: Sequence[Piece],
    shop: Shop,
    on_hand: Sequence[SheetOnHand],
    before: int,
) -> list[Nested]:
    by = {piece.name: piece for piece in group} | {SQUARE: check_square(shop, group[0].stock)}
    sheets = {sheet.name: sheet for sheet in on_hand}
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
        for number, sheet in enumerate(stored["sheets"], before + 1)
    ]


def clashes(nested: Nested, by: Mapping[str, Piece], shop: Shop) -> list[str]:
    """What is wrong with a nest, from the outlines alone, whichever rule made it.

    Returns
    -------
    list of str
        Parts nearer than the spacing, or nearer to the edge than the margin; [] if nothing is.
    """
    from shapely.strtree import STRtree

    shapes = [steel(by[put.name], put) for put in nested.placed]
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

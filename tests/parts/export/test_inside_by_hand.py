"""What lies in the openings of others, and the least length of a sheet, worked by hand."""

from __future__ import annotations

import math
from functools import partial

import pytest
import shapely
from soapstone.parts.export import nest as n
from soapstone.parts.export.inside import first_cut, guests, lay_inside
from soapstone.parts.export.packing import Piece, PlacedPiece, boxes, moved, shortest, strip
from soapstone.parts.stock import SheetOnHand, default_shop

SHOP = default_shop()._replace(spacing=10.0, margin=10.0)
Ring = tuple[tuple[float, float], ...]


def hole(x: float, y: float, wide: float, tall: float) -> Ring:
    return ((x, y), (x + wide, y), (x + wide, y + tall), (x, y + tall))


def box(name: str, wide: float, tall: float, copies: int = 1, *openings: Ring) -> Piece:
    return Piece(name, "p", hole(0, 0, wide, tall), wide * tall, copies, openings=openings)


def test_the_shortest_a_nest_can_be_by_hand() -> None:
    """By hand: six squares of 100 mm with 10 mm between them and to the edge of a sheet 340 mm wide
    lie three abreast, two deep, 230 mm long: the bound is reached, 60000 / (340 x 230).
    """
    square = Piece("A", "p", ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)), 10000.0, 6)
    sheet = SheetOnHand("p", "s", 340.0, 2000.0)
    shop = SHOP._replace(spacing=10.0, margin=10.0)
    least = shortest([square], sheet, shop)
    corners = (4 - math.pi) * 25 * 6 / 330  # a shape grown by 5 mm has round corners
    assert least == pytest.approx(230 - corners, abs=0.05)
    long = square._replace(points=((0.0, 0.0), (500.0, 0.0), (500.0, 30.0), (0.0, 30.0)), copies=1)
    assert shortest([long], sheet, shop) == 520.0  # it does not go across
    short = long._replace(points=((0.0, 0.0), (300.0, 0.0), (300.0, 30.0), (0.0, 30.0)))
    assert shortest([short], sheet, shop) == 50.0


def _ring(name: str, over: float, bore: float, copies: int) -> Piece:
    """A round plate with a round opening, 72 corners each, from its own lower left."""
    turns = [math.tau * k / 72 for k in range(72)]
    circles = [
        tuple((over / 2 + r * math.cos(a), over / 2 + r * math.sin(a)) for a in turns)
        for r in (over / 2, bore / 2)
    ]
    return Piece(name, "p", circles[0], math.pi * over**2 / 4, copies, openings=(circles[1],))


def test_what_has_room_in_an_opening_lies_there_and_is_cut_before_it() -> None:
    """By hand: in a bore of 100 mm, 10 mm kept to its edge, a square of 56 mm has room (its
    diagonal is 79.2 of 80 mm), one of 57 mm has none (80.6 mm); so has a round of 79 mm.
    """
    ring, shop = _ring("R", 160.0, 100.0, 2), SHOP
    sheet = SheetOnHand("p", "s", 400.0, 2000.0, 1)

    def square(side: float, copies: int = 3) -> Piece:
        corners = ((0.0, 0.0), (side, 0.0), (side, side), (0.0, side))
        return Piece("S", "p", corners, side * side, copies)

    assert guests([ring, square(57.0)], shop) == []
    assert [len(row.places) for row in guests([ring, square(56.0)], shop)] == [1, 1]
    assert len(guests([ring, _ring("D", 79.0, 20.0, 1)], shop)) == 1
    (some,) = guests([ring._replace(copies=1), square(22.0, 9)], shop)
    assert 2 <= len(some.places) <= 4, "two have room, five of them have not"
    for rule in (boxes, partial(strip, seconds=1)):
        group = [ring, square(56.0)]
        (got,), lost = n.fill(group, shop, rule, [sheet], 0)
        by = {piece.name: piece for piece in group} | {n.SQUARE: n.check_square(shop, "p")}
        assert not lost and n.clashes(got, by, shop) == []
        assert [put.name for put in got.placed].count("S") == 3, "each once, inside or beside"
        assert first_cut(got.placed, by) == [("S", "R")]
        order = [put.name for put in got.placed if put.name != n.SQUARE]
        assert all(order[at - 1] == "S" for at, name in enumerate(order) if name == "R")
        assert got.used >= got.least - 0.5, "the bound knows of the openings"
    narrow = [sheet._replace(width=181.0)]
    beside = n.fill([ring, square(57.0, 2)], shop, boxes, narrow, 0)[0][0]
    inside = n.fill([ring, square(56.0, 2)], shop, boxes, narrow, 0)[0][0]
    assert inside.used < beside.used - 50.0


def test_what_goes_on_no_sheet_holds_nothing_back() -> None:
    """A ring wider than the sheet has no place; what would lie in it lies on the sheet."""
    shop = SHOP
    sheet = SheetOnHand("p", "s", 300.0, 2000.0, 1)
    small = Piece("S", "p", ((0.0, 0.0), (90.0, 0.0), (90.0, 90.0), (0.0, 90.0)), 8100.0, 2)
    (got,), lost = n.fill([_ring("R", 320.0, 200.0, 1), small], shop, boxes, [sheet], 0)
    assert list(lost) == ["R"] and [put.name for put in got.placed].count("S") == 2


@pytest.mark.parametrize("wanted", [1, 2, 3])
def test_as_many_lie_inside_as_are_wanted(wanted: int) -> None:
    """An opening with room for three in a row and not for four (190 of 180), 10 to its edge and
    between: as many as are wanted lie there, however many would have room.
    """
    host = box("H", 240.0, 100.0, 1, hole(20.0, 20.0, 200.0, 60.0))
    (row,) = guests([host, box("S", 40.0, 30.0, wanted)], SHOP)
    assert [put.name for put in row.places] == ["S"] * wanted
    # two hosts: the first takes what has room, the next what is left of it
    rows = guests([host._replace(copies=3), box("S", 40.0, 30.0, 3 + wanted)], SHOP)
    assert [len(row.places) for row in rows] == [3, wanted]


def test_the_largest_goes_first_into_the_smallest_opening_of_the_largest() -> None:
    """Of two hosts the larger, of its two openings the smaller that has room, of two pieces the
    larger, where there is room for one.
    """
    two = hole(20.0, 20.0, 90.0, 80.0), hole(130.0, 20.0, 65.0, 55.0)
    large, less = box("L", 300.0, 130.0, 1, *two), box("M", 250.0, 130.0, 1, *two)
    (row,) = guests([less, large, box("S", 40.0, 30.0)], SHOP)
    assert row.host == "L" and row.places[0].x > 130.0
    one = box("L", 300.0, 130.0, 1, two[1])
    (row,) = guests([box("A", 30.0, 30.0), one, box("B", 44.0, 34.0)], SHOP)
    assert [put.name for put in row.places] == ["B"]


def test_what_holds_another_lies_in_none_itself() -> None:
    """Three rings, each with room for the next: the middle one holds the small one and lies beside
    the large one, which holds another small one, not the middle one.
    """
    large, middle = _ring("L", 300.0, 240.0, 1), _ring("M", 200.0, 140.0, 1)
    small = _ring("S", 100.0, 20.0, 2)
    rows = guests([small, middle, large], SHOP)
    held = {row.host: {put.name for put in row.places} for row in rows}
    assert "M" not in held["L"] and held == {"L": {"S"}} | ({"M": {"S"}} if "M" in held else {})
    (row,) = guests([middle, large], SHOP)
    assert row.host == "L" and [put.name for put in row.places] == ["M"], "it holds nothing now"


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_piece_is_turned_as_its_room_asks(turn: int) -> None:
    """A triangle with a right angle goes into an opening of its own shape, grown by the spacing and
    turned, one way alone; with its host turned too it has turned by both.
    """
    corners = ((0.0, 0.0), (90.0, 0.0), (0.0, 60.0))
    piece = Piece("T", "p", corners, 2700.0, 1)
    grown = shapely.Polygon(corners).buffer(10.3, join_style="mitre")
    about = PlacedPiece("T", turn, 150.0, 150.0)
    opening = tuple(moved(list(grown.exterior.coords)[:-1], about))
    host = box("H", 300.0, 300.0, 1, opening)
    (row,) = guests([host, piece], SHOP)
    (put,) = row.places
    assert put.angle == turn
    assert shapely.Polygon(moved(corners, put)).distance(shapely.LinearRing(opening)) >= 10.0
    laid = lay_inside([PlacedPiece("H", 270.0, 0.0, 300.0)], [row])
    assert [own.name for own in laid] == ["T", "H"] and laid[0].angle == (turn + 270) % 360
    assert first_cut(laid, {"H": host, "T": piece}) == [("T", "H")]


def test_of_two_hosts_of_which_one_finds_a_place_one_has_its_guest() -> None:
    """Two plates of 160 x 160 with a piece in each; the sheet has room for one of them: the other's
    piece lies beside it or waits, and none is there twice.
    """
    host = box("H", 160.0, 160.0, 2, hole(20.0, 20.0, 120.0, 120.0))
    small, shop = box("S", 90.0, 90.0, 2), SHOP._replace(unit="mm")
    sheet = SheetOnHand("p", "s", 180.0, 300.0)
    done, lost = n.fill([host, small], shop, boxes, [sheet], 0)
    names = [put.name for own in done for put in own.placed]
    assert not lost and names.count("H") == 2 and names.count("S") == 2
    by = {"H": host, "S": small, n.SQUARE: n.check_square(shop, "p")}
    for own in done:
        assert n.clashes(own, by, shop) == []
    assert [sum(put.name == "H" for put in own.placed) for own in done] == [1, 1]

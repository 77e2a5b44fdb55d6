"""Sheets, strips and places that were kept, of made-up pieces: what must be true by plane geometry
and by counting.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import pytest
import shapely
from soapstone.parts.export import nest as n
from soapstone.parts.export import packing, tighter
from soapstone.parts.export.nest_cut import sheet_dxf
from soapstone.parts.export.packing import Piece, PlacedPiece
from soapstone.parts.geometry import contours
from soapstone.parts.model.assembly import Member, Part
from soapstone.parts.model.body import Plate
from soapstone.parts.model.terms import Hand
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import SheetOnHand, default_shop

SHOP = default_shop()._replace(spacing=10.0, margin=8.0)
SHEET = SheetOnHand("1/4 A36", "s", 500.0, 900.0)


def box(name: str, wide: float, tall: float, copies: int = 1) -> Piece:
    corners = ((0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall))
    return Piece(name, "1/4 A36", corners, wide * tall, copies)


def part(code: str, body: Plate, quantity: int = 1) -> Part:
    flat = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    member = Member(f"{code}.C", "plate", code, body, flat)
    row = dict.fromkeys(Part._fields, ())
    row |= {"id": f"{code}.C", "member": member, "hand": Hand.EITHER, "quantity": quantity}
    row |= {"number": code, "mass": 0.0, "area_net": 0.0, "area_cut": 0.0}
    return Part(**row | {"fingerprint": "", "cut_fingerprint": ""})  # type: ignore[arg-type]


def plate(code: str, stock: str = "1/4 A36", quantity: int = 1) -> Part:
    """120 x 80 with an opening of 30 x 20, drawn far from the origin."""
    outline = contours.rectangle(300.0, -70.0, 420.0, 10.0)
    opening = contours.rectangle(310.0, -60.0, 340.0, -40.0)
    return part(code, Plate(stock, outline, (opening,)), quantity)


def test_pieces_of_parts_lie_at_their_own_corner() -> None:
    """Box, area and opening of a plate from its own lower left; as many as the trucks take, one
    truck where nothing is said; a round within a fifth of a millimeter, from inside.
    """
    (piece,) = n.pieces([plate("ZZ1", quantity=2)])
    assert piece.copies == 2 and piece.area == pytest.approx(9600.0)
    assert shapely.Polygon(piece.points).equals(shapely.box(0, 0, 120, 80))
    assert [shapely.Polygon(x).bounds for x in piece.openings] == [(10.0, 10.0, 40.0, 30.0)]
    assert n.pieces([plate("ZZ1", quantity=2)], 3)[0].copies == 6
    for over in (20.0, 60.0, 110.0, 200.0, 310.0, 500.0):
        (ball,) = n.pieces([part("ZZ2", Plate("1/4 A36", contours.circle((7.0, 9.0), over)))])
        middle = (over / 2, over / 2)
        ends = itertools.pairwise((*ball.points, ball.points[0]))
        chords = [math.dist(middle, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) for a, b in ends]
        assert over / 2 - 0.2 <= min(chords) and ball.area == pytest.approx(math.pi * over**2 / 4)
        assert all(math.dist(middle, p) == pytest.approx(over / 2) for p in ball.points)


def test_plates_that_have_no_sheet_are_named_and_the_others_lie() -> None:
    """One sheet of a quarter inch takes two trucks' plates; of 3/8 there is none; what is left of
    the list is found by the plate's own name.
    """
    parts = [plate("ZZ1", quantity=2), plate("ZZ2", "3/8 A36")]
    shop = SHOP._replace(sheets=(SHEET,))
    found = n.nest(parts, shop, None, 2)
    (own,) = found.sheets
    first, second = (p.called for p in parts)
    assert [put.name for put in own.placed].count(first) == 4 and own.rule == "fixed"
    assert list(found.left) == [second] and "3/8 A36" in found.left[second]
    assert [put.name for put in n.nest(parts, shop).sheets[0].placed].count(first) == 2
    assert own.area == pytest.approx(4 * 9600.0)
    far = max(x for put in own.placed for x, _ in packing.moved(_points(own, put, parts), put))
    assert own.used == pytest.approx(far + 8.0) and own.number == 1


def _points(
    own: n.Nested, put: PlacedPiece, parts: Sequence[Part]
) -> Sequence[tuple[float, float]]:
    square = n.check_square(SHOP, own.sheet.stock)
    return next((p.points for p in n.pieces(parts) if p.name == put.name), square.points)


def test_places_that_were_kept_are_taken_as_long_as_nothing_changed() -> None:
    """Two sheets' places as they were stored: there they lie, numbered from one; with another count
    or spacing they lie by the fixed rule again.
    """
    parts, shop = [plate("ZZ1", quantity=2)], SHOP._replace(sheets=(SHEET,))
    (piece,) = n.pieces(parts)
    name, key = piece.name, n.key_of("1/4 A36", [piece], shop, n.left_of(shop, "1/4 A36", []))
    rows = [["CHECK", 0.0, 8.0, 8.0], [name, 90.0, 300.0, 50.0]]
    sheets: list[n.KeptSheet] = [{"name": "s", "placed": rows}, {"name": "s", "placed": rows[::-1]}]
    kept: dict[str, n.KeptNest] = {key: {"stock": "1/4 A36", "sheets": sheets}}
    found = n.nest(parts, shop, kept).sheets
    assert [own.rule for own in found] == ["kept", "kept"] and [o.number for o in found] == [1, 2]
    assert [put.name for put in found[1].placed] == [name, "CHECK"]
    # turned by 90 degrees about its corner it reaches 80 back from x = 300: 300 at most, and 8
    assert found[0].placed[1] == PlacedPiece(name, 90.0, 300.0, 50.0) and found[0].used == 308.0
    assert found[0].area == pytest.approx(9600.0) and found[0].sheet == SHEET
    for other in (shop._replace(spacing=11.0), shop._replace(sheets=(SHEET._replace(width=501),))):
        assert {own.rule for own in n.nest(parts, other, kept).sheets} == {"fixed"}
    assert {own.rule for own in n.nest(parts, shop, kept, 2).sheets} == {"fixed"}


def test_rounding_changes_no_key_and_hundredths_do() -> None:
    """Corners to a hundredth, spacing and margin to a thousandth of a millimeter."""

    def key(dx: float = 0.0, dy: float = 0.0, spacing: float = 0.0, margin: float = 0.0) -> str:
        piece = box("A", 100.0, 40.0)
        moved = tuple((x + dx, y + dy) for x, y in piece.points)
        shop = SHOP._replace(spacing=10.0 + spacing, margin=8.0 + margin)
        return n.key_of("p", [piece._replace(points=moved)], shop, [SHEET])

    assert key(0.004, 0.004, 0.0004, 0.0004) == key()
    for more in ({"dx": 0.02}, {"dy": 0.02}, {"spacing": 0.002}, {"margin": 0.002}):
        assert key(**more) != key(), more


def test_a_sheet_is_cut_late_where_its_pieces_are() -> None:
    """The check square is on every sheet; what else lies there says when it is cut."""
    late = [box("A", 100.0, 40.0)._replace(after=True)]
    (own,), _ = n.fill(late, SHOP, packing.boxes, [SHEET], 0)
    assert own.after and {put.name for put in own.placed} == {"A", n.SQUARE}
    (own,), _ = n.fill([box("A", 100.0, 40.0)], SHOP, packing.boxes, [SHEET], 0)
    assert not own.after
    bare = n.Nested(SHEET, 1, (), 100.0, 10.0, "fixed")
    assert not bare.after and bare.at_best == 0.0, "no bound was said"


@pytest.mark.parametrize(("unit", "side"), [("in", 101.6), ("mm", 100.0)])
def test_the_check_square_is_a_square(unit: str, side: float) -> None:
    """4.000 in, or 100 mm; on its sheet's file it is drawn by four straight lines, as is the edge
    of the sheet, and its letters are straight too.
    """
    shop = SHOP._replace(unit=unit)
    square = n.check_square(shop, "p")
    assert shapely.Polygon(square.points).equals(shapely.box(0, 0, side, side))
    assert square.area == pytest.approx(side**2) and square.copies == 1
    nested = n.Nested(SHEET, 1, (PlacedPiece(n.SQUARE, 0.0, 20.0, 30.0),), 200.0, 0.0, "fixed")
    from soapstone.parts.export import dxf_read

    scale = 25.4 if unit == "in" else 1.0
    drawn = dxf_read.entities(sheet_dxf(nested, {}, shop))
    assert all(bulge == 0.0 for each in drawn for *_, bulge in each.rows)
    loops = {
        name: next(each for each in drawn if each.layer == shop.layers[name])
        for name in ("OUTLINE", "NOT_CUT")
    }
    want = {"OUTLINE": (20.0, 30.0, 20.0 + side, 30.0 + side), "NOT_CUT": (0.0, 0.0, 900.0, 500.0)}
    for name, own in loops.items():
        ring = shapely.Polygon([(x * scale, y * scale) for x, y, _ in own.rows])
        assert own.closed and len(own.rows) == 4 and ring.bounds == pytest.approx(want[name])
        assert ring.area == pytest.approx(ring.envelope.area)


@pytest.mark.parametrize(
    ("x", "y"), [(7.94, 50.0), (50.0, 7.94), (900 - 107.94, 50.0), (50.0, 500 - 47.94)]
)
def test_a_piece_in_the_margin_is_told(x: float, y: float) -> None:
    """8 are kept on every side, less a twentieth for roundings."""
    by = {"A": box("A", 100.0, 40.0)}
    nested = n.Nested(SHEET, 1, (PlacedPiece("A", 0.0, x, y),), 500.0, 1.0, "fixed")
    assert n.clashes(nested, by, SHOP) == ["A lies in the margin"]
    inward = [v if v == 50.0 else v + math.copysign(0.02, 100.0 - v) for v in (x, y)]
    near = nested._replace(placed=(PlacedPiece("A", 0.0, *inward),))
    assert n.clashes(near, by, SHOP) == []


def test_pieces_nearer_than_the_spacing_are_told_once() -> None:
    """10 are kept between pieces, less a twentieth; in an opening too."""
    by = {"A": box("A", 100.0, 40.0), "B": box("B", 30.0, 30.0)}
    for gap, told in ((9.94, 1), (9.96, 0), (10.5, 0), (-20.0, 1)):
        two = PlacedPiece("A", 0.0, 50.0, 50.0), PlacedPiece("B", 0.0, 150.0 + gap, 50.0)
        nested = n.Nested(SHEET, 1, two, 500.0, 1.0, "fixed")
        said = n.clashes(nested, by, SHOP)
        assert len(said) == told and all("A and B are" in words for words in said), gap


def test_boxes_keep_the_spacing_of_pieces_of_any_size() -> None:
    """Sizes that are no hundredths of a millimeter are rounded outward."""
    piece = box("A", 100.006, 40.004, 4)
    found = packing.boxes([piece], SHEET, SHOP)
    shapes = [shapely.Polygon(packing.moved(piece.points, put)) for put in found]
    assert len(found) == 4
    assert all(a.distance(b) >= 10.0 - 1e-6 for a, b in itertools.combinations(shapes, 2))


def test_a_strip_leaves_room_for_the_arcs_its_chords_lie_inside() -> None:
    """10 between and a fifth at either arc: 10.4. Two of 100 beside each other take 226.4 of
    length with both margins, and 226.3 is too short for both.
    """
    piece = box("A", 100.0, 40.0, 2)
    narrow = SHEET._replace(width=56.0, length=226.5)
    found = packing.strip([piece], narrow, SHOP, 1)
    one, two = (shapely.Polygon(packing.moved(piece.points, put)) for put in found)
    assert one.distance(two) >= 10.4 - 2e-3
    assert one.bounds[0] == pytest.approx(8.0) and one.bounds[1] >= 8.0 - 2e-3
    assert len(packing.strip([piece], narrow._replace(length=226.3), SHOP, 1)) == 1


@pytest.mark.parametrize("corner", [(150.0, 90.0), (90.0, 150.0)])
def test_a_strip_lays_pieces_either_way_round(corner: tuple[float, float]) -> None:
    """Two right triangles of 150 x 90 on 130 of width lie hypotenuse to hypotenuse, one turned half
    round, on 190 of length; both the same way round they take 240.
    """
    x, y = corner
    piece = Piece("A", "1/4 A36", ((0.0, 0.0), (x, 0.0), (0.0, y)), 6750.0, 2)
    found = packing.strip([piece], SHEET._replace(width=146.0), SHOP, 1)
    assert len(found) == 2 and all(put.angle % 90.0 == 0.0 for put in found)
    assert max(px for put in found for px, _ in packing.moved(piece.points, put)) < 8.0 + 190.0


def test_a_strip_is_looked_for_as_long_as_was_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """A second at least, on one core: plates lie side by side on the cores."""
    import spyrrow

    asked: list[dict[str, object]] = []
    real = spyrrow.StripPackingConfig

    def told(**given: object) -> object:
        asked.append(given)
        return real(**{**given, "total_computation_time": 1})

    monkeypatch.setattr(spyrrow, "StripPackingConfig", told)
    for seconds, want in ((0, 1), (1, 1), (30, 30)):
        packing.strip([box("A", 100.0, 40.0)], SHEET._replace(width=60.0), SHOP, seconds)
        assert asked[-1]["total_computation_time"] == want and asked[-1]["num_workers"] == 1
        assert asked[-1]["early_termination"] is True, "no longer than it gets better"


class Filled:
    """Stands for the two rules: what each would lay, and how often one was asked."""

    def __init__(self, fixed: list[n.Nested], tight: list[n.Nested], lost: dict[str, str]) -> None:
        self.fixed, self.tight, self.lost, self.asked = fixed, tight, lost, 0

    def __call__(self, _turn: object, _shop: object, rule: object, *_: object) -> object:
        if rule is packing.boxes:
            return self.fixed, {}
        self.asked += 1
        return self.tight, self.lost


def laid(*used: float, least: float = 100.0) -> list[n.Nested]:
    return [n.Nested(SHEET, at, (), own, 1.0, "fixed", least=least) for at, own in enumerate(used)]


@pytest.mark.parametrize(
    ("fixed", "tight", "lost", "asked", "best"),
    [
        (laid(100.9), laid(100.0), {}, 0, "fixed"),  # within a millimeter of the least there is
        (laid(101.1), laid(100.5), {}, 1, "tight"),
        (laid(150.0), laid(120.0), {"A": "no room"}, 1, "fixed"),
        (laid(150.0, 30.0), laid(400.0), {}, 1, "tight"),  # the fewer sheets
        (laid(100.0, 30.0), laid(90.0, 45.0), {}, 1, "fixed"),  # then the less of their length
        (laid(100.0, 100.0), laid(90.0, 45.0), {}, 1, "tight"),
    ],
)
def test_the_better_of_two_rules(
    monkeypatch: pytest.MonkeyPatch,
    fixed: list[n.Nested],
    tight: list[n.Nested],
    lost: dict[str, str],
    asked: int,
    best: str,
) -> None:
    rules = Filled(fixed, tight, lost)
    monkeypatch.setattr(tighter, "fill", rules)
    found = tighter._best([box("A", 10.0, 10.0)], SHOP, 1, [SHEET], 0)
    assert found is (fixed if best == "fixed" else tight) and rules.asked == asked


@pytest.mark.parametrize(
    ("cores", "stocks", "at_once"),
    [(8, "pq", 2), (1, "pqr", 1), (2, "pqr", 2), (None, "pq", 1), (4, "", 1)],
)
def test_plates_are_looked_at_side_by_side(
    monkeypatch: pytest.MonkeyPatch, cores: int | None, stocks: str, at_once: int
) -> None:
    """As many at once as there are plates and cores; places of every plate are kept, of one truck
    where nothing is said.
    """
    asked: list[int] = []
    trucks: list[object] = []
    real = tighter.ThreadPoolExecutor

    def pool(workers: int) -> object:
        asked.append(workers)
        return real(workers)

    def pieces(_parts: object, count: object) -> list[Piece]:
        trucks.append(count)
        return [box(f"A{stock}", 100.0, 40.0)._replace(stock=stock) for stock in stocks]

    monkeypatch.setattr(tighter, "ThreadPoolExecutor", pool)
    monkeypatch.setattr(tighter.os, "cpu_count", lambda: cores)
    monkeypatch.setattr(tighter, "pieces", pieces)
    monkeypatch.setattr(tighter, "_best", lambda *_: laid(100.0))
    said: list[str] = []
    kept = tighter.better((), SHOP, 1, say=said.append)
    assert asked == [at_once] and trucks == [1]
    assert sorted(own["stock"] for own in kept.values()) == list(stocks)
    assert all(own["sheets"] == [{"name": "s", "placed": []}] for own in kept.values())
    assert said == ["nesting " + ", ".join(stocks)]

"""Pieces on sheets and in each other's openings by plane geometry alone (distances by GEOS, through
shapely), what is left of a sheet by subtraction, and files that are read back with one thing
spoilt.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Sequence

import pytest
import shapely
from soapstone.parts.design import finish
from soapstone.parts.export import cut, dxf_read, inside, nest, nest_cut, packing, tighter
from soapstone.parts.geometry import contours
from soapstone.parts.geometry.strokes import letter
from soapstone.parts.model.assembly import Assembly, Bolt, Member, Part
from soapstone.parts.model.body import Plate
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import SheetOnHand, default_shop

SHOP = default_shop()._replace(spacing=10.0, margin=8.0)
IN = 25.4


Ring = tuple[tuple[float, float], ...]


def box(name: str, long: float, tall: float, copies: int = 1, *openings: Ring) -> packing.Piece:
    corners = ((0.0, 0.0), (long, 0.0), (long, tall), (0.0, tall))
    return packing.Piece(name, "p", corners, long * tall, copies, openings=openings)


def hole(x0: float, y0: float, x1: float, y1: float) -> Ring:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def lying(piece: packing.Piece, put: packing.PlacedPiece) -> shapely.Polygon:
    return shapely.Polygon(packing.moved(piece.points, put))


@pytest.mark.parametrize("angle", [0.0, 90.0, 180.0, 270.0])
def test_guests_keep_the_spacing_to_the_edge_and_to_each_other(angle: float) -> None:
    """An opening of 110.05 x 50.1: with 10 to its edge two of 40 x 30 lie abreast, 10 between, of
    three the third beside; so they do however the host lies.
    """
    opening = hole(20.0, 20.0, 130.05, 70.1)
    host, small = box("H", 200.0, 90.0, 1, opening), box("S", 40.0, 30.0, 3)
    (row,) = inside.guests([host, small], SHOP)
    assert row.host == "H" and len(row.places) == 2
    put = packing.PlacedPiece("H", angle, 300.0, 400.0)
    laid = inside.lay_inside([put], [row])
    assert [lie.name for lie in laid] == ["S", "S", "H"]
    one, two = (lying(small, lie) for lie in laid[:2])
    rim = shapely.Polygon(packing.moved(opening, put))
    assert one.distance(two) >= 10.0
    for own in (one, two):
        assert rim.contains(own) and rim.exterior.distance(own) >= 10.0
    steel = inside.steel(host, put)
    assert steel.area == pytest.approx(200.0 * 90.0 - 110.05 * 50.1)
    by = {"H": host, "S": small}
    assert inside.first_cut(laid, by) == [("S", "H")]
    for x, y in ((130.0, 69.9), (79.9, 70.0)):
        tight = host._replace(openings=(hole(20.0, 20.0, x, y),))
        assert inside.guests([tight, small], SHOP) == []
    assert inside.guests([host._replace(area=1.0), small], SHOP) == [], "the larger is the host"
    # 30 x 30 less the spacing on every side is 10 x 10
    own = box("O", 90.0, 90.0, 1, hole(30.0, 30.0, 60.0, 60.0))
    assert packing._usable(own, 99.0, SHOP) and not packing._usable(own, 101.0, SHOP)


def test_a_piece_goes_on_the_sheet_that_is_just_long_enough() -> None:
    """100 long and 8 of margin at both ends: 116, either way; a millimeter less takes none."""
    piece = box("A", 100.0, 40.0)
    for long, wide in ((116.0, 56.0), (56.0, 116.0)):
        sheet = SheetOnHand("p", "s", wide, long)
        for found in (packing.boxes([piece], sheet, SHOP), packing.strip([piece], sheet, SHOP, 1)):
            (put,) = found
            shape = lying(piece, put)
            frame = shapely.box(8.0, 8.0, long - 8.0, wide - 8.0)
            assert frame.buffer(0.011).covers(shape), (long, put)
        for less in (sheet._replace(width=wide - 1.0), sheet._replace(length=long - 1.0)):
            assert packing.boxes([piece], less, SHOP) == packing.strip([piece], less, SHOP, 1) == []


@pytest.mark.parametrize("rule", [packing.boxes, lambda *given: packing.strip(*given, 1)])
def test_pieces_lie_apart_as_often_as_they_are_wanted(rule: packing.PackingRule) -> None:
    group = [box("A", 100.0, 40.0, 3), box("B", 30.0, 70.0, 2), box("C", 25.0, 25.0, 1)]
    sheet = SheetOnHand("p", "s", 200.0, 900.0)
    by = {piece.name: piece for piece in group}
    found = rule(group, sheet, SHOP)
    assert sorted(put.name for put in found) == ["A", "A", "A", "B", "B", "C"]
    shapes = [lying(by[put.name], put) for put in found]
    for at, one in enumerate(shapes):
        assert shapely.box(8.0, 8.0, 892.0, 192.0).buffer(0.02).covers(one)
        assert all(one.distance(two) > 9.98 for two in shapes[at + 1 :])
    assert max(s.bounds[2] for s in shapes) < 450.0, "from one end on"
    assert [(p.x, p.y) for p in found] == sorted((p.x, p.y) for p in found)


def test_what_lies_past_the_end_of_a_sheet_waits_for_the_next() -> None:
    """Three of 100 in a row with 10 between ask for 336 of length; on 300 lie two."""
    piece, sheet = box("A", 100.0, 40.0, 3), SheetOnHand("p", "s", 56.0, 300.0)
    for found in (packing.boxes([piece], sheet, SHOP), packing.strip([piece], sheet, SHOP, 1)):
        shapes = [lying(piece, put) for put in found]
        assert len(shapes) == 2 and shapes[0].distance(shapes[1]) > 9.98
        assert all(shapely.box(8.0, 8.0, 292.0, 48.0).buffer(0.02).covers(own) for own in shapes)


def test_what_a_nest_leaves_and_how_much_of_it_is_used() -> None:
    sheet = SheetOnHand("p", "s", 200.0, 900.0, 2)
    own = nest.Nested(sheet, 3, (), 300.0, 45000.0, "fixed", least=250.0)
    assert own.utilisation == 0.75 and own.at_best == 0.9 and own.remnant == (200.0, 600.0)
    assert own._replace(used=950.0).remnant == (200.0, 0.0)
    assert own._replace(least=400.0).at_best == 0.75, "no better than the strip that was taken"
    assert own._replace(used=0.0).utilisation == own._replace(least=0.0).at_best == 0.0
    assert own.remnant_name == "p R3" and not own.of_rest
    assert own._replace(sheet=sheet._replace(name=f"{nest.REST}2")).of_rest


def test_sheets_that_are_left_once_one_is_cut() -> None:
    """First its rest, where more than the check square and both margins goes on it; of two sheets
    one; of those without a number as many as before.
    """
    two = SheetOnHand("p", "two", 500.0, 900.0, 2)
    many, other = SheetOnHand("p", "many", 500.0, 900.0), SheetOnHand("q", "q", 500.0, 900.0, 1)
    shop = SHOP._replace(sheets=(two, many, other), unit="mm")
    assert nest.left_of(shop, "p", []) == (two, many)
    least = 100.0 + 2 * 8.0
    for rest, there in ((least + 1.0, True), (least, False), (0.0, False)):
        done = nest.Nested(two, 1, (), 900.0 - rest, 1.0, "fixed")
        left = nest.left_of(shop, "p", [done])
        assert left[there:] == (two._replace(quantity=1), many)
        if there:
            assert left[0] == SheetOnHand("p", f"{nest.REST}1", 500.0, pytest.approx(rest), 1)
    gone = [nest.Nested(two, n, (), 900.0, 1.0, "fixed") for n in (1, 2)]
    assert nest.left_of(shop, "p", gone) == (many,)
    narrow = two._replace(width=least)
    cut_of_narrow = [nest.Nested(narrow, 1, (), 300.0, 1.0, "fixed")]
    assert nest.left_of(shop, "p", cut_of_narrow) == (two, many)
    early, late = box("A", 10.0, 10.0), box("B", 10.0, 10.0)._replace(after=True)
    assert nest.turns([late, early]) == [[early], [late]] and nest.turns([late]) == [[late]]


def test_sheet_after_sheet_until_everything_lies() -> None:
    """Five of 300 x 180 on sheets of 400 x 400 with a check square: two a sheet, numbered on."""
    group = [box("A", 300.0, 180.0, 5)]
    sheets = [SheetOnHand("p", "one", 400.0, 520.0, 1), SheetOnHand("p", "more", 400.0, 520.0)]
    shop = SHOP._replace(unit="mm")
    done, lost = nest.fill(group, shop, packing.boxes, sheets, 4)
    assert lost == {} and [own.number for own in done] == [5, 6, 7]
    assert [own.sheet.name for own in done] == ["one", "more", "more"]
    assert [sum(put.name == "A" for put in own.placed) for own in done] == [2, 2, 1]
    for own in done:
        count = sum(put.name == "A" for put in own.placed)
        assert own.area == pytest.approx(count * 54000.0) and own.least <= own.used
        assert sum(put.name == nest.SQUARE for put in own.placed) == 1
        assert (
            nest.clashes(own, {"A": group[0], nest.SQUARE: nest.check_square(shop, "p")}, shop)
            == []
        )
    _, lost = nest.fill(group, shop, packing.boxes, sheets[:1], 0)
    assert lost == {"A": "fits no sheet of p that is left"}
    assert nest.fill(group, shop, packing.boxes, [], 0)[0] == []


def test_a_nest_is_known_by_all_that_decides_it() -> None:
    piece, sheet = box("A", 100.0, 40.0, 2), SheetOnHand("p", "s", 200.0, 900.0)
    key = nest.key_of("p", [piece], SHOP, [sheet])
    moved = tuple((x + 0.004, y) for x, y in piece.points)
    assert nest.key_of("p", [piece._replace(points=moved)], SHOP, [sheet]) == key
    for other in (
        nest.key_of("q", [piece], SHOP, [sheet]),
        nest.key_of("p", [piece._replace(copies=3)], SHOP, [sheet]),
        nest.key_of("p", [box("A", 100.02, 40.0, 2)], SHOP, [sheet]),
        nest.key_of("p", [box("A", 100.0, 40.0, 2, hole(5, 5, 9, 9))], SHOP, [sheet]),
        nest.key_of("p", [piece], SHOP._replace(spacing=10.002), [sheet]),
        nest.key_of("p", [piece], SHOP._replace(margin=8.002), [sheet]),
        nest.key_of("p", [piece], SHOP, [sheet, sheet]),
    ):
        assert other != key and len(other) == 16


def part(**more: object) -> Part:
    """8 x 5 in with an opening, a round one, a cut, a drilled and a slotted hole."""
    openings = (
        contours.rectangle(50.0, 30.0, 90.0, 60.0, 8.0),
        contours.circle((170.0, 100.0), 20.0),
    )
    body = Plate("1/4 A36", contours.rectangle(10.0, 5.0, 10.0 + 8 * IN, 5.0 + 5 * IN), openings)
    flat = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    row = {"along": (0.0, 0.0, 1.0), "size": "1/2-13", "grade": "grade 8", "hole": "close"}
    row |= {"through": ("ZZ1.L",)}
    bolts = (
        Bolt("a#1", (40.0, 100.0, 0.0), duty="mount", **row),  # type: ignore[arg-type]  # a row
        Bolt("a#2", (80.0, 100.0, 0.0), duty="frame", **row),  # type: ignore[arg-type]
        Bolt(
            "a#3", (150.0, 40.0, 0.0), duty="mount", slots={"ZZ1.L": (19.0, (1.0, 0.0, 0.0))}, **row
        ),  # type: ignore[arg-type]
    )
    member = Member("ZZ1.L", "plate", "ZZ", body, flat)
    (made,) = finish.finish(Assembly((member,), bolts), SHOP, "T1")
    return made._replace(**more)


@pytest.mark.parametrize("release", ["R2010", "R12"])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_file_that_is_not_its_part_is_told(unit: str, release: str) -> None:
    """One thing off at a time: area, size over all, an opening or a drill point less, a loop that
    is open, a line on a layer nobody named; and a handle that is not below the file's seed.
    """
    own, shop = part(), SHOP._replace(unit=unit, dxf=release)
    text = cut.cut_text(own, shop)
    assert cut.read_back(text, own, "x.dxf", shop) == []
    anywhere = cut.dxf_text(cut.strokes(own), shop)
    assert cut.read_back(anywhere, own, "x.dxf", shop) == [], "its size, wherever it is drawn"
    found = dxf_read.entities(text)
    drawn = [e for e in found if e.layer == shop.layers["OUTLINE"]]
    scale = 1.0 if unit == "mm" else IN
    xs = [x * scale for x, *_ in drawn[0].rows]
    assert (min(xs), max(xs)) == pytest.approx((0.0, 8 * IN), abs=1e-6)
    rounds = sorted(2 * e.radius * scale for e in found if e.kind == "CIRCLE")
    assert rounds == pytest.approx(sorted((20.0, own.holes[0].diameter)), abs=1e-6)
    assert sum(e.layer == shop.layers["DRILL"] for e in found) == 2
    for changed in (
        own._replace(area_cut=own.area_cut * (1 + 3e-6)),
        own._replace(area_cut=own.area_cut * (1 - 3e-6)),
        own._replace(holes=own.holes[1:]),
        own._replace(holes=(own.holes[0], own.holes[2])),
        own._replace(holes=own.holes[:2]),
    ):
        assert cut.read_back(text, changed, "x.dxf", shop), changed.area_cut
    assert cut.read_back(text, own._replace(area_cut=own.area_cut * (1 + 3e-7)), "x", shop) == []
    body = own.member.body
    assert isinstance(body, Plate)
    for off, told in ((0.011, True), (-0.011, True), (0.009, False)):
        for wide, tall in ((8 * IN + off, 5 * IN), (8 * IN, 5 * IN + off)):
            loop = contours.rectangle(10.0, 5.0, 10.0 + wide, 5.0 + tall)
            other = own.member._replace(body=body._replace(outline=loop))
            faults = cut.read_back(text, own._replace(member=other), "x.dxf", shop)
            assert any("size over all" in str(fault) for fault in faults) is told
    strange = text.replace(shop.layers["OUTLINE"], "NOBODYS")
    assert any("NOBODYS" in str(fault) for fault in cut.read_back(strange, own, "x.dxf", shop))
    late = re.sub(r"(\$HANDSEED\n  5\n)[0-9A-F]+", r"\g<1>1", text)
    with pytest.raises(dxf_read.ReadError, match="below the seed"):
        dxf_read.entities(late)
    vertex = "  0\nVERTEX\n  5\n7FFFFFFF\n 10\n0.0\n 20\n0.0\n"
    at = text.index("ENTITIES\n") + len("ENTITIES\n")
    circle = "  0\nCIRCLE\n  5\n7FFFFFFE\n 10\n0.0\n 20\n0.0\n 40\n1.0\n"
    for before in ("", circle):
        with pytest.raises(dxf_read.ReadError, match="corner of no line"):
            dxf_read.entities(text[:at] + before + vertex + text[at:])
    last = max(
        int(h, 16) for h in re.findall(r"\n  5\n([0-9A-F]+)\n", text[text.index("ENTITIES") :])
    )
    assert dxf_read.entities(re.sub(r"(\$HANDSEED\n  5\n)[0-9A-F]+", rf"\g<1>{last + 1:X}", text))
    with pytest.raises(dxf_read.ReadError, match="below the seed"):
        dxf_read.entities(re.sub(r"(\$HANDSEED\n  5\n)[0-9A-F]+", rf"\g<1>{last:X}", text))


def test_a_cut_file_by_its_name() -> None:
    """Chassis, number, revision, hand, thickness, quantity, unit; nothing a disk or a table's
    controller trips over.
    """
    own, shop = part(), SHOP._replace(unit="in")
    assert cut.cut_name(own, "T 1/ä", "d12", shop) == "T_1__-ZZ1-d12-L-0p250in-q1-in.dxf"
    plates = tuple(p._replace(thickness=6.0) if p.key == "1/4 A36" else p for p in shop.plates)
    mm = shop._replace(unit="mm", plates=plates)
    quarter = shop._replace(unit="mm")
    assert cut.thickness_name(own, quarter) == "6p4mm", "6.35 as the sheets say it, a five up"
    assert cut.cut_name(own._replace(quantity=2), "T1", "A", mm) == "T1-ZZ1-A-L-6p0mm-q2-mm.dxf"
    middle = own._replace(places=("ZZ1.C",))
    assert "-A-C-" in cut.cut_name(middle, "T1", "A", shop)
    one, two = cut.cross_lines((10.0, 20.0))
    assert [math.dist(*line) for line in (one, two)] == pytest.approx([IN / 4, IN / 4])
    assert one[0][1] == one[1][1] == 20.0 and two[0][0] == two[1][0] == 10.0


@pytest.mark.parametrize("release", ["R2010", "R12"])
def test_every_layer_has_a_color_of_its_own(release: str) -> None:
    """White, red, green, blue, magenta and gray by the numbers of the published DXF reference, by
    ezdxf; a file in inches or millimeters says so where its release can.
    """
    import ezdxf

    colors = {"OUTLINE": 7, "OPENING": 1, "SCRIBE": 3, "DRILL": 5, "FOLD": 6, "NOT_CUT": 8}
    for unit, code in (("in", 1), ("mm", 4)):
        shop = SHOP._replace(unit=unit, dxf=release)
        doc = ezdxf.read(io.StringIO(cut.cut_text(part(), shop)))
        found = {name: doc.layers.get(shop.layers[name]).color for name in colors}
        assert found == colors
        assert release == "R12" or doc.units == code


@pytest.mark.parametrize(
    ("unit", "said", "side"), [("in", "4.000 IN", 101.6), ("mm", "100.0 MM", 100.0)]
)
def test_the_check_square_says_how_long_it_is(unit: str, said: str, side: float) -> None:
    rows, corner = nest_cut._own(
        packing.PlacedPiece(nest.SQUARE, 0.0, 5.0, 5.0), {}, SHOP._replace(unit=unit)
    )
    assert corner == (0.0, 0.0) and rows[0].layer == "OUTLINE" and rows[0].closed
    assert [max(p[n] for p in rows[0].points) for n in (0, 1)] == [side, side]
    want = letter(said, (0.12 * side, 0.42 * side), 0.12 * side)
    assert [tuple(p[:2] for p in row.points) for row in rows[1:]] == [tuple(line) for line in want]
    assert {row.layer for row in rows[1:]} == {"SCRIBE"}
    assert all(0.0 < x < side and 0.0 < y < side for row in rows[1:] for x, y, _ in row.points)


def test_each_nest_is_looked_for_as_long_as_its_area_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 8 seconds a plate on the mean: two plates of 3 and 1 parts take 12 and 4; of the first
    what is cut now, two thirds, 8, and what is cut later 4; a second at least.
    """
    asked: list[tuple[str, bool, int]] = []

    def best(
        turn: Sequence[packing.Piece], _shop: object, seconds: int, *_: object
    ) -> list[object]:
        asked.append((turn[0].stock, turn[0].after, seconds))
        return []

    monkeypatch.setattr(tighter, "_best", best)
    now, late = box("A", 200.0, 100.0), box("B", 100.0, 100.0)._replace(after=True)
    other = box("C", 100.0, 100.0)._replace(stock="q")
    monkeypatch.setattr(tighter, "pieces", lambda *_: [now, late, other])
    for seconds, shares in ((8, (8, 4, 4)), (0, (1, 1, 1))):
        asked.clear()
        tighter.better((), SHOP, seconds)
        assert sorted(asked) == [
            ("p", False, shares[0]),
            ("p", True, shares[1]),
            ("q", False, shares[2]),
        ]


def test_a_better_way_is_looked_for_unless_one_sheet_is_as_short_as_can_be() -> None:
    """Two right triangles lie in one square where their outlines are looked at, side by side where
    only their boxes are; what is as short as any layout is left as it is, the fewer sheets win.
    """
    corners = ((0.0, 0.0), (150.0, 0.0), (0.0, 150.0))
    pair = [packing.Piece("A", "p", corners, 11250.0, 2)]
    sheet = SheetOnHand("p", "s", 186.0, 900.0)
    (boxed,), _ = nest.fill(pair, SHOP, packing.boxes, [sheet], 0)
    (best,) = tighter._best(pair, SHOP, 2, [sheet], 0)
    assert best.used < boxed.used - 50.0 and best.used >= best.least
    square = [box("B", 170.0, 170.0, 1)]
    assert tighter._best(square, SHOP._replace(unit="mm"), 1, [sheet], 0)[0].number == 1


@pytest.mark.parametrize("angle", [0.0, 90.0, 180.0, 270.0])
def test_a_part_lies_in_its_sheets_file_where_the_nest_says(angle: float) -> None:
    """Its own lower-left corner turned and moved, wherever its own drawing begins; the edge of the
    sheet about it.
    """
    own, shop = part(), SHOP._replace(unit="mm")
    put = packing.PlacedPiece("ZZ1.L", angle, 400.0, 500.0)
    sheet = SheetOnHand("1/4 A36", "s", 900.0, 1200.0)
    nested = nest.Nested(sheet, 1, (put,), 0.0, 0.0, "fixed")
    found = dxf_read.entities(nest_cut.sheet_dxf(nested, {"ZZ1.L": own}, shop))
    loops = {e.layer: [(x, y) for x, y, _ in e.rows] for e in found if e.kind == "LWPOLYLINE"}
    piece = box("ZZ1.L", 8 * IN, 5 * IN)
    got = shapely.Polygon(loops[shop.layers["OUTLINE"]])
    assert got.symmetric_difference(lying(piece, put)).area < 1e-3
    edge = shapely.Polygon(loops[shop.layers["NOT_CUT"]])
    assert edge.bounds == (0.0, 0.0, 1200.0, 900.0)

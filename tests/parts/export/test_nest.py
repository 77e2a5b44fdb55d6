"""Nested sheets: nothing on anything, quantities reconcile, the same places every time, places
kept; read by GDAL, a reader unrelated to the writer.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from soapstone.parts.export import nest as n
from soapstone.parts.export.nest_cut import sheet_dxf
from soapstone.parts.export.tighter import better
from soapstone.parts.stock import SheetOnHand, default_shop
from soapstone.parts.stock.shop_file import load_shop
from soapstone.parts.truck.truck import is_plate
from soapstone.parts.verdict.cut_today import stands_without
from trucks import truck
from typed import DEMO, soapstone

SHOP = default_shop()
IN = 25.4


@cache
def result() -> n.Result:
    return n.nest(truck()[0].parts, SHOP)


def by(shop=SHOP, trucks: int = 1):
    return {p.name: p for p in n.pieces(truck()[0].parts, trucks)} | {
        n.SQUARE: n.check_square(shop, "")
    }


@pytest.mark.parametrize("name", ["demo", "demo_uneven"])
def test_every_plate_lies_on_a_sheet_apart_from_the_others(name: str) -> None:
    parts = truck(name)[0].parts
    got = n.nest(parts, SHOP)
    pieces = {p.name: p for p in n.pieces(parts)} | {n.SQUARE: n.check_square(SHOP, "")}
    assert not got.left and all(n.clashes(s, pieces, SHOP) == [] for s in got.sheets)
    placed = [p.name for s in got.sheets for p in s.placed if p.name != n.SQUARE]
    assert {k: placed.count(k) for k in set(placed)} == {
        p.called: p.quantity for p in parts if is_plate(p)
    }, "quantities are those of the bill of material"
    assert all(sum(p.name == n.SQUARE for p in s.placed) == 1 for s in got.sheets), (
        "a check square on each"
    )
    for s in got.sheets:
        assert {
            parts_[p.name].member.body.stock
            for parts_ in [{q.called: q for q in parts}]
            for p in s.placed
            if p.name != n.SQUARE
        } == {s.sheet.stock}


def test_the_fixed_rule_gives_the_same_places_and_three_trucks_take_three_times_as_many() -> None:
    assert n.nest(truck()[0].parts, SHOP) == result()
    three = n.nest(truck()[0].parts, SHOP, None, 3)

    def count(found: n.Result) -> int:
        return sum(len(s.placed) for s in found.sheets) - len(found.sheets)

    assert count(three) == 3 * count(result()) and not three.left


def test_a_clash_is_seen() -> None:
    s = result().sheets[0]
    a, b = [p for p in s.placed if p.name != n.SQUARE][:2]
    on_top = s._replace(placed=(a, b._replace(x=a.x + 5, y=a.y, angle=a.angle)))
    assert any("apart" in w for w in n.clashes(on_top, by(), SHOP))
    off = s._replace(placed=(a._replace(x=a.x - 40),))
    assert any("margin" in w for w in n.clashes(off, by(), SHOP))


@pytest.mark.parametrize("release", ["R2010", "R12"])
def test_sheets_through_gdal(tmp_path: Path, release: str) -> None:
    """Every outline closed and in the sheet, the area of all parts, a check square of 4.000 in."""
    import pyogrio
    from shapely import from_wkb
    from shapely.geometry import Polygon, box

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    parts = {p.called: p for p in truck()[0].parts}
    s = min(result().sheets, key=lambda s: len(s.placed))
    path = tmp_path / "sheet.dxf"
    path.write_text(sheet_dxf(s, parts, SHOP._replace(dxf=release)))
    meta, _, shapes, fields = pyogrio.raw.read(path)
    layer = list(meta["fields"]).index("Layer")
    loops = [
        Polygon(x.exterior.coords if x.geom_type == "Polygon" else x.coords)
        for wkb, where in zip(shapes, fields[layer], strict=True)
        if where == "OUTLINE"
        for x in [from_wkb(wkb)]
    ]
    assert len(loops) == len(s.placed)
    sheet = box(0, 0, s.sheet.length / IN, s.sheet.width / IN)
    assert all(x.is_valid and x.within(sheet) for x in loops)
    squares = [x for x in loops if x.area == pytest.approx(16.0, abs=1e-6)]
    assert len(squares) == 1 and squares[0].bounds[2] - squares[0].bounds[0] == pytest.approx(
        4.0, abs=1e-6
    )
    want = s.area / IN**2 + 16.0
    assert sum(x.area for x in loops) == pytest.approx(want, rel=2e-3)


def test_remnants_are_used_first_and_what_fits_nowhere_is_named() -> None:
    small = [
        SheetOnHand("1/4 A36", "R-1", 12 * IN, 24 * IN, 1),
        SheetOnHand("1/4 A36", "full", 48 * IN, 96 * IN, 0),
    ]
    shop = SHOP._replace(sheets=(*small, SheetOnHand("3/16 A36", "too small", 6 * IN, 10 * IN, 0)))
    got = n.nest(truck()[0].parts, shop)
    quarter = [s for s in got.sheets if s.sheet.stock == "1/4 A36"]
    now = [s for s in quarter if not s.after]
    assert now[0].sheet.name == "R-1" and now[-1].sheet.name == "full"
    assert (
        "fits no sheet of 3/16 A36" in got.left["CS1"] and "no sheet of 3/8 A36" in got.left["XT2"]
    )
    for s in got.sheets:
        assert n.clashes(s, by(shop), shop) == []


def test_what_is_cut_after_set_down_lies_on_no_sheet_that_is_cut_now() -> None:
    """The truck may ask for another size once it has stood: what is left of a sheet is used first,
    and no more of it than there is.
    """
    late = {part.called for part in truck()[0].parts if stands_without(part)}
    rests = [own for own in result().sheets if own.of_rest]
    assert rests and all(own.after for own in rests)
    for own in result().sheets:
        names = {put.name for put in own.placed} - {n.SQUARE}
        assert names <= late if own.after else not names & late
    for own in rests:
        first = next(
            each
            for each in result().sheets
            if each.sheet.stock == own.sheet.stock and own.sheet.name == f"{n.REST}{each.number}"
        )
        assert (own.sheet.width, own.sheet.length) == first.remnant and not first.after
    # numbers of a plate's sheets stay apart
    numbers = [(own.sheet.stock, own.number) for own in result().sheets]
    assert len(set(numbers)) == len(numbers)


def test_better_places_are_kept_and_used_until_something_changes() -> None:
    parts = [p for p in truck()[0].parts if is_plate(p) and p.member.body.stock == "3/8 A36"]
    kept = json.loads(json.dumps(better(parts, SHOP, 1)))
    got = n.nest(parts, SHOP, kept)
    assert [s.rule for s in got.sheets] == ["kept"] and n.clashes(got.sheets[0], by(), SHOP) == []
    fixed = n.nest(parts, SHOP)
    assert got.sheets[0].used <= fixed.sheets[0].used + 1e-6, "never longer than the fixed rule"
    assert n.nest(parts, SHOP._replace(spacing=0.5 * IN), kept).sheets[0].rule == "fixed"


def test_nest_as_a_command_and_bad_settings(tmp_path: Path) -> None:
    job = tmp_path / "T1.toml"
    job.write_text(DEMO.read_text())
    got = soapstone("nest", str(job), "--seconds", "0", "--json")
    rows = json.loads(got.stdout)
    assert (
        got.returncode == 0
        and rows["left"] == {}
        and all(0 < r["utilisation"] <= 1 for r in rows["sheets"])
        and max(r["utilisation"] for r in rows["sheets"]) > 0.3
    )
    bad = soapstone("nest", str(job), "--seconds", "-1", "--trucks", "99")
    assert bad.returncode == 2 and "--seconds" in bad.stderr and "--trucks" in bad.stderr
    job.with_name("T1.nest.json").write_text('{"x": 3}')
    spoilt = soapstone("build", str(job), "--out", str(tmp_path / "out"))
    assert (
        spoilt.returncode == 3
        and "T1.nest.json" in spoilt.stderr
        and "Traceback" not in spoilt.stderr
    )
    shop = tmp_path / "shop.toml"
    shop.write_text(
        '[[sheet]]\nkey = "R-1"\nplate = "1/4 A37"\nwidth = "12"\nlength = "x"\n[nest]\nspacing ='
        ' "9"\n[paper]\nsize = "A7"\n[bolts]\nfriction = "sticky"\n'
    )
    from soapstone.layout.faults import SoapstoneError

    with pytest.raises(SoapstoneError) as e:
        load_shop(shop)
    said = " / ".join(map(str, e.value.faults))
    assert all(
        w in said
        for w in ("sheet.1.plate", "nest.spacing", "paper.size", "bolts.friction", "1/4 A36")
    )


@pytest.mark.again
def test_no_layout_beats_the_bound_printed_beside_it() -> None:
    for name in ("demo", "demo_uneven"):
        parts = truck(name)[0].parts
        kept = better(parts, SHOP, 1)
        for result in (n.nest(parts, SHOP), n.nest(parts, SHOP, kept)):
            assert all(own.used >= own.least - 0.5 for own in result.sheets)
            assert all(own.utilisation <= own.at_best + 0.01 for own in result.sheets)

"""Cut files through GDAL, and lettering on the steel."""

from __future__ import annotations

from pathlib import Path

import pytest
from soapstone.parts import stock
from soapstone.parts.export import cut
from soapstone.parts.geometry import outline
from soapstone.parts.model.assembly import Part
from soapstone.parts.truck.truck import Truck, is_plate

SHOP = stock.default_shop()


def cut_of(made: dict[str, bytes], part: Part) -> str:
    return next(
        n
        for n in made
        if n.startswith("cut/")
        and f"/DEMO1-{part.id.rpartition('.')[0]}-d{part.cut_fingerprint[:6]}-" in n
    )


@pytest.mark.parametrize("release", ["R2010", "R12"])
def test_every_cut_file_through_gdal(truck: Truck, tmp_path: Path, release: str) -> None:
    """GDAL's DXF driver (pyogrio): one outer loop, openings inside it, none over another, area of
    the model.
    """
    import pyogrio
    from shapely import from_wkb
    from shapely.geometry import Polygon
    from shapely.ops import unary_union

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    for part in filter(is_plate, truck.parts):
        path = tmp_path / "part.dxf"
        path.write_text(cut.cut_text(part, SHOP._replace(dxf=release)))
        meta, _, shapes, fields = pyogrio.raw.read(path)
        layer = list(meta["fields"]).index("Layer")
        loops: dict[str, list[Polygon]] = {"OUTLINE": [], "OPENING": []}
        for wkb, where in zip(shapes, fields[layer], strict=True):
            if where in loops:
                line = from_wkb(wkb)
                ring = line.exterior if line.geom_type == "Polygon" else line
                assert ring.coords[0] == pytest.approx(ring.coords[-1], abs=1e-9), (
                    f"{part.id} is open"
                )
                loops[where].append(Polygon(ring.coords))
        assert len(loops["OUTLINE"]) == 1
        outer, inner = loops["OUTLINE"][0], loops["OPENING"]
        assert outer.is_valid and all(o.within(outer) for o in inner), part.id
        assert unary_union(inner).area == pytest.approx(sum(o.area for o in inner), rel=1e-9), (
            f"{part.id}: openings overlap"
        )
        assert (outer.area - sum(o.area for o in inner)) * 25.4**2 == pytest.approx(
            part.area_cut, rel=2e-6, abs=0.05
        ), part.id  # the reader sees chords
        assert outer.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-6)


@pytest.mark.parametrize("release", ["R2010", "R12"])
def test_a_changed_cut_file_is_caught(truck: Truck, release: str) -> None:
    for part in filter(is_plate, truck.parts):
        text = cut.cut_text(part, SHOP._replace(dxf=release))
        assert cut.read_back(text, part, "x", SHOP) == []
        assert "area" in str(
            cut.read_back(text, part._replace(area_cut=part.area_cut * 1.001), "x.dxf", SHOP)[0]
        )
        assert cut.read_back(text.replace("OUTLINE", "SCRIBE"), part, "x.dxf", SHOP)


def test_pivot_and_frame_holes_are_never_cut_to_size(truck: Truck) -> None:
    """VSB 6 rules 2-4 in summary (frame holes drilled, not flame cut); a slot that a weld washer
    covers is cut.
    """
    duty = {b.id: b.duty for b in truck.assembly.bolts}
    seen = 0
    for part in filter(is_plate, truck.parts):
        t = stock.default_shop().plate(part.member.body.stock).thickness
        for h in part.holes:
            seen += 1
            if h.how == "cut":
                assert h.diameter >= max(1.5 * t, 0.375 * 25.4) - 0.02, "to a thousandth"
                assert h.length > 0 or duty[h.bolt] not in ("pivot", "frame", "steering"), h
    assert seen > 20


def test_both_hands(truck: Truck, made: dict[str, bytes]) -> None:
    """The coil-seat plate of an even truck fits both sides: one file, two pieces.

    A bracket ear does not.
    """
    by_id = {p.id: p for p in truck.parts}
    assert by_id["CS1.L"].quantity == 2 and by_id["CS1.L"].hand == "E" and "CS1.R" not in by_id
    assert {by_id[f"AB1.{s}"].hand for s in "LR"} == {"L", "R"}
    left, right = by_id["XS1.L"].member, by_id["XS1.R"].member
    for v, w in zip(left.place.origin, right.place.origin, strict=True):
        assert abs(v) == pytest.approx(abs(w))
    assert left.place.y == pytest.approx(right.place.y), "up on the plate is up on the truck"
    assert outline.signed_area(right.body.outline) > 0


def test_lettering_lies_on_steel(truck: Truck) -> None:
    for part in filter(is_plate, truck.parts):
        body = part.member.body
        text = [
            p for m in part.marks if m.role in ("text", "drill") for line in m.strokes for p in line
        ]
        assert text, f"{part.id} carries no letters"
        assert all(outline.contains(body.outline, p) for p in text), part.id
        assert not any(outline.contains(o, p) for o in body.openings for p in text), part.id


def test_every_letter_stays_in_its_cell() -> None:
    from soapstone.parts.geometry import strokes

    for c in strokes.GRID:
        for line in strokes.letter(c, (0.0, 0.0), 6.0):
            assert len(line) >= 2
            assert all(0 <= x <= 4 and 0 <= y <= 6 for x, y in line)

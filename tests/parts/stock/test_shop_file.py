"""The shop settings: printed, read, refused in sentences, and where they go."""

from __future__ import annotations

from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.stock import default_shop
from soapstone.parts.stock.settings import settings_text
from soapstone.parts.stock.shop_file import load_shop
from typed import soapstone

OWN = """
[shop]
name = "our shop"
archive = "archive"
[units]
length = "in"
[cut]
unit = "in"
[layers]
SCRIBE = "SCRIBE"
[weld]
filler = "ER70S-6 .035"
[drills]
sizes = ["1/8", "3/16", "1/4"]
[[plate]]
key = "1/4 A36"
thickness = "1/4"
measured = 0.256
steel = "A36"
price = 0.95
[[tube]]
key = "2.500 x 0.375 DOM 1020"
od = "2 1/2"
wall = "3/8"
steel = "A513 1020 DOM"
price = 2.4
"""


def test_settings_as_printed_change_nothing(tmp_path: Path) -> None:
    """The shop that every part is made from is the same to the last digit, so the same files come
    out.
    """
    path = tmp_path / "shop.toml"
    got = soapstone("rack", "settings")
    assert got.returncode == 0 and got.stdout == settings_text()
    path.write_text(got.stdout)
    assert load_shop(path) == default_shop() == load_shop(None)


def test_a_list_replaces_its_own_kind_only(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(OWN)
    s = load_shop(path)
    assert [p.key for p in s.plates] == ["1/4 A36"] and s.plates[0].measured == pytest.approx(
        0.256 * 25.4
    )
    assert s.prices == {"1/4 A36": 0.95, "2.500 x 0.375 DOM 1020": 2.4}
    assert s.archive == str(tmp_path / "archive")
    path.write_text(OWN[: OWN.index("[[plate]]")])
    s = load_shop(path)
    assert len(s.drills) == 3 and s.plates == default_shop().plates
    assert s.tubes == default_shop().tubes


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("[weld]", "[welds]", "nearest known one is weld"),
        ("wall = ", "wal = ", "nearest known one is wall"),
        ('thickness = "1/4"', 'thickness = "-1/4"', "0.03 .. 2 in"),
        ("measured = 0.256", "measured = 0.356", "within 15 %"),
        ('steel = "A36"', 'steel = "mild"', "A572-50"),
        ('unit = "in"', 'unit = "inch"', "in | mm"),
        ('SCRIBE = "SCRIBE"', 'SCRIBE = "OUTLINE"', "a different name"),
        ('wall = "3/8"', 'wall = "1 1/4"', "less than half"),
        ('sizes = ["1/8"', 'sizes = ["an eighth"', "drills.sizes.1"),
        ("price = 0.95", 'price = "a lot"', "a number"),
    ],
)
def test_shop_faults_are_sentences(old: str, new: str, says: str, tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    assert old in OWN
    path.write_text(OWN.replace(old, new, 1))
    with pytest.raises(SoapstoneError) as e:
        load_shop(path)
    assert any(says in str(f) for f in e.value.faults), [str(f) for f in e.value.faults]


def test_metric_cut_files_and_renamed_layers_through_gdal(tmp_path: Path) -> None:
    """The same plate in mm with other layer names: GDAL finds it 25.4 times as large on the layer
    asked for.
    """
    import pyogrio
    from shapely import from_wkb
    from shapely.geometry import Polygon

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    from soapstone.parts.export import cut
    from soapstone.parts.truck.truck import is_plate
    from trucks import truck

    shop = default_shop()._replace(
        unit="mm", layers={**default_shop().layers, "OUTLINE": "P1", "SCRIBE": "P2"}
    )
    part = next(p for p in truck()[0].parts if is_plate(p))
    text = cut.cut_text(part, shop)
    assert cut.read_back(text, part, "x", shop) == []
    (tmp_path / "p.dxf").write_text(text)
    meta, _, shapes, fields = pyogrio.raw.read(tmp_path / "p.dxf")
    layers = fields[list(meta["fields"]).index("Layer")]
    outer = [from_wkb(w) for w, n in zip(shapes, layers, strict=True) if n == "P1"]
    assert len(outer) == 1 and "OUTLINE" not in set(layers)
    ring = outer[0].exterior if outer[0].geom_type == "Polygon" else outer[0]
    from soapstone.parts.geometry import outline

    assert Polygon(ring.coords).area == pytest.approx(
        outline.area(part.member.body.outline), rel=1e-4
    )
    assert "-mm.dxf" in cut.cut_name(part, "T", "A", shop)


def test_shop_settings_reach_schedules_and_checks() -> None:
    """Prices a pound in the bill of material, the weld process in the weld schedule, plates too
    large for the table as warnings.
    """
    from soapstone.parts.documents import schedules
    from soapstone.parts.truck.truck import design
    from trucks import job as demo_job
    from trucks import truck

    _, solved = truck()
    j = demo_job()
    shop = default_shop()._replace(
        prices={"1/4 A36": 2.0}, weld="GTAW, ER70S-2", bed=(250.0, 300.0)
    )
    t = design(solved, j.words, j.pins, j.chassis, shop)
    tables = {x.name: x.rows for x in schedules.tables(t, shop)}
    row = next(r for r in tables["material"] if r["stock"] == "1/4 A36")
    assert row["cost"] == pytest.approx(2.0 * row["mass"], abs=0.02) and all(
        r["cost"] == "" for r in tables["material"] if r["stock"] == "3/16 A36"
    )
    assert {r["process"] for r in tables["welds"]} == {"GTAW, ER70S-2"}
    large = {c.part for c in t.checks if "cutting table" in c.what}
    assert (
        "CS1.L" in large
        and "LT1.L" not in large
        and {c.verdict for c in t.checks if c.part in large and "table" in c.what}
        == {Verdict.CONFIRM}
    )


@pytest.mark.parametrize(
    ("typed", "sizes"),
    [
        ("", ("1/2-13", "9/16-12", "5/8-11")),
        ('[units]\nlength = "mm"\n', ("M12x1.75", "M14x2", "M16x2")),
        ('[bolts]\nframe_sizes = ["5/8-11", "1/2-13"]\n', ("1/2-13", "5/8-11")),
        ('[bolts]\nframe_sizes = ["M16x2", "M12x1.75"]\n', ("M12x1.75", "M16x2")),
    ],
)
def test_bolts_of_the_crossmember_are_of_the_shops_system(
    tmp_path: Path, typed: str, sizes: tuple[str, ...]
) -> None:
    """Inch bolts in an inch shop, metric ones in a shop in millimeters, or those it has."""
    path = tmp_path / "shop.toml"
    path.write_text(typed)
    assert load_shop(path).frame_bolts == sizes


@pytest.mark.parametrize("typed", ['"1/2-13"', "[]", '["1/2-14"]', '["1/2-13", "M12x1.75"]', "[3]"])
def test_bolts_nobody_has_are_refused_in_a_sentence(tmp_path: Path, typed: str) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(f"[bolts]\nframe_sizes = {typed}\n")
    with pytest.raises(SoapstoneError) as refused:
        load_shop(path)
    (fault,) = refused.value.faults
    assert fault.field == "bolts.frame_sizes" and "M12x1.75" in fault.allowed + fault.remedy

"""What the layout takes from handbooks: springs and weights."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest
from soapstone.layout import units
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.parts import stock

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))


@pytest.mark.parametrize(
    ("ends", "wire_in", "coils", "want_mm"),
    [("ground", "2.5 mm", 14, 35.0), ("not ground", "2.5 mm", 14, 37.5)],
)
def test_solid_length(
    ends: str, wire_in: str, coils: float, want_mm: float, tmp_path: Path
) -> None:
    """Wire 2.5 mm, 14 coils, plain ground: 35 mm (Shigley 10e SM 10-3, E27): read; not ground d (Nt
    + 1) (Table 10-1): from memory.

    Taken at ten times the size, which a truck spring's field allows.
    """
    text = (
        DEMO.read_text()
        .replace('wire = "0.72"', 'wire = "25 mm"')
        .replace("total_coils = 8.75", f"total_coils = {coils}")
        .replace('ends = "ground"', f'ends = "{ends}"')
    )
    path = tmp_path / "j.toml"
    path.write_text(text)
    assert solve(load(path)).values[Key("spring.solid", "L")] == pytest.approx(10 * want_mm)


def test_wheel_rate_units() -> None:
    """50 N/mm is 285.5 lbf/in (NIST SP 811 factor 5.710147 lbf/in a N/mm)."""
    assert units.to(50.0, "rate", "lbf/in") == pytest.approx(50 * 5.710147, rel=1e-6)


def test_gauge_plate_weighs_what_the_table_says() -> None:
    """10 ga sheet: 5.625 lb/ft2 (manufacturers' standard gauge, E39): read.

    Within 3 %: the gauge is defined by 41.82 lb/ft2 an inch.
    """
    t = stock.default_shop().plate("10 ga A36").thickness
    weight = t * stock.STEEL_DENSITY * 304.8**2 / 0.45359237
    assert weight == pytest.approx(5.625, rel=0.03)


@pytest.mark.parametrize(
    ("key", "inch"),
    [
        ("11 ga A36", 0.1196),
        ("10 ga A36", 0.1345),
        ("3/16 A36", 0.1875),
        ("1/4 A36", 0.25),
        ("5/16 A36", 0.3125),
        ("3/8 A36", 0.375),
    ],
)
def test_plate_thickness(key: str, inch: float) -> None:
    """Manufacturers' standard gauge: 10 ga 0.1345, 11 ga 0.1196 in; plate by name."""
    assert stock.default_shop().plate(key).thickness == pytest.approx(inch * 25.4)

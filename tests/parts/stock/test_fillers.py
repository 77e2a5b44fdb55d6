"""Fillers by what is written on the box: designations of AWS, CSA and ISO, and their strength."""

from __future__ import annotations

from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.parts.stock.fillers import filler_of
from soapstone.parts.stock.shop_file import load_shop


@pytest.mark.parametrize(
    ("text", "mpa"),
    [  # AWS by ksi, AWS and CSA by MPa, ISO 2560 / 14341 symbols: two digits after the mark
        ("E6011", 413.7),
        ("E7018-1 H4R 1/8", 482.6),
        ("ER70S-6 .035", 482.6),
        ("E71T-1C", 482.6),
        ("E4918", 490),
        ("G 42 4 M21 3Si1", 500),
        ("ISO 2560-A - E 38 0 RC 11", 470),
    ],
)
def test_fillers_by_their_designation(text: str, mpa: float) -> None:
    got = filler_of(text)
    assert got is not None and got.fexx == pytest.approx(mpa, rel=1e-4)


@pytest.mark.parametrize("text", ["ER308L", "wire", "E110T5", "brazing rod", "E11018"])
def test_fillers_of_unknown_strength_are_refused(text: str, tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(f'[weld]\nprocess = "GMAW"\nfiller = "{text}"\n')
    with pytest.raises(SoapstoneError) as e:
        load_shop(path)
    assert "weld.filler" in str(e.value.faults[0]) and "E7018" in str(e.value.faults[0])

"""What is typed wrong about loads ends in a sentence: the field, what was typed, what is allowed,
what to do; and nothing is written.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job_file import load
from soapstone.parts.design.site import SlipError
from soapstone.parts.model.hold import HoldKind, UnderLoad
from soapstone.parts.stock import default_shop
from soapstone.parts.stock.shop_file import load_shop
from soapstone.parts.strength.result import strength
from trucks import DATA, truck

TYPED = """
[[load]]
key = "low range pull"
factor = 3
[[load]]
key = "twist"
factor = 0.9
[[load]]
key = "winch"
factor = "a lot"
"""


def test_every_fault_of_the_shops_loads_in_one_run(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(TYPED)
    with pytest.raises(SoapstoneError) as caught:
        load_shop(path)
    said = {fault.field: str(fault) for fault in caught.value.faults}
    assert {"load.1.key", "load.twist.factor", "load.winch.factor"} <= set(said)
    assert "low range pull" in said["load.1.key"] and "low-range pull" in said["load.1.key"]
    assert "0.9" in said["load.twist.factor"] and "by = and reason =" in said["load.twist.factor"]


def test_a_steel_nobody_knows_is_told_with_those_that_are(tmp_path: Path) -> None:
    path = tmp_path / "J1.toml"
    text = (DATA / "demo.toml").read_text()
    path.write_text(text.replace('tube_steel = "A513 4130 N"', 'tube_steel = "unobtainable"'))
    with pytest.raises(SoapstoneError) as caught:
        load(path)
    fault = next(f for f in caught.value.faults if f.field.endswith("arms.tube_steel"))
    assert "unobtainable" in str(fault) and "A513 1020 DOM" in str(fault)


def test_a_row_that_cannot_be_worked_is_named() -> None:
    made, solved = truck()

    def broken(seen: UnderLoad) -> dict[str, float]:
        return {"force_N": 1.0 / 0.0}

    holds = tuple(
        hold._replace(numbers=broken) if hold.id.startswith("arm.bent") else hold
        for hold in made.assembly.holds
    )
    assert any(hold.numbers is broken and hold.kind is HoldKind.ROW for hold in holds)
    spoiled = made._replace(assembly=made.assembly._replace(holds=holds))
    with pytest.raises(SlipError, match=r"arm tube bent at the upper joint.*could not be worked"):
        strength(spoiled, solved, default_shop())

"""What a bolt's row names is all that its grip is the sum of: the fitter lays out what he reads."""

from __future__ import annotations

import pytest
from soapstone.parts.model.body import Bought, Plate, Tube
from soapstone.parts.stock import IN, default_shop
from soapstone.parts.truck.fasteners import Fastener, every
from trucks import truck

SHOP = default_shop()
T, _ = truck()
ROWS = {x.bolt.id: x for x in every(T, SHOP)}
MEMBERS = {member.code: member for member in T.assembly.members}


def thick(code: str, x: Fastener) -> float:
    """One thing of the stack along the bolt, by its stock or its own length; what was there before
    is in ``Bolt.length``.
    """
    body = MEMBERS[code].body
    if isinstance(body, Plate):
        return SHOP.plate(body.stock).thickness
    if isinstance(body, Tube):
        return body.length
    return body.solid.length if isinstance(body, Bought) else 0.0


@pytest.mark.parametrize("name", [k for k, x in ROWS.items() if x.made == "bolt"])
def test_the_grip_is_the_sum_of_what_is_named(name: str) -> None:
    x = ROWS[name]
    assert sum(thick(code, x) for code in x.stack) + x.bolt.length == pytest.approx(x.grip)


def test_washers_lie_outside_their_ears_and_the_fish_plate_under_the_nut() -> None:
    assert ROWS["arm.joint#1.L"].stack == ("WW2.L", "AB2.L", "AR3.L", "AB1.L", "WW1.L")
    assert ROWS["cross.side#1.R"].stack == ("XS1.R", "XS5.R", "FP1.R")


def test_what_of_the_truck_is_clamped_is_said_and_how_thick_where_nobody_measured_it() -> None:
    assert ROWS["strap.lower#1.L"].clamps == "ST6 left with the strap's end, taken as 1/8 in"
    assert ROWS["strap.lower#1.L"].grip == pytest.approx(
        SHOP.plate(MEMBERS["ST6.L"].body.stock).thickness + IN / 8
    )
    assert ROWS["transmission.mount#1.C"].clamps.endswith("with the mount's foot")

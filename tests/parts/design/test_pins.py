"""A pin that cannot be is a fault of the job file, with the reason and what the part becomes
without it; nothing is made.
"""

from __future__ import annotations

import pytest
from soapstone.parts.stock import default_shop
from soapstone.parts.truck import pins
from soapstone.parts.truck.truck import families
from trucks import truck


def said(**rows: object) -> list[str]:
    return [
        str(f)
        for f in pins.faults(
            rows, default_shop(), lambda: {w: p.chosen for w, p in truck()[0].picks.items()}
        )
    ]


@pytest.mark.parametrize(
    ("family", "row", "says"),
    [
        ("cross_sides", {"bolt": "3/16"}, "no bolt of that name in stock"),
        ("cross_sides", {"bolt": "3/8-16"}, "under 1/2-13, the least diameter"),
        ("cross_sides", {"bolt": "1-8"}, "over 5/8-11, the largest diameter"),
        ("transmission_pad", {"plate": "11 ga A36"}, "under 1/4 A36, the least thickness"),
        ("transmission_pad", {"bolt": "1/2-13"}, "no such size to pin"),
        ("cross_sides", {"spread": "5 1/4 in"}, "no other length is made"),
        ("cross_side", {"bolt": "1/2-13"}, "nearest known one is cross_sides"),
        ("cross_sides", 3, "a table of sizes"),
    ],
)
def test_a_pin_says_why_not(family: str, row: object, says: str) -> None:
    (one,) = said(**{family: row})
    assert says in one and f"pin.{family}" in one
    assert "99.00" not in one


def test_the_size_without_the_pin_is_said_and_is_a_choice() -> None:
    (one,) = said(cross_sides={"bolt": "3/16"})
    chosen = truck()[0].picks["XS.L"].chosen["bolt"]
    assert f"left out, it becomes {chosen}" in one


def test_every_choice_of_every_family_may_be_pinned() -> None:
    shop = default_shop()
    for name, f in families():
        for v in f.variables:
            for value in v.values(shop):
                typed = f"{value} mm" if v.unit == "mm" else value
                assert said(**{name: {v.name: typed}}) == []
                assert pins.good({name: {v.name: typed, "no": 1}}, shop) == {name: {v.name: typed}}

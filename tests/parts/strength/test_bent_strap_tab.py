"""The limit strap's bent tab at the rail by hand, from the strap's force and taped sizes.

Outside: as two sheets in plastic collapse (`sheet_limit`, test_collapse_of_joined_plates.py) a tab
of 3/16 in, which the demo had before this row, gives way at 1.3 to 1.4 of the strap's load, less
than the 1.67 asked; one of 1/4 in at 2.16, where the row says 2.13.
"""

from __future__ import annotations

import math
from functools import cache

import pytest
from soapstone.parts.design.sizing import Check
from soapstone.parts.model.body import Plate
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.named_loads import case_of
from soapstone.parts.strength.result import Strength, strength
from trucks import truck

IN = 25.4


@cache
def found() -> Strength:
    return strength(*truck(), default_shop())


def row(code: str, rule: str) -> Check:
    return next(r for r in found().checks if r.part == code and r.rule == rule)


@pytest.mark.parametrize("code", ["ST5.L", "ST5.R"])
def test_the_tab_by_hand(code: str) -> None:
    """Bolt 1 1/4 in off the rail, tab 2 1/2 in high, welds 1/4 in short of the bend, bent round its
    own thickness.
    """
    made, _ = truck()
    bolts = {bolt.id: bolt for bolt in made.assembly.bolts}
    hand = code[-1]
    ends = [bolts[f"strap.{end}#1.{hand}"].at for end in ("upper", "lower")]
    way = [b - a for a, b in zip(*ends, strict=True)]
    got = row(code, "strip_bent")
    forces = next(f for f in found().forces if case_of(f) == got.case)
    upright = forces.strap["LR".index(hand)] * abs(way[2]) / math.hypot(*way)
    body = next(p for p in made.singles if p.id == code).member.body
    assert isinstance(body, Plate)
    thick = default_shop().plate(body.stock).thickness
    moment = upright * (1.25 * IN - thick / 2)
    gap = 0.25 * IN + 1.5 * thick
    # half of the height bends, clamped at both ends, its pull 3/4 of the height over the edge
    lift = moment / (0.75 * 2.5 * IN)
    wanted = math.sqrt(1.67 * 4 * lift * gap / 2 / (1.25 * IN) / 250.0)
    assert got.demand == pytest.approx(wanted, rel=0.01)
    assert got.capacity == pytest.approx(thick, rel=0.01)
    assert 3 / 16 * IN < wanted < thick
    assert row(code, "plate_root").utilisation < 1

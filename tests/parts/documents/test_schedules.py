"""Schedules hold what the parts hold."""

from __future__ import annotations

import pytest
from soapstone.parts.truck.truck import Truck


def test_schedules_agree_with_the_parts(truck: Truck) -> None:
    from soapstone.parts.documents import schedules

    def thick(pick: str) -> float:
        return float(truck.picks[pick].chosen["plate.t"]) / 25.4

    tables = {t.name: t for t in schedules.tables(truck)}
    assert len(tables["holes"].rows) == sum(len(p.holes) for p in truck.parts)
    assert {r["item"] for r in tables["material"].rows if r["make"] == "make"} == {
        p.id for p in truck.parts
    }
    assert len(tables["welds"].rows) == len(truck.assembly.welds)
    grip = next(r for r in tables["bolts"].rows if r["id"] == "arm.joint#1.L")["grip"]
    assert grip == pytest.approx(2.0 + 2 * thick("AB.L") + 2 * thick("WW.L")), (
        "two ears, the joint over its spacers, two weld washers"
    )
    side = next(r for r in tables["bolts"].rows if r["id"] == "cross.side#1.L")["grip"]
    assert side == pytest.approx(thick("XS.L") + 2.75 + thick("FP.L")), (
        "side plate, crush sleeve, fish plate"
    )

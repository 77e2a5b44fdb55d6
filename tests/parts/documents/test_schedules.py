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


def test_no_hole_of_a_pivot_or_the_frame_is_cut_to_size(truck: Truck) -> None:
    """As the hole schedule says of itself: of a pivot that may be moved a slot is cut, and a plate
    over it has the drilled hole.
    """
    from soapstone.parts.documents import schedules

    duty = {bolt.id: bolt.duty for bolt in truck.assembly.bolts}
    rows = schedules.holes(truck).rows
    drilled = {str(row["id"]).partition("#")[0] for row in rows if row["how"] != "cut"}
    for row in rows:
        if duty.get(str(row["id"])) in ("pivot", "frame") and row["how"] == "cut":
            assert row["slot_length"] and str(row["id"]).partition("#")[0] in drilled, row
    assert any(duty.get(str(row["id"])) == "pivot" for row in rows)


CLEARANCE = {
    ("1/2-13", "close"): 17 / 32,
    ("1/2-13", "normal"): 9 / 16,
    ("5/8-11", "close"): 21 / 32,
    ("5/8-11", "normal"): 11 / 16,
    ("3/4-10", "close"): 25 / 32,
    ("3/4-10", "normal"): 13 / 16,
}
"""Holes for bolts, in: ASME B18.2.8 (from memory); 9/16 is not in it."""


def test_every_hole_for_a_bolt_says_its_fit_and_has_its_size(truck: Truck) -> None:
    from soapstone.parts.documents import schedules
    from soapstone.parts.model.numbering import numbered_bolts

    sizes = {number: bolt.size for number, bolt in numbered_bolts(truck.assembly).items()}
    told = 0
    for row in schedules.holes(truck).rows:
        bolt = str(row["bolt"])
        dowel = row["finished"] == "1/2"
        assert (row["fit"] in ("close", "normal", "loose")) == (bolt in sizes and not dowel), row
        wanted = CLEARANCE.get((sizes.get(bolt, ""), str(row["fit"])))
        if wanted:
            assert float(row["finished_mm"]) == pytest.approx(wanted * 25.4, abs=0.02), row
            told += 1
    assert told > 20

"""Rows of trucks that are tried: what is taken again is what would be worked."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from soapstone.layout.setout import solve
from soapstone.parts.design.sizing import Check
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.asked import Asked, KeptRows
from soapstone.parts.strength.result import rows_of, strength
from soapstone.parts.strength.tried import TriedRows
from soapstone.parts.truck.again import Again
from soapstone.parts.truck.truck import design
from trucks import job

SIZES = (
    {},
    {"coil_mount": {"gusset": "3/8 A36"}},
    {"upper_arms": {"tube": "1.750 x 0.375 DOM 1020"}, "track_bar_frame": {"base": "1/2 A36"}},
    {"arms": {"tube": "3.000 x 0.375 DOM 1020"}, "cross_tube": {"tube": "3.000 x 0.375 DOM 1020"}},
)
"""One truck after another, some of each the same as the one before."""


def told(rows: Iterable[Check]) -> list[tuple[str, str, str, float, float]]:
    return sorted((r.part, r.what, r.case, r.demand, r.capacity) for r in rows)


@pytest.mark.slow
def test_a_truck_tried_after_others_gives_the_rows_it_gives_alone() -> None:
    j, shop = job("demo_uneven"), default_shop()
    solved, again = solve(j), Again()
    tried = TriedRows(solved, shop)
    for sizes in SIZES:
        truck = design(solved, j.words, sizes, j.chassis, shop, again, tried=True)
        alone = design(solved, j.words, sizes, j.chassis, shop)
        found = tried.every(truck)
        assert told(found.checks) == told(strength(alone, solved, shop).checks)
        for name in {*sizes, "coil_mount"}:
            for daily in (False, True):
                own = told(rows_of(alone, solved, shop, name, daily=daily))
                assert told(tried.of(truck, name, daily=daily)) == own, (name, daily)


def test_kept_rows_are_worked_again_where_anything_asked_for_is_another() -> None:
    kept, hold, worked = KeptRows(), object(), []

    def rows(plates: dict[str, object]) -> object:
        asked = Asked()
        table = asked.table("plate", plates)

        def make() -> object:
            worked.append(1)
            return table["near"] if "far" not in table else table["far"]

        return kept.get((hold,), asked, make)

    near, far = object(), object()
    assert rows({"near": near}) is near
    assert rows({"near": near, "other": far}) is near and len(worked) == 1
    assert rows({"near": far}) is far and len(worked) == 2
    assert rows({"near": near, "far": far}) is far and len(worked) == 3  # it was not there before

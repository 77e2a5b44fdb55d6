"""Of two made parts that stand in one another the nearest change with which they stand clear."""

from __future__ import annotations

import re

import pytest
from soapstone.layout import units
from soapstone.layout.explain import supposed
from soapstone.layout.job.load import Job
from soapstone.layout.units import IN
from soapstone.parts.placed.fit import Misfit
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck
from soapstone.parts.verdict.apart import clear, overlapping
from trucks import job, shaped


def with_shocks_at(y: float) -> Job:
    """The demo with its shocks so far out, mm."""
    own = job()
    return supposed(own, {key: y for key in own.readings if key.name == "travel.shock_y"})


def stands_in(own: Job) -> tuple[Truck, list[Misfit]]:
    truck, solved = shaped(own)
    rows = overlapping(truck, default_shop(), solved.values)
    return truck, [row for row in rows if "ST1" in {own.partition(".")[0] for own in row.of}]


@pytest.mark.again
def test_what_is_said_to_clear_it_clears_it() -> None:
    demo = job()
    seat = next(row.value for key, row in demo.readings.items() if key.name == "axle.spring_seat.y")
    own = with_shocks_at(seat + 0.75 * IN)
    truck, found = stands_in(own)
    assert found and {code[:2] for code in found[0].of} == {"LS", "ST"}
    near = clear(own, default_shop(), truck, found[0])
    assert near and {way.what for way in near} == {"travel.shock_y"}
    for way in near:
        said = re.match(r"travel\.shock_y (.+) instead of (.+) \(Shock lower pin", way.says)
        assert said
        assert stands_in(with_shocks_at(units.parse(said[1], "length")))[1] == []


def test_nothing_is_said_of_what_stands_in_nothing() -> None:
    assert stands_in(job())[1] == []

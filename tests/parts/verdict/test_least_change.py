"""What passes instead of a part that cannot be made: what is told is tried, and makes it."""

from __future__ import annotations

from functools import cache

import pytest
from soapstone.layout.explain import parse_changes, supposed
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import of_table
from soapstone.layout.setout import solve
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.truck.needs import tables
from soapstone.parts.truck.truck import Truck, design
from soapstone.parts.verdict.nearest_size import failed_of, ways


@cache
def far_back() -> tuple[Job, Truck]:
    """The demo with its joint line as far back as the transmission's mount: no room for a pad."""
    table = tables("demo")
    table["arms"]["joint_behind"] = 46
    job = of_table(table)
    return job, design(solve(job), job.words, job.pins, job.chassis)


@pytest.mark.long
def test_the_least_move_that_makes_it_is_found_and_makes_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("soapstone.parts.verdict.nearest_size.ENOUGH", 1)
    job, truck = far_back()
    (who,) = failed_of(truck, "XP")
    (way,) = ways(job, default_shop(), truck, who)
    assert "arms.joint_behind 45 in instead of 46 in" in way.says
    changed = supposed(job, parse_changes(job, ["arms.joint_behind=45"]))
    assert not failed_of(design(solve(changed), job.words, job.pins, job.chassis), "XP")
    half = supposed(job, parse_changes(job, ["arms.joint_behind=45.5"]))
    assert failed_of(design(solve(half), job.words, job.pins, job.chassis), "XP")


def test_a_plate_that_is_not_on_the_rack_is_named() -> None:
    """A rack of one thin plate makes no coil mount; the tables have what would do."""
    usual = default_shop()
    thin: Shop = usual._replace(plates=tuple(p for p in usual.plates if p.thickness < 4))
    job = of_table(tables("demo"))
    truck = design(solve(job), job.words, job.pins, job.chassis, thin)
    who = next(iter(truck.failed))
    found = ways(job, thin, truck, who)
    assert found[0].what == "stock" and "on the rack" in found[0].says, (who, found)

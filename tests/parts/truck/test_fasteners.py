"""Every bolt has a length, worked from what it clamps, or the reading it waits for."""

from __future__ import annotations

from functools import cache

import pytest
from metric import metric_job
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.load import Job
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from soapstone.parts.stock import bolt, default_shop
from soapstone.parts.truck.fasteners import CLAMPS, Fastener, every, threaded
from soapstone.parts.truck.truck import design
from trucks import job

JOBS = {
    "demo": job,
    "uneven": lambda: job("demo_uneven"),
    "metric": metric_job,
}


def fasteners_of(truck_job: Job) -> list[Fastener]:
    shop = default_shop()
    made = design(solve(truck_job), truck_job.words, truck_job.pins, truck_job.chassis, shop)
    return every(made, shop)


@cache
def with_readings(name: str) -> list[Fastener]:
    return fasteners_of(JOBS[name]())


@cache
def without_readings(name: str) -> list[Fastener]:
    """The same truck before anybody held a caliper to what the truck's own brackets add."""
    whole = JOBS[name]()
    keys = {Key(field, "C") for field in CLAMPS.values()}
    assert keys <= set(whole.readings)
    return fasteners_of(
        whole._replace(readings={k: r for k, r in whole.readings.items() if k not in keys})
    )


@pytest.mark.parametrize("name", JOBS)
def test_every_bolt_has_its_length(name: str) -> None:
    bolts = [x for x in with_readings(name) if x.made == "bolt"]
    assert bolts
    assert [x.bolt.id for x in bolts if x.owed or not x.length] == []


@pytest.mark.parametrize("name", JOBS)
def test_a_bolt_without_its_length_names_the_reading_it_waits_for(name: str) -> None:
    """Each of the two readings is named by its code on the measuring sheet; every other bolt keeps
    the length it has.
    """
    full = {x.bolt.id: x for x in with_readings(name)}
    waiting = {x.bolt.id: x for x in without_readings(name) if x.owed}
    assert {i.partition("#")[0] for i in waiting} == set(CLAMPS)
    for i, x in waiting.items():
        field = FIELDS[CLAMPS[i.partition("#")[0]]]
        assert x.length == 0.0 and x.owed.startswith(f"waits for reading {field.sheet_code}: ")
    rest = [x for x in without_readings(name) if x.bolt.id not in waiting]
    assert rest and all(x == full[x.bolt.id] for x in rest)


@pytest.mark.parametrize("name", JOBS)
def test_a_length_takes_its_stack_and_keeps_thread_out_of_the_shear_planes(name: str) -> None:
    """Head to tip: grip, two washers of 0.177 in (ASTM F436: unverified source), a locknut 1.2 d
    and two threads (common practice, no source); the plain shank reaches past the last plane
    between two plies.
    """
    for x in with_readings(name):
        if x.made == "bolt":
            size = bolt(x.bolt.size)
            stack = x.grip + 2 * 0.177 * IN + 1.2 * size.d + 2 * size.pitch
            assert x.length >= stack - 1e-6
            assert x.length - threaded(x.bolt.size, x.length) >= x.shank - 1e-6


def test_the_arm_bolt_by_hand() -> None:
    """3/4-10 through a sleeve of 2 3/4 and two ears of 1/4: grip 3 1/4. Washers 0.354, nut 0.9, two
    threads 0.2: 4.704, so 4 3/4 would do; but that has 4.75 - (2 x 0.75 + 0.25) = 3.0 in plain
    (ASME B18.2.1: unverified source) where 0.177 + 0.25 + 2.75 = 3.177 must be: 5 in.
    """
    arm = next(x for x in with_readings("demo") if x.bolt.id == "arm.bolt#1.L")
    assert arm.grip == pytest.approx(3.25 * IN)
    assert arm.shank == pytest.approx(3.177 * IN)
    assert arm.length == pytest.approx(5 * IN)


def test_the_mount_bolt_by_hand() -> None:
    """1/2-13 through a foot of 3/8 and the pad: the pad is as thick as its plate."""
    mount = next(x for x in with_readings("demo") if x.bolt.id == "transmission.mount#1.C")
    pad = mount.grip - 0.375 * IN
    assert any(abs(pad - plate.thickness) < 1e-9 for plate in default_shop().plates)
    assert mount.length >= mount.grip + 0.354 * IN + 0.6 * IN + 2 * IN / 13

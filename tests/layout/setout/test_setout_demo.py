"""The invented chassis against values computed by an implementation that shares no code with the
tool.

Source: reference values of the invented chassis (inches, degrees, lbf); tolerances 0.0005 in, 0.001
deg, 0.05 lbf.
"""

from __future__ import annotations

import math

import pytest
from soapstone.layout import units
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.quantities import SIDES, Key, Reading
from soapstone.layout.setout import given_and_solved, solve
from soapstone.layout.setout.diagnoses import diagnose
from trucks import without

IN = units.IN
LENGTHS = {
    "axle.x_ride": 0.124805,
    "shaft.length": 36.355325,
    "joint.spacing": 27.235731,
    "arm.cc": 39.53119,
    "arm.tube": 35.40619,
    "upper.cc": 9.555765,
    "upper.tube": 6.555765,
    "spring.loaded": 13.551342,
    "seat.upper.z": 33.127249,
    "seat.above_rail": 2.127249,
    "spring.at_bump": 9.501739,
    "spring.at_droop": 19.692777,
    "bar.length": 35.751884,
    "bar.frame.x": 6.238206,
    "bar.frame.y": 15.75,
    "bar.frame.z": 19.612483,
    "drag.length": 42.752252,
    "stop.spacer": 9.501739 - 1.5,
}
ANGLES = {
    "pinion.up": 4.579023,
    "caster.ride": 5.170977,
    "pinion.working": 0.774133,
    "pinion.floor": 0.591148,
    "upper.lean": 0.018541,
    "upper.twist": 6.037518,
    "bar.slope": 0.562622,
    "drag.slope": 0.562622,
    "arm.elevation": -5.705132,
    "pinion.up_at_bump": -1.1369,
    "shaft.transfer": 0.827373,
}


def at(solved: Graph, name: str) -> list[float]:
    return [solved.value(k) for k in solved.every_key() if k.name == name]


@pytest.mark.parametrize(("name", "inches"), LENGTHS.items())
def test_lengths(solved: Graph, name: str, inches: float) -> None:
    assert at(solved, name)
    for value in at(solved, name):
        assert value / IN == pytest.approx(inches, abs=5e-4)


@pytest.mark.parametrize(("name", "degrees"), ANGLES.items())
def test_angles(solved: Graph, name: str, degrees: float) -> None:
    assert at(solved, name)
    for value in at(solved, name):
        assert math.degrees(value) == pytest.approx(degrees, abs=1e-3)


def test_spring_and_rates(solved: Graph) -> None:
    for value in at(solved, "spring.load"):
        assert units.to(value, "force", "lbf") == pytest.approx(1394.697995, abs=0.05)
    assert at(solved, "spring.ratio")[0] == pytest.approx(1.018142, abs=1e-6)
    for rate in at(solved, "upper.pinion_rate"):
        assert math.degrees(rate) * IN == pytest.approx(9.236942, abs=1e-3)


def test_no_diagnosis(job: Job, solved: Graph) -> None:
    assert [d for d in diagnose(job, solved) if d.severity != "note"] == []
    assert solved.conflicts() == () and solved.gave_way() == {}


def test_a_missing_reading_names_itself_and_blocks_no_other(job: Job) -> None:
    part = solve(without(job, "spring.rate"))
    assert part.role(Key("seat.upper.z", "L")) == "waiting"
    assert part.rests_on(Key("seat.upper.z", "L")) == {Key("spring.rate", "C")}
    assert part.role(Key("arm.tube", "L")) == "solved"


def test_a_missing_side_waits_on_that_side_only(job: Job) -> None:
    gone = Key("axle.spring_seat.z", "R")
    part = solve(job._replace(readings={k: r for k, r in job.readings.items() if k != gone}))
    assert part.role(Key("seat.upper.z", "R")) == "waiting" and part.rests_on(
        Key("seat.upper.z", "R")
    ) == {gone}
    assert part.role(Key("seat.upper.z", "L")) == "solved"


def test_what_a_third_station_lacks_is_owed_of_either_rail(job: Job) -> None:
    """Three rows of stations, the last without its rail's bottom: each rail waits for its own."""
    third = {
        Key(k.name.replace(".2.", ".3."), k.side): r
        for k, r in job.readings.items()
        if k.name.startswith("frame.station.2.") and not k.name.endswith(".bottom")
    }
    x = Key("frame.station.3.x", "C")
    third[x] = third[x]._replace(value=third[x].value + 20 * IN)
    readings = {**job.readings, **{k: r._replace(key=k) for k, r in third.items()}}
    g = solve(job._replace(readings=readings, counts={**job.counts, "frame.station": 3}))
    for side in SIDES:
        owed = {k for k in g.rests_on(Key("rail.coil.bottom", side)) if k not in g.readings}
        assert owed == {Key("frame.station.3.bottom", side)}


def test_no_relation_goes_in_a_circle(solved: Graph) -> None:
    assert all(not b.tears for b in solved.got.structure.blocks)


def test_left_and_right_are_separate(job: Job) -> None:
    key = Key("arms.plan_slant", "R")
    uneven = solve(
        job._replace(
            readings={**job.readings, key: job.readings[key]._replace(value=math.radians(5.25))}
        )
    )
    run = uneven.value(Key("arm.run", "R"))
    assert uneven.value(Key("arm.cc", "R")) == pytest.approx(run / math.cos(math.radians(5.25)))
    assert uneven.value(Key("arm.cc", "L")) / IN == pytest.approx(39.53119, abs=5e-4)


def test_coil_as_read_overrides_the_rate(job: Job) -> None:
    read = {
        Key("spring.loaded_length", "L"): Reading(
            Key("spring.loaded_length", "L"), (), 13 * IN, IN / 16, "ride"
        )
    }
    g = solve(
        without(job, "spring.rate")._replace(
            readings={**without(job, "spring.rate").readings, **read}
        )
    )
    assert (
        g.value(Key("spring.loaded", "L")) == 13 * IN
        and g.role(Key("spring.loaded", "R")) == "waiting"
    )
    hung = {k: r._replace(state="droop") for k, r in read.items()}
    other = job._replace(readings={**job.readings, **hung})
    assert solve(other).value(Key("spring.loaded", "L")) / IN == pytest.approx(13.551342, abs=5e-4)
    assert [d.code for d in diagnose(other, solve(other))] == ["loaded_state"]


def test_solid_length_by_end_type(job: Job) -> None:
    """Wire x total coils ground, wire x (total + 1) not ground: Shigley ch. 10 end-condition table,
    from memory.
    """
    rest = {
        k: r for k, r in job.readings.items() if k.name not in ("spring.wire", "spring.total_coils")
    }
    wire = {
        Key(n, "C"): Reading(Key(n, "C"), (), v, 0.0)
        for n, v in (("spring.wire", 0.72 * IN), ("spring.total_coils", 8.75))
    }
    words = {k: w for k, w in job.words.items() if k != "spring.ends"}
    for ends, coils in (("ground", 8.75), ("not ground", 9.75)):
        g = solve(job._replace(readings={**rest, **wire}, words={**words, "spring.ends": ends}))
        assert g.value(Key("spring.solid", "L")) == pytest.approx(0.72 * IN * coils)
    assert Key("spring.ends", "C") in solve(job._replace(words=words)).rests_on(
        Key("spring.solid", "L")
    )


def test_rows_of_the_sheet(solved: Graph) -> None:
    rows = given_and_solved(solved)
    assert len({r.key for r in rows}) == len(rows) and all(r.title for r in rows)
    tube = next(r for r in rows if r.key == Key("arm.tube", "L"))
    assert (
        tube.role == "solved"
        and tube.unit == "length"
        and tube.plus_minus == pytest.approx(2 * solved.half_width(tube.key))
    )
    assert Key("arms.joint_behind", "C") in tube.rests_on

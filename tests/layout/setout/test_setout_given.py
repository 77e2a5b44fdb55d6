"""Results given instead of solved: what is solved backward, what gives way, what cannot be.

Sources: the forward solution of the same truck, held against an independent one in
test_setout_demo; plane geometry.
"""

from __future__ import annotations

import math

import pytest
from soapstone.layout import units
from soapstone.layout.job import fixed as fixed_table
from soapstone.layout.job.fields import field_of
from soapstone.layout.job.load import Job
from soapstone.layout.quantities import Key, Reading
from soapstone.layout.setout import given_and_solved, names, solve
from soapstone.layout.setout.diagnoses import diagnose
from trucks import given, without

IN = units.IN


def test_slant_by_tape_offsets(job: Job) -> None:
    """Slant = atan((front - rear) / run), plane geometry; measured offsets make a slant that was
    chosen give way.
    """
    tape = {
        Key(f"arms.offset_{n}", s): Reading(Key(f"arms.offset_{n}", s), (), v * IN, IN / 16)
        for s in ("L", "R")
        for n, v in (("front", 17.75), ("rear", 13.75), ("run", 38.0))
    }
    slant = math.atan(4 / 38)
    only = solve(
        without(job, "arms.plan_slant")._replace(
            readings={**without(job, "arms.plan_slant").readings, **tape}
        )
    )
    both = solve(job._replace(readings={**job.readings, **tape}))
    for g in (only, both):
        assert g.value(Key("arm.slant", "L")) == pytest.approx(slant, abs=1e-12)
    assert both.gave_way()[Key("arms.plan_slant", "R")] == pytest.approx((math.radians(6), slant))
    neither = solve(without(job, "arms.plan_slant"))
    assert {k.name for k in neither.rests_on(Key("arm.cc", "L"))} == {
        "arms.offset_front",
        "arms.offset_rear",
        "arms.offset_run",
    }


INVERSES = [
    ("arms.joint_behind", "C", 41.2 * IN, "arm.tube", "L", ()),
    ("arms.joint_behind", "C", 38.9 * IN, "arm.joint.x", "R", ()),
    ("arms.joint_behind", "C", 39.0 * IN, "joint.spacing", "C", ()),
    ("arms.plan_slant", "L", math.radians(6.8), "arm.joint.y", "L", ()),
    ("arms.joint_height", "R", 16.8 * IN, "arm.joint.z", "R", ()),
    ("arms.upper_back", "C", 8.7 * IN, "upper.tube", "L", ()),
    ("track_bar.frame_mount_y", "C", 14.4 * IN, "bar.length", "C", ()),
    ("wanted.pinion_working", "C", math.radians(0.9), "caster.ride", "C", ()),
    ("wanted.pinion_working", "C", math.radians(0.2), "pinion.up", "C", ()),
    ("wanted.pinion_working", "C", math.radians(0.8), "pinion.working", "C", ()),
    ("spring.rate", "C", 39.0, "seat.upper.z", "L", ("spring.rate",)),
    ("spring.free_length", "C", 20.5 * IN, "seat.above_rail", "R", ("spring.free_length",)),
    ("travel.bump", "C", 3.5 * IN, "stop.spacer", "L", ("travel.bump",)),
    ("axle.tire_loaded_radius", "C", 17.25 * IN, "axle.z_ride", "C", ("axle.tire_loaded_radius",)),
]


@pytest.mark.parametrize(("leaf", "leaf_side", "value", "result", "side", "gone"), INVERSES)
def test_given_result_solves_backward(
    job: Job, leaf: str, leaf_side: str, value: float, result: str, side: str, gone: tuple[str, ...]
) -> None:
    """forward(inverse(x)) = x to 0.001 in: what a changed choice gives, given back as a result,
    gives the choice and every other value.
    """
    key, out = Key(leaf, leaf_side), Key(result, side)
    forward = solve(
        job._replace(readings={**job.readings, key: job.readings[key]._replace(value=value)})
    )
    back = solve(without(job, *gone), given(result, side, forward.value(out)))
    assert back.role(out) == "measured" and back.role(key) == "solved"
    assert back.value(key) == pytest.approx(value, abs=1e-6)
    if not gone:
        assert back.gave_way()[key] == pytest.approx((job.readings[key].value, value), abs=1e-6)
    for k in forward.every_key():
        if k in forward.values:
            assert back.value(k) == pytest.approx(forward.value(k), abs=0.001 * IN), k
    assert back.conflicts() == ()


def test_several_results_given_at_once(job: Job) -> None:
    """Each settles its own choice: caster the pinion's aim, the tubes the joint line, the bar its
    frame mount.
    """
    asked = {
        "caster.ride": ("C", math.radians(5)),
        "bar.length": ("C", 34.5 * IN),
        "arm.tube": ("LR", 35.2 * IN),
        "upper.tube": ("L", 6.3 * IN),
    }
    fixed = {
        k: r for n, (sides, v) in asked.items() for s in sides for k, r in given(n, s, v).items()
    }
    g = solve(job, fixed)
    assert g.conflicts() == ()
    assert {k.name for k in g.gave_way()} == {
        "wanted.pinion_working",
        "track_bar.frame_mount_y",
        "arms.joint_behind",
        "arms.upper_back",
    }
    again = {k: r._replace(value=g.value(k)) for k, r in job.readings.items()}
    forward = solve(job._replace(readings=again))
    for k, r in fixed.items():
        assert forward.value(k) == pytest.approx(
            r.value, abs=0.001 * IN if k.name != "caster.ride" else 1e-9
        )


def test_a_choice_that_gave_way_is_called_as_its_field(job: Job) -> None:
    rows = given_and_solved(solve(job, given("arm.tube", "L", 35.2 * IN)))
    titles = {r.key.name: r.title for r in rows}
    assert titles["arms.joint_behind"] == field_of("arms.joint_behind").how
    assert all(titles.values())


def test_tube_and_joint_line_both_given_is_a_conflict_with_its_path(job: Job) -> None:
    both = {**given("arm.joint.x", "L", -41 * IN), **given("arm.tube", "L", 35 * IN)}
    g = solve(job, both)
    (c,) = g.conflicts()
    assert {Key("arm.joint.x", "L"), Key("arm.tube", "L")} <= c.keys
    cures = dict(c.cures)
    changed = solve(job, {**both, **given("arm.tube", "L", 35 * IN + cures[Key("arm.tube", "L")])})
    assert changed.conflicts() == ()
    shares = [abs(d) / g.readings[k].half_width for k, d in c.cures]
    assert shares == sorted(shares)


def test_measured_seat_height_against_a_measured_rate_is_a_conflict(job: Job) -> None:
    g = solve(job, given("seat.upper.z", "L", 34 * IN))
    assert (
        g.role(Key("seat.upper.z", "L")) == "conflict"
        and Key("spring.rate", "C") in g.conflicts()[0].keys
    )
    assert Key("arms.joint_behind", "C") not in g.gave_way()


def test_caster_outside_its_window_gives_way_and_says_so(job: Job) -> None:
    g = solve(job, given("caster.ride", "C", math.radians(7)))
    assert g.gave_way()[Key("wanted.caster_high", "C")] == pytest.approx(
        (math.radians(6), math.radians(7))
    )
    assert any(d.code == "pinion_caster" for d in diagnose(job, g))


def test_band_and_window_hold_the_aim(job: Job) -> None:
    """3-D working angle at the band's end; the wish that was set aside is named."""
    key = Key("wanted.pinion_working", "C")
    g = solve(
        job._replace(
            readings={**job.readings, key: job.readings[key]._replace(value=math.radians(3))}
        )
    )
    assert g.value(Key("pinion.working", "C")) == pytest.approx(
        job.readings[Key("wanted.band_high", "C")].value, abs=1e-9
    )
    assert g.gave_way()[key][0] == pytest.approx(math.radians(3))
    low = Key("wanted.caster_low", "C")
    g = solve(
        job._replace(
            readings={**job.readings, low: job.readings[low]._replace(value=math.radians(5.3))}
        )
    )
    assert math.degrees(g.value(Key("caster.ride", "C"))) == pytest.approx(5.3, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "deg", "code", "says"),
    [
        ("caster.ride", 8.0, "caster_given", "6.4 deg"),
        ("caster.ride", 4.5, "caster_given", "4.7 deg"),
        ("pinion.working", 0.3, "working_given", "0.59 deg"),
    ],
)
def test_an_angle_that_cannot_be_is_a_conflict_with_the_nearest(
    job: Job, name: str, deg: float, code: str, says: str
) -> None:
    """The nearest that is said is possible, and a tenth of a degree nearer to what was asked is
    not.
    """
    found = diagnose(job, solve(job, given(name, "C", math.radians(deg))))
    (d,) = [d for d in found if d.code == code]
    assert d.severity == "conflict" and says in d.sentence + d.cure
    if name != "caster.ride":
        return
    nearest = math.radians(deg) - math.copysign(abs(d.margin), deg - 6)
    assert code not in {x.code for x in diagnose(job, solve(job, given(name, "C", nearest)))}
    off = nearest + math.copysign(math.radians(0.1), deg - 6)
    assert code in {x.code for x in diagnose(job, solve(job, given(name, "C", off)))}


def test_where_caster_and_shaft_conflict_the_wanted_pinion_stays(job: Job) -> None:
    """Truck service manual: the shaft goes before caster, which is cured at the knuckles."""
    rows = dict(job.readings)
    for n, v in (("wanted.caster_low", 7.5), ("wanted.caster_high", 9.0)):
        rows[Key(n, "C")] = rows[Key(n, "C")]._replace(value=math.radians(v))
    changed = job._replace(readings=rows)
    g = solve(changed)
    assert g.value(Key("pinion.aim", "C")) == pytest.approx(math.radians(0.5), abs=1e-9)
    assert Key("wanted.pinion_working", "C") not in g.gave_way()
    (d,) = [d for d in diagnose(changed, g) if d.code == "pinion_caster"]
    miss = math.radians(7.5) - g.value(Key("caster.ride", "C"))
    assert d.margin == pytest.approx(-miss) and "tops stand 2.4 deg further back" in d.cure


def test_fixed_table_is_read() -> None:
    table = {
        "arm": {"tube": {"left": "35 3/8"}},
        "caster.ride": 5,
        "nonsense.name": 1,
        "upper": {"cc": 9.5},
        "joint": {"spacing": "27 deg"},
    }
    found, faults = fixed_table.read(table, {"length": "in", "angle": "deg"}, names())
    assert found[Key("arm.tube", "L")].value == 35.375 * IN and found[
        Key("arm.tube", "L")
    ].typed == ("35 3/8",)
    assert found[Key("caster.ride", "C")].value == pytest.approx(math.radians(5))
    assert sorted(f.field for f in faults) == [
        "fixed.joint.spacing",
        "fixed.nonsense.name",
        "fixed.upper.cc",
    ]

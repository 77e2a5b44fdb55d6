"""What does not fit is said conflicts first, and cures of joints and tubes are as large as solving
again says.
"""

from __future__ import annotations

import math

import pytest
from diagnosed import BAR, CASES, DEG, DEMO, IN, N, changed, extra, found, number
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key, Reading
from soapstone.layout.setout import solve
from soapstone.layout.setout.diagnoses import diagnose


@pytest.fixture(scope="module")
def demo() -> Job:
    return load(DEMO)


def test_conflicts_are_said_before_warnings_and_these_before_notes(demo: Job) -> None:
    by = {code: (values, words) for code, values, words in CASES}
    every: dict[str, object] = dict(extra(BAR))
    for code in ("bar_level", "bump_room", "plane_warp"):
        every |= by[code][0]
    job = changed(demo, by["bar_level"][1], **every)
    told = [d.severity for d in diagnose(job, solve(job))]
    assert set(told) == {"conflict", "warning", "note"}
    assert told == sorted(told, key=("conflict", "warning", "note").index)


def test_an_arm_slanted_as_said_brings_its_joint_inward_as_far(demo: Job) -> None:
    """How far a joint moves a degree by solving again: the turn is what is missing over that."""
    slant = {"arms__plan_slant": 30 * DEG, "axle__lower_mount__y": 44 * IN}
    job = changed(demo, arms__joint_width=2.0 * IN, **slant)
    left = [d for d in diagnose(job, solve(job)) if d.code == "joint_outside"]
    d = next(d for d in left if d.keys[0].side == "L")
    key, step = Key("arm.joint.y", "L"), 1e-4
    more = solve(changed(job, arms__plan_slant=30 * DEG + step)).value(key)
    rate = (solve(job).value(key) - more) / step
    turn = math.ceil(-d.margin / rate / DEG * 10 - 1e-6) / 10
    assert number(d.cure, f"arm {N} more") == pytest.approx(turn * DEG) and turn > 2.0


@pytest.mark.parametrize("off", [0.5, -0.5, 1.5, -1.5])
def test_of_a_tube_on_hand_what_its_thread_leaves(demo: Job, off: float) -> None:
    """Thread less engagement, half of it each way, less what the tube is off."""
    hole = Reading(Key("arm.joint.x", "L"), (), -40 * IN, 0.0)
    key = Key("arm.tube", "L")
    tube = solve(demo).value(key) + off * IN
    got = found(demo, {hole.key: hole, key: Reading(key, (), tube, IN / 32)})
    code = "thread_taken" if abs(off) < 0.75 else "thread_used"
    assert got[code].margin == pytest.approx((0.75 - abs(off)) * IN, abs=0.02 * IN)


@pytest.mark.parametrize(("off", "there"), [(0.9, False), (-0.9, False), (1.1, True), (-1.1, True)])
def test_caster_given_with_single_joints_may_be_a_degree_off_parallel(
    demo: Job, off: float, there: bool
) -> None:
    """Caster is what is read with the pinion level less the pinion's rise; parallel is the output's
    own fall; a degree is a joint maker's rule.
    """
    job = changed(demo, {"driveline.type": "single"})
    level = job.readings[Key("axle.caster_at_level_pinion", "C")].value
    down = job.readings[Key("driveline.output_axis_down", "C")].value
    key = Key("caster.ride", "C")
    got = found(job, {key: Reading(key, (), level - down - off * DEG, 0.0)})
    assert ("caster_given" in got) is there
    if there:
        assert got["caster_given"].margin == pytest.approx(-0.1 * DEG, abs=1e-6)

"""Each bolt's own axis reading: bushings and joints follow it, mirrored on the right, and parts
drawn square refuse what they cannot follow.

Checked against plane geometry.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from linkages import DEG, IN, of_job
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.load import Job
from soapstone.layout.quantities import SIDES, Key, Reading
from soapstone.layout.setout import solve
from soapstone.layout.travel import Place, Travel, study
from soapstone.layout.travel.linkage import AXES, axes, axis_keys, turns
from soapstone.layout.travel.outputs import across
from soapstone.layout.travel.turning import between
from trucks import job

SWING = 3 * DEG


def read(**angles: float) -> Job:
    """The demo with bolts read off square, degrees by field; both sides alike."""
    j = job()
    more = {}
    for name, degrees in angles.items():
        for side in SIDES:
            key = Key(f"arms.{name}", side)
            more[key] = Reading(key, (str(degrees),), degrees * DEG, 0.25 * DEG, "any")
    return j._replace(readings={**j.readings, **more})


def found(j: Job, heave: float = -3 * IN, roll: float = 0.0) -> Travel:
    return study(j, solve(j), [Place("there", heave, roll)])


def test_fields_are_there_and_square_by_default() -> None:
    for base in AXES:
        assert {k.name for k in axis_keys(base)} <= set(FIELDS)
        assert not FIELDS[f"arms.{base}_plan"].needed
        assert np.array_equal(axes({}, base), np.array(((0, 1, 0), (0, 1, 0))))
        assert not turns({}, base).any()


def test_plan_is_ahead_and_tilt_is_above_at_the_outboard_end_of_both_sides() -> None:
    read_as = (("plan", 3), ("tilt", 2))
    v = {Key(f"arms.lower_bolt_{n}", s): a * DEG for s in SIDES for n, a in read_as}
    left, right = axes(v, "lower_bolt") * np.array(((1.0,), (-1.0,)))
    for end, way in ((left, 1), (right, -1)):
        assert way * end[1] > 0
        assert end[0] / abs(end[1]) == pytest.approx(math.tan(3 * DEG))
        assert end[2] / abs(end[1]) == pytest.approx(math.tan(2 * DEG))


@pytest.mark.parametrize("base", ["lower_bolt", "upper_bolt"])
def test_a_bushing_winds_about_its_own_bolt(base: str) -> None:
    """Same turns of axle and link, another bolt: turn about the bolt and cone are shared out
    differently, their whole stays; at ride height both are zero.
    """
    square, tilted = found(job(), roll=SWING), found(read(**{f"{base}_tilt": 10.0}), roll=SWING)
    name = base.partition("_")[0]
    k = Key(f"{name}.cone", "L")
    wind = Key(f"{name}.wind", "L")
    assert abs(tilted.found[k][0] - square.found[k][0]) > 1e-5
    whole = [math.hypot(t.found[k][0], t.found[wind][0]) for t in (square, tilted)]
    assert whole[0] == pytest.approx(whole[1], rel=0.1)
    rides = study(read(**{f"{base}_tilt": 10.0}), solve(job()), [Place("ride", 0.0, 0.0)])
    assert abs(rides.found[k][0]) < 1e-6


def test_joints_start_off_square_by_what_was_read() -> None:
    for base, out in (("frame_joint_bolt", "frame_joint"), ("upper_joint_bolt", "upper_joint")):
        t = found(read(**{f"{base}_plan": 3.0, f"{base}_tilt": 2.0}), heave=0.0)
        for s in ("L", "R"):
            assert t.found[Key(out, s)][0] == pytest.approx(math.hypot(3, 2) * DEG, rel=0.02)
    lk = found(read(frame_joint_bolt_plan=3.0)).linkage
    assert lk is not None
    arm = lk.bolt - lk.joint
    n = across(arm)
    moved = n + np.cross(lk.turn_joint, n)
    assert between(moved, n) == pytest.approx([3 * DEG] * 2, rel=0.01)
    assert moved[0, 0] - n[0, 0] > 0 > moved[1, 0] - n[1, 0]


def test_parts_drawn_square_refuse_by_name_with_the_limit() -> None:
    from soapstone.parts.design.site import Refused
    from soapstone.parts.pieces._refusals import bolt_square

    class Seen:
        def __init__(self, a: float) -> None:
            self.a = a

        def has(self, k: str) -> bool:
            return k == "arms.upper_bolt_tilt"

        def q(self, k: str) -> float:
            return self.a

    bolt_square(Seen(0.9 * DEG), "upper_bolt", "upper-arm bolt", "the plate")
    with pytest.raises(Refused, match=r"upper-arm bolt reads 2\.0 deg .* up to 1\.0 deg"):
        bolt_square(Seen(2 * DEG), "upper_bolt", "upper-arm bolt", "the plate")


def test_the_demo_stands_as_before_where_nothing_is_read() -> None:
    lk = of_job()
    assert np.array_equal(lk.axis_lower, np.array(((0, 1, 0), (0, 1, 0))))

"""Every answer may be given instead of solved: what gives way is worked out, and put back as a
choice gives the answer again, to 0.001 in.
"""

from __future__ import annotations

import math

import pytest
from linkages import DEG, IN
from soapstone.layout.quantities import Key, Reading
from soapstone.layout.setout import solve
from trucks import job

GIVEN = [
    ("arm.tube", "L", 0.25 * IN),
    ("arm.tube", "R", -0.4 * IN),
    ("arm.cc", "L", 0.3 * IN),
    ("joint.spacing", "C", -0.75 * IN),
    ("arm.joint.y", "R", 0.2 * IN),
    ("arm.joint.z", "L", 0.5 * IN),
    ("arm.joint.x", "L", -1.0 * IN),
    ("caster.ride", "C", 0.5 * DEG),
    ("pinion.up", "C", -0.4 * DEG),
    ("upper.cc", "L", 0.1 * IN),
    ("upper.tube", "R", 0.15 * IN),
    ("bar.length", "C", 0.5 * IN),
    ("bar.frame.y", "C", -0.4 * IN),
    ("seat.upper.z", "L", 0.25 * IN),
]


@pytest.mark.parametrize(("name", "side", "by"), GIVEN, ids=[f"{n}.{s}" for n, s, _ in GIVEN])
def test_forward_of_inverse(name: str, side: str, by: float) -> None:
    j = job()
    free = solve(j)
    k = Key(name, side)
    want = free.values[k] + by
    held = solve(j, {k: Reading(k, (), want, IN / 16)})
    assert held.role(k) != "conflict" and held.values[k] == pytest.approx(want, abs=1e-6)
    moved = held.gave_way()
    if not moved:
        # nothing read or chosen stands above it: it was given and what follows from it follows
        assert name in ("seat.upper.z", "caster.ride", "pinion.up") or held.conflicts()
        return
    again = {m: j.readings[m]._replace(value=to) for m, (_, to) in moved.items() if m in j.readings}
    back = solve(j._replace(readings={**j.readings, **again}))
    assert back.values[k] == pytest.approx(
        want, abs=0.001 * IN if by > 0.02 * IN or by < 0 else math.radians(0.001)
    ), {str(m): v for m, v in moved.items()}

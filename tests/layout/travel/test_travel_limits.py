"""Margins over the envelope against the reference chassis; arm spin against a numeric buckling;
limits that move as the reading moves.

Sources: reference margins of the invented chassis (tolerance 0.001 in, 0.003 deg); virtual work.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from linkages import DEG, IN, of_job
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.travel import Place, study
from soapstone.layout.travel.joint_line import candidates
from soapstone.layout.travel.limits import limits
from soapstone.layout.travel.linkage import Linkage
from soapstone.layout.travel.pose import frames
from soapstone.layout.travel.spin import critical
from soapstone.layout.travel.turning import turn
from trucks import job, reference_job

MARGINS = {
    "coil.length": (min, 9.503744, max, 19.707276),
    "coil.seat": (max, 8.690558),
    "frame_joint": (max, 7.468017),
    "upper.radial": (max, 0.107314),
    "lower.cone": (max, 2.517828),
    "slip": (min, -0.390939, max, 0.402111),
    "pinion.joint": (max, 2.369891),
    "transfer.joint": (max, 7.349421),
}


@pytest.mark.parametrize("name", MARGINS)
def test_margin_over_the_envelope_of_fifteen(name: str) -> None:
    j = reference_job()
    g = solve(j)
    t = study(j, g)
    assert len(t.places) == 15
    both = np.concatenate([a for k, a in t.found.items() if k.name == name])
    scale = IN if name in ("coil.length", "slip", "upper.radial") else DEG
    row = MARGINS[name]
    for pick, want in zip(row[::2], row[1::2], strict=True):
        assert pick(both) / scale == pytest.approx(
            want,
            abs=0.01 if name in ("frame_joint", "lower.cone") else 0.003 if scale == DEG else 0.001,
        )


def test_arm_spin_against_a_numeric_buckling() -> None:
    """The push at which the second derivative of cone energy less work of the push vanishes, the
    arm turned about its own axis by hand.
    """
    lk = of_job()
    f = frames(Linkage(*(a[None] for a in lk)))
    assert f.joint.shape == (1, 4, 3)
    i = 0
    axis = (lk.joint[i] - lk.bolt[i]) / np.linalg.norm(lk.joint[i] - lk.bolt[i])

    def state(a: float) -> tuple[float, float]:
        u = lk.bolt[i] + turn(axis * a) @ (lk.upper[i] - lk.bolt[i])
        link = lk.mount[i] - u
        was = lk.mount[i] - lk.upper[i]
        tilt = math.acos(min(1.0, float(link @ was) / (np.linalg.norm(link) * np.linalg.norm(was))))
        return (lk.rates[i, 3] * a * a + lk.rates[2 + i, 3] * tilt**2) / 2, float(
            np.linalg.norm(link)
        )

    e = 1e-3
    (e1, l1), (e0, l0), (e2, l2) = state(e), state(0.0), state(-e)
    push = ((e1 - 2 * e0 + e2) / e**2) / ((l1 - 2 * l0 + l2) / e**2)
    assert critical(lk, i) == pytest.approx(push, rel=0.02)


def test_limits_move_with_what_they_limit() -> None:
    j = job()
    g = solve(j)
    rows = {(x.path, x.name): x for x in limits(j, g)}
    assert [x.name for x in limits(j, g) if x.governs and x.path == "bump"] == ["bump stop"]
    assert (
        rows["droop", "limit strap"].governs
        and rows["roll, left up", "upper bushing's squeeze, left"].governs
    )
    key = Key("spring.free_length", "C")
    short = j._replace(
        readings={
            **j.readings,
            key: j.readings[key]._replace(value=j.readings[key].value),
            Key("travel.droop", "C"): j.readings[Key("travel.droop", "C")]._replace(value=7 * IN),
        }
    )
    gone = {(x.path, x.name): x for x in limits(short, solve(short))}
    loose = gone["droop", "coil loose, left"]
    assert loose.short and abs(loose.at) / IN == pytest.approx(6.04, abs=0.02)
    weak = j._replace(
        readings={
            **j.readings,
            Key("arms.bush_max_radial", "C"): (
                j.readings[Key("arms.bush_max_radial", "C")]._replace(value=0.09 * IN)
            ),
        }
    )
    assert any(
        x.short and x.name.startswith("upper bushing")
        for x in limits(weak, solve(weak))
        if x.path == "roll, left up"
    )


def test_joint_lines_are_ranked_and_the_chosen_one_is_among_them() -> None:
    j = job()
    rows = candidates(j, solve(j))
    assert len(rows) > 40
    assert list(rows) == sorted(rows, key=lambda r: r.rank)
    mine = next(
        r for r in rows if abs(r.behind - 40 * IN) < 0.1 and abs(r.height - 17.5 * IN) < 0.1
    )
    assert mine.dive == pytest.approx(129.66, abs=0.2) and mine.arm / IN == pytest.approx(
        39.531, abs=0.001
    )
    # closed form: caster swings by 1/arm length per length of travel, a hair more on a sloping arm
    assert math.degrees(abs(mine.caster)) * IN == pytest.approx(
        math.degrees(IN / (39.3 * IN)), rel=0.03
    )
    steeper = next(r for r in rows if abs(r.behind - 40 * IN) < 0.1 and r.height > mine.height)
    assert steeper.dive > mine.dive


def test_no_bushing_rates_brackets_what_hangs_on_them() -> None:
    j = job()
    bare = j._replace(readings={k: r for k, r in j.readings.items() if "_bush_" not in k.name})
    g = solve(bare)
    t = study(bare, g)
    assert t.bracketed and t.low is not None and t.high is not None
    at = t.at("roll, left up")
    k = Key("frame_joint", "L")
    assert t.low[k][at] < t.found[k][at] < t.high[k][at]
    exact = study(j, solve(j)).found[k][at]
    assert t.low[k][at] < exact < t.high[k][at]


def test_a_position_out_of_reach_says_why_and_the_rest_still_comes() -> None:
    j = job()
    t = study(j, solve(j), [Place("ride height", 0.0, 0.0), Place("too far", 45 * IN, 0.0)])
    assert list(t.lost) == ["too far"] and "cannot reach" in t.lost["too far"]
    assert t.found[Key("caster", "L")][0] / DEG == pytest.approx(5.171, abs=0.003)


def test_what_waits_is_named() -> None:
    j = job()
    cut = j._replace(
        readings={
            k: r
            for k, r in j.readings.items()
            if k.name not in ("steering.pitman_ball.x", "spring.rate")
        }
    )
    t = study(cut, solve(cut))
    assert t.pose is None and any(k.name == "steering.pitman_ball.x" for k in t.waits["linkage"])
    assert any(k.name == "spring.rate" for k in t.waits["coils"])

"""The pose is a true rest: a minimum, the least one found, from soft bushings to hard ones; held
against a multibody library (MuJoCo).

Bushing rates are invented. The soft pairs are ones where plain Newton steps from the closed-form
start stop on saddles or on an arm spun over.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from linkages import DEG, IN, LOWER, UPPER, bush, of_job
from rig import Rig
from soapstone.layout.arrays import Array
from soapstone.layout.travel import BRACKET, TYPICAL, scaled
from soapstone.layout.travel.bushing import energy, strain
from soapstone.layout.travel.descent import descend, spun
from soapstone.layout.travel.equations import Start, guess
from soapstone.layout.travel.linkage import Bush, Linkage, rates, spread
from soapstone.layout.travel.pose import frames, pose
from soapstone.layout.travel.turning import turn

SOFT = {
    "88/32": (
        LOWER._replace(cone=bush(1, 1, 1, 88).cone),
        UPPER._replace(cone=bush(1, 1, 1, 32).cone),
    ),
    "58/22": (
        LOWER._replace(cone=bush(1, 1, 1, 58).cone),
        UPPER._replace(cone=bush(1, 1, 1, 22).cone),
    ),
}
CORNERS = {
    f"{k:.3g} of corner {n}": tuple(
        scaled(b, k * rate, turn) for b, rate in zip(TYPICAL, (lo, up), strict=True)
    )
    for n, (lo, up, turn) in enumerate(BRACKET)
    for k in (1 / 3, 3.0)
}
MIXED = {
    "radial 3 times hard, cone a third of soft": tuple(
        Bush(9 * b.radial, 9 * b.axial, b.torsion / 9, b.cone / 9) for b in TYPICAL
    ),
    "radial a third of soft, cone 3 times hard": tuple(
        Bush(b.radial / 9, b.axial / 9, 9 * b.torsion, 9 * b.cone) for b in TYPICAL
    ),
}
ALL = {**SOFT, **CORNERS, **MIXED}


def grid(roll: float) -> tuple[Array, Array]:
    """357 positions: 17 heaves from full droop to full bump by 21 rolls."""
    h, r = np.meshgrid(np.linspace(-6, 4, 17) * IN, np.linspace(-roll, roll, 21) * DEG)
    return h.ravel(), r.ravel()


def with_rates(which: tuple[Bush, Bush], name: str = "demo") -> Linkage:
    return of_job(name)._replace(rates=rates(*which))


@pytest.mark.parametrize("name", ALL)
def test_every_position_has_its_rest_and_no_start_finds_a_lower_one(name: str) -> None:
    """Starts the solver does not use: both arms spun by other amounts. None may end lower."""
    lk = with_rates(ALL[name])
    h, r = grid(8 if name in SOFT else 5)
    q = pose(lk, h, r)
    assert q.settled.all()
    many = spread(Linkage(*(a[None] for a in lk)), len(h))
    pick = slice(None, None, 7)
    few = Linkage(*(a[pick] for a in many))
    for a, b in ((0.9, -0.9), (-0.3, -0.3), (1.2, 0.2)):
        start = spun(few, guess(few, h[pick], r[pick]), a, b)
        _, e, ok = descend(few, frames(few), h[pick], r[pick], start)
        assert ok.mean() > 0.9
        assert (q.energy[pick][ok] <= e[ok] * (1 + 1e-6) + 1e-3).all()


@pytest.mark.parametrize("name", SOFT)
def test_no_small_motion_lowers_the_energy(name: str) -> None:
    """Second differences of the energy itself along random motions that keep the constraints to
    first order, forces at work on the rest.
    """
    lk = with_rates(SOFT[name])
    h, r = grid(8)
    q = pose(lk, h, r)
    f = frames(spread(Linkage(*(a[None] for a in lk)), len(h)))
    rng = np.random.default_rng(11)

    def lagrangian(step: Array) -> Array:
        t = turn(step[:, 3:].reshape(-1, 5, 3))
        s = Start(q.p + step[:, :3], t[:, 0] @ q.d, t[:, 1:3] @ q.m, t[:, 3:5] @ q.g, q.force)
        bar = s.p + (s.d @ (lk.bar_axle - lk.center)[:, None])[..., 0] - lk.bar_frame
        long = math.dist(lk.bar_axle, lk.bar_frame)
        held = np.stack(
            (
                ((bar**2).sum(-1) / long - long) / 2,
                s.p[:, 2] - lk.center[2] - h,
                s.d[:, 2, 1] - np.sin(r),
            ),
            axis=-1,
        )
        e = energy(f, strain(f, s.p, s.d, s.m, s.g)).sum(-1)
        return np.asarray(e + (q.force * held).sum(-1))

    base = lagrangian(np.zeros((len(h), 18)))
    for _ in range(20):
        step = rng.normal(size=(len(h), 18)) * np.array([0.02] * 3 + [0.02] * 15)
        # the axle stays: arms and upper arms alone are free of every constraint
        step[:, :6] = 0.0
        rise = lagrangian(step) + lagrangian(-step) - 2 * base
        assert (rise > 0).all()


def test_second_rests_are_told_and_lie_higher() -> None:
    """With very soft cones an arm can also stay spun over: such a rest is found, and the pose is
    the lower of the two.
    """
    h, r = (a[::4] for a in grid(8))
    q = pose(with_rates(SOFT["58/22"]), h, r, everywhere=True)
    two = np.isfinite(q.other)
    assert 10 < two.sum() < 60
    assert (q.other[two] > 1.2 * q.energy[two]).all()
    stiff = pose(of_job(), *(a[::9] for a in grid(5)), everywhere=True)
    assert not np.isfinite(stiff.other).any()


def test_both_ways_to_a_rest_agree() -> None:
    """A warm start from a pose far away ends where the closed-form start does."""
    lk = with_rates(SOFT["88/32"])
    h, r = grid(8)
    q = pose(lk, h, r)
    turned = np.random.default_rng(4).permutation(len(h))
    far = Start(*(a[turned] for a in (q.p, q.d, q.m, q.g, q.force)))
    again = pose(lk, h, r, far)
    assert again.settled.all()
    assert np.abs(again.energy - q.energy).max() < 1e-6 * q.energy.max()
    assert np.abs(again.p - q.p).max() < 1e-5


def against_the_rig(name: str, count: int) -> None:
    """Never more energy than the multibody library's rest, and the same pose where the energies are
    the same.
    """
    lk = with_rates(ALL[name])._replace(up=np.array(0.0))
    rig = Rig(
        lk.center, lk.joint, lk.bolt, lk.upper, lk.mount, (lk.bar_axle, lk.bar_frame), lk.rates
    )
    h, r = grid(8 if name in SOFT else 5)
    pick = np.random.default_rng(count).choice(len(h), count, replace=False)
    q = pose(lk, h, r)
    same = 0
    for i in pick:
        try:
            x = rig.at(h[i], r[i])
        except AssertionError:
            continue
        e = float((rig.m.jnt_stiffness * rig.state**2).sum() / 2)
        assert q.energy[i] <= e * (1 + 1e-7) + 1e-3, (h[i] / IN, r[i] / DEG)
        if e > q.energy[i] * (1 + 1e-6) + 1e-2:
            continue
        same += 1
        d = q.d[i]
        yaw, pitch = math.atan2(-d[0, 1], d[1, 1]), math.atan2(-d[2, 0], d[2, 2])
        assert np.abs(q.p[i] - lk.center - x[:3]).max() < 1e-5 * IN
        assert max(abs(yaw - x[3]), abs(pitch - x[5])) < 1e-4 * DEG
    assert same >= 0.9 * count


@pytest.mark.parametrize("name", SOFT)
def test_against_the_rig(name: str) -> None:
    against_the_rig(name, 10)


@pytest.mark.again
@pytest.mark.slow
@pytest.mark.parametrize("name", ALL)
def test_against_the_rig_at_many(name: str) -> None:
    against_the_rig(name, 15)

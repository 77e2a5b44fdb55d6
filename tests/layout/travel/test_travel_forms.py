"""Travel against closed forms: rigid motion about the joint line, track-bar circles, drag-link
steer, roll axis, roll bind, energy and forces.

Sources: plane and solid geometry; virtual work; strut with a side spring (any text on elastic
stability).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from linkages import DEG, IN, LOWER, UPPER, mirrored, of_job, plain
from soapstone.layout.quantities import Key
from soapstone.layout.travel.gear import Steering
from soapstone.layout.travel.linkage import Linkage
from soapstone.layout.travel.outputs import outputs, steer
from soapstone.layout.travel.pose import frames, pose
from soapstone.layout.travel.turning import about, apply

HEAVE = np.array((-6.0, -3.0, -1.0, 0.0, 2.0, 4.0)) * IN
NONE = np.zeros(len(HEAVE))


def test_heave_without_a_track_bar_is_one_turn_about_the_joint_line() -> None:
    lk = plain(up=0.08)
    q = pose(lk, HEAVE, NONE)
    f = lk.joint.mean(axis=0)
    rho2 = (lk.center[0] - f[0]) ** 2 + (lk.center[2] - f[2]) ** 2
    x = f[0] + np.sqrt(rho2 - (lk.center[2] + HEAVE - f[2]) ** 2)
    assert np.abs(q.p[:, 0] - x).max() < 1e-10
    assert np.abs(q.p[:, 1]).max() < 1e-10
    assert np.abs(q.energy).max() < 1e-12
    assert np.abs(q.m - q.d[:, None]).max() < 1e-12
    assert np.abs(q.g - q.d[:, None]).max() < 1e-12
    o = outputs(lk, _no_gear(), q)
    assert np.abs(o[Key("ic.x", "C")] - f[0]).max() < 1e-8
    assert np.abs(o[Key("ic.z", "C")] - f[2]).max() < 1e-8


def _no_gear():
    from soapstone.layout.travel.gear import gear

    return gear({})


BAR = (np.array((6.0, -20.0, 20.0)), np.array((6.2, 16.0, 20.4)))


def free_along_y() -> Linkage:
    """Bushings that slide along their bolts for nothing: the axle shifts sideways and its arms stay
    straight.
    """
    return plain(lower=LOWER._replace(axial=0.0), upper=UPPER._replace(axial=0.0), bar=BAR)


def test_track_bar_with_joints_free_along_their_bolts() -> None:
    lk = free_along_y()
    q = pose(lk, HEAVE, NONE)
    turned = pose(plain(), HEAVE, NONE)
    mount = apply(turned.d, lk.bar_axle - lk.center)
    at = turned.p + mount
    long = math.dist(lk.bar_axle, lk.bar_frame)
    y = (
        lk.bar_frame[1]
        - np.sqrt(long**2 - (at[:, 0] - lk.bar_frame[0]) ** 2 - (at[:, 2] - lk.bar_frame[2]) ** 2)
        - mount[:, 1]
    )
    assert np.abs(y).max() > 0.2 * IN
    assert np.abs(q.p[:, 1] - y).max() < 2e-7


def test_long_level_bar_is_the_plain_arc() -> None:
    level = (np.array((0.0, -20.0, 17.0)), np.array((0.0, 16.0, 17.0)))
    miss = []
    for far in (1.0, 100.0):
        lk = plain(bar=level)
        shift = np.array((-40.0 * (far - 1) * IN, 0, -4.0 * (far - 1) * IN * 0))
        lk = lk._replace(joint=lk.joint + shift)
        h = np.array((3.0,)) * IN
        want = 36 * IN - math.sqrt((36 * IN) ** 2 - h[0] ** 2)
        miss.append(abs(pose(lk, h, np.zeros(1)).p[0, 1] - want))
    assert miss[1] < miss[0] / 20
    assert miss[1] < 0.01 * IN


@pytest.mark.parametrize(
    ("offset", "zero"),
    [((0.0, -7.0, 0.0), True), ((2.0, -7.0, 0.0), False), ((0.0, -7.0, 1.5), False)],
)
def test_equal_parallel_drag_link(offset: tuple[float, float, float], zero: bool) -> None:
    lk = free_along_y()
    o = np.array(offset) * IN
    at = lk.center + np.array((0.0, -29.0 * IN, 0.0))
    k = np.array(((-0.1, -0.15, 1.0), (-0.1, 0.15, 1.0)))
    s = Steering(
        k / np.linalg.norm(k, axis=1, keepdims=True),
        np.array((at * (1, -1, 1), at)),
        lk.bar_axle + o,
        1,
        lk.bar_frame + o,
        None,
    )
    h = HEAVE if zero else HEAVE / 2000
    q = pose(lk, h, NONE)
    got = steer(Linkage(*(np.repeat(a[None], len(h), 0) for a in lk)), q, s)[Key("drag.steer", "C")]
    if zero:
        assert np.abs(got).max() < 1e-9 * DEG
        return
    # first order: the ends part by (I - R) o; that much along the drag link, over the lever from
    # kingpin to link
    link = (s.pitman - s.ball) / math.dist(s.pitman, s.ball)
    lever = float(np.cross(s.kingpin[1], s.ball - s.at[1]) @ link)
    want = -((apply(q.d, o) - o) @ link) / lever
    assert np.abs(want).max() > 1e-9
    assert np.abs(got - want).max() < 0.05 * np.abs(want).max()


def test_joints_on_the_center_line_never_bind() -> None:
    lk = plain(y_joint=0.0, bar=BAR)
    h, r = np.meshgrid(np.array((-4.0, 0.0, 3.0)) * IN, np.array((-7.0, 0.0, 5.0)) * DEG)
    q = pose(lk, h.ravel(), r.ravel())
    assert q.settled.all()
    assert np.abs(q.energy).max() < 1e-9


def test_roll_axis_of_free_arms() -> None:
    soft = dict(torsion=1e-4, cone=1e-4)
    lk = plain(y_joint=12.0, lower=LOWER._replace(**soft), upper=UPPER._replace(**soft), bar=BAR)
    q = pose(lk, np.zeros(1), np.zeros(1))
    v, w = q.v_roll[0, :3], q.v_roll[0, 3:]
    f, a = lk.joint[0], lk.bolt[0]
    meet = a + (f - a) * a[1] / (a[1] - f[1])
    bar = lk.bar_frame - lk.bar_axle
    cross = lk.bar_axle - bar * lk.bar_axle[1] / bar[1]
    for at in (meet, cross):
        rel = at - q.p[0]
        speed = v + np.cross(w, rel)
        assert abs(speed[1] / w[0]) < 2e-4 * IN


def test_roll_bind_of_parallel_arms() -> None:
    """K_roll = 2 k_F y_F^2, 1/k_F = P^2/k_up + |P u + z|^2/k_lo, P = X/d: two springs in series at
    each frame joint.
    """
    soft = dict(torsion=1e-2, cone=1e-2, axial=1.0)
    lk = plain(lower=LOWER._replace(**soft), upper=UPPER._replace(**soft))
    phi = 1e-5
    q = pose(lk, np.zeros(1), np.array((phi,)))
    k = -q.force[0, 2] / phi
    f, a, u0, v0 = lk.joint[0], lk.bolt[0], lk.upper[0], lk.mount[0]
    u = (v0 - u0) / math.dist(v0, u0)
    d = u[0] * (v0 - a)[2] - u[2] * (v0 - a)[0]
    ratio = (a[0] - f[0]) / abs(d)
    at_lower = ratio * u * math.copysign(1, u[2]) + np.array((0, 0, 1.0)) * -1
    soft_f = ratio**2 / UPPER.radial + (at_lower @ at_lower) / LOWER.radial
    alt = ratio * u + np.array((0, 0, 1.0))
    soft_g = ratio**2 / UPPER.radial + (alt @ alt) / LOWER.radial
    want = [2 / s * f[1] ** 2 for s in (soft_f, soft_g)]
    assert min(abs(k / w - 1) for w in want) < 2e-3
    wind = outputs(lk, _no_gear(), q)[Key("lower.wind", "L")][0] / phi
    assert abs(wind) == pytest.approx(f[1] / (a[0] - f[0]), rel=2e-2)


@pytest.mark.parametrize("name", ["demo", "demo_uneven"])
def test_forces_are_slopes_of_the_energy_and_tangents_are_differences(name: str) -> None:
    lk = of_job(name)
    h, r = np.array((2.0, -4.0, 0.5)) * IN, np.array((2.0, -3.0, 5.0)) * DEG
    q = pose(lk, h, r)
    dh, dr = 1e-3, 1e-6
    up, down = pose(lk, h + dh, r), pose(lk, h - dh, r)
    assert np.allclose((up.energy - down.energy) / (2 * dh), -q.force[:, 1], rtol=1e-6, atol=1e-6)
    assert np.allclose((up.p - down.p) / (2 * dh), q.v_heave[:, :3], atol=1e-8)
    up, down = pose(lk, h, r + dr), pose(lk, h, r - dr)
    assert np.allclose((up.energy - down.energy) / (2 * dr), -q.force[:, 2] * np.cos(r), rtol=1e-6)
    assert np.allclose((up.p - down.p) / (2 * dr), q.v_roll[:, :3], rtol=1e-6, atol=1e-5)
    bar = np.linalg.norm(q.p + apply(q.d, lk.bar_axle - lk.center) - lk.bar_frame, axis=1)
    assert np.abs(bar - math.dist(lk.bar_axle, lk.bar_frame)).max() < 1e-9


@pytest.mark.parametrize("name", ["demo", "demo_uneven"])
def test_a_mirrored_chassis_moves_as_the_mirror_image(name: str) -> None:
    lk = of_job(name)
    h, r = np.array((2.0, -4.0, 0.5)) * IN, np.array((2.0, -3.0, 5.0)) * DEG
    one, two = pose(lk, h, r), pose(mirrored(lk), h, -r)
    assert np.allclose(one.p, two.p * (1, -1, 1), atol=1e-8)
    flip = np.diag((1.0, -1.0, 1.0))
    assert np.allclose(one.d, flip @ two.d @ flip, atol=1e-10)


def test_wheel_heights_are_exact() -> None:
    lk = of_job()
    q = pose(lk, np.array((1.0 * IN,)), np.array((4.0 * DEG,)))
    half = 34.25 * IN
    for way in (1, -1):
        wheel = q.p[0] + q.d[0] @ np.array((0.0, way * half, 0.0))
        assert wheel[2] == pytest.approx(
            lk.center[2] + IN + way * half * math.sin(4 * DEG), abs=1e-9
        )


def test_hessian_is_the_slope_of_the_gradient() -> None:
    """Finite differences of the gradient at a strained pose, every unknown."""
    from soapstone.layout.travel.bushing import derivatives
    from soapstone.layout.travel.turning import turn

    lk = of_job("demo_uneven")
    lk = lk._replace(axis_lower=np.array(((0.1, 1.0, 0.05), (-0.2, 1.0, 0.1))))
    f = frames(Linkage(*(a[None] for a in lk)))
    rng = np.random.default_rng(5)
    p, d = lk.center[None] + rng.normal(0, 3, (1, 3)), turn(rng.normal(0, 0.1, (1, 3)))
    m, g = turn(rng.normal(0, 0.1, (1, 2, 3))), turn(rng.normal(0, 0.1, (1, 2, 3)))

    def at(x: np.ndarray) -> np.ndarray:
        step = turn(x[3:].reshape(3, 3))
        gr, _ = derivatives(
            f,
            p + x[:3],
            step[:1] @ d,
            np.stack((step[1] @ m[0, 0], m[0, 1]))[None],
            np.stack((step[2] @ g[0, 0], g[0, 1]))[None],
        )
        return gr[0, 0]

    _, hess = derivatives(f, p, d, m, g)
    eps, slope = 1e-6, np.empty((12, 12))
    for i in range(12):
        x = np.zeros(12)
        x[i] = eps
        slope[:, i] = (at(x) - at(-x)) / (2 * eps)
    # a gradient taken in the turned frame carries half the bracket of moment and turn, which is
    # skew
    k = (hess[0, 0] - (slope + slope.T) / 2) / np.abs(hess[0, 0]).max()
    assert np.abs(k).max() < 1e-8


def test_rotation_helpers() -> None:
    assert np.allclose(about(1, 0.3) @ (-1, 0, 0), (-math.cos(0.3), 0, math.sin(0.3)))

"""A single step down in energy, held to what the search promises of it; the twist of a moving axle
read off as centers; a joint line by the tape.

Outside: linear algebra by scipy, rigid bodies (velocity of a point is that of the center and the
cross product of turn and arm), subtraction of lengths.
"""

from __future__ import annotations

import importlib
import itertools
import math

import numpy as np
import pytest
import scipy.linalg
from linkages import DEG, IN, many, matrices, of_job
from scipy.spatial.transform import Rotation
from soapstone.layout.quantities import SIDES, Key
from soapstone.layout.setout import solve
from soapstone.layout.travel import BRACKET, HARD, SOFT, Place, descent, joint_line, study
from soapstone.layout.travel.bushing import strain
from soapstone.layout.travel.equations import Start, frames, guess, kkt
from soapstone.layout.travel.outputs import _tangents, square
from soapstone.layout.travel.pose import pose
from trucks import job

pose_steps = importlib.import_module("soapstone.layout.travel.pose")
"""The file: the folder's door has a function of that name."""


def test_no_step_turns_a_body_further_than_a_fifth_of_a_radian() -> None:
    """In scale a turn of 0.2 is 100 mm; a step is shortened as a whole, never drawn out, so that it
    keeps the way of the least of the quadratic on the free directions (scipy).
    """
    rng = np.random.default_rng(11)
    whole, hess, jac = matrices(rng, 0.5)
    free = scipy.linalg.null_space(jac)
    pull = rng.normal(size=18)
    want = -free @ np.linalg.solve(free.T @ hess @ free, free.T @ pull)
    for size in (1e-3, 1e3, 1e6):
        residual = np.zeros((1, 21))
        residual[0, :18] = size * pull / descent.SCALE
        step, slope, rest = descent._downhill(whole[None], residual, jac[None], np.zeros((1, 3)))
        widest = np.abs(size * want[3:]).max()
        assert step[0] == pytest.approx(size * want * min(1.0, 100.0 / widest), rel=1e-6)
        assert slope[0] == pytest.approx(float(step[0] @ pull) * size) and slope[0] < 0.0
        assert not rest[0]


@pytest.mark.parametrize("way", [0, 1, 2])
def test_a_long_way_that_turns_little_is_not_shortened(way: int) -> None:
    """Mostly along one axis of the truck, by a meter: only turns are capped."""
    rng = np.random.default_rng(13)
    whole, hess, jac = matrices(rng, 0.5)
    free = scipy.linalg.null_space(jac)
    want = free @ free.T[:, way]
    want *= 1000.0 / np.abs(want).max()
    assert np.argmax(np.abs(want)) == way
    residual = np.zeros((1, 21))
    residual[0, :18] = -(hess @ want) / descent.SCALE
    step, *_ = descent._downhill(whole[None], residual, jac[None], np.zeros((1, 3)))
    widest = np.abs(want[3:]).max()
    assert 0.0 < widest < 1000.0
    assert step[0] == pytest.approx(want * min(1.0, 100.0 / widest), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_at_a_saddle_the_step_goes_the_way_that_falls(sign: float) -> None:
    """All but level, the energy falls either way along its negative direction; the side that slopes
    down is taken.
    """
    rng = np.random.default_rng(12)
    whole, hess, jac = matrices(rng, -0.5)
    way, value = descent._free(whole[None])
    residual = np.zeros((1, 21))
    residual[0, :18] = sign * 1e-4 * way[0, :, 0] / descent.SCALE
    step, slope, rest = descent._downhill(whole[None], residual, jac[None], np.zeros((1, 3)))
    assert value[0, 0] < 0 and slope[0] < 0.0 and not rest[0]
    assert step[0] @ hess @ step[0] < 0.0 and np.abs(step[0]).max() > 0.01


def test_a_step_that_is_too_long_is_halved_until_the_energy_has_fallen() -> None:
    """From poses off their rests, straight down the slope but many times too far: what is taken is
    the step by a power of one half (Nocedal and Wright, chapter 3), and lower; the other way no
    step falls, and the pose stays.
    """
    h, r = np.array([40.0, -60.0]), np.array([0.04, -0.03])
    links = many(h)
    f = frames(links)
    start, _ = descent._kept(links, guess(links, h, r), h, r, 8)
    rest = pose(of_job(), h, r)
    was = descent.total(f, start)
    assert (was > rest.energy).all()
    ends = Start(rest.p, rest.d, rest.m, rest.g, start.force)

    def motions(to: Start) -> np.ndarray:
        turns = [
            Rotation.from_matrix(b @ np.swapaxes(a, -1, -2)).as_rotvec()
            for a, b in (
                (start.d, to.d),
                *((start.m[:, k], to.m[:, k]) for k in (0, 1)),
                *((start.g[:, k], to.g[:, k]) for k in (0, 1)),
            )
        ]
        return np.concatenate((to.p - start.p, *turns), axis=1) / descent.SCALE

    down = motions(ends)
    slope = -2 * (was - rest.energy)
    for times in (1.0, 8.0, 50.0):
        go = (down * times, slope * times, was)
        new, now = descent._lower(links, f, start, (h, r), go)
        assert (now < was).all() and now == pytest.approx(descent.total(f, new))
        moved = motions(new)
        for k in range(2):
            share = float(moved[k] @ down[k]) / float(down[k] @ down[k])
            halvings = math.log2(times / share)
            assert halvings == pytest.approx(round(halvings), abs=0.05) and halvings > -0.05
            assert share < 2.0
    stay, same = descent._lower(links, f, start, (h, r), (-down, slope, was))
    assert same == pytest.approx(was) and stay.p == pytest.approx(start.p)


def test_every_turn_of_every_body_counts_as_wandered(monkeypatch: pytest.MonkeyPatch) -> None:
    """Axle, arms and upper arms each turned off the rest about each axis: one step wanders by the
    largest turn it asks for (the equations solved by numpy), half a radian at most.
    """
    monkeypatch.setattr(pose_steps, "STEPS", 1)
    h, r = np.array([30.0]), np.array([0.02])
    links = many(h)
    f, rest = frames(links), pose(of_job(), h, r)
    largest = set()
    for number, size in itertools.product(range(15), (0.05, 0.8)):
        turn = Rotation.from_rotvec(size * np.eye(3)[number % 3]).as_matrix()
        bodies = [rest.d, rest.m[:, 0], rest.m[:, 1], rest.g[:, 0], rest.g[:, 1]]
        bodies[number // 3] = turn @ bodies[number // 3]
        arms, uppers = np.stack(bodies[1:3], axis=1), np.stack(bodies[3:], axis=1)
        start = Start(rest.p, bodies[0], arms, uppers, np.zeros((1, 3)))
        matrix, residual = kkt(links, f, start, h, r)
        step = np.linalg.solve(matrix[0], -residual[0])
        turns = np.abs(step[3:18])
        largest.add(int(np.argmax(turns)))
        got = pose_steps._newton(links, f, start, h, r)
        assert got.gone[0] == pytest.approx(min(0.5, turns.max()), rel=1e-6)
        moved = got.at.p[0] - start.p[0]
        assert moved == pytest.approx(step[:3] * min(1.0, 0.5 / turns.max()), rel=1e-6, abs=1e-9)
    assert 14 in largest and len(largest) > 5


def test_centers_of_a_moving_axle_do_not_move() -> None:
    """Any twist: the instant center has no velocity in side view, the roll center none across, and
    an axle turned about the plumb line while it rolls steers.
    """
    rng = np.random.default_rng(6)
    one = pose(of_job(), np.array([0.0, 20.0, -30.0]), np.zeros(3))
    rest = one._replace(v_heave=rng.normal(size=(3, 6)), v_roll=rng.normal(size=(3, 6)))
    found = _tangents(rest)
    for n in range(3):
        v, w = rest.v_heave[n, :3], rest.v_heave[n, 3:]
        x, z = found[Key("ic.x", "C")][n], found[Key("ic.z", "C")][n]
        moves = v + np.cross((0.0, w[1], 0.0), (x - rest.p[n, 0], 0.0, z - rest.p[n, 2]))
        assert moves[[0, 2]] == pytest.approx((0.0, 0.0), abs=1e-9)
        v, w = rest.v_roll[n, :3], rest.v_roll[n, 3:]
        z = found[Key("roll_center", "C")][n] + rest.heave[n]
        moves = v + np.cross((w[0], 0.0, 0.0), (0.0, 0.0, z - rest.p[n, 2]))
        assert moves[1] == pytest.approx(0.0, abs=1e-9)
        assert found[Key("roll_steer", "C")][n] == pytest.approx(w[2] / w[0])


def test_a_joint_line_by_the_tape() -> None:
    """Where a line stands against output joint, mount, rail and holes: subtraction; what the axle
    does on it: three places studied by themselves.
    """
    j = job()
    values = solve(j).values
    behind = values[Key("arms.joint_behind", "C")]
    high = [values[Key("arms.joint_height", side)] for side in SIDES]
    row = joint_line._line(j, behind, high)
    assert row is not None
    assert row.ahead == pytest.approx(-behind - values[Key("driveline.output.x", "C")])
    mount = abs(-behind - values[Key("driveline.mount.x", "C")])
    assert row.mount == pytest.approx(mount)
    lower = min(values[Key("frame.station.1.bottom", side)] for side in SIDES)
    assert row.below == pytest.approx(lower - sum(high) / 2)
    near = [
        n
        for n in range(1, j.counts["frame.hole"] + 1)
        if j.words.get(f"frame.hole.{n}.use") == "crossmember"
        and abs(values[Key(f"frame.hole.{n}.x", "C")] + behind) <= IN / 2
    ]
    assert row.holes == len(near)
    bump, droop = (values[Key(f"travel.{n}", "C")] for n in ("bump", "droop"))
    ends = [Place("a", -droop, 0.0), Place("b", 0.0, 0.0), Place("c", bump, 0.0)]
    t = study(j, solve(j), ends)
    caster = t.found[Key("caster", "L")]
    assert row.caster == pytest.approx((caster[2] - caster[0]) / (bump + droop))
    slip = t.found[Key("slip", "C")]
    assert row.slip == pytest.approx((-min(slip), max(slip)))
    joints = [t.found[Key(f"{n}.joint", "C")].max() for n in ("pinion", "transfer")]
    assert row.joint == pytest.approx(max(joints)) and row.joint > 1 * DEG
    assert (
        row.spacing == values[Key("joint.spacing", "C")] and row.arm == values[Key("arm.cc", "L")]
    )


def test_the_shaft_over_the_joint_line_lies_on_the_straight_line_between_its_joints() -> None:
    """At full droop; half its diameter lower on its underside; beyond an end of it there is room
    without end.
    """
    j = job()
    g = solve(j)
    t = study(j, g, [Place("full droop", -4 * IN, 0.0)])
    assert t.gear.shaft and t.linkage and t.pose
    one = t.pose.p[0] + t.pose.d[0] @ (t.gear.shaft.pinion - t.linkage.center)
    two = t.gear.shaft.output
    od = {Key("driveline.shaft_od", "C"): 3 * IN}
    for share in (0.2, 0.7):
        x, z = two[0] + share * (one[0] - two[0]), two[2] + share * (one[2] - two[2])
        room = joint_line._shaft_room(t, od, -x, 100.0)
        assert room == pytest.approx(z - 100.0 - 1.5 * IN)
    for share in (-0.1, 1.1):
        beside = -(two[0] + share * (one[0] - two[0]))
        assert joint_line._shaft_room(t, od, beside, 100.0) == math.inf


def test_the_way_from_ride_height_ends_at_the_place_asked_for() -> None:
    """Rolled where it stands, moved without roll, or neither: on the constraints all the way."""
    h, r = np.array([0.0, -60.0, 0.0, 35.0]), np.array([0.05, 0.0, 0.0, -0.04])
    links = many(h)
    way = descent.from_ride(links, frames(links), h, r)
    part = (descent.WAY - 1) / descent.WAY
    assert way.p[:, 2] - links.center[:, 2] == pytest.approx(part * h, abs=1e-6)
    assert np.arcsin(way.d[:, 2, 1]) == pytest.approx(part * r, abs=1e-9)
    rest = pose(of_job(), part * h, part * r)
    assert way.p == pytest.approx(rest.p, abs=0.05)


def test_where_a_bushing_is_torn_out_of_its_eye_there_is_no_rest() -> None:
    """Any of the four squeezed by an inch, however little the others are (judgment)."""
    rows = ((26, -40), (18, -30), (22, -20), (26, -10), (-30, 0), (-30, 10), (-26, 10), (2, 1))
    h, r = (np.array([row[n] for row in rows]) for n in (0, 1))
    links = many(h)
    rest = pose(of_job(), h * IN, r * DEG)
    squeezed = strain(frames(links), rest.p, rest.d, rest.m, rest.g).radial
    torn = squeezed.max(axis=1) >= IN
    assert (torn & (squeezed.min(axis=1) < IN)).sum() > 4
    assert not rest.settled[torn].any() and rest.settled[-1]


def test_rates_that_nobody_read_go_from_a_third_to_three_times_the_usual() -> None:
    """Judgment, no source; the corners of it, each pair of rates with each other, and torsion and
    cone once the other way.
    """
    assert pytest.approx((1 / 3, 3.0)) == (SOFT, HARD)
    pairs = {(lower, upper) for lower, upper, turn in BRACKET if turn == 1.0}
    assert pairs == {(a, b) for a in (SOFT, HARD) for b in (SOFT, HARD)}
    assert {row for row in BRACKET if row[2] != 1.0} == {(HARD, HARD, SOFT), (SOFT, SOFT, HARD)}


def test_a_bolt_square_to_its_link_is_as_level_across_as_can_be() -> None:
    """One long, square to the link, in the plane of the link and the y axis, to the left."""
    rng = np.random.default_rng(9)
    links = rng.normal(size=(8, 3))
    for link, bolt in zip(links, square(links), strict=True):
        assert np.linalg.norm(bolt) == pytest.approx(1.0) and bolt[1] > 0.0
        assert bolt @ link == pytest.approx(0.0, abs=1e-12)
        assert np.cross(link, (0.0, 1.0, 0.0)) @ bolt == pytest.approx(0.0, abs=1e-12)

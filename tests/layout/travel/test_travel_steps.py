"""The single steps behind a rest, each by its definition: constraints, free directions, turns,
which neighbour, which rest of two; what rides on the linkage.

Outside: linear algebra by scipy, rotations by scipy, brute force over the rows, trigonometry.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.linalg
from linkages import DEG, IN, LOWER, UPPER, bush, many, matrices, of_job
from scipy.spatial.transform import Rotation
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.travel import Place, descent, joint_line, second_rests, spin, study
from soapstone.layout.travel.equations import Start, frames, guess
from soapstone.layout.travel.gear import gear
from soapstone.layout.travel.linkage import rates
from soapstone.layout.travel.pose import TAME, _neighbour, _Newton, pose
from soapstone.layout.travel.sure import Sure, leaves, moved_values, used
from soapstone.layout.travel.turning import apply, turn
from trucks import job

SOFT = (
    LOWER._replace(cone=bush(1, 1, 1, 58).cone),
    UPPER._replace(cone=bush(1, 1, 1, 22).cone),
)


def test_a_rest_is_told_from_a_saddle_by_its_free_directions() -> None:
    """The least eigenvalue on the null space of the constraints (scipy), alone and together."""
    rng = np.random.default_rng(3)
    rows = [matrices(rng, lowest) for lowest in (0.5, -0.5, 2.0, -2.0)]
    for (whole, *_), good in zip(rows, (True, False, True, False), strict=True):
        assert descent.positive(whole[None])[0] == good
    stack = np.stack([whole for whole, *_ in rows])
    assert descent.positive(stack).tolist() == [True, False, True, False]
    ways, values = descent._free(stack)
    for way, value, (_, hess, jac) in zip(ways, values, rows, strict=True):
        assert np.abs(jac @ way).max() < 1e-9
        assert way.T @ way == pytest.approx(np.eye(15), abs=1e-9)
        free = scipy.linalg.null_space(jac)
        assert value == pytest.approx(np.linalg.eigvalsh(free.T @ hess @ free), abs=1e-8)
        assert way.T @ hess @ way == pytest.approx(np.diag(value), abs=1e-8)


def test_no_slope_is_a_rest_only_where_every_free_direction_rises() -> None:
    """Without any slope: a minimum stays, from a saddle a step is taken along its falling way."""
    rng = np.random.default_rng(8)
    rows = [matrices(rng, lowest) for lowest in (0.5, -0.5)]
    jac = np.stack([jac for _, _, jac in rows])
    whole = np.stack([whole for whole, *_ in rows])
    step, slope, rest = descent._downhill(whole, np.zeros((2, 21)), jac, np.zeros((2, 3)))
    assert rest.tolist() == [True, False] and slope == pytest.approx(np.zeros(2), abs=1e-9)
    assert np.abs(step[0]).max() < 1e-12 < np.abs(step[1]).max()
    assert step[1] @ rows[1][1] @ step[1] < 0.0


def test_the_closed_form_start_keeps_the_bar_as_built() -> None:
    """The track bar, its mount and its length off by what was built, is as long at the start."""
    h, r = np.array([60.0, -100.0, 20.0]), np.array([0.05, -0.08, 0.0])
    links = many(h, of_job()._replace(bar_off=np.array((4.0, -7.0, 9.0)), bar_more=np.array(3.0)))
    s = guess(links, h, r)
    frame = links.bar_frame + np.array((4.0, -7.0, 9.0))
    bar = s.p + apply(s.d, links.bar_axle - links.center) - frame
    long = np.linalg.norm(links.bar_axle - links.bar_frame, axis=-1) + 3.0
    assert np.linalg.norm(bar, axis=-1) == pytest.approx(long)


@pytest.mark.parametrize("times", [0, 1, 2, 8])
def test_what_is_left_of_the_constraints_is_that_of_the_pose_given_back(times: int) -> None:
    """Bar length, axle height and roll of the pose itself, scaled to mm; eight steps meet them."""
    h, r = np.array([60.0, -100.0, 20.0]), np.array([0.05, -0.08, 0.0])
    links = many(h, of_job()._replace(bar_off=np.array((4.0, -7.0, 9.0)), bar_more=np.array(3.0)))
    start = guess(links, h, r)
    rng = np.random.default_rng(times)
    off = turn(rng.normal(size=(3, 3)) * 0.03)
    start = start._replace(p=start.p + rng.normal(size=(3, 3)) * 8.0, d=off @ start.d)
    s, left = descent._kept(links, start, h, r, times)
    frame = links.bar_frame + np.array((4.0, -7.0, 9.0))
    bar = s.p + apply(s.d, links.bar_axle - links.center) - frame
    long = np.linalg.norm(links.bar_axle - links.bar_frame, axis=-1) + 3.0
    miss = np.stack(
        (
            ((bar**2).sum(-1) / long - long) / 2,
            s.p[:, 2] - links.center[:, 2] - h,
            (s.d[:, 2, 1] - np.sin(r)) * 500.0,
        )
    )
    assert left == pytest.approx(np.abs(miss).max(axis=0), abs=1e-12)
    assert (left < 1e-9).all() if times == 8 else (left > 1e-9).all()


def test_the_nearest_settled_neighbour_by_brute_force() -> None:
    """An inch counts like a degree; what wandered or never settled is nobody's neighbour."""
    rng = np.random.default_rng(5)
    h, r = rng.uniform(-150, 100, 40), rng.uniform(-0.14, 0.14, 40)
    at = guess(many(h), h, r)
    settled, gone = rng.random(40) < 0.6, rng.uniform(0.0, 0.8, 40)
    got = _Newton(at, np.zeros((40, 21, 2)), settled, gone, 3)
    rows = np.flatnonzero(~(settled & (gone < TAME)))
    near = _neighbour(got, h, r, rows)
    assert near is not None
    for k, row in enumerate(rows):
        best = min(
            (n for n in range(40) if settled[n] and gone[n] < TAME),
            key=lambda n: abs(h[n] - h[row]) / IN + abs(r[n] - r[row]) / DEG,
        )
        assert near.p[k] == pytest.approx(at.p[best])
    none = got._replace(settled=np.zeros(40, dtype=bool))
    assert _neighbour(none, h, r, rows) is None


def test_where_two_starts_part_the_lower_rest_is_taken() -> None:
    """Arms spun over as the neighbour: the rest is no higher than that of any start, and what is
    said of a second rest is higher.
    """
    h, r = np.array([-90.0, -90.0, 40.0, 0.0]), np.array([6.0, -6.0, 7.0, 0.0]) * DEG
    links = many(h, of_job()._replace(rates=rates(*SOFT)))
    f = frames(links)
    own = guess(links, h, r)
    over = descent.spun(links, own, 1.4, -1.4)
    found = descent.settle_again(links, f, h, r, over)
    every = descent.rests(links, f, h, r)
    assert found.found.all() and every.found.all()
    one, two = (descent.descend(links, f, h, r, start) for start in (own, over))
    parted = descent._apart(
        Start(*(np.concatenate(pair) for pair in zip(one[0], two[0], strict=True))),
        np.zeros(4, dtype=int),
        2,
        4,
    )[1]
    assert (parted > descent.APART).any() and (parted < descent.APART).any()
    for k in range(4):
        if parted[k] > descent.APART:
            assert found.energy[k] == pytest.approx(every.energy[k], rel=1e-6)
            assert found.other[k] == pytest.approx(every.other[k], rel=1e-6)
            assert found.other[k] > found.energy[k]
            assert found.energy[k] <= min(one[1][k], two[1][k]) * (1 + 1e-6)
        else:
            assert found.energy[k] == pytest.approx(one[1][k], rel=1e-6)
    told = np.isfinite(every.other)
    assert (every.other[told] > every.energy[told]).all()


def test_a_second_rest_is_said_with_its_energy() -> None:
    """With very soft cones: how many times the energy of the rest that is printed, both from the
    search itself.
    """
    j = job()
    places = [
        Place(str(n), h * IN, r * DEG) for n, (h, r) in enumerate(((-3, 6), (-3, -7), (0, 0)))
    ]
    soft = study(j, solve(j), places)
    assert soft.linkage is not None and not second_rests(soft)
    soft = soft._replace(linkage=soft.linkage._replace(rates=rates(*SOFT)))
    h, r = np.array([p.heave for p in places]), np.array([p.roll for p in places])
    rest = pose(soft.linkage, h, r, everywhere=True)
    said = second_rests(soft)
    assert rest.v_heave.shape == rest.v_roll.shape == (len(places), 6)
    told = {p.name: o / e for p, o, e in zip(places, rest.other, rest.energy, strict=True)}
    assert set(said) == {name for name, times in told.items() if math.isfinite(times)} != set()
    for name, words in said.items():
        assert f"the other with {told[name]:.2f} times the energy" in words


def test_arms_spun_about_their_own_axes() -> None:
    """Each arm's joint and bolt stay on its axis; the upper arm still points at its mount (scipy's
    rotations).
    """
    h, r = np.array([0.0, 50.0]), np.array([0.0, 0.04])
    links = many(h)
    s = guess(links, h, r)
    for angles in ((0.6, -0.6), (0.3, 0.0)):
        turned = descent.spun(links, s, *angles)
        assert turned.p == pytest.approx(s.p) and turned.d == pytest.approx(s.d)
        for k in range(2):
            for side in range(2):
                axis = links.bolt[k, side] - links.joint[k, side]
                axis = axis / np.linalg.norm(axis)
                want = s.m[k, side] @ Rotation.from_rotvec(axis * angles[side]).as_matrix()
                assert turned.m[k, side] == pytest.approx(want)
                hang = turned.m[k, side] @ (links.upper[k, side] - links.joint[k, side])
                mount = s.p[k] + s.d[k] @ (links.mount[k, side] - links.center[k])
                reach = mount - (links.joint[k, side] + hang)
                arm = turned.g[k, side] @ (links.mount[k, side] - links.upper[k, side])
                assert np.linalg.norm(np.cross(arm, reach)) < 1e-6 * np.linalg.norm(reach) ** 2


def test_how_far_apart_two_rests_are() -> None:
    """The angle of the largest turn of any of the five bodies (scipy)."""
    h, r = np.zeros(2), np.zeros(2)
    s = guess(many(h), h, r)
    g = s.g.copy()
    g[1, 0] = Rotation.from_rotvec((0.0, 0.3, 0.4)).as_matrix() @ g[1, 0]
    d = s.d.copy()
    d[1] = Rotation.from_rotvec((0.1, 0.0, 0.0)).as_matrix() @ d[1]
    two = Start(*(np.concatenate(p) for p in zip(s, s._replace(g=g, d=d), strict=True)))
    apart = descent._apart(two, np.zeros(2, dtype=int), 2, 2)
    assert apart == pytest.approx(np.array(((0, 0), (0, 0.5))), abs=1e-6)


def test_what_rides_on_the_axle() -> None:
    """Caster and kingpin lean as read stand between the kingpin and the plumb line; the coil's
    radius is half its outside diameter; the shaft's axes point at each other (trigonometry).
    """
    v = dict(solve(job()).values)
    g = gear(v)
    assert g.steering and g.coils and g.shaft and g.weights and not g.waits
    level, up = (v[Key(n, "C")] for n in ("axle.caster_at_level_pinion", "pinion.up"))
    for side, sign in ((0, 1.0), (1, -1.0)):
        x, y, z = g.steering.kingpin[side]
        assert math.atan2(-x, z) == pytest.approx(level - up, abs=1e-9)
        assert y * sign < 0 and math.hypot(x, y, z) == pytest.approx(1.0)
        assert g.steering.at[side][1] == sign * v[Key("axle.kingpin_y", "C")]
    lean = math.tan(v[Key("axle.kpi", "C")])
    assert abs(g.steering.kingpin[0][1]) == pytest.approx(
        lean / math.sqrt(1 + lean**2 + math.tan(level) ** 2)
    )
    outside = v[Key("spring.mean_diameter", "C")] + v[Key("spring.wire", "C")]
    assert g.coils.radius == pytest.approx(outside / 2)
    assert g.coils.free.tolist() == [v[Key("spring.free_length", "C")]] * 2
    tilt = up + v.get(Key("spring.pad_wedge", "C"), v.get(Key("spring.wedge", "L"), 0.0))
    assert g.coils.normal == pytest.approx((math.sin(tilt), 0.0, math.cos(tilt)))
    assert g.shaft.pinion_axis == pytest.approx((-math.cos(up), 0.0, math.sin(up)))
    down = v[Key("driveline.output_axis_down", "C")]
    assert g.shaft.output_axis == pytest.approx((math.cos(down), 0.0, -math.sin(down)))
    ball = v[Key("axle.drag_link_ball.y", "C")]
    assert g.steering.side == (0 if ball > 0 else 1)
    v[Key("axle.drag_link_ball.y", "C")] = -ball
    other = gear(v).steering
    assert other is not None and other.side == 1 - g.steering.side
    ends = {Key(f"axle.tie_rod_end.{a}", "C"): x for a, x in zip("xyz", (90, 600, 30), strict=True)}
    tied = gear({**v, **ends}).steering
    assert tied is not None and tied.tie is not None
    assert tied.tie[0] * (1, -1, 1) == pytest.approx(tied.tie[1])
    off = tied.tie[0] - (v[Key("axle.x_ride", "C")], 0.0, v[Key("axle.z_ride", "C")])
    assert off == pytest.approx(
        (90 * math.cos(up) + 30 * math.sin(up), 600, 30 * math.cos(up) - 90 * math.sin(up))
    )


def test_weights_that_are_not_read_are_bracketed() -> None:
    v = dict(solve(job()).values)
    for name, at in (("travel.cg_height", "cg"), ("travel.brake_front", "brake")):
        key = Key(name, "C")
        with_it = gear({**v, key: 0.6}).weights
        v.pop(key, None)
        without = gear(v).weights
        assert with_it is not None and without is not None
        assert getattr(with_it, at) == (0.6, 0.6)
        low, high = getattr(without, at)
        assert low < high
    assert without is not None and without.cg == pytest.approx((26 * IN, 36 * IN))


def test_push_and_critical_push_of_an_arm_by_statics() -> None:
    """Moments about the lower bolts in side view: the push at 0.8 of the wheel's load on the
    ground, on the upper arm's lever; a flip by the spring that holds it.
    """
    links, values = of_job(), solve(job()).values
    load = values.get(Key("load.wheel", "L"), 0.0)
    rows = spin.spins(links, values)
    assert load > 0 and len(rows) == 2
    for n, row in enumerate(rows):
        bolt, mount, upper = links.bolt[n], links.mount[n], links.upper[n]
        way = (mount - upper) / np.linalg.norm(mount - upper)
        ground = np.cross((bolt[0] * 0.0, 0.0, -bolt[2]), (0.8 * load, 0.0, 0.0))[1]
        upper_arm = np.cross((mount - bolt) * (1, 0, 1), way * (1, 0, 1))[1]
        assert row.push == pytest.approx(abs(ground / upper_arm))
        assert row.ratio == row.push / row.critical
        assert row.critical == spin.critical(links, n)
    hung = links._replace(mount=links.upper - (0.0, 0.0, 400.0))
    assert spin.critical(hung, 0) == math.inf
    assert spin.spins(links, {}) == ()


def test_what_a_result_rests_on_is_named_to_a_hundredth() -> None:
    """Shares of the square of an uncertainty: 3-4-5 apart, one under a hundredth left out."""
    key = Key("caster", "L")
    names = [Key(n, "C") for n in ("a", "b", "c", "d")]
    parts = {k: np.array([x]) for k, x in zip(names, (3.0, -4.0, 0.4, 0.53), strict=True)}
    total = math.sqrt(9 + 16 + 0.16 + 0.2809)
    s = Sure({key: np.array([total])}, {key: parts})
    rows = s.dominating(key, 0, 4)
    assert [k.name for k, _ in rows] == ["b", "a", "d"]
    assert [x for _, x in rows] == pytest.approx([x / total**2 for x in (16, 9, 0.2809)])
    assert len(s.dominating(key, 0, 1)) == 1
    even = {k: np.array([1.0]) for k in names}
    assert len(Sure({key: np.array([2.0])}, {key: even}).dominating(key, 0)) == 3
    assert Sure({key: np.zeros(1)}, {key: parts}).dominating(key, 0) == ()


def test_every_value_of_the_linkage_that_a_layout_has_is_moved_with_its_readings() -> None:
    """First order by the layout's own slopes: against the layout solved again."""
    j = job()
    g = solve(j)
    keys = used(g)
    assert len(keys) == len(set(keys)) and all(key in g.values for key in keys)
    for name in ("spring.rate", "frame.wheelbase", "axle.kingpin_y", "axle.kpi"):
        assert Key(name, "C") in keys
    for side in ("L", "R"):
        assert {Key("seat.upper.z", side), Key("arm.joint.y", side)} <= set(keys)
    leaf, step = Key("arms.joint_behind", "C"), 0.01
    moved = moved_values(g, keys, {leaf: step})
    reading = j.readings[leaf]
    again = solve(
        j._replace(readings={**j.readings, leaf: reading._replace(value=reading.value + step)})
    )
    for key in keys:
        assert moved[key] == pytest.approx(again.values[key], abs=1e-5)
    doubts = leaves(g, keys)
    assert all(u == g.half_width(k) > 0 for k, u in doubts.items())
    assert Key("axle.lower_mount.z", "L") in doubts or Key("axle.lower_mount.z", "C") in doubts


def test_anti_dive_of_a_line_is_that_at_ride_height() -> None:
    """The second of full droop, ride height, full bump; the middle where it is bracketed."""
    ends = {
        Key("anti_dive.low", "C"): np.array((10.0, 40.0, 70.0)),
        Key("anti_dive.high", "C"): np.array((20.0, 60.0, 90.0)),
    }
    assert joint_line._dive(ends) == 50.0
    assert joint_line._dive({Key("anti_dive", "C"): np.array((10.0, 45.0, 70.0))}) == 45.0
    assert math.isnan(joint_line._dive({}))


def line(**more: object) -> joint_line.Line:
    row: dict[str, object] = dict.fromkeys(joint_line.Line._fields, 0.0)
    row |= {"slip": (0.0, 0.0), "holes": 0, "conflicts": (), "shaft": 100.0, **more}
    return joint_line.Line(**row)


def test_joint_lines_by_what_speaks_against_them() -> None:
    """Conflicts before a shaft in the way (under half an inch), before anti-dive over 100, before
    holes met, before caster's swing.
    """
    best_first = [
        line(holes=2, caster=0.002),
        line(holes=1, caster=-0.001),
        line(holes=1, caster=0.002),
        line(holes=3, dive=130.0),
        line(holes=3, shaft=0.4 * IN),
        line(holes=3, conflicts=("bump_room",)),
        line(holes=3, conflicts=("bump_room", "seat_angle")),
    ]
    assert sorted(reversed(best_first), key=lambda row: row.rank) == best_first
    assert line(shaft=0.6 * IN).reasons == () and line(dive=99.0).reasons == ()
    assert "shaft comes down" in line(shaft=0.4 * IN).reasons[0]
    assert "anti-dive 101" in line(dive=101.0).reasons[0]
    assert line(holes=2).reasons == ("meets 2 existing holes",)
    assert line(conflicts=("bump_room",)).reasons == ("does not fit: bump room",)

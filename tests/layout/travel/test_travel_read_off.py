"""What is read off a pose, worked again point by point with scipy's rotations; where a limit is
met, by straight lines; the places that are looked at, by trigonometry.
"""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from linkages import DEG, IN
from scipy.spatial.transform import Rotation
from soapstone.layout.arrays import Array
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.travel import Place, envelope, scaled, study, why
from soapstone.layout.travel.gear import Weights, gear
from soapstone.layout.travel.limits import Limit, asked_of, criteria, limits, paths, reach
from soapstone.layout.travel.linkage import Bush
from soapstone.layout.travel.outputs import outputs, steer
from trucks import job

PLACES = [
    Place(str(n), heave * IN, roll * DEG)
    for n, (heave, roll) in enumerate(((0, 0), (4, 0), (-6, 0), (-1.5, 5), (1, -4), (2, 2.5)))
]


def angle(a: Array, b: Array) -> float:
    return math.acos(float(a @ b / np.linalg.norm(a) / np.linalg.norm(b)))


def rise(v: Array) -> float:
    return math.asin(v[2] / float(np.linalg.norm(v)))


def test_every_output_point_by_point() -> None:
    j = job()
    g = solve(j)
    travel = study(j, g, PLACES)
    links, rest, seen, out = travel.linkage, travel.pose, travel.gear, travel.found
    assert links is not None and rest is not None
    assert seen.coils and seen.shaft and seen.steering and seen.weights
    for n, place in enumerate(PLACES):
        p, d = rest.p[n], rest.d[n]

        def at(point: Array, p: Array = p, d: Array = d) -> Array:
            return np.asarray(p + d @ (point - links.center))

        def found(name: str, side: str = "C", n: int = n) -> float:
            return float(out[Key(name, side)][n])

        assert p[2] - links.center[2] == pytest.approx(place.heave, abs=1e-6)
        assert found("fore_aft") == pytest.approx(p[0] - links.center[0])
        assert found("lateral") == pytest.approx(p[1])
        assert math.asin(d[2, 1]) == pytest.approx(place.roll, abs=1e-9)
        assert found("axle.steer") == pytest.approx(math.atan2(-d[0, 1], d[1, 1]))
        bar, was = links.bar_frame - at(links.bar_axle), links.bar_frame - links.bar_axle
        assert found("bar.angle") == pytest.approx(rise(bar), abs=1e-9)
        assert found("bar_end") == pytest.approx(angle(bar, was), abs=1e-7)
        nose = Rotation.from_euler("y", float(links.up)).apply((-1.0, 0.0, 0.0))
        assert found("pinion.up") == pytest.approx(rise(d @ nose), abs=1e-9)
        for k, side in enumerate("LR"):
            arm = rest.m[n, k] @ (links.bolt[k] - links.joint[k])
            assert found("arm.elev", side) == pytest.approx(rise(arm))
            outward = arm[1] * (1 if side == "L" else -1)
            assert found("arm.plan", side) == pytest.approx(math.atan2(outward, arm[0]))
            low, top = at(seen.coils.lower[k]), seen.coils.upper[k]
            long = float(np.linalg.norm(top - low))
            assert found("coil.length", side) == pytest.approx(long)
            force = seen.coils.rate * max(seen.coils.free[k] - long, 0.0)
            assert found("coil.force", side) == pytest.approx(force)
            tilt = angle(d @ seen.coils.normal, np.array((0.0, 0.0, 1.0)))
            assert found("coil.seat", side) == pytest.approx(tilt, abs=1e-7)
            was_low = seen.coils.lower[k]
            assert found("coil.offset", side) == pytest.approx(
                math.hypot(*(low - was_low)[:2]), abs=1e-6
            )
        pinion, shaft = at(seen.shaft.pinion), seen.shaft
        run = shaft.output - pinion
        longer = np.linalg.norm(run) - np.linalg.norm(shaft.output - shaft.pinion)
        assert found("slip") == pytest.approx(longer)
        assert found("pinion.joint") == pytest.approx(angle(d @ shaft.pinion_axis, run), abs=1e-6)
        assert found("transfer.joint") == pytest.approx(angle(shaft.output_axis, -run), abs=1e-6)
        slope = (found("ic.z") - place.heave) / (p[0] - found("ic.x"))
        w = seen.weights
        ends = sorted(
            100 * share * slope * w.wheelbase / height
            for share, height in zip(w.brake, reversed(w.cg), strict=True)
        )
        one = Key("anti_dive", "C") in out
        assert one is (w.cg[0] == w.cg[1] and w.brake[0] == w.brake[1])
        mine = ["anti_dive"] * 2 if one else ["anti_dive.low", "anti_dive.high"]
        assert sorted(found(name) for name in mine) == pytest.approx(ends)


def test_anti_dive_is_least_with_little_brake_in_front_and_a_high_weight() -> None:
    """100 share slope wheelbase / height at both ends of what is not read."""
    j = job()
    travel = study(j, solve(j), PLACES[:1])
    assert travel.linkage is not None and travel.pose is not None
    w = Weights(2800.0, (600.0, 900.0), (0.5, 0.8))
    out = outputs(travel.linkage, travel.gear._replace(weights=w), travel.pose)
    x, z, p = (float(out[Key(n, "C")][0]) for n in ("ic.x", "ic.z", "axle.x"))
    for end, share, height in (("low", 0.5, 900.0), ("high", 0.8, 600.0)):
        want = 100 * share * z / (p - x) * 2800.0 / height
        assert float(out[Key(f"anti_dive.{end}", "C")][0]) == pytest.approx(want)


def test_the_moment_against_roll_is_the_slope_of_the_energy() -> None:
    """Work: energy of the bushings over a little more and less roll (central differences), at eight
    degrees, where the moment and the multiplier of the sine are one per cent apart.
    """
    j = job()
    step = 1e-4
    rolls = [8 * DEG + k * step for k in (-1, 0, 1)] + [-8 * DEG + k * step for k in (-1, 0, 1)]
    travel = study(j, solve(j), [Place(str(n), -IN, roll) for n, roll in enumerate(rolls)])
    assert travel.pose is not None and travel.pose.settled.all()
    energy, moment = travel.pose.energy, travel.found[Key("roll.moment", "C")]
    for n in (1, 4):
        slope = (energy[n + 1] - energy[n - 1]) / (2 * step)
        assert abs(moment[n]) == pytest.approx(abs(slope), rel=1e-3)
    assert moment[1] * moment[4] < 0


@pytest.mark.parametrize("lock", [0.0, 20.0])
def test_steering_keeps_the_lengths_of_its_rods(lock: float) -> None:
    """Drag link and tie rod as long as at ride height with their knuckles turned about the
    kingpins; headings of the spindles that turn with them.
    """
    j = job()
    g = solve(j)
    travel = study(j, g, PLACES)
    links, rest = travel.linkage, travel.pose
    values = dict(g.values)
    for axis, x in zip("xyz", (-120.0, 640.0, 20.0), strict=True):
        values.setdefault(Key(f"axle.tie_rod_end.{axis}", "C"), x)
    s = gear(values).steering
    assert links is not None and rest is not None and s is not None and s.tie is not None
    many = type(links)(*(np.repeat(a[None], len(PLACES), axis=0) for a in links))
    out = steer(many, rest, s, lock)
    for n in range(len(PLACES)):
        p, d = rest.p[n], rest.d[n]

        def at(point: Array, p: Array = p, d: Array = d) -> Array:
            return np.asarray(p + d @ (point - links.center))

        turned = []
        for k in (0, 1):
            heading = float(out[Key("wheel.heading", "LR"[k])][n])
            kingpin = d @ s.kingpin[k]

            def off(delta: float, kingpin: Array = kingpin, d: Array = d) -> Array:
                return np.asarray(Rotation.from_rotvec(kingpin * delta).apply(d[:, 1]))

            # the turn that gives this heading, by bisection
            low, high = -1.0, 1.0
            for _ in range(60):
                mid = (low + high) / 2
                spindle = off(mid)
                low, high = (
                    (mid, high) if math.atan2(-spindle[0], spindle[1]) < heading else (low, mid)
                )
            turned.append(Rotation.from_rotvec(kingpin * low))
            assert float(out[Key("caster", "LR"[k])][n]) == pytest.approx(
                math.atan2(-kingpin[0], kingpin[2])
            )
            if k == s.side:
                assert low == pytest.approx(float(out[Key("drag.steer", "C")][n]), abs=1e-9)
        pivot = at(s.at[s.side])
        ball = pivot + turned[s.side].apply(at(s.ball) - pivot)
        link = s.pitman + np.array((lock, 0.0, 0.0)) - ball
        assert np.linalg.norm(link) == pytest.approx(np.linalg.norm(s.pitman - s.ball), abs=1e-6)
        assert float(out[Key("drag.angle", "C")][n]) == pytest.approx(rise(link), abs=1e-8)
        ends = [at(s.at[k]) + turned[k].apply(at(s.tie[k]) - at(s.at[k])) for k in (0, 1)]
        rod = np.linalg.norm(s.tie[0] - s.tie[1])
        assert np.linalg.norm(ends[0] - ends[1]) == pytest.approx(rod, abs=1e-6)
        left, right = (float(out[Key("wheel.heading", side)][n]) for side in ("L", "R"))
        assert float(out[Key("toe_in", "C")][n]) == pytest.approx(right - left)
    if not lock:
        assert out[Key("drag.steer", "C")][0] == pytest.approx(0.0, abs=1e-9)
        same = outputs(links, gear(values), rest)
        assert same[Key("toe_in", "C")] == pytest.approx(out[Key("toe_in", "C")])


def test_where_a_limit_is_met_lies_on_a_straight_line_between_steps() -> None:
    along = np.array((0.0, 10.0, 20.0, 30.0))
    value = np.array((0.0, 1.0, 2.0, 4.0))
    assert reach(along, value, 3.0) == pytest.approx(25.0)
    assert reach(-along, value, 0.5) == pytest.approx(-5.0)
    assert math.isnan(reach(along, value, 4.0)) and reach(along, value, -1.0) == 0.0


def limit(**more: object) -> Limit:
    row = {"path": "bump", "name": "x", "at": 50.0, "asked": 100.0, "there": 5.0, "most": 10.0}
    return Limit(**{**row, "unit": "length", **more})


def test_what_a_limit_says_of_itself() -> None:
    """Arithmetic: half used, five left; a least is the negative of a most."""
    assert limit().used == 0.5 and limit().margin == 5.0 and limit().reads == (5.0, 10.0)
    least = limit(there=-20.0, most=-10.0, shown=-1)
    assert least.used == 0.5 and least.margin == 10.0 and least.reads == (20.0, 10.0)
    assert limit(there=-5.0, most=-10.0).used == 2.0
    assert limit(most=0.0).used == math.inf
    assert limit(most=0.0, there=-IN).used == pytest.approx(0.5)
    assert limit(most=-10.0, there=0.0).used == 0.0
    assert limit().short and not limit(at=100.0).short and not limit(at=math.nan).short
    assert limit(at=-50.0, asked=-100.0).short and not limit(at=-120.0, asked=-100.0).short
    assert not limit().rolls and not limit(path="droop").rolls
    assert limit(path="roll, left up").rolls and limit(path="left on its stop").rolls


def test_the_places_of_the_paths_by_trigonometry() -> None:
    """Two inches and three degrees past what was asked, in 25 steps; on its stop the upper wheel is
    at full bump: heave and half the track times the sine of the roll.
    """
    g = solve(job())
    v = g.values
    bump, droop, roll, track = (
        v[Key(n, "C")] for n in ("travel.bump", "travel.droop", "travel.roll", "axle.wheel_track")
    )
    rows = paths(g)
    assert all(len(places) == 26 for places in rows.values()) and len(rows) == 6
    far = {name: places[-1] for name, places in rows.items()}
    lean = roll + math.radians(3)
    assert (far["bump"].heave, far["bump"].roll) == (bump + 2 * IN, 0.0)
    assert (far["droop"].heave, far["droop"].roll) == (-droop - 2 * IN, 0.0)
    assert (far["roll, left up"].heave, far["roll, left up"].roll) == (0.0, lean)
    assert (far["roll, right up"].heave, far["roll, right up"].roll) == (0.0, -lean)
    for name, sign in (("left on its stop", 1), ("right on its stop", -1)):
        for place in rows[name]:
            assert place.heave + track / 2 * abs(math.sin(place.roll)) == pytest.approx(bump)
            assert sign * place.roll >= 0.0
    bare = paths(SimpleNamespace(values={}))  # four inches, six, five degrees: judgment
    ends = [bare[n][-1] for n in ("bump", "droop", "roll, left up", "left on its stop")]
    assert [p.heave / IN for p in ends[:2]] == pytest.approx([6.0, -8.0])
    assert [p.roll / DEG for p in ends[2:]] == pytest.approx([8.0, 8.0])
    assert ends[3].heave == pytest.approx(4 * IN - 32.5 * IN * math.sin(8 * DEG))
    asked = {name: asked_of(g, name) for name in rows}
    assert (asked["bump"], asked["droop"]) == (bump, -droop)
    assert asked["roll, left up"] == asked["left on its stop"] == roll
    assert asked["roll, right up"] == asked["right on its stop"] == -roll


def test_the_places_of_the_envelope() -> None:
    """Every whole inch between the ends, the ends, roll each way, roll on each stop."""
    values = {Key("travel.bump", "C"): 4 * IN, Key("travel.droop", "C"): 6.5 * IN}
    values |= {Key("travel.roll", "C"): 5 * DEG, Key("axle.wheel_track", "C"): 64 * IN}
    places = envelope(values)
    heaves = [p.heave / IN for p in places if not p.roll]
    assert heaves == pytest.approx([-6.5, *range(-6, 5)], abs=1e-6)
    names = [p.name for p in places]
    assert names[0] == "full droop" and names[1] == "droop 6 in" and names[7] == "ride height"
    assert names[8] == "bump 1 in" and names[11] == "full bump"
    left, right, on_left, on_right = places[-4:]
    assert (left.heave, left.roll, right.heave, right.roll) == (0.0, 5 * DEG, 0.0, -5 * DEG)
    low = 4 * IN - 32 * IN * math.sin(5 * DEG)
    assert (on_left.heave, on_left.roll) == pytest.approx((low, 5 * DEG))
    assert (on_right.heave, on_right.roll) == pytest.approx((low, -5 * DEG))
    usual = envelope({})
    assert (usual[0].heave, usual[-5].heave) == pytest.approx((-6 * IN, 4 * IN))
    assert usual[-4].roll == pytest.approx(5 * DEG)
    assert usual[-2].heave == pytest.approx(4 * IN - 32.5 * IN * math.sin(5 * DEG))
    assert scaled(Bush(1.0, 2.0, 3.0, 4.0), 2.0, 5.0) == Bush(2.0, 4.0, 30.0, 40.0)


def test_a_shock_between_its_pins() -> None:
    """Pin to pin by points of the axle; bottoms at its closed length, tops out at its open one."""
    j = job()
    g = solve(j)
    values = g.values
    shock = {"travel.shock_x": 60.0, "travel.shock_top_x": 90.0}
    shock |= {"travel.shock_collapsed": 250.0, "travel.shock_extended": 600.0}
    values |= {Key(n, "C"): x for n, x in shock.items()}
    values |= {Key("travel.shock_y", s): 420.0 for s in ("L", "R")}
    values[Key("travel.shock_z", "C")] = values[Key("axle.z_ride", "C")] + 430.0
    travel = study(j, g, PLACES)
    assert travel.pose is not None and travel.linkage is not None
    rows = {c.name: c for c in criteria(travel, g)}
    for side, way in (("left", 1.0), ("right", -1.0)):
        low = np.array((60.0, way * 420.0, values[Key("axle.z_ride", "C")]))
        top = np.array((90.0, way * 420.0, values[Key("axle.z_ride", "C")] + 430.0))
        long = [
            math.dist(p + d @ (low - travel.linkage.center), top)
            for p, d in zip(travel.pose.p, travel.pose.d, strict=True)
        ]
        bottoms, tops = rows[f"shock bottoms, {side}"], rows[f"shock tops out, {side}"]
        assert tops.value == pytest.approx(long) and tops.most == 600.0
        assert bottoms.value == pytest.approx([-x for x in long]) and bottoms.most == -250.0
        coil = travel.found[Key("coil.length", side[0].upper())]
        binds, loose = rows[f"coil binds, {side}"], rows[f"coil loose, {side}"]
        solid = values[Key("spring.solid", side[0].upper())]
        margin = values.get(Key("spring.bind_margin", "C"), 0.0)
        assert binds.value == pytest.approx(-coil) and binds.most == pytest.approx(-solid - margin)
        assert loose.value == pytest.approx(coil)
        assert loose.most == values[Key("spring.free_length", "C")]


def test_limits_come_in_the_order_they_are_met() -> None:
    """The first met first and governing, with what is met where it is; what is not met last."""
    j = job()
    rows = limits(j, solve(j))
    for path in dict.fromkeys(row.path for row in rows):
        mine = [row for row in rows if row.path == path]
        met = [abs(row.at) for row in mine if math.isfinite(row.at)]
        assert met and met == sorted(met) and len(mine) > len(met)
        assert all(math.isfinite(row.at) for row in mine[: len(met)])
        governing = [row for row in mine if row.governs]
        assert governing[0] is mine[0]
        assert all(abs(row.at) == pytest.approx(met[0], abs=1e-5) for row in governing)
        names = {row.name for row in mine}
        assert not any(n.startswith("coil loose") for n in names) or path != "bump"
        assert not any(n.startswith("coil binds") for n in names) or path != "droop"


def test_why_a_position_has_no_rest() -> None:
    """An arm ends at its own length, a bar at its own: past 97 per cent neither turns further."""
    j = job()
    links = study(j, solve(j), PLACES[:1]).linkage
    assert links is not None
    joint = links.joint.mean(axis=0)
    arm = math.hypot(*(links.center - joint)[[0, 2]])
    up = arm - (links.center[2] - joint[2])
    assert "arms cannot reach" in why(links, Place("x", 0.98 * up, 0.0))
    assert "arms cannot reach" not in why(links, Place("x", 0.9 * up, 0.0))
    bar = math.dist(links.bar_axle, links.bar_frame)
    rest = links.bar_frame[2] - links.bar_axle[2]
    assert "track bar" in why(links, Place("x", rest - 0.98 * bar, 0.0))
    assert "no rest there" in why(links, Place("x", 0.0, 0.0))

"""Closed forms the layout must reproduce.

Source of each: plane geometry of a rigid arm, of a rigid bar, of a parallelogram.
"""

from __future__ import annotations

import math
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.layout.quantities import SIDES, Key, Reading
from soapstone.layout.setout import bar, datum, pinion, rail, solve, solving, spring, upper

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))
IN = 25.4


@pytest.fixture(scope="module")
def job() -> Job:
    return load(DEMO)


@pytest.fixture(scope="module")
def solved(job: Job) -> Graph:
    return solve(job)


def value(g: Graph, name: str, side: str = "C") -> float:
    return g.value(Key(name, side))


def changed(job: Job, words: dict[str, str] | None = None, **readings: float) -> Job:
    rows = dict(job.readings)
    for name, x in readings.items():
        key = Key(name.replace("__", "."), "C")
        rows[key] = rows[key]._replace(value=x)
    return job._replace(readings=rows, words={**job.words, **(words or {})})


def turn(up: float) -> np.ndarray:
    c, s = math.cos(up), math.sin(up)
    return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])


def test_heave_is_a_circle_about_the_frame_joints(solved: Graph) -> None:
    """Axle, arms and upper arms turn as one about the frame-joint line: |C - F| is kept at bump,
    ride and droop.
    """
    joint = np.array([-40 * IN, 17.5 * IN])
    radii = [
        np.hypot(value(solved, f"axle.x_{p}") - joint[0], value(solved, f"axle.z_{p}") - joint[1])
        for p in ("bump", "ride", "droop")
    ]
    assert radii == pytest.approx([radii[0]] * 3, abs=1e-9)
    for h in np.linspace(-6, 4, 21) * IN:
        x = datum.swing(40 * IN, 17.5 * IN, 17.5 * IN, 20.75 * IN, 16.75 * IN + h)
        assert math.hypot(x - joint[0], 16.75 * IN + h - joint[1]) == pytest.approx(
            radii[0], abs=1e-9
        )


def test_where_the_arm_ends_short_of_a_height_there_is_no_place() -> None:
    """Pythagoras: an arm of 5 with its joint 4 up and 3 behind comes to 9 up at most."""
    assert datum.swing(3.0, 4.0, 4.0, 0.0, 8.0) == pytest.approx(0.0)
    assert datum.swing(3.0, 3.0, 5.0, 0.0, 9.0) == pytest.approx(-3.0)
    assert math.isnan(datum.swing(3.0, 4.0, 4.0, 0.0, 9.04))


def test_room_for_a_stop_beside_the_coil(job: Job) -> None:
    """Rail bottom above the axle, less tube radius and the stop: a stack of lengths."""
    beside = changed(job, {"travel.stop_place": "beside"})
    place = Reading(Key("travel.stop_x", "C"), (), 2 * IN, 0.0)
    g = solve(beside._replace(readings={**beside.readings, place.key: place}))
    stack = (
        value(g, "axle.z_bump")
        + value(g, "axle.tube_diameter") / 2
        + value(g, "travel.stop_compressed")
    )
    for side in SIDES:
        room = value(g, "rail.stop.bottom", side) - stack
        assert value(g, "stop.spacer", side) == pytest.approx(room)
        at = value(g, "axle.x_ride") + 2 * IN - value(g, "axle.x_bump")
        assert value(g, "stop.pad.x", side) == pytest.approx(at)
        top = value(g, "axle.z_ride") + value(g, "axle.tube_diameter") / 2
        assert value(g, "stop.pad.z", side) == pytest.approx(top)
        assert Key("stop.pad.x", side) not in solve(job).every_key(), "inside the coil it has none"
    inside = value(solve(job), "spring.at_bump", "L") - value(g, "travel.stop_compressed")
    assert value(solve(job), "stop.spacer", "L") == pytest.approx(inside)


def test_how_much_higher_the_frame_is_to_be_blocked(job: Job) -> None:
    """Hub height and hub to lip, less lip to rail bottom, less the rail bottom as taped."""
    look = {"wanted.hub_to_lip": 24 * IN, "frame.lip_to_rail_bottom": 15 * IN}
    rows = {Key(n, s): Reading(Key(n, s), (), x, IN / 16) for n, x in look.items() for s in SIDES}
    g = solve(job._replace(readings={**job.readings, **rows}))
    hub = value(g, "axle.tire_loaded_radius")
    for side in SIDES:
        want = hub + 24 * IN - 15 * IN
        assert value(g, "frame.bottom_wanted", side) == pytest.approx(want)
        miss = want - value(g, "rail.hub.bottom", side)
        assert value(g, "frame.block_miss", side) == pytest.approx(miss)


def test_axle_turns_with_the_arm(solved: Graph) -> None:
    """The lower bolt keeps its distance from the frame joint at bump and droop: the pitch change is
    the arm's own turn.
    """
    for place in ("bump", "ride", "droop"):
        up = value(solved, "pinion.up" if place == "ride" else f"pinion.up_at_{place}")
        center = np.array([value(solved, f"axle.x_{place}"), 0, value(solved, f"axle.z_{place}")])
        bolt = center + turn(up) @ np.array([-0.75, 0, -3.25]) * IN
        assert math.hypot(bolt[0] + 40 * IN, bolt[2] - 17.5 * IN) == pytest.approx(
            value(solved, "arm.run", "L"), abs=1e-9
        )


def test_caster_and_pinion_are_one_constant(solved: Graph) -> None:
    assert value(solved, "caster.ride") + value(solved, "pinion.up") == pytest.approx(
        math.radians(9.75), abs=1e-12
    )


def test_motion_ratio_is_the_slope_of_the_coil_on_that_circle(solved: Graph) -> None:
    """d(seat height)/d(axle height) at ride height by differences of the circle = (S_x - F_x)/(C_x
    - F_x).
    """
    x0, z0, up = (value(solved, n) for n in ("axle.x_ride", "axle.z_ride", "pinion.up"))
    place = (40 * IN, 17.5 * IN, 17.5 * IN)

    def seat(h: float) -> float:
        x = datum.swing(*place, 20.75 * IN, z0 + h)
        return (
            z0
            + h
            + float(
                (
                    turn(pinion.swung(x0, z0, x, z0 + h, up, *place))
                    @ np.array([0.5, 0, 2.875])
                    * IN
                )[2]
            )
        )

    assert (seat(0.01) - seat(-0.01)) / 0.02 == pytest.approx(
        value(solved, "spring.ratio", "L"), abs=1e-7
    )


@pytest.mark.parametrize("aim", [-2.0, 0.0, 0.5, 3.0])
def test_pinion_stands_at_its_aim(aim: float) -> None:
    """Closed form against the implicit statement up = aim + elevation of the shaft; 3-D angle: cos
    w = cos(side view) cos(plan offset).
    """
    place = tuple(v * IN for v in (-11.5, 10.0, 1.25, -47.5, 10.375, 21.5, 0.124805, 16.75))
    jx, _, jz, ox, _, oz, x0, z0 = place
    up = pinion.elevation(math.radians(aim), jx, jz, ox, oz, x0, z0)
    sx, sy, sz = pinion.shaft(up, *place)
    assert up - math.atan2(sz, -sx) == pytest.approx(math.radians(aim), abs=1e-12)
    assert pinion.side_view(up, jx, jz, ox, oz, x0, z0) == pytest.approx(
        math.radians(aim), abs=1e-12
    )
    out_of_plane = math.atan2(sy, math.hypot(sx, sz))
    assert math.cos(pinion.working(up, *place)) == pytest.approx(
        math.cos(math.radians(aim)) * math.cos(out_of_plane), abs=1e-12
    )


def test_bar_arc_closes_at_ride(solved: Graph) -> None:
    """y = T_fy - sqrt(L^2 - dx^2 - dz^2) - T_ay = 0 at ride height."""
    f, a = ([value(solved, f"bar.{end}.{c}") for c in "xyz"] for end in ("frame", "axle"))
    y = (
        f[1]
        - math.sqrt(value(solved, "bar.length") ** 2 - (f[0] - a[0]) ** 2 - (f[2] - a[2]) ** 2)
        - a[1]
    )
    assert y == pytest.approx(0, abs=1e-9)


def test_level_bar(job: Job) -> None:
    """Mode level: no slope; sideways shift L - sqrt(L^2 - h^2), half of which is the coil's bow
    with no pinion change.
    """
    g = solve(changed(job, {"track_bar.mode": "level"}))
    assert value(g, "bar.slope") == pytest.approx(0, abs=1e-12) and value(
        g, "bar.frame.z"
    ) == pytest.approx(value(g, "bar.axle.z"))
    long, h = value(g, "bar.length"), 6 * IN
    bow = spring.bow(0.08, 0.08, 0.08, 9 * IN, 19 * IN, 4 * IN, h, long)
    assert bow == pytest.approx((long - math.sqrt(long**2 - h**2)) / 2, abs=1e-12)
    assert spring.bow(0.0, 0.05, -0.1, 9 * IN, 19 * IN, 0.0, 0.0, long) == pytest.approx(
        0.1 * 19 * IN / 8
    )


def test_equal_and_parallel_link_and_bar_steer_nothing(job: Job, solved: Graph) -> None:
    """Ball offset from the bar's mount along y only, bar parallel and as long as the link: the link
    keeps its length in any heave.
    """
    mount = {
        f"axle__drag_link_ball__{c}": job.readings[Key(f"axle.track_bar_mount.{c}", "C")].value
        for c in "xz"
    }
    run = value(solved, "drag.dy")
    g = solve(changed(job, **mount, track_bar__frame_mount_y=-20 * IN + run))
    assert value(g, "bar.ratio") == pytest.approx(1, abs=1e-12) and value(
        g, "bar.error"
    ) == pytest.approx(0, abs=1e-12)
    x0, z0, up, long = (
        value(g, n) for n in ("axle.x_ride", "axle.z_ride", "pinion.up", "bar.length")
    )
    place = (40 * IN, 17.5 * IN, 17.5 * IN)
    frame = np.array([value(g, f"bar.frame.{c}") for c in "xyz"])
    pitman = np.array([8.5, 15.5, 20]) * IN
    for h in np.linspace(-6, 4, 11) * IN:
        x = datum.swing(*place, 20.75 * IN, z0 + h)
        turned = turn(pinion.swung(x0, z0, x, z0 + h, up, *place))
        end = np.array([x, 0, z0 + h]) + turned @ np.array([6, -20, 3]) * IN
        shift = (
            frame[1]
            - math.sqrt(long**2 - (frame[0] - end[0]) ** 2 - (frame[2] - end[2]) ** 2)
            - end[1]
        )
        ball = np.array([x, shift, z0 + h]) + turned @ np.array([6, -27.25, 3]) * IN
        assert np.linalg.norm(pitman - ball) == pytest.approx(value(g, "drag.length"), abs=1e-9)


def test_tabs_square_to_the_upper_arm(solved: Graph) -> None:
    """A tab bolt twisted about e3 and leaned as solved stands square to the upper arm and as near
    to straight across as that allows.
    """
    a, f, u, v = (
        np.array([value(solved, f"{n}.{c}", "L") for c in "xyz"])
        for n in ("arm.bolt", "arm.joint", "upper.joint", "upper.mount")
    )
    e1, e2, e3 = (np.array(e) for e in upper.triad(*a, *f))
    twist, lean = value(solved, "upper.twist", "L"), value(solved, "upper.lean", "L")
    bolt = math.cos(lean) * (-math.cos(twist) * e2 - math.sin(twist) * e1) + math.sin(lean) * e3
    along = (v - u) / np.linalg.norm(v - u)
    assert abs(bolt @ along) < 1e-12
    assert bolt[1] == pytest.approx(math.sqrt(1 - along[1] ** 2), abs=1e-12)


def test_turn_of_thread_by_turning_the_axle(solved: Graph) -> None:
    """Pinion rate against a small turn of the axle about the lower bolt."""
    a, u, v = (
        np.array([value(solved, f"{n}.{c}", "L") for c in "xyz"])
        for n in ("arm.bolt", "upper.joint", "upper.mount")
    )
    ends = [np.linalg.norm(a + turn(s * 1e-6) @ (v - a) - u) for s in (1, -1)]
    assert value(solved, "upper.pinion_rate", "L") == pytest.approx(
        2e-6 / (ends[0] - ends[1]), rel=1e-6
    )


def test_turn_of_the_pinion_a_turn_of_the_thread(job: Job, solved: Graph) -> None:
    """A thread of 12 to the inch goes a twelfth of an inch a turn."""
    tpi = Reading(Key("arms.upper_joint_tpi", "C"), (), 12.0, 0.0)
    g = solve(job._replace(readings={**job.readings, tpi.key: tpi}))
    rate = value(solved, "upper.pinion_rate", "L")
    assert value(g, "upper.pinion_turn", "L") == pytest.approx(rate * IN / 12)


def test_plane_of_least_squares() -> None:
    """Four readings of an exact plane give it back; of a wound one, numpy's least squares."""
    xs, zs = (10.0, -70.0), (20.0, 120.0)
    read = [
        500 + 0.01 * (x - 3) + 0.02 * z + w
        for x, w4 in zip(xs, ((0, 2), (-1, 3)), strict=True)
        for z, w in zip(zs, w4, strict=True)
    ]
    y0, yaw, lean = rail.plane(3.0, read[0], read[1], read[2], read[3], zs[0], zs[1], xs[0], xs[1])
    rows = np.array([[1.0, x - 3.0, z] for x in xs for z in zs])
    assert [y0, yaw, lean] == pytest.approx(
        np.linalg.lstsq(rows, np.array(read), rcond=None)[0].tolist(), abs=1e-9
    )


def test_rail_between_and_beyond_stations() -> None:
    xs, ys = (0.0, 100.0, 300.0), (10.0, 20.0, 0.0)
    for x in (0.0, 40.0, 100.0, 250.0, 300.0):
        x0, v0, slope = rail.segment(x, xs, ys)
        assert v0 + slope * (x - x0) == pytest.approx(np.interp(x, xs, ys), abs=1e-12)
    assert [
        rail.segment(x, (300.0, 0.0, 100.0), (0.0, 10.0, 20.0))[2] for x in (-50, 400)
    ] == pytest.approx([0.1, -0.1])


def test_angle_between_bar_and_link() -> None:
    assert bar.apart(0, 0, 0, 0, 1, 0, 0, 5, 5) == pytest.approx(math.pi / 4)
    assert bar.apart(0, 0, 0, 1, 2, 3, -2, -4, -6) == pytest.approx(0, abs=1e-12)


def test_two_wheels_carry_the_axle_alike(solved: Graph) -> None:
    """Statics of an axle with its weight in the middle."""
    for side in SIDES:
        load = value(solved, "load.wheel", side)
        assert load == pytest.approx(value(solved, "spring.axle_load") / 2)


def test_a_coil_bows_by_its_ends_turn_and_half_of_what_its_axle_shifts() -> None:
    """A circle between ends turned by a rises a L / 8 (nearly, plane geometry); a bar of 900 on its
    way up 100 comes 900 - sqrt(900^2 - 100^2) nearer; the larger of bump and droop.
    """
    aside = 900.0 - math.sqrt(900.0**2 - 100.0**2)
    at_bump = spring.bow(0.1, 0.16, 0.1, 400.0, 500.0, 100.0, 0.0, 900.0)
    assert at_bump == pytest.approx(0.06 * 400.0 / 8 + aside / 2)
    at_droop = spring.bow(0.1, 0.1, 0.04, 400.0, 500.0, 0.0, 100.0, 900.0)
    assert at_droop == pytest.approx(0.06 * 500.0 / 8 + aside / 2)


def test_a_slant_is_taken_from_what_was_read_of_it(job: Job) -> None:
    """From three offsets by tape, all three read; from the angle; from both; by tape where neither
    was, so that the sheet asks for the offsets.
    """
    offsets = {Key(f"arms.offset_{place}", "L") for place in ("front", "rear", "run")}
    angle = Key("arms.plan_slant", "L")
    bare = {k: r for k, r in job.readings.items() if k not in {*offsets, angle}}

    def taken(*keys: Key) -> str:
        more = {k: Reading(k, (), 1.0, 0.0) for k in keys}
        return solving._slant(job._replace(readings={**bare, **more}), "L")

    assert taken() == "tape" and taken(*offsets) == "tape" and taken(angle) == "angle"
    assert taken(angle, *offsets) == "tapeangle"
    assert all(taken(angle, *(offsets - {gone})) == "angle" for gone in offsets)


def test_two_lines_are_apart_by_the_angle_of_their_directions() -> None:
    """The arc cosine of the product of their unit vectors, whichever way each points (numpy)."""
    rng = np.random.default_rng(4)
    for _ in range(20):
        axle, frame, drag = rng.normal(size=(3, 3)) * 500
        line, other = (v / np.linalg.norm(v) for v in (frame - axle, drag))
        want = math.acos(min(1.0, abs(float(line @ other))))
        for sign in (1.0, -1.0):
            assert bar.apart(*axle, *frame, *(sign * drag)) == pytest.approx(want)


@pytest.mark.parametrize(
    ("window", "up"), [((4.0, 9.0), 3.0), ((2.0, 6.4), 3.6), ((7.5, 9.0), 2.5), ((1.0, 3.0), 3.0)]
)
def test_two_single_joints_stand_parallel_within_a_degree(
    window: tuple[float, float], up: float
) -> None:
    """Output 3 deg down, caster 10 with the pinion level: parallel where the window allows it, else
    as near to the window as a degree off goes, else parallel (a joint maker's rule).
    """
    deg = math.radians(1.0)
    place = (-250.0, 60.0, 40.0, -900.0, 20.0, 620.0, 10.0, 480.0)
    got = pinion.parallel(3 * deg, window[0] * deg, window[1] * deg, 10 * deg, *place)
    jx, _, jz, ox, _, oz, x0, z0 = place
    want = pinion.side_view(up=up * deg, jx=jx, jz=jz, ox=ox, oz=oz, x0=x0, z0=z0)
    assert got == pytest.approx(want)

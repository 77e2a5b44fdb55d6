"""What the diagnoses of the layout say is missing, from where on they are said, and cures rounded
to what is read: against the numbers of their own sentences, plane geometry, and solving again.
"""

from __future__ import annotations

import math
import re
from types import SimpleNamespace

import pytest
from diagnosed import BAR, CASES, DEG, DEMO, IN, N, changed, found, number
from soapstone.layout import reader
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key, Reading
from soapstone.layout.setout import diagnoses, solve, wording
from soapstone.layout.setout.diagnoses import diagnose


@pytest.fixture(scope="module")
def demo() -> Job:
    return load(DEMO)


MISSES = {  # the numbers of the sentence whose difference is what is missing
    "arm_reach": f"line {N} further back",
    "pinion_aside": f"works at {N} at least, and {N} is allowed",
    "pinion_working_low": f"works at {N}, below the {N}",
    "pinion_caster": f"tops stand {N}",
    "bar_short": f"is {N} too short",
    "bar_long": f"is {N} too long",
    "link_parallel": f"are {N} out of parallel; the shop accepts {N}",
    "joint_outside": f"end is {N} from the center line, the rail's inner face {N}",
    "joints_overlap": f"are {N} apart and each is {N}",
    "bump_room": f"is {N} too high",
    "coil_binds": f": {N} long at full bump, {N} solid, and {N} to be kept",
    "coil_loose": f": {N} between its seats, {N} long free",
    "seat_angle": f"stand {N} apart at the end of travel; {N}",
    "shaft_angle": f"works at {N} at ride height; its maker allows {N}",
    "sides_differ": f"the axle {N} and the right {N}",
    "beyond_stations": f"stands {N} beyond",
}


@pytest.mark.parametrize("code", MISSES)
def test_what_is_missing_is_what_the_sentence_says(demo: Job, code: str) -> None:
    """Subtraction of the numbers a person reads, each rounded to 1/16 in or 0.1 deg."""
    _, values, words = next(c for c in CASES if c[0] == code)
    d = found(changed(demo, words, **values))[code]
    caught = re.search(MISSES[code], f"{d.sentence} {d.cure}")
    assert caught, d.sentence
    read = [number(f"{n} {unit}", N) for n, unit in zip(*[iter(caught.groups())] * 2, strict=True)]
    rounded = 0.1 * DEG if caught[2] == "deg" else 1.5 * IN / 16
    assert d.margin == pytest.approx(-abs(read[0] - sum(read[1:])), abs=1.01 * rounded)


def test_what_is_missing_of_a_working_angle_given(demo: Job) -> None:
    """The demo's pinion works at 0.59 deg at the least; 0.3 is 0.29 less."""
    key = Key("pinion.working", "C")
    d = found(demo, {key: Reading(key, (), 0.3 * DEG, 0.0)})["working_given"]
    assert d.margin == pytest.approx(-0.29 * DEG, abs=0.01 * DEG)


def test_joints_lowered_as_said_let_the_arm_reach(demo: Job) -> None:
    _, values, _ = next(c for c in CASES if c[0] == "arm_reach")
    lower = number(found(changed(demo, **values))["arm_reach"].cure, f"joints {N} lower")
    high = values["arms__joint_height"]
    assert isinstance(high, float)
    for share, there in ((1.0, False), (0.9, True)):
        job = changed(demo, **{**values, "arms__joint_height": high - share * lower})
        assert ("arm_reach" in found(job)) is there


def test_arm_reach_is_not_said_where_the_arm_reaches(demo: Job) -> None:
    """An axle place given an inch off is a conflict of its own, and the arm is long enough."""
    key = Key("axle.x_ride", "C")
    off = solve(demo).value(key) + IN
    d = found(demo, {key: Reading(key, (), off, IN / 16)})
    assert "arm_reach" not in d and "axle.x_ride" in d["givens_conflict"].sentence


def test_sides_differ_from_a_sixteenth_on(demo: Job) -> None:
    """Arms read exactly: a sixteenth is the most two places may differ and pass (judgment). On a
    circle about joints 40 in behind, a joint dz higher moves the axle by dz x bump / 40 in, nearly.
    """
    exact = demo._replace(
        readings={k: r._replace(half_width=0.0) for k, r in demo.readings.items()}
    )

    def apart(dz: float) -> tuple[float, bool]:
        job = changed(exact, arms__joint_height=(17.5 * IN + dz, 17.5 * IN))
        g = solve(job)
        miss = abs(g.value(Key("arm.x_ride", "L")) - g.value(Key("arm.x_ride", "R")))
        return miss, "sides_differ" in {x.code for x in diagnose(job, g)}

    slope = apart(IN)[0] / IN
    for share in (0.9, 1.1):
        miss, said = apart(share * IN / 16 / slope)
        assert miss == pytest.approx(share * IN / 16, rel=0.05)
        assert said is (share > 1)


def test_least_turn_of_the_knuckles_where_caster_is_too_much(demo: Job) -> None:
    """Turned by the least that is said, there is a pinion within the shaft's band and caster within
    its window; a fifth of a degree less and there is none.
    """
    window = {"wanted__caster_low": 2.0 * DEG, "wanted__caster_high": 3.5 * DEG}
    job = changed(demo, **window)
    least = number(found(job)["pinion_caster"].cure, rf"\({N} with the pinion as far over")
    level = demo.readings[Key("axle.caster_at_level_pinion", "C")].value
    for turn, there in ((least, False), (least - 0.2 * DEG, True)):
        after = changed(job, axle__caster_at_level_pinion=level - turn)
        assert ("pinion_caster" in found(after)) is there


@pytest.mark.parametrize("row", [1, 2, 3, 4, 5])
def test_every_row_of_a_bulge_is_looked_at(demo: Job, row: int) -> None:
    """Any row of the demo's bulge read 3/16 in proud 2 in past the cut's end at 5 1/8 in."""
    name = f"frame.notch.proud.{row}"
    rows = {
        k: r._replace(value=(7.125 if k.name.endswith(".x") else 0.1875) * IN)
        if k.name in (f"{name}.x", f"{name}.proud")
        else r
        for k, r in demo.readings.items()
    }
    d = found(demo._replace(readings=rows))["bulge_beyond_cut"]
    assert f"frame.notch.proud.{row} again" in d.cure and "2 1/16 in further" in d.cure
    assert "3/16 in proud at 7 1/8 in" in d.sentence


def test_a_cure_is_rounded_up_to_what_is_read_and_no_further() -> None:
    for sixteenths, said in ((2, "1/8 in"), (2.1, "3/16 in"), (-2.1, "-3/16 in")):
        assert wording.up(sixteenths * IN / 16) == said
    assert wording.degrees_up(0.3 * DEG) == "0.3 deg"
    assert wording.degrees_up(-0.31 * DEG) == "0.4 deg"


@pytest.mark.parametrize(("share", "there"), [(0.5, False), (1.5, True)])
def test_a_mount_a_sixty_fourth_outside_its_bracket_is_still_in_it(
    demo: Job, share: float, there: bool
) -> None:
    """A sixty-fourth is less than the tape reads (judgment)."""
    y = solve(demo).value(Key("bar.frame.y", "C"))
    off = share * IN / 64
    for code, low, high in (
        ("bar_long", y - IN, y - off),
        ("bar_short", y + off, y + IN),
    ):
        job = changed(demo, track_bar__frame_y_low=low, track_bar__frame_y_high=high)
        assert (code in found(job)) is there


def test_half_a_millimeter_of_thread_is_some(demo: Job) -> None:
    job = changed(demo, arms__joint_thread=1.25 * IN + 1.0, arms__joint_engagement=1.25 * IN)
    assert "no thread to spare" not in found(job)["thread_used"].sentence
    job = changed(demo, arms__joint_thread=1.25 * IN, arms__joint_engagement=1.25 * IN)
    assert "no thread to spare" in found(job)["thread_used"].sentence


def test_where_the_pinion_is_given_no_other_pinion_is_offered(demo: Job) -> None:
    job = changed(demo, wanted__caster_low=7.5 * DEG, wanted__caster_high=9 * DEG)
    free = found(job)["pinion_caster"].cure
    key = Key("pinion.up", "C")
    up = solve(job).value(key)
    held = found(job, {key: Reading(key, (), up, 0.0)})["pinion_caster"].cure
    assert "as far over" in free and "as far over" not in held


@pytest.mark.parametrize(("more", "there"), [(-1.0, False), (1.0, True)])
def test_room_for_bump_is_a_stack_of_lengths(demo: Job, more: float, there: bool) -> None:
    """Rail over the stop, less half the axle tube above the axle at full bump, less the stop
    pressed flat: said where it is used up, a millimeter earlier not. Inside the coil, no stop.
    """
    for place, stands in (("beside", True), ("inside coil", False)):
        words = {"travel.stop_place": place}
        job = changed(demo, words, travel__stop_x=2 * IN)
        g = solve(job)
        tube = g.value(Key("axle.tube_diameter", "C")) / 2
        stop = g.value(Key("travel.stop_compressed", "C")) if stands else 0.0
        under = min(g.value(Key("rail.stop.bottom", s)) for s in "LR")
        left = under - stop - tube - g.value(Key("axle.z_bump", "C"))
        bump = job.readings[Key("travel.bump", "C")].value + left + more
        after = changed(job, words, travel__bump=bump)
        assert ("bump_room" in found(after)) is there
        if there:
            assert found(after)["bump_room"].margin == pytest.approx(-more, abs=1e-6)


def test_a_plane_leans_as_a_whole(demo: Job) -> None:
    """Four points are in one plane where both pairs lean alike; one off by e is off by e."""

    def told(off: float) -> float | None:
        rows = {"front_low": 17.0, "front_high": 17.5, "rear_low": 17.25, "rear_high": 17.75}
        rows["rear_high"] += off
        job = changed(demo, **{f"frame__notch__plane_{n}": v * IN for n, v in rows.items()})
        d = found(job).get("plane_warp")
        return d.margin / IN if d else None

    assert told(0.0) is None and told(0.2) is None and told(-0.2) is None
    assert [told(0.375), told(-0.375)] == pytest.approx([-0.125, -0.125])


def test_a_joint_that_hardly_works_is_told_though_the_other_does(demo: Job) -> None:
    """Single joints: working at half a degree needles roll (a joint maker's rule, second-hand)."""
    key, output = Key("pinion.up", "C"), demo.readings[Key("driveline.output.y", "C")].value
    job = changed(demo, {"driveline.type": "single"}, axle__pinion_joint__y=output)

    def at(up: float) -> tuple[float, float, dict[str, float]]:
        fixed = {key: Reading(key, (), up, 0.0)}
        g = solve(job, fixed)
        works = [g.value(Key(n, "C")) for n in ("pinion.working", "shaft.transfer")]
        return min(works), max(works), {d.code: d.margin for d in diagnose(job, g)}

    down = job.readings[Key("driveline.output_axis_down", "C")].value
    rows = [at(down + k * 0.05 * DEG) for k in range(-80, 81)]
    mixed = [row for row in rows if row[0] < 0.49 * DEG and row[1] > 0.51 * DEG]
    assert mixed and all("joint_still" in codes for *_, codes in mixed)
    assert all("joint_still" not in codes for low, _, codes in rows if low > 0.51 * DEG)
    apart = [row for row in rows if row[1] - row[0] > 1.01 * DEG]
    assert apart and mixed
    for low, high, margins in apart:
        assert margins["joints_unequal"] == pytest.approx(1.0 * DEG - (high - low), abs=1e-9)
    for low, _, margins in mixed:
        assert margins["joint_still"] == pytest.approx(low - 0.5 * DEG, abs=1e-9)


def test_the_pitman_arm_is_told_which_way_beside_a_bar_that_is_not_level(demo: Job) -> None:
    """A bar mount given higher than the drag link asks for: with the arm as said they are parallel
    within what the shop accepts, at half of it not.
    """
    key = Key("bar.frame.z", "C")
    high = solve(demo).value(key)
    for off in (2.5 * IN, -2.5 * IN):
        fixed = {key: Reading(key, (), high + off, IN / 16)}
        d = found(demo, fixed)["link_parallel"]
        caught = re.search(f"arm with {N} (more|less) drop", d.cure)
        assert caught, d.cure
        drop = number(d.cure, f"arm with {N} (?:more|less)") * (1 if caught[3] == "more" else -1)
        ball = demo.readings[Key("steering.pitman_ball.z", "C")].value
        for share, there in ((1.0, False), (0.5, True)):
            after = changed(demo, steering__pitman_ball__z=ball - share * drop)
            assert ("link_parallel" in found(after, fixed)) is there


def test_whether_a_bar_is_on_hand(demo: Job) -> None:
    _, values, _ = next(c for c in CASES if c[0] == "bar_short")
    assert "on hand, 30 in," in found(changed(demo, **values))["bar_short"].sentence
    low = solve(demo).value(Key("bar.frame.y", "C")) + IN
    asked = changed(demo, track_bar__frame_y_low=low, track_bar__frame_y_high=low + IN)
    assert "to the frame mount asked for" in found(asked)["bar_short"].sentence


def test_of_what_cannot_be_true_two_ways_out_are_offered(demo: Job) -> None:
    key = Key("seat.upper.z", "L")
    d = found(demo, {key: Reading(key, (), 34 * IN, IN / 16)})["givens_conflict"]
    ways = d.cure.partition("cures it: ")[2].split(" or ")
    assert len(ways) == 2 and len(d.sentence.partition("(")[2].split(", ")) <= 6


def test_a_bulge_is_one_from_a_sixteenth_on_where_it_is_not_cut(demo: Job) -> None:
    """A plate clamps down a sixteenth (common practice, no source), and a bulge inside the cut is
    cut away.
    """
    name = "frame__notch__proud__1"
    ends = [demo.readings[Key(f"frame.notch.x_{e}", "L")].value for e in ("first", "last")]
    for proud, x, there in (
        (1.01 * IN / 16, ends[1] + IN, True),
        (0.99 * IN / 16, ends[1] + IN, False),
        (1.01 * IN / 16, ends[0] - IN, True),
        (IN, sum(ends) / 2, False),
    ):
        job = changed(demo, **{f"{name}__x": x, f"{name}__proud": proud})
        d = found(job).get("bulge_beyond_cut")
        assert (d is not None) is there
        if d:
            assert d.margin == pytest.approx(-0.01 * IN / 16)


@pytest.mark.parametrize(("off", "there"), [(0.124, False), (0.126, True)])
def test_diagonals_may_differ_by_an_eighth(demo: Job, off: float, there: bool) -> None:
    """Common practice, no source; whichever is the longer."""
    for a, b in ((69.0, 69.0 + off), (69.0 + off, 69.0)):
        job = changed(demo, frame__diagonal_a=a * IN, frame__diagonal_b=b * IN)
        assert ("frame_square" in found(job)) is there


def test_of_what_a_result_rests_on_eight_at_most_are_named() -> None:
    """Those put straight into its equation first; without any, in alphabetical order."""
    near, far = ([Key(f"{c}{n:02}", "C") for n in range(10)] for c in "ba")
    system = SimpleNamespace(keys=near)
    equation = SimpleNamespace(ins=range(10))
    named = SimpleNamespace(
        system=system,
        equations={Key("x", "C"): equation},
        readings=set(near),
        rests_on=lambda _: {*far},
    )
    assert diagnoses._nearest(named, Key("x", "C")) == near[:8]
    assert diagnoses._nearest(named, Key("y", "C")) == far[:8]
    named.readings = set()
    assert diagnoses._nearest(named, Key("x", "C")) == far[:8]


@pytest.mark.parametrize(("off", "there"), [(-0.015, True), (-0.005, False), (0.005, False)])
def test_a_working_angle_is_too_small_by_a_hundredth_of_a_degree(
    demo: Job, off: float, there: bool
) -> None:
    """Less than an angle finder tells is no conflict (judgment)."""
    key = Key("pinion.working", "C")
    floor = solve(demo).value(Key("pinion.floor", "C"))
    fixed = {key: Reading(key, (), floor + off * DEG, 0.0)}
    assert ("working_given" in found(demo, fixed)) is there


def test_how_far_back_an_arm_reaches_by_pythagoras(demo: Job) -> None:
    """On a circle that passes the axle at full bump the lowest point is an arm's length under the
    joint: as far back as makes the arm that long, and no further.
    """
    _, values, _ = next(c for c in CASES if c[0] == "arm_reach")
    job = changed(demo, **values)
    g, d = solve(job), found(job)["arm_reach"]
    joint = (g.value(Key("arms.joint_height", "L")) + g.value(Key("arms.joint_height", "R"))) / 2
    low = g.value(Key("axle.z_droop" if "droop" in d.sentence else "axle.z_ride", "C"))
    rise = g.value(Key("axle.z_bump", "C")) - joint
    least = math.sqrt((low - joint) ** 2 - rise**2)
    assert d.margin == pytest.approx(g.value(Key("arms.joint_behind", "C")) - least)


def test_a_bar_brought_level_as_said_is_level_enough(demo: Job) -> None:
    """Its frame end moved by all that is said, the other way, or by half of it."""
    _, values, words = next(c for c in CASES if c[0] == "bar_level")
    job = changed(demo, words, **values)
    d, key = found(job)["bar_level"], Key("bar.frame.z", "C")
    move = number(d.cure, f"frame end {N} (?:lower|higher)") * (-1 if "lower" in d.cure else 1)
    high = solve(job).value(key)
    slope = abs(solve(job).value(Key("bar.slope", "C")))
    assert d.margin == pytest.approx(BAR["track_bar.max_error"] - slope)
    for share, there in ((1.0, False), (0.5, True)):
        fixed = {key: Reading(key, (), high + share * move, IN / 16)}
        assert ("bar_level" in found(job, fixed)) is there


def test_a_wedge_as_said_stands_the_seats_alike_at_both_ends(demo: Job) -> None:
    """To the tenth of a degree that is printed; the least is half of all the axle turns."""
    _, values, words = next(c for c in CASES if c[0] == "seat_angle")
    job = changed(demo, words, **values)
    cure = found(job)["seat_angle"].cure
    caught = re.search(r"wedge of (-?[\d.]+) deg: .* at most ([\d.]+) deg", cure)
    assert caught
    wedge, least = (float(x) * DEG for x in caught.groups())
    g = solve(changed(job, spring__pad_wedge=wedge))
    ups = [g.value(Key(f"pinion.up{at}", "C")) for at in ("_at_bump", "", "_at_droop")]
    ends = max(ups) + wedge, min(ups) + wedge
    assert sum(ends) == pytest.approx(0.0, abs=0.11 * DEG)
    assert least == pytest.approx((max(ups) - min(ups)) / 2, abs=0.06 * DEG)


def test_lengths_in_a_sentence_are_those_of_the_tape_unless_it_cannot_show_them() -> None:
    """A sixteenth and its half; under that decimals, so that no gap is said to be none."""
    assert wording.inch(0.0) == "0 in" and wording.inch(IN / 16) == "1/16 in"
    for small in (0.5, -0.5, 0.01):
        assert wording.inch(small) == reader.fine(small) != "0 in"


@pytest.mark.parametrize("gone", ["outer", "width"])
def test_a_rail_that_was_not_read_hides_no_joint_of_the_other(demo: Job, gone: str) -> None:
    """Nor that both joints overlap."""
    for code in ("joint_outside", "joints_overlap"):
        _, values, words = next(c for c in CASES if c[0] == code)
        job = changed(demo, words, **values)
        told = {k.side for d in diagnose(job, solve(job)) if d.code == code for k in d.keys}
        assert told
        for side in "LR":
            rows = {
                k: r
                for k, r in job.readings.items()
                if not (k.name.endswith(f".{gone}") and k.side == side)
            }
            bare = job._replace(readings=rows)
            left = {k.side for d in diagnose(bare, solve(bare)) if d.code == code for k in d.keys}
            assert left == (told - {side} if code == "joint_outside" else told)

"""What the diagnoses of the layout say is missing, from where on they are said, and cures rounded
to what is read: against the numbers of their own sentences, plane geometry, and solving again.
"""

from __future__ import annotations

import re

import pytest
from diagnosed import CASES, DEG, DEMO, IN, N, changed, found, number
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key, Reading
from soapstone.layout.setout import solve, wording
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

"""Wishes turned: which readings move, and the lines of the job file that would change."""

from __future__ import annotations

import tomllib

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.dials import DIALS, moved, new_lines, turned, with_lines, written_dials
from soapstone.layout.job_file import load, of_table
from soapstone.layout.quantities import Key
from typed import DEMO

TEXT = DEMO.read_text()
JOB = load(DEMO)


def test_the_demo_has_every_dial_and_each_ends_inside_its_field() -> None:
    rows = turned(JOB)
    assert [row.dial.name for row in rows] == [dial.name for dial in DIALS]
    for row in rows:
        assert row.low < row.now < row.high
        assert all(moved(JOB, {row.dial.name: end - row.now}) for end in (row.low, row.high))


def test_ride_height_lifts_what_is_read_at_ride_height_and_is_never_written() -> None:
    values = moved(JOB, {"ride": 25.4})
    names = {key.name for key in values}
    assert {"frame.station.1.bottom", "driveline.output.z", "arms.joint_height"} <= names
    assert all(
        value == pytest.approx(JOB.readings[key].value + 25.4) for key, value in values.items()
    )
    assert written_dials(JOB, {"ride": 25.4, "bump": 1.0}) == {"bump": 1.0}


def test_only_the_lines_of_what_was_turned_change() -> None:
    """Read back, the job is the one that was asked for and no other."""
    values = moved(JOB, {"bump": 12.7, "height": 25.4 / 16, "caster": 0.01, "rate": 1.0})
    lines = new_lines(TEXT, JOB, values)
    assert {line.now.split("=")[0].strip() for line in lines} == {
        "bump", "joint_height", "caster_low", "caster_high", "rate",
    }  # fmt: skip
    assert 'joint_height = { both = "17 9/16 in" }' in [line.now for line in lines]
    text = with_lines(TEXT, lines)
    assert len(text.splitlines()) == len(TEXT.splitlines())
    now = of_table(tomllib.loads(text))
    for key, reading in JOB.readings.items():
        assert now.readings[key].value == pytest.approx(values.get(key, reading.value), rel=1e-5)


def test_a_comment_and_the_end_of_a_line_stay() -> None:
    text = TEXT.replace("\nbump = 4\n", "\nbump = 4   # as agreed\r\n")
    assert text != TEXT
    values = {Key("travel.bump", "C"): 5 * 25.4}
    assert 'bump = "5 in"   # as agreed\r\n' in with_lines(text, new_lines(text, JOB, values))


@pytest.mark.parametrize(
    "bump",
    ['{ value = 4, by = "me" }', "", "[4]\nbump = 4"],
    ids=["with who beside", "on no line", "on two"],
)
def test_a_reading_without_a_line_of_its_own_is_left_to_hands(bump: str) -> None:
    text = TEXT.replace("\nbump = 4\n", f"\nbump = {bump}\n" if bump else "\n")
    with pytest.raises(SoapstoneError, match="nothing was written"):
        new_lines(text, JOB, {Key("travel.bump", "C"): 100.0})


@pytest.mark.parametrize("by", [{"nobody": 1.0}, {"bump": 1000.0}, {"bump": float("nan")}])
def test_a_dial_that_is_none_or_past_its_end_is_refused(by: dict[str, float]) -> None:
    with pytest.raises(SoapstoneError):
        moved(JOB, by)

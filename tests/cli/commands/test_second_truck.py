"""A second truck in a short survey: what differs is taken as its own, what does not stays the
master's.
"""

from __future__ import annotations

import csv
import shutil
import tomllib
from pathlib import Path

import pytest
from trucks import truck
from typed import run

SURVEY = "T2.survey.csv"


@pytest.fixture
def shop(two_revisions: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """With a job file for T2, like the first revision of the demo's chassis."""
    shutil.copytree(two_revisions, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    assert "title and date" in run("new", "T2", "--like", "DEMO1:A")
    return tmp_path


def fill(**own: str) -> None:
    """Every reading as the master's, but those named (dots as double underscores)."""
    with Path(SURVEY).open(encoding="utf-8-sig") as file:
        rows = list(csv.reader(file))
    value, master = rows[0].index("value"), rows[0].index("master")
    for row in rows[1:]:
        row[value] = own.get(row[1].replace(".", "__"), row[master])
    with Path(SURVEY).open("w", newline="") as file:
        csv.writer(file).writerows(rows)


def test_it_takes_nothing_the_other_says_of_itself(shop: Path) -> None:
    own = tomllib.loads((shop / "T2.toml").read_text())["job"]
    assert own == {"chassis": "T2"}
    assert "a name that is free" in run("new", "T2", "--like", "DEMO1:A", code=7)
    assert "15 of 15 readings are still needed" in run("survey", "T2.toml", code=4)


def test_within_the_allowance_every_part_is_the_same(shop: Path) -> None:
    fill(travel__obstacle__1__center__z="30 13/16")
    said = run("survey", "T2.toml")
    assert f"the same: {len(truck()[0].parts)}" in said and "new shape: 0" in said
    assert not (shop / "T2.taped.toml").exists()


def test_a_reading_that_differs_is_its_own_and_named(shop: Path) -> None:
    fill(axle__wheel_track="70")
    said = run("survey", "T2.toml", code=6)
    assert "axle.wheel_track: 70 (1.500 in off)" in said and "taken as this truck's own" in said
    assert "axle.wheel_track differs" in said
    fill(axle__wheel_track="seventy")
    assert "axle.wheel_track" in run("survey", "T2.toml", code=3)
    fill()
    back = run("survey", "T2.toml")
    assert "the master's reading stays" in back and "new shape: 0" in back
    assert "axle.wheel_track" not in (shop / "T2.taped.toml").read_text(), "nor in the file"


def test_parts_of_the_first_truck_keep_their_numbers(shop: Path) -> None:
    run("build", "T2.toml")
    release = ("release", "T2.toml", "--note", "second truck", "--by", "the owner")
    assert "--date" in run(*release, code=2), "the other truck's day is not this one's"
    run(*release, "--date", "2026-03-01")
    names = [path.name for path in (shop / "out/T2/A/cut").rglob("*.dxf")]
    assert any(name.startswith("DEMO1-CS1-A-") for name in names)

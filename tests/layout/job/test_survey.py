"""The short survey of a second truck: the taped file ends up saying what the survey says, whatever
was taken earlier. No outside source: it is the tool's own promise that is held.
"""

from __future__ import annotations

import csv
import tomllib
from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.survey import (
    Taken,
    lines,
    not_the_masters,
    read,
    restated,
    settled,
    survey_csv,
)
from soapstone.layout.job.taped import overlaid, taped_rows, written
from soapstone.layout.job_file import of_table
from soapstone.layout.quantities import Key
from soapstone.layout.units import IN
from trucks import DATA

TRACK = "axle.wheel_track"
TABLE = tomllib.loads((DATA / "demo.toml").read_text())
MASTER = of_table(TABLE)
ROWS = lines(MASTER)


def filled(path: Path, **typed: str) -> Taken:
    """The survey with every line as the master's but those named; an empty text is a blank."""
    path.write_bytes(survey_csv(ROWS))
    rows = list(csv.DictReader(path.open(encoding="utf-8-sig")))
    for row in rows:
        row["value"] = typed.get(row["reading"].replace(".", "_"), row["master"])
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return read(path, ROWS, MASTER.words)


def test_a_line_set_back_to_the_masters_leaves_the_taped_file(tmp_path: Path) -> None:
    wide = filled(tmp_path / "s.csv", axle_wheel_track="70")
    assert [path for path, _, _ in wide.off] == [TRACK]
    first = settled(wide, {}, {})
    assert first == {TRACK: "70"}
    back = settled(filled(tmp_path / "s.csv"), first, {})
    assert back == {}
    assert taped_rows(written(back)) == {}


def test_a_line_set_back_takes_the_masters_own_taped_reading_again(tmp_path: Path) -> None:
    """The master's job came with a taped file: that reading, plus-minus and all, not none."""
    taped = {TRACK: {"value": "68 1/2", "plus_minus": "1/8", "by": "me"}}
    wide = settled(filled(tmp_path / "s.csv", axle_wheel_track="70"), taped, taped)
    assert wide == {TRACK: "70"}
    back = settled(filled(tmp_path / "s.csv"), wide, taped)
    assert back == taped
    assert taped_rows(written(back)) == taped, "as it was written"


def test_the_masters_value_holds_over_a_job_file_somebody_changed(tmp_path: Path) -> None:
    own = of_table(overlaid(TABLE, {TRACK: "70"}))
    same = filled(tmp_path / "s.csv")
    taped = settled(same, {}, {}) | restated(own, ROWS, same)
    key = Key(TRACK, "C")
    assert set(taped) == {TRACK}
    now = of_table(overlaid(overlaid(TABLE, {TRACK: "70"}), taped))
    assert now.readings[key].value == pytest.approx(MASTER.readings[key].value, abs=1e-9)


def test_a_blank_line_changes_nothing_and_what_holds_there_is_known(tmp_path: Path) -> None:
    blank = filled(tmp_path / "s.csv", axle_wheel_track="")
    assert blank.owed == [TRACK]
    taped = settled(blank, {TRACK: "70"}, {})
    assert taped == {TRACK: "70"}
    now = of_table(overlaid(TABLE, taped))
    assert list(not_the_masters(now, ROWS, blank.owed)) == [TRACK]
    assert now.readings[Key(TRACK, "C")].value == pytest.approx(70 * IN)


def test_a_bad_line_takes_nothing(tmp_path: Path) -> None:
    with pytest.raises(SoapstoneError) as bad:
        filled(tmp_path / "s.csv", axle_wheel_track="seventy")
    assert [fault.field for fault in bad.value.faults] == [TRACK]

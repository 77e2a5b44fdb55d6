"""A recorded set-down holds for the job it was taken for, and for nothing typed since."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from soapstone.cli.archive.as_built import in_shop
from soapstone.cli.archive.record import digest
from soapstone.cli.archive.set_down import later, not_down, not_down_now
from soapstone.layout.setdown import BY, truck_of
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from trucks import job

SOLVED = solve(job())
ASKED = truck_of(SOLVED).asked


def kept(**read: float) -> dict[str, Any]:
    """The state of a truck found right then, each reading as asked or as given, inches, degrees."""
    right = {name: in_shop(name, value) for name, value in ASKED.wanted.items()} | read
    return {
        "format": 2,
        "chassis": "DEMO1",
        "set_downs": [{"readings": right, "moved": {}}],
        "not_right": "",
        "take_again": [],
    }


def test_a_truck_that_stands_as_the_job_wants_it_stands_right() -> None:
    assert not_down_now(json.dumps(kept()).encode(), SOLVED) == ""


@pytest.mark.parametrize("name", ASKED.wanted)
def test_every_reading_is_held_against_the_job_as_it_is_now(name: str) -> None:
    """By the recorded state all of it was right; by this job one reading is not."""
    beyond = in_shop(name, ASKED.window[name].high + BY[name].limit)
    state = json.dumps(kept(**{name: beyond})).encode()
    assert not_down(state) == ""
    assert BY[name].title in not_down_now(state, SOLVED)


def test_a_job_that_changed_since_is_said() -> None:
    """The wheelbase read again, two inches longer: no part changes, and the axle stands wrong."""
    found = job()
    readings = {
        key: row._replace(value=row.value + 2 * IN) if key.name == "frame.wheelbase" else row
        for key, row in found.readings.items()
    }
    said = not_down_now(json.dumps(kept()).encode(), solve(found._replace(readings=readings)))
    assert "job was changed since" in said and said.count("rear hub center") == 2


def test_what_was_typed_since_it_was_read_is_said() -> None:
    state = json.dumps(kept() | {"typed_sha256": digest(b"as read")}).encode()
    assert not_down_now(state, SOLVED, b"as read") == ""
    assert not_down_now(state, SOLVED) == "", "the file may be gone: what was read is kept"
    assert "changed since it was read" in not_down_now(state, SOLVED, b"typed since")


def test_a_later_set_down_beside_the_archive_counts(tmp_path: Path) -> None:
    own = json.dumps(kept()).encode()
    out = json.dumps(kept() | {"not_right": "out: caster"}).encode()
    (tmp_path / "a.asbuilt.json").write_bytes(own)
    (tmp_path / "b.asbuilt.json").write_text("{")
    (tmp_path / "c.asbuilt.json").write_text(json.dumps(kept() | {"chassis": "T9"}))
    assert later("DEMO1", own, [tmp_path]) == ""
    (tmp_path / "d.asbuilt.json").write_bytes(out)
    assert "d.asbuilt.json" in later("DEMO1", own, [tmp_path, tmp_path])
    assert later("DEMO1", out, [tmp_path]) == "", "the one it keeps is asked about by itself"

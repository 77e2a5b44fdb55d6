"""Readings that no one thing can have are a fault of the job file, each with both values."""

from __future__ import annotations

from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job_file import load
from typed import DEMO

IMPOSSIBLE = (
    ('bushing_od = "1 3/4"', 'bushing_od = "5/8"', "track_bar.sleeve_od; typed '3/4 in'"),
    ("lower_sleeve_od = 1", "lower_sleeve_od = 2.5", "less than axle.lower_bushing_od, 2 1/2 in"),
    ("upper_bushing_od = 2", 'upper_bushing_od = "3/4"', "less than axle.upper_bushing_od"),
    ('upper_tube_wall = "1/4"', "upper_tube_wall = 0.7", "half of arms.upper_tube_od, 5/8 in"),
    ('tube_od = "2 1/2"', 'tube_od = "7/8"', "up to half of arms.tube_od, 7/16 in"),
    ("casting_from = 4", "casting_from = 14", "less than axle.casting_to, 14 in"),
    ("stop_free = 3", "stop_free = 1", "less than travel.stop_free, 1 in"),
    ('tire_diameter = "34 3/4"', "tire_diameter = 33", "less than half of axle.tire_diameter"),
    ("kpi = 8.5", 'kpi = 8.5\nbolt = "1-8"', "more than the bolt that passes it: axle.bolt is 1-8"),
)


@pytest.mark.parametrize(("was", "now", "says"), IMPOSSIBLE)
def test_no_such_thing_is_taken(tmp_path: Path, was: str, now: str, says: str) -> None:
    text = DEMO.read_text()
    assert was in text
    if "\nbolt" in now:  # the axle's bolt is named once
        text = text.replace('\nbolt = "3/4-10"', "", 1)
    (tmp_path / "d.toml").write_text(text.replace(was, now, 1))
    with pytest.raises(SoapstoneError) as e:
        load(tmp_path / "d.toml")
    assert says in "; ".join(map(str, e.value.faults))


def test_a_solid_bar_is_one_and_what_was_not_read_is_not_asked(tmp_path: Path) -> None:
    text = DEMO.read_text()
    bar = "[track_bar]", 'od = "1 1/2"\nwall = "1/4"'
    head, tail = text.split(bar[0])
    assert bar[1] in tail
    (tmp_path / "d.toml").write_text(
        head + bar[0] + tail.replace(bar[1], 'od = "1 1/2"\nwall = "3/4"', 1)
    )
    assert load(tmp_path / "d.toml").chassis == "DEMO1"
    (tmp_path / "d.toml").write_text(
        text.replace("stop_free = 3", "").replace('tire_diameter = "34 3/4"', "")
    )
    assert load(tmp_path / "d.toml").chassis == "DEMO1"

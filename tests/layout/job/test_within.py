"""Readings that no one thing can have are a fault of the job file, each with both values."""

from __future__ import annotations

import tomllib
from functools import reduce
from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job_file import load, of_table
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


OUT_OF_ORDER = {
    "axle.kingpin_y": ("15", "axle.tube_half_length; typed '27 in'"),
    "axle.wheel_track": ("52", "less than half of axle.wheel_track, 26 in"),
    "axle.tube_half_length": ("17", "axle.lower_mount.y.left; typed '17 3/4 in'"),
    "axle.spring_seat.y": ("28", "less than axle.tube_half_length, 27 in"),
    "axle.upper_mount.y": ("29", "less than axle.tube_half_length, 27 in"),
    "axle.casting_to": ("30", "less than axle.tube_half_length, 27 in"),
    "axle.diff.y": ("-9", "axle.casting_from; typed '4 in'"),
    "axle.diff.x1": ("3", "less than axle.diff.x2, -1/4 in"),
    "frame.notch.plane_x_rear": ("8", "less than frame.notch.plane_x_front, 6 in"),
    "frame.notch.plane_z_low": ("5", "less than frame.notch.plane_z_high, 5 in"),
}
"""Along the axle from inside out, along the truck from the front: each in its place."""


@pytest.mark.parametrize("name", OUT_OF_ORDER)
def test_what_lies_along_the_axle_and_the_truck_lies_in_its_order(name: str) -> None:
    typed, says = OUT_OF_ORDER[name]
    table = tomllib.loads(DEMO.read_text())
    *path, last = name.split(".")
    inner = reduce(lambda into, word: into[word], path, table)
    sided = isinstance(inner[last], dict)
    inner[last] = {"both": typed} if sided else typed
    with pytest.raises(SoapstoneError) as e:
        of_table(table)
    assert says in "; ".join(map(str, e.value.faults))


@pytest.mark.parametrize(("mount", "refused"), [("-71", True), ("-69", False)])
def test_a_transmission_hangs_ahead_of_the_rear_axle(mount: str, refused: bool) -> None:
    table = tomllib.loads(DEMO.read_text())
    table["frame"]["wheelbase"], table["driveline"]["mount"]["x"] = "70", mount
    try:
        of_table(table)
        said = ""
    except SoapstoneError as e:
        said = "; ".join(map(str, e.faults))
    assert ("ahead of the rear axle, less than frame.wheelbase (70 in) back" in said) == refused


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

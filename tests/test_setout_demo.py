"""The invented chassis against values computed by an implementation that shares no code with the tool.

Source: reference values of the invented chassis (inches, degrees, lbf); tolerances 0.0005 in, 0.001 deg, 0.05 lbf.
"""

from __future__ import annotations

import math
from importlib.resources import files
from pathlib import Path

import pytest
from soapstone.layout import units
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import load
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))
LENGTHS = {
    "axle.x_ride": 0.124805, "shaft.length": 36.355325, "joint.spacing": 27.235731, "arm.cc": 39.53119, "arm.tube": 35.40619,
    "upper.cc": 9.555765, "upper.tube": 6.555765, "spring.loaded": 13.551342, "seat.upper.z": 33.127249, "seat.above_rail": 2.127249,
    "bar.length": 35.751884, "bar.frame.x": 6.238206, "bar.frame.y": 15.75, "bar.frame.z": 19.612483, "stop.spacer": 1.375, "spring.at_bump": 9.501739, "spring.at_droop": 19.692777, "drag.length": 42.752252,
}
ANGLES = {"pinion.up": 4.579023, "caster.ride": 5.170977, "pinion.working": 0.774133, "drag.slope": 0.562622,
          "bar.slope": 0.562622, "pinion.floor": 0.591148, "upper.twist": 6.037518, "upper.lean": 0.018541, "shaft.transfer": 0.827373}


@pytest.fixture(scope="module")
def solved() -> Graph:
    return solve(load(DEMO))


def at(solved: Graph, name: str) -> list[float]:
    return [solved.value(k) for k in solved.keys() if k.name == name]


@pytest.mark.parametrize(("name", "inches"), LENGTHS.items())
def test_lengths(solved: Graph, name: str, inches: float) -> None:
    assert at(solved, name)
    for value in at(solved, name):
        assert value / 25.4 == pytest.approx(inches, abs=5e-4)


@pytest.mark.parametrize(("name", "degrees"), ANGLES.items())
def test_angles(solved: Graph, name: str, degrees: float) -> None:
    for value in at(solved, name):
        assert math.degrees(value) == pytest.approx(degrees, abs=1e-3)


def test_spring_load(solved: Graph) -> None:
    for value in at(solved, "spring.load"):
        assert units.to(value, "force", "lbf") == pytest.approx(1394.697995, abs=0.05)
    rate = at(solved, "upper.pinion_rate")[0]
    assert math.degrees(rate) * 25.4 == pytest.approx(9.236942, abs=1e-3)
    assert at(solved, "spring.ratio")[0] == pytest.approx(1.018142, abs=1e-6)


def test_axle_swings_about_the_frame_joints(solved: Graph) -> None:
    # a rigid arm: bolt-to-joint distance at full bump equals that at ride height (plane geometry)
    x0, z0, zb = (solved.value(Key(n, "C")) for n in ("axle.x_ride", "axle.z_ride", "axle.z_bump"))
    f = (-40 * 25.4, 17.5 * 25.4)
    assert math.hypot(x0 - f[0], z0 - f[1]) == pytest.approx(math.hypot(0 - f[0], zb - f[1]), abs=1e-9)


def test_a_missing_reading_names_itself_and_blocks_no_other(tmp_path: Path) -> None:
    text = DEMO.read_text().replace("rate = 225\n", "")
    job = tmp_path / "job.toml"
    job.write_text(text)
    part = solve(load(job))
    assert part.role(Key("seat.upper.z", "L")) == "waiting"
    assert part.rests_on(Key("seat.upper.z", "L")) == {Key("spring.rate", "C")}
    assert part.role(Key("arm.tube", "L")) == "solved"


def test_left_and_right_are_separate(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text().replace("plan_slant = { both = 6 }", "plan_slant = { left = 6, right = 5.25 }"))
    uneven = solve(load(job))
    run = uneven.value(Key("arm.run", "R"))
    assert uneven.value(Key("arm.cc", "R")) == pytest.approx(run / math.cos(math.radians(5.25)))
    assert uneven.value(Key("arm.cc", "L")) / 25.4 == pytest.approx(39.53119, abs=5e-4)


def test_plus_minus_of_a_sum_of_tapes(solved: Graph) -> None:
    # root sum of squares with u = a / sqrt 3 [NIST/SEMATECH e-Handbook 2.5.4]
    leaves = [solved.readings[k].half_width for k in solved.rests_on(Key("axle.z_bump", "C"))]
    assert solved.half_width(Key("axle.z_bump", "C")) == pytest.approx(math.sqrt(sum(a * a / 3 for a in leaves)), rel=1e-6)

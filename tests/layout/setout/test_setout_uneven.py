"""A chassis with rails 3/8 in apart in height and 1/2 in in offset and unequal slants, against
``independent_setout.py``.

That script shares no code with the tool: its own reading of the job file, vectors and bisection.
"""

from __future__ import annotations

import math
from importlib.resources import files
from pathlib import Path

import pytest
from independent_setout import setout
from soapstone.layout.graph import Graph
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.setout.diagnoses import diagnose

DATA = Path(str(files("soapstone.layout.data") / "demo.toml")).parent
SIDE = {"": "C", "left": "L", "right": "R"}
SCALE = {
    "length": 25.4,
    "angle": math.pi / 180,
    "force": 4.4482216152605,
    "count": 1.0,
    "angle per length": math.pi / 180 / 25.4,
}
WITHIN = {"length": 5e-4, "angle": 1e-3, "force": 0.05, "count": 1e-6, "angle per length": 1e-3}


@pytest.fixture(scope="module")
def solved() -> Graph:
    return solve(load(DATA / "demo_uneven.toml"))


@pytest.mark.parametrize("chassis", ["demo.toml", "demo_uneven.toml"])
def test_every_value_of_the_independent_script(chassis: str) -> None:
    solved = solve(load(DATA / chassis))
    found = setout(DATA / chassis)
    assert len(found) > 70
    for (name, side), value in found.items():
        key = Key(name, SIDE[side])
        unit = solved.unit(key)
        assert solved.value(key) / SCALE[unit] == pytest.approx(value, abs=WITHIN[unit]), key


def test_it_is_uneven(solved: Graph) -> None:
    """The sides differ by more than a tape reads, or the test above shows nothing."""
    for name in (
        "arm.tube",
        "upper.tube",
        "arm.joint.y",
        "seat.above_rail",
        "rail.coil.outer",
        "rail.coil.bottom",
    ):
        assert abs(solved.value(Key(name, "L")) - solved.value(Key(name, "R"))) > 25.4 / 32, name
    assert solved.value(Key("rail.coil.slope_side", "L")) == pytest.approx(
        (17.375 - 17.75) / 80, abs=1e-12
    )


def test_both_sides_stand_on_one_axle(solved: Graph) -> None:
    """Mean of the joint heights: the axle center lies between what each arm alone would ask for."""
    left, right = (solved.value(Key("arm.x_ride", s)) for s in ("L", "R"))
    assert min(left, right) < solved.value(Key("axle.x_ride", "C")) < max(left, right)


def test_nothing_stands_against_it(solved: Graph) -> None:
    assert [
        d.code
        for d in diagnose(load(DATA / "demo_uneven.toml"), solved)
        if d.severity == "conflict"
    ] == []

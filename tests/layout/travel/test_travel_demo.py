"""Every output at nine positions of the invented chassis against an implementation that shares no
code with the tool.

Source: reference positions of the invented chassis (inches, degrees), with its tolerances: length
0.001 in, angle 0.003 deg, bushing radial 0.0005 in, cone and joint 0.01 deg, instant center 0.03
in, anti-dive 0.2, roll center 0.03 in, roll steer 0.001. Invented bushing rates, center-of-gravity
height and brake share stand in the demo's job file.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from linkages import DEG, IN
from soapstone.layout.quantities import Key
from soapstone.layout.travel import at_positions
from soapstone.layout.travel.outputs import KINDS
from trucks import reference_job

ROWS = list(csv.DictReader((Path(__file__).parents[2] / "published" / "demo_positions.csv").open()))
TIGHT = {"length": 0.001, "angle": 0.003, "count": 0.2}
OWN = {
    "lower.radial": 0.0005,
    "upper.radial": 0.0005,
    "lower.cone": 0.01,
    "upper.cone": 0.01,
    "lower.wind": 0.01,
    "upper.wind": 0.01,
    "frame_joint": 0.01,
    "upper_joint": 0.01,
    "ic.x": 0.03,
    "ic.z": 0.03,
    "roll_center": 0.03,
    "roll_steer": 0.001,
}


@pytest.fixture(scope="module")
def found() -> dict[Key, np.ndarray]:
    h = np.array([float(r["heave"]) for r in ROWS]) * IN
    roll = np.array([float(r["roll"]) for r in ROWS]) * DEG
    return at_positions(reference_job(), h, roll)


@pytest.mark.parametrize("name", [c for c in ROWS[0] if c not in ("heave", "roll")])
def test_output(name: str, found: dict[Key, np.ndarray]) -> None:
    base, _, side = name.partition("@")
    kind = KINDS[base][0]
    scale = {"length": IN, "angle": DEG}.get(kind, 1.0)
    got = found[Key(base, side or "C")] / scale
    want = np.array([float(r[name]) for r in ROWS])
    assert np.abs(got - want).max() < OWN.get(base, TIGHT.get(kind, math.nan)), (got, want)

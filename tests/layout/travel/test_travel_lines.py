"""What a joint line meets on the frame: holes within half an inch, the lower rail's bottom."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest
from soapstone.layout.quantities import Key
from soapstone.layout.travel import joint_line

IN = 25.4


def test_holes_of_the_crossmember_half_an_inch_from_the_line_are_met() -> None:
    """A line 40 in behind; holes at 39.4, 39.6, 40.5 and 40.6 in behind, one that is of something
    else, one whose place was not read.
    """
    behind = (39.4, 39.6, 40.4, 40.6, 40.0, None)
    words = {f"frame.hole.{n}.use": "crossmember" for n in range(1, 7)}
    job: Any = SimpleNamespace(
        counts={"frame.hole": 6}, words={**words, "frame.hole.5.use": "brake line"}
    )
    values = {
        Key(f"frame.hole.{n}.x", "C"): -at * IN for n, at in enumerate(behind, 1) if at is not None
    }
    assert joint_line._holes_met(job, values, 40.0 * IN) == 2
    assert joint_line._holes_met(job, values, 39.0 * IN) == 1
    none: Any = SimpleNamespace(counts={}, words={})
    assert joint_line._holes_met(none, values, 40.0 * IN) == 0


def test_the_lower_of_both_rails() -> None:
    left, right = (Key("frame.station.1.bottom", side) for side in ("L", "R"))
    assert joint_line._rail_bottom({left: 500.0, right: 490.0}) == 490.0
    assert joint_line._rail_bottom({left: 500.0}) == 500.0
    assert math.isnan(joint_line._rail_bottom({Key("frame.station.2.bottom", "L"): 1.0}))


def test_dive_over_a_hundred_is_ranked_by_fives() -> None:
    """103 is nearer to 105 than to 100; what is under 100 is all alike."""
    row: dict[str, Any] = dict.fromkeys(joint_line.Line._fields, 0.0)
    row |= {"slip": (0.0, 0.0), "holes": 0, "conflicts": (), "shaft": 100.0}
    ranks = [
        joint_line.Line(**{**row, "dive": dive}).rank[2]
        for dive in (40.0, 100.0, 101.0, 103.0, 110.0)
    ]
    assert ranks == [0, 0, 0, 1, 2] and pytest.approx(100.0) == joint_line.WHOLE

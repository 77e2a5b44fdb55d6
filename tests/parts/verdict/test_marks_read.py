"""A mark that was read and cannot be taken is said as that, not as one that nobody read."""

from __future__ import annotations

import pytest
from soapstone.layout.setout import solve
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import design
from soapstone.parts.verdict.assumptions import assumptions
from trucks import job


@pytest.mark.parametrize("mark", ["class 10.9", ""])
def test_a_metric_mark_of_bolts_that_are_chosen_in_inches(mark: str) -> None:
    """ISO 898-1 classes are of metric threads, SAE J429 grades of inch ones; the frame's bolts come
    in the shop's sizes, whatever was read.
    """
    j, shop = job(), default_shop()
    j = j._replace(words={**j.words, "frame.bolt_class": mark})
    solved = solve(j)
    truck = design(solved, j.words, j.pins, j.chassis, shop)
    row = next(
        a for a in assumptions(j, solved, truck, None, shop) if "9/16" in a.what or "1/2" in a.what
    )
    assert row.value.startswith("grade 5")
    assert ("class 10.9 was read, which inch bolts do not carry" in row.value) == bool(mark)
    assert ("or metric sizes in frame_sizes there" in row.instead) == bool(mark)

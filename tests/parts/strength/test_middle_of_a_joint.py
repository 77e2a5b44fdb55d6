"""A joint's force goes through the pivot that the layout solved, whatever its bolt clamps."""

from __future__ import annotations

import numpy as np
import pytest
from soapstone.layout.quantities import Key, Side
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.work import Work
from trucks import NAMES, truck

PIVOTS: dict[str, Side] = {
    "upper.joint#1.L": "L",
    "upper.mount#1.L": "L",
    "arm.joint#1.L": "L",
    "bar.frame#1.L": "C",
    "bar.axle#1.R": "C",
}
"""Pivots between two ears, with the side of their solved place."""


@pytest.mark.parametrize("name", NAMES)
def test_the_middle_of_its_ears_is_where_it_was_solved(name: str) -> None:
    made, solved = truck(name)
    work = Work(made, default_shop(), solved.values, ())
    for bolt, side in PIVOTS.items():
        place = [solved.values[Key(f"{bolt.partition('#')[0]}.{axis}", side)] for axis in "xyz"]
        assert work.middle(work.bolts[bolt]) == pytest.approx(np.array(place), abs=0.01), bolt


def test_one_ear_takes_it_in_its_own_plane() -> None:
    """Of a bent tab the leg that the bolt passes, not where its flat plate was begun."""
    made, solved = truck()
    work = Work(made, default_shop(), solved.values, ())
    for bolt in ("strap.upper#1.L", "strap.lower#1.L"):
        (ear,) = (code for code in work.bolts[bolt].through if code in work.parts)
        hole = next(own for own in work.parts[ear].holes if own.bolt == bolt)
        off = work.middle(work.bolts[bolt]) - np.array(work.bolts[bolt].at)
        assert np.linalg.norm(off) <= work.plate(ear).thick + 1e-9, hole

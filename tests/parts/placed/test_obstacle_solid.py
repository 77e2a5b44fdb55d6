"""What may be hit, given as a solid: a box that came as triangles is as near as the same box."""

from __future__ import annotations

import numpy as np
import pytest
from soapstone.layout.job.load import Job
from soapstone.layout.job.solid_file import SolidFile
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from soapstone.parts.placed.clearance import hits
from soapstone.parts.placed.gap import Gap
from soapstone.parts.stock import default_shop
from trucks import job, truck

ROW = "travel.obstacle.1"


def box_file(half: tuple[float, float, float], away: float) -> SolidFile:
    """A box of triangles, its middle ``away`` from the file's origin each way."""
    corners = np.array([(i, j, k) for i in (-1, 1) for j in (-1, 1) for k in (-1, 1)]) * half + away
    quads = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
    faces = np.array([row for a, b, c, d in quads for row in ((a, b, c), (a, c, d))])
    return SolidFile(corners.astype("<f8").tobytes(), faces.astype("<i8").tobytes(), "of a box")


def near_pan(j: Job) -> dict[str, Gap]:
    t, _ = truck()
    found = hits(t, j, solve(j), default_shop())
    return {
        gap.one if gap.two == "oil pan" else gap.two: gap for gap in found if "oil pan" in gap[:2]
    }


@pytest.mark.parametrize("down", [2.0, 2.75, 6.0])
def test_a_box_from_a_file_is_as_near_as_the_box_that_was_taped(down: float) -> None:
    """The same pairs, positions and gaps; the file lies turned, and its origin is elsewhere."""
    taped = job()
    height = Key(f"{ROW}.center.z", "C")
    lower = taped.readings[height]._replace(value=taped.readings[height].value - down * IN)
    taped = taped._replace(readings={**taped.readings, height: lower})
    x, y, z = (taped.readings[Key(f"{ROW}.half.{axis}", "C")].value for axis in "xyz")
    words = {**taped.words, f"{ROW}.front": "-y", f"{ROW}.up": "x"}
    given = taped._replace(words=words, solids={ROW: box_file((z, x, y), 300.0)})
    one, two = near_pan(taped), near_pan(given)
    assert one.keys() == two.keys() and one
    for name, gap in one.items():
        if gap.gap > 0:
            assert two[name].gap == pytest.approx(gap.gap, abs=0.13), (name, "to 0.005 in")
        assert (two[name].gap > 0) == (gap.gap > 0)

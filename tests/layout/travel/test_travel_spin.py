"""The push that flips an arm: a strut of length l on a post of height r, held by the cones of both
bushings (elastic stability, any text), each bushing alone, either side.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from linkages import LOWER, UPPER, plain
from soapstone.layout.quantities import Key
from soapstone.layout.travel import spin
from soapstone.layout.travel.linkage import rates


@pytest.mark.parametrize("side", [0, 1])
@pytest.mark.parametrize(("lower", "upper"), [(3e5, 0.0), (0.0, 2e5), (3e5, 2e5)])
def test_critical_push_of_each_bushing(lower: float, upper: float, side: int) -> None:
    """K = lower cone + upper cone (r / l)^2 over r^2 / l + r sin a; the other rates have no say."""
    lk = plain()._replace(
        rates=rates(LOWER._replace(cone=lower), UPPER._replace(cone=upper, torsion=7e6))
    )
    axis = lk.joint[side] - lk.bolt[side]
    axis = axis / np.linalg.norm(axis)
    post = lk.upper[side] - lk.bolt[side]
    r = math.sqrt(float(post @ post) - float(post @ axis) ** 2)
    strut = lk.mount[side] - lk.upper[side]
    long = float(np.linalg.norm(strut))
    square = (post - (post @ axis) * axis) / r
    rise = float(strut @ square) / long
    want = (lower + upper * (r / long) ** 2) / (r * r / long + r * rise)
    assert want > 0.0 and spin.critical(lk, side) == pytest.approx(want)


def test_the_push_of_braking_backwards() -> None:
    """0.8 of a wheel's load on the ground, as far below the lower bolt as it is high, on the upper
    arm's lever about that bolt in side view.
    """
    lk = plain()
    rows = spin.spins(lk, {Key("load.wheel", "L"): 5000.0})
    assert [row.side for row in rows] == ["L", "R"]
    bolt, mount, upper = lk.bolt[0], lk.mount[0], lk.upper[0]
    way = (mount - upper) / np.linalg.norm(mount - upper)
    lever = abs(way[0] * (mount - bolt)[2] - way[2] * (mount - bolt)[0])
    for row in rows:
        assert row.push == pytest.approx(0.8 * 5000.0 * bolt[2] / lever)
        assert row.ratio == pytest.approx(row.push / row.critical)
    assert (spin.GRIP, spin.WARN) == (0.8, 0.5), "judgment"

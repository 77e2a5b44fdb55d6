"""Travel against the same linkages in a general-purpose multibody library (MuJoCo): 1e-5 in and
1e-4 deg on three differing chassis.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from linkages import DEG, IN, LOWER, UPPER, bush, of_job, plain
from rig import Rig
from soapstone.layout.travel.linkage import Linkage, rates
from soapstone.layout.travel.pose import pose

BAR = (np.array((5.0, -21.0, 19.0)), np.array((7.0, 15.0, 22.5)))


def lopsided() -> Linkage:
    """A third chassis: strongly converging arms, left and right apart, other bushings, a sloping
    bar.
    """
    lk = plain(y_joint=9.0, y_axle=17.0, bar=BAR, lower=LOWER, upper=UPPER)
    shift = np.array(((-3.0, 0.5, 0.75), (0.0, 0.0, 0.0))) * IN
    return lk._replace(
        joint=lk.joint + shift, rates=rates(bush(15000, 3000, 90, 500), bush(22000, 2500, 15, 60))
    )


CHASSIS = {"demo": of_job, "demo_uneven": lambda: of_job("demo_uneven"), "lopsided": lopsided}
PLACES = ((4.0, 0.0), (-6.0, 0.0), (0.0, 5.0), (1.0, -5.0), (-2.5, 3.0))


@pytest.mark.parametrize("name", CHASSIS)
def test_against_the_rig(name: str) -> None:
    lk = CHASSIS[name]()
    # the pinion's angle at ride height only turns the bushings' own frame about the bolt; the rig
    # reads cone in the truck's axes
    lk = lk._replace(up=np.array(0.0))
    r = Rig(lk.center, lk.joint, lk.bolt, lk.upper, lk.mount, (lk.bar_axle, lk.bar_frame), lk.rates)
    h, phi = np.array([p[0] for p in PLACES]) * IN, np.array([p[1] for p in PLACES]) * DEG
    q = pose(lk, h, phi)
    for i, (heave, roll) in enumerate(zip(h, phi, strict=True)):
        x = r.at(heave, roll)
        d = q.d[i]
        yaw, pitch = math.atan2(-d[0, 1], d[1, 1]), math.atan2(-d[2, 0], d[2, 2])
        assert np.abs(q.p[i] - lk.center - x[:3]).max() < 1e-5 * IN, PLACES[i]
        assert max(abs(yaw - x[3]), abs(pitch - x[5])) < 1e-4 * DEG, PLACES[i]

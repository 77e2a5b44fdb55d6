"""Arm spin: an arm flips about its own axis when its upper arm is pushed hard enough.

P_cr = K / (r^2/l + r sin a), K = k_cone,lower + k_cone,upper (r/l)^2: a strut of length l on a post
of height r held by springs (elastic stability, any text). r: height of the upper joint above the
arm's axis; a: rise of the upper arm off that axis.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from ..quantities import SIDES, Key, Side
from .linkage import Linkage

GRIP = 0.8
WARN = 0.5


class Spin(NamedTuple):
    """One side's arm.

    ``push``: upper-arm push when braking backwards at ``GRIP`` of the wheel load, N; ``critical``:
    the push that flips it.
    """

    side: Side
    push: float
    critical: float

    @property
    def ratio(self) -> float:
        """Push by critical push; warn above one half (judgment)."""
        return self.push / self.critical


def critical(lk: Linkage, i: int) -> float:
    """Push along the upper arm that flips arm ``i`` (0 left, 1 right), N; infinite where none
    can.
    """
    arm = lk.joint[i] - lk.bolt[i]
    e1 = arm / np.linalg.norm(arm)
    e3 = np.cross((0.0, 1.0, 0.0), e1)
    e3 /= np.linalg.norm(e3)
    r = float((lk.upper[i] - lk.bolt[i]) @ e3)
    link = lk.mount[i] - lk.upper[i]
    long = float(np.linalg.norm(link))
    k = lk.rates[i, 3] + lk.rates[2 + i, 3] * (r / long) ** 2
    gives = r * r / long + r * float(link @ e3) / long
    return float(k / gives) if gives > 0 else math.inf


def spins(lk: Linkage, v: Mapping[Key, float]) -> tuple[Spin, ...]:
    """Both arms, braking backwards: the ground pushes the tire forward, the axle turns about the
    lower bolts and pushes on the upper arms.
    """
    load = v.get(Key("load.wheel", "L"))
    if load is None:
        return ()
    rows = []
    for i, side in enumerate(SIDES):
        a, u = lk.bolt[i], lk.mount[i] - lk.upper[i]
        u = u / np.linalg.norm(u)
        rel = lk.mount[i] - a
        lever = abs(float(u[0] * rel[2] - u[2] * rel[0]))
        rows.append(Spin(side, GRIP * load * float(a[2]) / lever, critical(lk, i)))
    return tuple(rows)

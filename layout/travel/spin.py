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
        """Push by critical push, without unit; 0 where no push flips the arm.

        Warn above one half, ``WARN`` (judgment).
        """
        return self.push / self.critical


def critical(links: Linkage, i: int) -> float:
    """Push along the upper arm that flips arm ``i`` (0 left, 1 right), N; infinite where none
    can.
    """
    arm = links.joint[i] - links.bolt[i]
    e1 = arm / np.linalg.norm(arm)
    e3 = np.cross((0.0, 1.0, 0.0), e1)
    e3 /= np.linalg.norm(e3)
    r = float((links.upper[i] - links.bolt[i]) @ e3)
    link = links.mount[i] - links.upper[i]
    long = float(np.linalg.norm(link))
    k = links.rates[i, 3] + links.rates[2 + i, 3] * (r / long) ** 2
    gives = r * r / long + r * float(link @ e3) / long
    return float(k / gives) if gives > 0 else math.inf


def spins(links: Linkage, values: Mapping[Key, float]) -> tuple[Spin, ...]:
    """Both arms, braking backwards: the ground pushes the tire forward, the axle turns about the
    lower bolts and pushes on the upper arms.
    """
    load = values.get(Key("load.wheel", "L"))
    if load is None:
        return ()
    rows = []
    for number, side in enumerate(SIDES):
        bolt, way = links.bolt[number], links.mount[number] - links.upper[number]
        way = way / np.linalg.norm(way)
        rel = links.mount[number] - bolt
        lever = abs(float(way[0] * rel[2] - way[2] * rel[0]))
        rows.append(Spin(side, GRIP * load * float(bolt[2]) / lever, critical(links, number)))
    return tuple(rows)

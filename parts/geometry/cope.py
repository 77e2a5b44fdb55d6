"""Where the surface of a coped tube ends."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..model.body import TubeEnd


def cope(
    end: TubeEnd, n: int, od: float, radius: float, a: NDArray[np.float64]
) -> NDArray[np.float64]:
    """How far past the tube's long point its surface of ``radius`` ends, mm, at angles ``a`` (rad)
    from its own z, clockwise seen on the printed side of a wrap.

    A point of the surface is on the round where its distance from the round's axis is the round's
    radius: the larger root of that quadratic in the distance along the tube. End ``n``: 0 at the
    tube's start, 1 at its end. The round stands off the long point as in ``export.step``. Nothing
    is cut where the round does not reach.
    """
    r, half, way = end.onto / 2, od / 2, 1.0 if n == 0 else -1.0
    stands = math.sqrt(r * r - half * half) if r > half else 0.0
    y, z = -way * radius * np.sin(a), radius * np.cos(a) - end.offset
    along, across = way * math.cos(end.angle), math.sin(end.angle)
    u = across * (z * math.sin(end.clock) - y * math.cos(end.clock))
    under = u * u - across * across * (y * y + z * z - r * r)
    reach = (u * along + np.sqrt(np.maximum(under, 0.0))) / (across * across)
    return np.where(under < 0, 0.0, np.maximum(reach - stands, 0.0))

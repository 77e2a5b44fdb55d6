"""Where the surface of a coped tube ends."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ..model.body import TubeEnd


def cope(
    end: TubeEnd, which: int, od: float, radius: float, angles: NDArray[np.float64]
) -> NDArray[np.float64]:
    """How far short of its long point a coped tube's surface ends.

    A point of the surface is on the round where its distance from the round's axis is the round's
    radius: the larger root of that quadratic in the distance along the tube. The round stands off
    the long point as in ``export.step``.

    Parameters
    ----------
    end : TubeEnd
        ``onto`` the round's diameter, ``angle`` between the axes, ``clock`` and ``offset`` of the
        round about the tube; mm and rad.
    which : int
        0 at the tube's start, 1 at its end.
    od : float
        Of the tube, mm: its long point lies on this surface.
    radius : float
        Of the surface asked about, mm: od / 2, or less for the bore.
    angles : array (n,)
        rad from the tube's own z, clockwise seen on the printed side of a wrap.

    Returns
    -------
    array (n,)
        mm along the tube, never negative; 0 where the round does not reach, so nothing is cut.
    """
    other_radius, own_half, way = end.onto / 2, od / 2, 1.0 if which == 0 else -1.0
    stands = (
        math.sqrt(other_radius * other_radius - own_half * own_half)
        if other_radius > own_half
        else 0.0
    )
    y, z = -way * radius * np.sin(angles), radius * np.cos(angles) - end.offset
    along, across = way * math.cos(end.angle), math.sin(end.angle)
    leaning = across * (z * math.sin(end.clock) - y * math.cos(end.clock))
    under = leaning * leaning - across * across * (y * y + z * z - other_radius * other_radius)
    reach = (leaning * along + np.sqrt(np.maximum(under, 0.0))) / (across * across)
    return np.where(under < 0, 0.0, np.maximum(reach - stands, 0.0))

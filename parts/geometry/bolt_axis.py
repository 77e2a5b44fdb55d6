"""Points and bolts against a bolt's axis. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from ..model.assembly import Bolt
from ..model.vectors import Array, Vec3, dot
from .holes import diameter

PARALLEL, ON_AXIS = 0.999, 0.1
"""Cosine from which two axes point the same way; mm within which a point lies on one."""


def from_axis(points: Array, at: Vec3, along: Vec3) -> Array:
    """Distance of points from a line."""
    rel = points - np.array(at)
    d = np.array(along)
    return np.asarray(np.linalg.norm(rel - (rel @ d)[:, None] * d, axis=1))


def in_bolt_hole(points: Array, bolts: Iterable[Bolt], spare: float) -> NDArray[np.bool_]:
    """Points that lie in the hole of one of the bolts, ``spare`` mm added to its radius."""
    found = np.zeros(len(points), dtype=bool)
    for b in bolts:
        found |= from_axis(points, b.at, b.along) < diameter(b) / 2 + spare
    return found


def coaxial(b: Bolt, o: Bolt) -> bool:
    """Whether ``o`` (a washer's or clamping plate's hole, a sleeve) lies on a bolt's axis."""
    return (
        abs(dot(b.along, o.along)) > PARALLEL
        and float(from_axis(np.array([o.at]), b.at, b.along)[0]) < ON_AXIS
    )

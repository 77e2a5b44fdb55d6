"""Points and bolts against a bolt's axis. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from ...layout.arrays import Array
from ..model.assembly import Bolt
from ..model.vectors import Vec3, dot
from .holes import diameter

PARALLEL, ON_AXIS = 0.999, 0.1
"""Cosine from which two axes point the same way; mm within which a point lies on one."""


def from_axis(points: Array, origin: Vec3, along: Vec3) -> Array:
    """Distance of points (n, 3) from a line through ``origin`` along a unit vector: (n,), mm."""
    relative = points - np.array(origin)
    direction = np.array(along)
    return np.asarray(
        np.linalg.norm(relative - (relative @ direction)[:, None] * direction, axis=1)
    )


def in_bolt_hole(points: Array, bolts: Iterable[Bolt], spare: float) -> NDArray[np.bool_]:
    """Which points (n, 3) lie in the hole of one of the bolts, whatever plate it is in; ``spare``
    mm is added to its radius. The hole has no ends: clearances use it to leave out steel that is
    gone.
    """
    found = np.zeros(len(points), dtype=bool)
    for bolt in bolts:
        found |= from_axis(points, bolt.at, bolt.along) < diameter(bolt) / 2 + spare
    return found


def coaxial(bolt: Bolt, other: Bolt) -> bool:
    """Whether ``other`` (the hole of a washer or clamping plate, a sleeve) lies on a bolt's axis:
    same direction or opposite, and centers within 0.1 mm across it.
    """
    return (
        abs(dot(bolt.along, other.along)) > PARALLEL
        and float(from_axis(np.array([other.at]), bolt.at, bolt.along)[0]) < ON_AXIS
    )

"""Vectors and frames in truck coordinates, lengths in mm.

Plain tuples, so that bodies stay hashable and exact.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...layout.arrays import Array

Vec2 = tuple[float, float]
Vec3 = tuple[float, float, float]
Number = float | Array
"""A number, or one for every design of a grid."""
Flag = bool | NDArray[np.bool_]
"""A yes or no, or one for every design of a grid."""


def add(a: Vec3, b: Vec3) -> Vec3:
    """a + b."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vec3, b: Vec3) -> Vec3:
    """a - b."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scale(a: Vec3, k: float) -> Vec3:
    """k a."""
    return (a[0] * k, a[1] * k, a[2] * k)


def dot(a: Vec3, b: Vec3) -> float:
    """a . b."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec3, b: Vec3) -> Vec3:
    """a x b."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Vec3) -> Vec3:
    """a / |a|. ValueError for a zero vector, which has no direction."""
    length = math.sqrt(dot(a, a))
    if length == 0.0:
        raise ValueError("a zero vector has no direction")
    return (a[0] / length, a[1] / length, a[2] / length)


class Frame(NamedTuple):
    """Part to truck: always a proper rotation, never a mirror.

    Attributes
    ----------
    origin : Vec3
        Where the part's own zero stands in truck axes, mm.
    x, z : Vec3
        Its own axes there, unit vectors square to each other; y follows.
    """

    origin: Vec3
    x: Vec3
    z: Vec3

    @property
    def y(self) -> Vec3:
        """z x x, which makes it right-handed."""
        return cross(self.z, self.x)

    def out(self, point: Vec3) -> Vec3:
        """Part point to truck point, mm.

        >>> upright = Frame.of((10.0, 0.0, 0.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
        >>> upright.out((5.0, 0.0, 2.0)), upright.into((12.0, 5.0, 0.0))
        ((12.0, 5.0, 0.0), (5.0, 0.0, 2.0))
        """
        y = self.y

        def along(i: int) -> float:
            return self.origin[i] + point[0] * self.x[i] + point[1] * y[i] + point[2] * self.z[i]

        return along(0), along(1), along(2)

    def into(self, point: Vec3) -> Vec3:
        """Truck point to part point."""
        relative = sub(point, self.origin)
        return (dot(relative, self.x), dot(relative, self.y), dot(relative, self.z))

    def turn(self, direction: Vec3) -> Vec3:
        """Part direction to truck direction."""
        return sub(self.out(direction), self.origin)

    @staticmethod
    def of(origin: Vec3, x: Vec3, z: Vec3) -> Frame:
        """Frame with ``z`` kept and ``x`` made square to it; both need a direction only, not a
        length.
        """
        kept = unit(z)
        return Frame(origin, unit(sub(x, scale(kept, dot(x, kept)))), kept)

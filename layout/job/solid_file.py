"""The surface of a solid that a shop gives as a file: a transmission, a mount, an engine."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from ..arrays import Array, Integers

ROW = "travel.obstacle"
WAYS = ("x", "-x", "y", "-y", "z", "-z")
"""Ways of a file's own axes, as a job says which of them points forward and up."""


class SolidFile(NamedTuple):
    """A closed surface in the file's own axes, mm.

    Attributes
    ----------
    corners : bytes
        Of (N, 3) floats, little-endian.
    faces : bytes
        Of (M, 3) whole numbers, little-endian: corners of triangles, counter-clockwise from
        outside.
    sha256 : str
        Of the file it was read from: two of the same file are the same.
    """

    corners: bytes
    faces: bytes
    sha256: str

    def __repr__(self) -> str:
        """What results kept of it are known by."""
        return f"SolidFile({self.sha256})"

    def arrays(self) -> tuple[Array, Integers]:
        """Corners (N, 3), mm, and triangles (M, 3)."""
        import numpy as np

        corners = np.frombuffer(self.corners, "<f8").reshape(-1, 3)
        faces = np.frombuffer(self.faces, "<i8").reshape(-1, 3)
        return corners.astype(np.float64), faces.astype(np.int64)


def turn_of(front: str, up: str) -> Array | None:
    """Rotation (3, 3) that takes a file's axes to the truck's, x forward, y left, z up; None where
    forward and up lie along one axis.

    >>> (turn_of("-y", "z").round(3) + 0.0).tolist()
    [[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]
    >>> turn_of("x", "-x") is None
    True
    """
    import numpy as np

    ahead, over = (_axis(way) for way in (front, up))
    left = np.cross(over, ahead)
    return np.array((ahead, left, over)) if left.any() else None


def ways_of(words: Mapping[str, str], row: str) -> tuple[str, str]:
    """Axes of a row's file that point forward and up; as the truck's own where it does not say."""
    return words.get(f"{row}.front", "x"), words.get(f"{row}.up", "z")


def _axis(way: str) -> Array:
    import numpy as np

    sign = -1.0 if way.startswith("-") else 1.0
    return np.asarray(sign * np.eye(3)["xyz".index(way[-1])])

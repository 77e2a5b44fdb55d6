"""What travel needs of a chassis, in truck coordinates at ride height, left [0] and right [1] each
on its own.

Every array may carry a leading axis of variants; a single linkage has none. mm, N, radians.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np

from ..quantities import SIDES, Key
from .turning import Array


class Bush(NamedTuple):
    """Rates of one bushing about its bolt: radial and axial N/mm, torsion and cone N mm/rad."""

    radial: float
    axial: float
    torsion: float
    cone: float


class Linkage(NamedTuple):
    """Axle center, arms, upper arms and track bar at ride height, where every bushing is free of
    load.

    ``joint`` F, ``bolt`` A, ``upper`` U, ``mount`` V: (..., 2, 3). ``axis_lower``, ``axis_upper``:
    bolt directions (..., 2, 3). ``turn_joint``, ``turn_upper``: small turns of the frame and upper
    joints' bolts off square to their links (..., 2, 3), rad. ``rates``: (..., 4, 4), rows lower
    left, lower right, upper left, upper right, columns as ``Bush``. As built: frame joints off by
    ``joint_off`` (..., 2, 3), arms longer by ``arm_more`` and upper arms by ``upper_more`` (...,
    2), the track bar's frame mount off by ``bar_off`` (..., 3) and the bar longer by ``bar_more``
    (...,); all zero as designed.
    """

    centre: Array
    up: Array
    joint: Array
    bolt: Array
    upper: Array
    mount: Array
    bar_axle: Array
    bar_frame: Array
    axis_lower: Array
    axis_upper: Array
    rates: Array
    joint_off: Array = np.zeros((2, 3))
    arm_more: Array = np.zeros(2)
    upper_more: Array = np.zeros(2)
    bar_off: Array = np.zeros(3)
    bar_more: Array = np.array(0.0)
    turn_joint: Array = np.zeros((2, 3))
    turn_upper: Array = np.zeros((2, 3))

    @property
    def variants(self) -> int:
        """How many linkages are stacked; 0 for a single one."""
        return len(self.centre) if self.centre.ndim > 1 else 0


MIRROR = np.array((1.0, -1.0, 1.0))


def rates(lower: Bush, upper: Bush) -> Array:
    """Rows of four bushings."""
    return np.array((lower, lower, upper, upper), dtype=float)


def needs() -> tuple[Key, ...]:
    """Keys without which there is no linkage."""
    sided = [
        Key(f"{name}.{axis}", side)
        for name in ("arm.joint", "arm.bolt", "upper.joint", "upper.mount")
        for axis in "xyz"
        for side in SIDES
    ]
    centre = [Key(f"{name}.{axis}", "C") for name in ("bar.axle", "bar.frame") for axis in "xyz"]
    return (
        *sided,
        *centre,
        *(Key(name, "C") for name in ("axle.x_ride", "axle.z_ride", "pinion.up")),
    )


def pair(values: Mapping[Key, float], name: str) -> Array:
    """Left and right point in truck coordinates, (2, 3); the right's y, read outward, becomes
    negative.
    """
    left, right = (
        np.array([values[Key(f"{name}.{axis}", side)] for axis in "xyz"]) for side in SIDES
    )
    return np.array((left, right * MIRROR))


def point(values: Mapping[Key, float], name: str) -> Array:
    """A point of the center, (3,)."""
    return np.array([values[Key(f"{name}.{axis}", "C")] for axis in "xyz"])


AXES = {
    "lower_bolt": "lower arm bolt at the axle",
    "upper_bolt": "upper-arm bolt at the axle",
    "upper_joint_bolt": "upper joint's bolt",
    "frame_joint_bolt": "frame joint's bolt",
}
"""Bolts with an axis reading of their own: field arms.<name>_plan and _tilt, and what they are
called.
"""


def axis_keys(base: str) -> tuple[Key, ...]:
    """The four angles of one kind of bolt: plan and tilt, left and right."""
    return tuple(Key(f"arms.{base}_{angle}", side) for side in SIDES for angle in ("plan", "tilt"))


def _angles(values: Mapping[Key, float], base: str) -> Array:
    """Plan and tilt, left and right (2, 2), rad; square where not read."""
    return np.array([values.get(key, 0.0) for key in axis_keys(base)]).reshape(2, 2)


def axes(values: Mapping[Key, float], base: str) -> Array:
    """Directions of the left and right bolt, (2, 3), toward the left; along y where not read."""
    plan, tilt = np.tan(_angles(values, base)).T * np.array((1.0, -1.0))
    return along(np.column_stack((plan, np.ones(2), tilt)))


def turns(values: Mapping[Key, float], base: str) -> Array:
    """Small turns of the left and right bolt off where its link has it square, (2, 3)."""
    plan, tilt = _angles(values, base).T * np.array((1.0, -1.0))
    return np.column_stack((tilt, np.zeros(2), -plan))


def linkage(values: Mapping[Key, float], lower: Bush, upper: Bush) -> Linkage:
    """The linkage of a solved layout. KeyError for a value that waits; ``needs`` lists them."""
    centre = np.array((values[Key("axle.x_ride", "C")], 0.0, values[Key("axle.z_ride", "C")]))
    return Linkage(
        centre,
        np.array(values[Key("pinion.up", "C")]),
        pair(values, "arm.joint"),
        pair(values, "arm.bolt"),
        pair(values, "upper.joint"),
        pair(values, "upper.mount"),
        point(values, "bar.axle"),
        point(values, "bar.frame"),
        axes(values, "lower_bolt"),
        axes(values, "upper_bolt"),
        rates(lower, upper),
        turn_joint=turns(values, "frame_joint_bolt"),
        turn_upper=turns(values, "upper_joint_bolt"),
    )


def stack(many: Iterable[Linkage]) -> Linkage:
    """Variants on a leading axis."""
    return Linkage(*map(np.stack, zip(*many, strict=True)))


def spread(links: Linkage, each: int) -> Linkage:
    """Every variant repeated ``each`` times, to be solved at as many positions."""
    return Linkage(*(np.repeat(rows, each, axis=0) for rows in links))


def lengths(links: Linkage) -> Array:
    """Track-bar length."""
    return np.asarray(np.linalg.norm(links.bar_axle - links.bar_frame, axis=-1) + links.bar_more)


def along(vectors: Array) -> Array:
    """Unit vectors."""
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))

"""What travel needs of a chassis, in truck coordinates at ride height, left [0] and right [1] each
on its own.

Every array may carry a leading axis of variants; a single linkage has none. mm, N, radians.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np

from ..arrays import Array
from ..quantities import SIDES, Key


class Bush(NamedTuple):
    """Rates of one bushing about its bolt.

    ``radial`` and ``axial`` N/mm; ``torsion`` about the bolt and ``cone`` across it N mm/rad.
    The order of the fields is the order of the columns of ``Linkage.rates``.
    """

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

    center: Array
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
        """How many linkages are stacked; 0 for a single one.

        The length of the first axis of every array of it, where there is one.
        """
        return len(self.center) if self.center.ndim > 1 else 0


MIRROR = np.array((1.0, -1.0, 1.0))


def rates(lower: Bush, upper: Bush) -> Array:
    """Rates of the four bushings as ``Linkage.rates`` has them, (4, 4).

    Rows lower left, lower right, upper left, upper right; columns as ``Bush``, N/mm and N mm/rad.
    """
    return np.array((lower, lower, upper, upper), dtype=float)


def needs() -> tuple[Key, ...]:
    """Keys without which there is no linkage.

    Joints and bolts of both sides, both ends of the track bar, the axle's place at ride height and
    the pinion's rise; what ``linkage`` would raise KeyError for.
    """
    sided = [
        Key(f"{name}.{axis}", side)
        for name in ("arm.joint", "arm.bolt", "upper.joint", "upper.mount")
        for axis in "xyz"
        for side in SIDES
    ]
    center = [Key(f"{name}.{axis}", "C") for name in ("bar.axle", "bar.frame") for axis in "xyz"]
    return (
        *sided,
        *center,
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
    """A point of the center in truck coordinates, (3,), mm.

    ``name`` is what stands before the axis: "bar.axle". KeyError if a coordinate waits.
    """
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
    """The four angles of one kind of bolt: plan and tilt, left then right.

    ``base`` is a name of ``AXES``. The angles are in radians, and read or not.

    >>> [str(key) for key in axis_keys("lower_bolt")][:2]
    ['arms.lower_bolt_plan.left', 'arms.lower_bolt_tilt.left']
    """
    return tuple(Key(f"arms.{base}_{angle}", side) for side in SIDES for angle in ("plan", "tilt"))


def _angles(values: Mapping[Key, float], base: str) -> Array:
    """Plan and tilt, left and right (2, 2), rad; square where not read."""
    return np.array([values.get(key, 0.0) for key in axis_keys(base)]).reshape(2, 2)


def axes(values: Mapping[Key, float], base: str) -> Array:
    """Directions of the left and right bolt, unit vectors (2, 3), both toward the left.

    ``base`` is a name of ``AXES``, its angles in ``values`` radians; where none is read the bolt
    lies along y.

    >>> axes({}, "lower_bolt")[0].tolist()
    [0.0, 1.0, 0.0]
    """
    plan, tilt = np.tan(_angles(values, base)).T * np.array((1.0, -1.0))
    return along(np.column_stack((plan, np.ones(2), tilt)))


def turns(values: Mapping[Key, float], base: str) -> Array:
    """Small turns of the left and right bolt off where its link has it square, (2, 3), rad.

    About the truck's x, y, z, to first order; ``base`` is a name of ``AXES``, zero where its
    angles are not read.
    """
    plan, tilt = _angles(values, base).T * np.array((1.0, -1.0))
    return np.column_stack((tilt, np.zeros(2), -plan))


def linkage(values: Mapping[Key, float], lower: Bush, upper: Bush) -> Linkage:
    """The linkage of a solved layout, mm and radians, with the rates of its bushings.

    ``values``: solved values by key, internal units; ``lower``, ``upper``: rates at the axle of
    radius arms and upper arms. As designed, so that everything off by building is zero.
    KeyError for a value that waits; ``needs`` lists them all.
    """
    center = np.array((values[Key("axle.x_ride", "C")], 0.0, values[Key("axle.z_ride", "C")]))
    return Linkage(
        center=center,
        up=np.array(values[Key("pinion.up", "C")]),
        joint=pair(values, "arm.joint"),
        bolt=pair(values, "arm.bolt"),
        upper=pair(values, "upper.joint"),
        mount=pair(values, "upper.mount"),
        bar_axle=point(values, "bar.axle"),
        bar_frame=point(values, "bar.frame"),
        axis_lower=axes(values, "lower_bolt"),
        axis_upper=axes(values, "upper_bolt"),
        rates=rates(lower, upper),
        turn_joint=turns(values, "frame_joint_bolt"),
        turn_upper=turns(values, "upper_joint_bolt"),
    )


def stack(many: Iterable[Linkage]) -> Linkage:
    """Variants on a leading axis: M single linkages become one whose arrays are (M, ...).

    ValueError if they are not alike in shape, TypeError if there is none.
    """
    return Linkage(*map(np.stack, zip(*many, strict=True)))


def spread(links: Linkage, each: int) -> Linkage:
    """Every variant repeated ``each`` times, to be solved at as many positions.

    Arrays (M, ...) become (M * each, ...), the repeats of a variant side by side.
    """
    return Linkage(*(np.repeat(rows, each, axis=0) for rows in links))


def lengths(links: Linkage) -> Array:
    """Track-bar length between its eyes, as built, mm.

    (...) as the variants; a scalar array for a single linkage.
    """
    return np.asarray(np.linalg.norm(links.bar_axle - links.bar_frame, axis=-1) + links.bar_more)


def along(vectors: Array) -> Array:
    """Unit vectors of ``vectors`` (..., 3), any unit; NaN where one has no length.

    >>> along(np.array((3.0, 0.0, 4.0))).round(9).tolist()
    [0.6, 0.0, 0.8]
    """
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))

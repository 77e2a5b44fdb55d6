"""What rides on the linkage and is read off at every position: kingpins, steering, coils,
driveline, weights. What waits is None.

Truck coordinates at ride height, left [0] and right [1]; mm, N, radians.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import NamedTuple, TypeVar

import numpy as np

from ..arrays import Array
from ..quantities import Key
from .linkage import pair, point
from .turning import about


class Steering(NamedTuple):
    """Kingpin directions and a point on each in the axle turned to ride height; drag link from
    ``ball`` on knuckle ``side`` to ``pitman``; tie-rod balls (2, 3) or None.
    """

    kingpin: Array
    at: Array
    ball: Array
    side: int
    pitman: Array
    tie: Array | None


class Coils(NamedTuple):
    """Lower and upper seats (2, 3), normal of the lower seats at ride height (3,), free length,
    rate, radius to the wire's outside.
    """

    lower: Array
    upper: Array
    normal: Array
    free: Array
    rate: float
    radius: float


class Shaft(NamedTuple):
    """Pinion joint and its axis pointing rearward, output joint and its axis pointing forward at
    ride height.
    """

    pinion: Array
    pinion_axis: Array
    output: Array
    output_axis: Array


class Weights(NamedTuple):
    """Wheelbase, height of the center of gravity, front share of braking; low and high where
    bracketed.
    """

    wheelbase: float
    cg: tuple[float, float]
    brake: tuple[float, float]


class Gear(NamedTuple):
    """Everything read off beside the linkage; each subject is None where it waits.

    ``waits``: subject ("steering", "coils", "driveline", "weights") -> keys owed. Points mm in
    truck axes, forces N, rates N/mm.
    """

    steering: Steering | None
    coils: Coils | None
    shaft: Shaft | None
    weights: Weights | None
    waits: Mapping[str, tuple[Key, ...]]


Fitted = TypeVar("Fitted")
ASSUMED_CG = (26 * 25.4, 36 * 25.4)
ASSUMED_BRAKE = (0.55, 0.75)


def gear(values: Mapping[Key, float]) -> Gear:
    """Gear of a solved layout; each subject stands on its own.

    ``values``: solved values by key, internal units. Nothing is raised for what is not there: the
    subject is None and ``Gear.waits`` names its keys.
    """
    waits: dict[str, tuple[Key, ...]] = {}

    def made(name: str, make: Callable[[AskedValues], Fitted]) -> Fitted | None:
        seen = AskedValues(values)
        try:
            return make(seen)
        except KeyError:
            waits[name] = tuple(seen.missing)
            return None

    return Gear(
        made("steering", _steering),
        made("coils", _coils),
        made("driveline", _shaft),
        made("weights", _weights),
        waits,
    )


class AskedValues(dict[Key, float]):
    """Values that remember what was asked for in vain.

    Raises KeyError as any mapping does; ``missing`` holds the keys asked for and not there. What
    may be left out is asked for with ``get`` and not held.

    >>> seen = AskedValues({})
    >>> seen.get(Key("axle.kpi", "C"), 0.0), len(seen.missing)
    (0.0, 0)
    """

    def __init__(self, values: Mapping[Key, float]) -> None:
        super().__init__(values)
        self.missing: list[Key] = []

    def __missing__(self, key: Key) -> float:
        """Note the key, and fail as any mapping does."""
        self.missing.append(key)
        raise KeyError(key)


def _c(values: Mapping[Key, float], name: str) -> float:
    return values[Key(name, "C")]


def on_axle(values: Mapping[Key, float], local: Array) -> Array:
    """Axle-local points (..., 3) in truck coordinates at ride height, mm.

    Local axes stand at the axle's center and are turned with the pinion, up as positive. KeyError
    while the axle's place or the pinion's rise waits.
    """
    center = np.array((_c(values, "axle.x_ride"), 0.0, _c(values, "axle.z_ride")))
    return np.asarray(center + local @ about(1, _c(values, "pinion.up")).T)


def _steering(values: Mapping[Key, float]) -> Steering:
    lean, kpi, beside = (
        math.tan(_c(values, "axle.caster_at_level_pinion")),
        math.tan(_c(values, "axle.kpi")),
        _c(values, "axle.kingpin_y"),
    )
    kingpin = np.array(((-lean, -kpi, 1.0), (-lean, kpi, 1.0)))
    kingpin = (kingpin / np.linalg.norm(kingpin, axis=1, keepdims=True)) @ about(
        1, _c(values, "pinion.up")
    ).T
    at = on_axle(values, np.array(((0.0, beside, 0.0), (0.0, -beside, 0.0))))
    ball = on_axle(values, point(values, "axle.drag_link_ball"))
    tie = None
    if Key("axle.tie_rod_end.x", "C") in values:
        end = point(values, "axle.tie_rod_end")
        tie = on_axle(values, np.array((end, end * (1, -1, 1))))
    return Steering(
        kingpin, at, ball, 0 if ball[1] > 0 else 1, point(values, "steering.pitman_ball"), tie
    )


def _coils(values: Mapping[Key, float]) -> Coils:
    wedge = (
        values[Key("spring.pad_wedge", "C")]
        if Key("spring.pad_wedge", "C") in values
        else values[Key("spring.wedge", "L")]
    )
    normal = about(1, _c(values, "pinion.up") + wedge)[:, 2]
    free = values[Key("spring.free_length", "C")]
    radius = (_c(values, "spring.mean_diameter") + _c(values, "spring.wire")) / 2
    return Coils(
        pair(values, "seat.lower"),
        pair(values, "seat.upper"),
        normal,
        np.array((free, free)),
        _c(values, "spring.rate"),
        radius,
    )


def _shaft(values: Mapping[Key, float]) -> Shaft:
    up, down = _c(values, "pinion.up"), _c(values, "driveline.output_axis_down")
    joint = on_axle(values, point(values, "axle.pinion_joint"))
    return Shaft(
        joint,
        about(1, up) @ np.array((-1.0, 0.0, 0.0)),
        point(values, "driveline.output"),
        np.array((math.cos(down), 0.0, -math.sin(down))),
    )


def _weights(values: Mapping[Key, float]) -> Weights:
    height, brake = (
        values.get(Key("travel.cg_height", "C")),
        values.get(Key("travel.brake_front", "C")),
    )
    return Weights(
        _c(values, "frame.wheelbase"),
        (height, height) if height is not None else ASSUMED_CG,
        (brake, brake) if brake is not None else ASSUMED_BRAKE,
    )

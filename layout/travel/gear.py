"""What rides on the linkage and is read off at every position: kingpins, steering, coils,
driveline, weights. What waits is None.

Truck coordinates at ride height, left [0] and right [1]; mm, N, radians.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import NamedTuple, TypeVar

import numpy as np

from ..quantities import Key
from .linkage import pair, point
from .turning import Array, about


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
    """Everything read off beside the linkage. ``waits``: subject -> keys owed."""

    steering: Steering | None
    coils: Coils | None
    shaft: Shaft | None
    weights: Weights | None
    waits: Mapping[str, tuple[Key, ...]]


Subject = TypeVar("Subject")
ASSUMED_CG = (26 * 25.4, 36 * 25.4)
ASSUMED_BRAKE = (0.55, 0.75)


def gear(v: Mapping[Key, float]) -> Gear:
    """Gear of a solved layout; each subject stands on its own."""
    waits: dict[str, tuple[Key, ...]] = {}

    def made(name: str, make: Callable[[Seen], Subject]) -> Subject | None:
        seen = Seen(v)
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


class Seen(dict[Key, float]):
    """Values that remember what was asked for in vain."""

    def __init__(self, v: Mapping[Key, float]) -> None:
        super().__init__(v)
        self.missing: list[Key] = []

    def __missing__(self, k: Key) -> float:
        """Note the key, and fail as any mapping does."""
        self.missing.append(k)
        raise KeyError(k)


def _c(v: Mapping[Key, float], name: str) -> float:
    return v[Key(name, "C")]


def on_axle(v: Mapping[Key, float], local: Array) -> Array:
    """Axle-local points (..., 3) in truck coordinates at ride height."""
    centre = np.array((_c(v, "axle.x_ride"), 0.0, _c(v, "axle.z_ride")))
    return np.asarray(centre + local @ about(1, _c(v, "pinion.up")).T)


def _steering(v: Mapping[Key, float]) -> Steering:
    lean, kpi, y = (
        math.tan(_c(v, "axle.caster_at_level_pinion")),
        math.tan(_c(v, "axle.kpi")),
        _c(v, "axle.kingpin_y"),
    )
    k = np.array(((-lean, -kpi, 1.0), (-lean, kpi, 1.0)))
    k = (k / np.linalg.norm(k, axis=1, keepdims=True)) @ about(1, _c(v, "pinion.up")).T
    at = on_axle(v, np.array(((0.0, y, 0.0), (0.0, -y, 0.0))))
    ball = on_axle(v, point(v, "axle.drag_link_ball"))
    tie = None
    if Key("axle.tie_rod_end.x", "C") in v:
        end = point(v, "axle.tie_rod_end")
        tie = on_axle(v, np.array((end, end * (1, -1, 1))))
    return Steering(k, at, ball, 0 if ball[1] > 0 else 1, point(v, "steering.pitman_ball"), tie)


def _coils(v: Mapping[Key, float]) -> Coils:
    wedge = (
        v[Key("spring.pad_wedge", "C")]
        if Key("spring.pad_wedge", "C") in v
        else v[Key("spring.wedge", "L")]
    )
    normal = about(1, _c(v, "pinion.up") + wedge)[:, 2]
    free = v[Key("spring.free_length", "C")]
    radius = (_c(v, "spring.mean_diameter") + _c(v, "spring.wire")) / 2
    return Coils(
        pair(v, "seat.lower"),
        pair(v, "seat.upper"),
        normal,
        np.array((free, free)),
        _c(v, "spring.rate"),
        radius,
    )


def _shaft(v: Mapping[Key, float]) -> Shaft:
    up, down = _c(v, "pinion.up"), _c(v, "driveline.output_axis_down")
    joint = on_axle(v, point(v, "axle.pinion_joint"))
    return Shaft(
        joint,
        about(1, up) @ np.array((-1.0, 0.0, 0.0)),
        point(v, "driveline.output"),
        np.array((math.cos(down), 0.0, -math.sin(down))),
    )


def _weights(v: Mapping[Key, float]) -> Weights:
    cg, brake = v.get(Key("travel.cg_height", "C")), v.get(Key("travel.brake_front", "C"))
    return Weights(
        _c(v, "frame.wheelbase"),
        (cg, cg) if cg is not None else ASSUMED_CG,
        (brake, brake) if brake is not None else ASSUMED_BRAKE,
    )

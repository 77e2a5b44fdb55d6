"""What the loads rest on: weights, linkage, coils, stops and limiters of a solved layout."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from .. import units
from ..arrays import Array
from ..quantities import SIDES, Key
from ..travel import rates_of
from ..travel.gear import ASSUMED_CG, gear
from ..travel.linkage import Linkage, linkage, pair

E_STEEL = 200_000.0
"""Modulus of elasticity of steel, MPa (EN 1993-1-1 3.2.6 has 210 000, AISC 360 has 29 000 ksi)."""
SHARE_FRONT = (0.45, 0.6)
"""Front axle's share of the whole weight where it is not read, heaviest truck first (judgment, no
source).
"""
LEAST_BAR_WALL = 0.12 * units.IN
"""Wall of a track bar where it is not read: the least in common use (common practice, no
source).
"""
_CENTER_NEEDS = (
    "spring.axle_load",
    "spring.unsprung",
    "spring.rate",
    "axle.wheel_track",
    "frame.wheelbase",
    "axle.tire_loaded_radius",
    "travel.bump",
    "travel.droop",
    "travel.stop_free",
    "travel.stop_compressed",
    "arms.tube_od",
    "arms.tube_wall",
    "track_bar.od",
)
_SIDED_NEEDS = ("spring.load", "seat.upper.z", "arm.cc", "upper.cc", "rail.stop.x")
_BESIDE = Key("stop.pad.z", "L")
"""Solved of a stop beside the coil only, which pushes at a place of its own."""


class LoadBasis(NamedTuple):
    """What of a truck makes its loads; mm, N, N/mm, truck axes, left [0] and right [1].

    ``wheel``: static load of a front wheel; ``weight``: whole truck; ``cg_height`` above the floor;
    ``coil_lower``, ``coil_upper``: seats (2, 3); ``preload``: coil loads at rest (2,); ``stop_gap``
    up to the stop, ``stop_squash`` from there until it is solid; ``stop_pad`` where a stop beside
    the coil pushes on the axle (2, 3), None where it stands inside the coil; ``strap_gap`` down to
    the limiter; ``arm_inertia`` (mm4) and ``arm_area`` of a radius arm's tube, ``bar_area`` of the
    track bar.
    """

    linkage: Linkage
    wheel: float
    weight: float
    unsprung: float
    cg_height: float
    wheelbase: float
    track: float
    tire_radius: float
    coil_lower: Array
    coil_upper: Array
    coil_rate: float
    preload: Array
    stop_gap: float
    stop_squash: float
    stop_pad: Array | None
    strap_gap: float
    arm_inertia: float
    arm_area: float
    bar_area: float


def missing_for_loads(values: Mapping[Key, float]) -> tuple[Key, ...]:
    """Keys that are not among ``values`` and without which there are no loads.

    ``values``: solved values by key. What is one for both sides comes before left and right;
    empty where ``load_basis`` has all it asks for by these names.
    """
    beside = ("stop.pad.x", "stop.pad.y") if _BESIDE in values else ()
    every = (
        *(Key(name, "C") for name in _CENTER_NEEDS),
        *(Key(name, side) for name in (*_SIDED_NEEDS, *beside) for side in SIDES),
    )
    return tuple(key for key in every if key not in values)


def load_basis(values: Mapping[Key, float]) -> LoadBasis:
    """What the loads rest on, from the values of a solved layout.

    Raises KeyError for what waits; ``missing_for_loads`` lists all of it.
    """

    def center(name: str) -> float:
        return values[Key(name, "C")]

    (lower, upper), _ = rates_of(values)
    links, riding = linkage(values, lower, upper), gear(values)
    if riding.coils is None:
        raise KeyError("spring.rate")
    front = center("spring.axle_load")
    arm_od, arm_wall = center("arms.tube_od"), center("arms.tube_wall")
    bar_od = center("track_bar.od")
    bar_wall = values.get(Key("track_bar.wall", "C"), LEAST_BAR_WALL)
    squash = center("travel.stop_free") - center("travel.stop_compressed")
    return LoadBasis(
        linkage=links,
        wheel=front / 2,
        weight=values.get(Key("spring.truck_weight", "C"), front / SHARE_FRONT[0]),
        unsprung=center("spring.unsprung"),
        cg_height=values.get(Key("travel.cg_height", "C"), ASSUMED_CG[1]),
        wheelbase=center("frame.wheelbase"),
        track=center("axle.wheel_track"),
        tire_radius=center("axle.tire_loaded_radius"),
        coil_lower=riding.coils.lower,
        coil_upper=riding.coils.upper,
        coil_rate=riding.coils.rate,
        preload=np.array([values[Key("spring.load", side)] for side in SIDES]),
        stop_gap=center("travel.bump") - squash,
        stop_squash=squash,
        stop_pad=pair(values, "stop.pad") if _BESIDE in values else None,
        strap_gap=center("travel.droop"),
        arm_inertia=math.pi / 64 * (arm_od**4 - (arm_od - 2 * arm_wall) ** 4),
        arm_area=math.pi * (arm_od - arm_wall) * arm_wall,
        bar_area=math.pi / 4 * (bar_od**2 - max(bar_od - 2 * bar_wall, 0.0) ** 2),
    )

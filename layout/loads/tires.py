"""What the ground does to both front tires in each kind of load case.

Every function takes the truck, the case's factor and the wheel the case is about (0 left, 1 right),
and returns the force of the ground on both tires at the contact patches, (2, 3), N, truck axes.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from ..travel.turning import Array
from .basis import LoadBasis

TireForces = Callable[[LoadBasis, float, int], Array]
STEP = 0.1
"""Height of the pothole's step as a share of the tire's radius (Brown, Robertson and Serpento,
Motor Vehicle Structures, p. 22: H/R).
"""
POTHOLE_LIFT = 3.0
"""Upward load of the wheel in the pothole, times static (judgment, no source)."""


def _outward(wheel: int) -> int:
    """Which way along y the ground pushes that wheel when the truck leans on it."""
    return -1 if wheel == 0 else 1


def standing(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Both wheels carry what they carry at rest."""
    return np.array(((0.0, 0.0, truck.wheel), (0.0, 0.0, truck.wheel)))


def bump(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Both wheels carry ``factor`` times static."""
    ground = standing(truck, factor, wheel)
    ground[:, 2] = factor * truck.wheel
    return ground


def twist(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """``factor`` times the axle's load on one wheel, none on the other."""
    ground = np.zeros((2, 3))
    ground[wheel, 2] = factor * 2 * truck.wheel
    return ground


def road_twist(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """A share of a wheel's load moves to the one wheel from the other."""
    ground = standing(truck, factor, wheel)
    ground[wheel, 2] = (1 + factor) * truck.wheel
    ground[1 - wheel, 2] = (1 - factor) * truck.wheel
    return ground


def _slowed(truck: LoadBasis, factor: float, way: int) -> Array:
    """``factor`` g along the truck, ``way`` -1 rearward, with the load it moves between axles."""
    ground = np.zeros((2, 3))
    shift = truck.weight * factor * truck.cg_height / truck.wheelbase / 2
    ground[:, 2] = max(truck.wheel - way * shift, 0.0)
    ground[:, 0] = way * factor * ground[:, 2]
    return ground


def braking(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Braking at ``factor`` g while driving forward."""
    return _slowed(truck, factor, -1)


def reverse_braking(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Braking at ``factor`` g while driving backward."""
    return _slowed(truck, factor, 1)


def pothole(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel against a step of ``STEP`` of its radius: horizontal share tan(acos(1 - H/R))."""
    ground = standing(truck, factor, wheel)
    ground[wheel] = (
        -factor * truck.wheel * math.tan(math.acos(1 - STEP)),
        0.0,
        POTHOLE_LIFT * truck.wheel,
    )
    return ground


def cornering(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Side force of ``factor`` times the load, load moved to the outer wheel (the one named)."""
    ground = np.zeros((2, 3))
    shift = min(factor * 2 * truck.wheel * truck.cg_height / truck.track, truck.wheel)
    ground[wheel, 2], ground[1 - wheel, 2] = truck.wheel + shift, truck.wheel - shift
    ground[:, 1] = _outward(wheel) * factor * ground[:, 2]
    return ground


def curb(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel against a curb: ``factor`` times the side force at which the truck tips."""
    ground = standing(truck, factor, wheel)
    tipping = factor * 2 * truck.wheel * truck.track / (2 * truck.cg_height)
    ground[wheel, 1] = _outward(wheel) * tipping
    return ground


def pull(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel pulls with ``factor`` times static and carries as much."""
    ground = standing(truck, factor, wheel)
    ground[wheel] = (factor * truck.wheel, 0.0, factor * truck.wheel)
    return ground


def recovery(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """The tires hold ``factor`` times the truck's weight that pulls at the frame."""
    ground = standing(truck, factor, wheel)
    ground[:, 0] = factor * truck.weight / 2
    return ground

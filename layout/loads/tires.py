"""What the ground does to both front tires in each kind of load case.

Every function takes the truck, the case's factor and the wheel the case is about (0 left, 1 right),
and returns the force of the ground on both tires, (2, 3), N, truck axes, at the contact patches
unless the case's ``at`` says where: (2, 3), mm, from each hub.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from ..arrays import Array
from .basis import LoadBasis

TireForces = Callable[[LoadBasis, float, int], Array]
Places = Callable[[LoadBasis], Array]
STEP = 0.1
"""Height of the pothole's step as a share of the tire's radius (Brown, Robertson and Serpento,
Motor Vehicle Structures, p. 22: H/R, shown for 0.1 to 0.5).
"""
DEEP, LEDGE = 0.25, 0.5
"""The same of a deep pothole hit as fast, and of a ledge that is crawled against."""
POTHOLE_LIFT = 3.0
"""Upward load of the wheel in the pothole, times static (judgment, no source)."""


def _outward(wheel: int) -> int:
    """Which way along y the ground pushes that wheel when the truck leans on it."""
    return -1 if wheel == 0 else 1


def standing(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Both wheels carry what they carry at rest, (2, 3), N.

    ``factor`` and ``wheel`` change nothing.
    """
    return np.array(((0.0, 0.0, truck.wheel), (0.0, 0.0, truck.wheel)))


def bump(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Both wheels carry ``factor`` times static, (2, 3), N; ``wheel`` changes nothing.

    Upward only. What the springs and stops make of it is not worked here: ``factor`` holds the
    impact.
    """
    ground = standing(truck, factor, wheel)
    ground[:, 2] = factor * truck.wheel
    return ground


def twist(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """``factor`` times the axle's load on one wheel, none on the other, (2, 3), N.

    At ``factor`` 1 the axle carries as much as at rest, all of it on ``wheel``.
    """
    ground = np.zeros((2, 3))
    ground[wheel, 2] = factor * 2 * truck.wheel
    return ground


def road_twist(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """A share of a wheel's load moves to the one wheel from the other, (2, 3), N.

    ``factor``: the share, 0 to 1; both together carry as much as at rest.
    """
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
    """Braking at ``factor`` g while driving forward, (2, 3), N; both wheels alike.

    Load moved to the front axle: weight x factor x height of its center / wheelbase.
    """
    return _slowed(truck, factor, -1)


def reverse_braking(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Braking at ``factor`` g while driving backward, (2, 3), N; both wheels alike.

    The same load moves off the front axle, down to none.
    """
    return _slowed(truck, factor, 1)


def slope(step: float) -> float:
    """Force along the truck over force upward at the edge of a step of ``step`` of the tire's
    radius, through the hub: tan(acos(1 - H/R)).
    """
    return math.tan(math.acos(1 - step))


def _against(truck: LoadBasis, step: float, loads: tuple[float, float], wheel: int) -> Array:
    """One wheel against a step; ``loads``: times static along the truck before the slope, and
    upward.
    """
    ground = standing(truck, 1.0, wheel)
    ground[wheel] = -loads[0] * truck.wheel * slope(step), 0.0, loads[1] * truck.wheel
    return ground


def pothole(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel against a step of ``STEP`` of its radius, (2, 3), N.

    ``factor``: times static along the truck before the slope of the step; upward
    ``POTHOLE_LIFT`` times static. The other wheel stands.
    """
    return _against(truck, STEP, (factor, POTHOLE_LIFT), wheel)


def deep_pothole(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel against a step of ``DEEP`` of its radius, (2, 3), N; else as ``pothole``.

    Steeper than ``pothole``'s step, so that more of the same blow goes along the truck (``slope``).

    >>> round(slope(STEP), 2), round(slope(DEEP), 2)
    (0.48, 0.88)
    """
    return _against(truck, DEEP, (factor, POTHOLE_LIFT), wheel)


def ledge(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel crawls against a step of ``LEDGE`` of its radius and carries ``factor`` times
    static there.
    """
    return _against(truck, LEDGE, (factor, factor), wheel)


def at_ledge(truck: LoadBasis) -> Array:
    """The ledge's edge, (2, 3), mm from each hub.

    The force goes through the hub: a rolling wheel takes no other.
    """
    ahead = truck.tire_radius * math.sin(math.acos(1 - LEDGE))
    return np.array(((ahead, 0.0, -truck.tire_radius * (1 - LEDGE)),) * 2)


def cornering(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Side force of ``factor`` times the load, load moved to the outer wheel, (2, 3), N.

    ``wheel`` is the outer one. Moved: side force x height of the center of gravity / track, at
    most all that the inner wheel carries.
    """
    ground = np.zeros((2, 3))
    shift = min(factor * 2 * truck.wheel * truck.cg_height / truck.track, truck.wheel)
    ground[wheel, 2], ground[1 - wheel, 2] = truck.wheel + shift, truck.wheel - shift
    ground[:, 1] = _outward(wheel) * factor * ground[:, 2]
    return ground


def curb(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel against a curb: ``factor`` times the side force at which the truck tips, (2, 3), N.

    Tips: axle load x half the track / height of the center of gravity, about the outer patch.
    """
    ground = standing(truck, factor, wheel)
    tipping = factor * 2 * truck.wheel * truck.track / (2 * truck.cg_height)
    ground[wheel, 1] = _outward(wheel) * tipping
    return ground


def pull(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel pulls with ``factor`` times static and carries as much, (2, 3), N.

    The other wheel stands; grip of one.
    """
    ground = standing(truck, factor, wheel)
    ground[wheel] = (factor * truck.wheel, 0.0, factor * truck.wheel)
    return ground


def pull_back(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel pushes rearward with ``factor`` times static and carries as much, (2, 3), N.

    As ``pull``, the force along the truck the other way.
    """
    ground = pull(truck, factor, wheel)
    ground[wheel, 0] *= -1
    return ground


def pull_both(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """Both wheels pull with ``factor`` times static and carry as much, (2, 3), N.

    Grip of one; ``wheel`` changes nothing.
    """
    ground = bump(truck, factor, wheel)
    ground[:, 0] = ground[:, 2]
    return ground


def twist_pull(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """``factor`` times the axle's load on one wheel, which pulls as much, (2, 3), N.

    The other wheel is in the air.
    """
    ground = twist(truck, factor, wheel)
    ground[wheel, 0] = ground[wheel, 2]
    return ground


def twist_pull_back(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """``factor`` times the axle's load on one wheel, which pushes rearward as much, (2, 3), N.

    As ``twist_pull``, the force along the truck the other way.
    """
    ground = twist_pull(truck, factor, wheel)
    ground[wheel, 0] *= -1
    return ground


def recovery(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """The tires hold ``factor`` times the truck's weight that pulls at the frame, (2, 3), N.

    Half of it on each, forward; ``wheel`` changes nothing.
    """
    ground = standing(truck, factor, wheel)
    ground[:, 0] = factor * truck.weight / 2
    return ground


def pushed(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """The tires hold ``factor`` times the truck's weight that pushes at the frame, (2, 3), N.

    As ``recovery``, the force along the truck the other way.
    """
    return recovery(truck, factor, wheel) * (-1.0, 1.0, 1.0)


def winch(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """A line pulls forward with ``factor`` times the truck's weight, both front wheels stand
    against a ledge.
    """
    ground = standing(truck, factor, wheel)
    ground[:, 0] = -factor * truck.weight / 2
    return ground


def lifted(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """A jack under the axle lifts one wheel with ``factor`` times its static load, (2, 3), N.

    The other wheel stands.
    """
    ground = standing(truck, factor, wheel)
    ground[wheel, 2] = factor * truck.wheel
    return ground


def hanging(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """One wheel hangs, a jack holds the frame, (2, 3), N; the other wheel stands.

    ``wheel``: the one that hangs, 0 left, 1 right; ``factor`` changes nothing. The jack's own force
    is the case's ``jack`` (``bracket_lift``).
    """
    ground = standing(truck, factor, wheel)
    ground[wheel] = 0.0
    return ground


def bracket_lift(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """A jack under one arm's bracket: ``factor`` times a wheel's static load upward, (2, 3), N.

    On the brackets of the left [0] and right [1] arm, not on the tires.
    """
    force = np.zeros((2, 3))
    force[wheel, 2] = factor * truck.wheel
    return force


def nothing(truck: LoadBasis, factor: float, wheel: int) -> Array:
    """No jack: zeros (2, 3), N; ``factor`` and ``wheel`` change nothing.

    What a case without a jack has in its place, so that every case has forces on tires and jack.
    """
    return np.zeros((2, 3))


def at_ground(truck: LoadBasis) -> Array:
    """The contact patches, (2, 3), mm from each hub: a loaded tire radius below.

    x forward, y left, z up; row 0 left, 1 right. Where braking and side forces act: their moment
    about the hub is theirs times that radius.
    """
    return np.array(((0.0, 0.0, -truck.tire_radius),) * 2)


def at_hub(truck: LoadBasis) -> Array:
    """As high as the hubs, (2, 3), mm from each hub.

    A rolling wheel against a ledge takes no other force.
    """
    return np.zeros((2, 3))


def at_seats(truck: LoadBasis) -> Array:
    """Under the lower coil seats, as low as the hubs, (2, 3), mm from each hub.

    Where a jack finds the axle tube.
    """
    hubs = truck.linkage.center[1] + np.array((truck.track, -truck.track)) / 2
    across = truck.coil_lower[:, 1] - hubs
    return np.array([(0.0, float(each), 0.0) for each in across])

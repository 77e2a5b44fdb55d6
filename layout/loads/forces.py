"""Forces at every joint, bolt, seat and stop of the axle in each load case."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from ..arrays import Array
from ..quantities import Key
from ..travel.spin import critical
from ..travel.turning import hat
from .basis import load_basis
from .bushings import rate_sets
from .cases import Case, both_hands, jack_forces, tire_forces
from .mechanism import AXLE, Mechanism, Rest, arm_turn, joint_move, upper_turn


class Forces(NamedTuple):
    """One case.

    Forces of the frame or the next part on the part named, N, truck axes; left [0], right [1].
    Already on the allowable scale (``case.share``).

    ``joint`` frame on arm at the frame joint; ``lower`` arm on axle at the lower bolt, ``couple``
    with it (N mm); ``upper`` push + in each upper arm and ``upper_vec`` upper arm on axle; ``bar``
    track bar pulled +; ``coil``, ``stop`` push, ``strap`` pull; ``bend`` arm's bending moment at
    the upper joint (N mm); ``axial`` arm pulled +; ``tire`` ground on tire; ``residual`` largest
    force left over, N; ``flips`` push in an upper arm that flips its radius arm, N, infinite where
    none does; ``jack`` a jack on the arm's bracket; ``bushings``: which rates it was worked with
    (``bushings.RateSet.says``); ``stop_inside``: whether the stops stand inside the coils.
    """

    case: Case
    joint: Array
    lower: Array
    couple: Array
    upper: Array
    upper_vec: Array
    bar: float
    coil: Array
    stop: Array
    strap: Array
    bend: Array
    axial: Array
    tire: Array
    residual: float
    flips: Array
    jack: Array
    bushings: str = ""
    stop_inside: bool = True

    @property
    def seat_stop(self) -> Array:
        """Push of the stops on the coils' seats, (2,), N: none where they stand beside them."""
        return self.stop if self.stop_inside else np.zeros_like(self.stop)

    @property
    def seat(self) -> Array:
        """Push on the coils' seats, (2,), N: of the coils and of what stands inside them."""
        return self.coil + self.seat_stop


class _ArmEnd(NamedTuple):
    """Forces on one side's arm, N and N mm, as the fields of ``Forces``."""

    joint: Array
    lower: Array
    couple: Array
    upper: float
    upper_vec: Array
    bend: float
    axial: float


def forces(
    values: Mapping[Key, float], cases: tuple[Case, ...] | None = None
) -> tuple[Forces, ...]:
    """Forces in every case, both hands, with every set of bushing rates (``rate_sets``, those used
    first); of a solved layout's values.

    Raises KeyError for what waits (``basis.missing_for_loads`` lists it).
    """
    truck = load_basis(values)
    return tuple(
        forces_in(mechanism, case)._replace(bushings=found.says)
        for found in rate_sets(values)
        for mechanism in (
            Mechanism(truck._replace(linkage=truck.linkage._replace(rates=found.rates))),
        )
        for case in cases or both_hands()
    )


def forces_in(mechanism: Mechanism, case: Case) -> Forces:
    """Forces in one case at every joint, bolt, seat and stop, N and N mm, truck axes.

    On the allowable-strength scale (``Case.share``) but for the ground, which is as it is.
    ``residual``: what is left of the sum of all forces on the axle, N before that scale.
    """
    truck = mechanism.truck
    ground = tire_forces(truck, case)
    rest = mechanism.rest(ground, case.at(truck))
    pull = mechanism.bar_rate * (mechanism.bar_row @ rest.moved[AXLE])
    upright = (rest.coil - rest.strap)[:, None] * mechanism.coil_along
    upright = upright + rest.stop[:, None] * mechanism.stop_along
    left_over = (
        ground.sum(0)
        + np.array((0, 0, -truck.unsprung))
        - pull * mechanism.bar_along
        - upright.sum(0)
    )
    ends = [_arm_end(mechanism, rest, side) for side in range(2)]
    for end in ends:
        left_over = left_over + end.joint
    joint, lower, couple, upper, upper_vec, bend, axial = map(np.array, zip(*ends, strict=True))
    share = case.share
    return Forces(
        case=case,
        joint=share * joint,
        lower=share * lower,
        couple=share * couple,
        upper=share * upper,
        upper_vec=share * upper_vec,
        bar=float(share * mechanism.bar_rate * (mechanism.bar_row @ rest.moved[AXLE]) * -1),
        coil=share * rest.coil,
        stop=share * rest.stop,
        strap=share * rest.strap,
        bend=share * bend,
        axial=share * axial,
        tire=ground,
        residual=float(np.abs(left_over).max()),
        flips=np.array([critical(truck.linkage, side) for side in range(2)]),
        jack=share * jack_forces(truck, case),
        stop_inside=truck.stop_pad is None,
    )


def _arm_end(mechanism: Mechanism, rest: Rest, side: int) -> _ArmEnd:
    """Forces on one radius arm, from the stretch of its two bushings."""
    links, moved = mechanism.truck.linkage, rest.moved
    lower = _bushing_force(mechanism, moved, side, side, links.bolt[side])
    upper_vec = _bushing_force(mechanism, moved, side, 2 + side, links.mount[side])
    turn = moved[arm_turn(side)] - moved[3:6]
    bolt = mechanism.frames.n0[0, side]
    torsion, cone = links.rates[side, 2], links.rates[side, 3]
    couple = cone * turn + (torsion - cone) * (bolt @ turn) * bolt
    joint = lower + upper_vec
    link = links.mount[side] - links.upper[side]
    arm = links.joint[side] - links.bolt[side]
    along = arm / np.linalg.norm(arm)
    moment = np.cross(links.joint[side] - links.upper[side], joint)
    return _ArmEnd(
        joint=joint,
        lower=lower,
        couple=couple,
        upper=upper_vec @ (link / np.linalg.norm(link)),
        upper_vec=upper_vec,
        bend=float(np.linalg.norm(moment - (moment @ along) * along)),
        axial=joint @ along,
    )


def _bushing_force(mechanism: Mechanism, moved: Array, side: int, bushing: int, at: Array) -> Array:
    """Force (3,), N, of an arm on the axle through one bushing (rows of ``Linkage.rates``): radial
    rate across its bolt, axial rate along it.
    """
    links, placed = mechanism.truck.linkage, mechanism.frames
    stretch = (
        moved[joint_move(side)]
        - hat(placed.arm_m[0, bushing]) @ moved[arm_turn(side)]
        - hat(placed.arm_g[0, bushing]) @ moved[upper_turn(side)]
        - moved[:3]
        + hat(at - links.center) @ moved[3:6]
    )
    bolt = placed.n0[0, bushing]
    radial, axial = links.rates[bushing, 0], links.rates[bushing, 1]
    force: Array = radial * stretch + (axial - radial) * (bolt @ stretch) * bolt
    return force

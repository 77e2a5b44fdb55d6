"""Axle on two clamped arms as springs: its stiffness, and where it comes to rest under a load.

Exact statics: axle, arms and upper arms are bodies, bushings and the arms' own bending are springs,
the track bar is a bar, coils push, stops and limiters act one way. Linear at ride-height geometry;
every spring force follows from one set of displacements, so that all bodies are in equilibrium to
rounding.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..arrays import Array
from ..travel.bushing import Frames, derivatives
from ..travel.linkage import Linkage
from ..travel.pose import frames
from .basis import E_STEEL, LoadBasis

SOLID_STOP = 20_000.0
"""Rate of a stop squashed solid, N/mm: stiff against every coil (judgment, no source)."""
STRAP = 4_000.0
"""Rate of a limiter pulled tight, N/mm (judgment, no source)."""
SOLID_AT = 2.5
"""Load of a stop just squashed solid, times a wheel's static load (judgment, no source)."""
MOST_TURNS = 30
"""One-way contacts settle in two or three turns; a cycle ends the search earlier."""
FREEDOMS = 24
AXLE = slice(0, 6)


def arm_turn(side: int) -> slice:
    """Where the three small turns of a radius arm stand among the displacements.

    ``side``: 0 left, 1 right; rad about truck x, y, z.

    >>> arm_turn(1)
    slice(9, 12, None)
    """
    return slice(6 + 3 * side, 9 + 3 * side)


def upper_turn(side: int) -> slice:
    """Where the three small turns of an upper arm stand among the displacements.

    ``side``: 0 left, 1 right; rad about truck x, y, z.
    """
    return slice(12 + 3 * side, 15 + 3 * side)


def joint_move(side: int) -> slice:
    """Where the shift of an arm's frame end (the arm bends) stands among the displacements.

    ``side``: 0 left, 1 right; mm along truck x, y, z.
    """
    return slice(18 + 3 * side, 21 + 3 * side)


class Rest(NamedTuple):
    """Where the mechanism stands under a load: displacements (24,), mm and rad; push of coils, pull
    of limiters along the coils and push of stops, (2,), N.
    """

    moved: Array
    coil: Array
    stop: Array
    strap: Array


class Mechanism:
    """Stiffness of the whole: axle 6, turns of the arms 3 each and of the upper arms 3 each, shift
    of the arms' frame ends 3 each.

    What acts one way is added as it touches.

    Attributes
    ----------
    stiffness
        (24, 24), without coils, stops and limiters.
    bar_along, coil_along
        Unit directions of the track bar (3,), axle to frame, and of the coils (2, 3), upward.
    bar_row, coil_rows
        How far the axle's end of the bar (6,) and the lower seats (2, 6) move along them per unit
        of the axle's six displacements.
    stop_along, stop_rows
        As those of the coils for the stops: along the coil inside it, upright where a stop stands
        beside it.
    """

    def __init__(self, truck: LoadBasis) -> None:
        self.truck = truck
        links = truck.linkage
        self.frames = frames(Linkage(*(array[None] for array in links)))
        self.stiffness = _bushings(truck, self.frames)
        for side in range(2):
            at = joint_move(side)
            self.stiffness[at, at] += _arm_spring(truck, side)
        span = links.bar_frame - links.bar_axle
        self.bar_along = span / np.linalg.norm(span)
        self.bar_rate = E_STEEL * truck.bar_area / float(np.linalg.norm(span))
        self.bar_row = self.row(self.bar_along, links.bar_axle)
        self.stiffness[AXLE, AXLE] += self.bar_rate * np.outer(self.bar_row, self.bar_row)
        coils = truck.coil_upper - truck.coil_lower
        self.coil_along = coils / np.linalg.norm(coils, axis=1, keepdims=True)
        self.coil_rows = np.array(
            [self.row(self.coil_along[side], truck.coil_lower[side]) for side in range(2)]
        )
        self.stop_along, self.stop_rows = self.coil_along, self.coil_rows
        if truck.stop_pad is not None:
            self.stop_along = np.tile((0.0, 0.0, 1.0), (2, 1))
            self.stop_rows = np.array([self.row(self.stop_along[0], at) for at in truck.stop_pad])

    def row(self, along: Array, at: Array) -> Array:
        """How far a point ``at`` of the axle moves ``along`` per unit of the axle's six, (6,).

        ``along``: unit direction (3,); ``at``: (3,), mm, truck axes. Three shifts (no unit), then
        three turns about the axle's center (mm per rad).
        """
        return np.concatenate((along, np.cross(at - self.truck.linkage.center, along)))

    def load(self, tires: Array, at: Array) -> Array:
        """Forces and moments (24,) of the ground on the tires (2, 3), at places from the hubs
        (2, 3), and of the axle's weight.
        """
        truck = self.truck
        load = np.zeros(FREEDOMS)
        for side, way in enumerate((1, -1)):
            hub = np.array((0.0, way * truck.track / 2, 0.0))
            load[:3] += tires[side]
            load[3:6] += np.cross(hub + at[side], tires[side])
        load[2] -= truck.unsprung
        return load

    def rest(self, tires: Array, at: Array) -> Rest:
        """Where it comes to rest; what acts one way is settled in turns.

        ``tires``: ground on both tires (2, 3), N; ``at``: places from the hubs (2, 3), mm. Coils,
        stops and limiters are let go or added until none pulls that can only push, at most
        ``MOST_TURNS`` times. LinAlgError if the truck's stiffness is singular.
        """
        truck = self.truck
        load = self.load(tires, at)
        stop_rate = truck.wheel * SOLID_AT / truck.stop_squash
        rates = (truck.coil_rate, stop_rate, SOLID_STOP, STRAP)
        gaps = np.array(
            (
                -truck.preload / truck.coil_rate,
                np.full(2, truck.stop_gap),
                np.full(2, truck.stop_gap + truck.stop_squash),
                np.full(2, -truck.strap_gap),
            )
        )
        touching = np.array(((True, True), (False, False), (False, False), (False, False)))
        seen: set[bytes] = set()
        moved = np.zeros(FREEDOMS)
        for _ in range(MOST_TURNS):
            moved = self._moved(load, rates, gaps, touching)
            lift, squash = self.coil_rows @ moved[AXLE], self.stop_rows @ moved[AXLE]
            now = np.array((lift > gaps[0], *(squash > gaps[1:3]), lift < gaps[3]))
            if np.array_equal(now, touching) or now.tobytes() in seen:
                break
            seen.add(now.tobytes())
            touching = now
        lift = self.coil_rows @ moved[AXLE]
        into_stop = self.stop_rows @ moved[AXLE] - truck.stop_gap
        return Rest(
            moved,
            touching[0] * (truck.preload + truck.coil_rate * lift),
            touching[1] * stop_rate * into_stop
            + touching[2] * SOLID_STOP * (into_stop - truck.stop_squash),
            touching[3] * STRAP * (-truck.strap_gap - lift),
        )

    def _moved(
        self,
        load: Array,
        rates: tuple[float, ...],
        gaps: Array,
        touching: NDArray[np.bool_],
    ) -> Array:
        """Displacements with the coils, stops and limiters that touch, rows of (4, 2)."""
        stiffness, forces = self.stiffness.copy(), load.copy()
        for side in range(2):
            coil, stop = self.coil_rows[side], self.stop_rows[side]
            rows = (coil, stop, stop, coil)
            acting = zip(rows, touching[:, side], rates, gaps[:, side], strict=True)
            for row, there, rate, gap in acting:
                if there:
                    stiffness[AXLE, AXLE] += rate * np.outer(row, row)
                    forces[AXLE] += rate * gap * row
        return np.asarray(np.linalg.solve(stiffness, forces), dtype=np.float64)


def _bushings(truck: LoadBasis, at_ride: Frames) -> Array:
    """Stiffness (24, 24) of the four bushings, the arms' frame ends free to shift."""
    eye = np.eye(3)[None]
    pair = np.broadcast_to(np.eye(3), (1, 2, 3, 3))
    _, bent = derivatives(at_ride, truck.linkage.center[None], eye, pair, pair)
    stiffness = np.zeros((FREEDOMS, FREEDOMS))
    for side in range(2):
        rows = np.r_[AXLE, arm_turn(side), upper_turn(side), joint_move(side)]
        energy = bent[0, side]
        whole = np.zeros((15, 15))
        whole[:12, :12] = energy
        # the frame end's shift acts as the axle's, the other way
        whole[12:, :12], whole[:12, 12:] = -energy[:3], -energy[:3].T
        whole[12:, 12:] = energy[:3, :3]
        stiffness[np.ix_(rows, rows)] += whole
    return stiffness


def _arm_spring(truck: LoadBasis, side: int) -> Array:
    """Stiffness (3, 3) of an arm's frame end against its axle end: a cantilever, 3 EI / l^3 across
    and EA / l along.
    """
    arm = truck.linkage.bolt[side] - truck.linkage.joint[side]
    length = float(np.linalg.norm(arm))
    along = np.outer(arm / length, arm / length)
    bend = 3 * E_STEEL * truck.arm_inertia / length**3
    stretch = E_STEEL * truck.arm_area / length
    spring: Array = bend * (np.eye(3) - along) + stretch * along
    return spring

"""What working the holds leaves for the other sets: weld groups, ears and plates in elements, each
with the way to see it again in other cases.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ...layout.loads.forces import Forces
from ..model.assembly import Weld
from ..model.clause import Clause
from ..model.hold import Pulls, UnderLoad
from ..rules import bolts
from .elements.coil_seat_plate import Seat

WorkedAgain = Callable[[Sequence[Forces]], UnderLoad]
"""The truck as the hold sees it, in other cases."""


class Pieces(NamedTuple):
    """Weld pieces: middles (n, 3) and lengths (n,), mm; legs (n,), walls (n, 2) thickness and
    strength; ends (n, 2, 3), mm; owners (n,), each the place of its weld among the group's.
    """

    middles: Array
    lengths: Array
    legs: Array
    walls: Array
    ends: Array
    owners: Array

    @property
    def corners(self) -> Array:
        """Both ends of every piece, (2n, 3) mm, truck axes: a line is loaded most at an end
        of one.
        """
        return self.ends.reshape(-1, 3)

    @property
    def corner_legs(self) -> Array:
        """Legs at ``corners``, (2n,) mm."""
        return np.repeat(self.legs, 2)

    def unit(self, at: Array, where: Array | None = None) -> Array:
        """Force on a millimeter of weld for one newton along x, y, z (last axis) at ``at`` (3,),
        N/mm.

        Elastic vector method: the group moves as a rigid whole, each piece resists by its length
        and leg. (n, 3, 3) in the middle of each piece; at ``where``, two places a piece, (2n, 3,
        3).
        """
        weights = self.lengths * self.legs
        places, legs = (self.middles, self.legs) if where is None else (where, self.corner_legs)
        return bolts.moved(self.middles, weights, np.eye(3), at, places) * legs[:, None, None]

    def unit_couple(self, at: Array, where: Array | None = None) -> Array:
        """The same for a couple of one newton millimeter about x, y, z: two forces a millimeter
        apart.
        """
        axes, here = np.eye(3), self.unit(at, where)
        columns = [
            self.unit(at + axes[lever], where)[:, :, force] - here[:, :, force]
            for lever, force in ((1, 2), (2, 0), (0, 1))
        ]
        return np.stack(columns, axis=-1)


class WeldGroup(NamedTuple):
    """A weld group: ``lines`` gives the force per millimeter at both ends of each piece in each
    case, (cases, 2n, 3) N/mm; ``pulls`` the forces behind it.
    """

    part: str
    says: str
    welds: tuple[Weld, ...]
    pieces: Pieces
    again: WorkedAgain
    lines: Callable[[UnderLoad], Array]
    pulls: Pulls


class AtWorst(NamedTuple):
    """A weld group in the case that governs: where it is pulled (3,), mm, with the force (3,), N,
    and couple (3,), N mm, there; its most loaded piece, by index, which end of it, (3,), mm, and
    the force on a millimeter there, (3,) N/mm.
    """

    case: str
    pulls: tuple[tuple[Array, Array, Array], ...]
    piece: int
    end: Array
    line: Array


class GroupWorked(NamedTuple):
    """A weld group as it was worked: its welds, by id, and their pieces; where the weld itself is
    used most and where the wall beside it is, None where its steel is not known.
    """

    part: str
    says: str
    welds: tuple[str, ...]
    pieces: Pieces
    weld: AtWorst
    wall: AtWorst | None


class Root(NamedTuple):
    """An ear at its weld line: directions along it, out of its plane and up to the bolt; from the
    line's middle to the bolt, mm; sizes in mm; its share of the load; ``weld``: ends of the line's
    pieces in turn, (n, 3).
    """

    part: str
    says: str
    run: Array
    out: Array
    up: Array
    lever: Array
    width: float
    thick: float
    share: int
    load: str
    again: WorkedAgain
    weld: Array = np.empty((0, 3))


class Meshed(NamedTuple):
    """A plate's elements, the largest force it is shown at, N, its load."""

    seat: Seat
    most: float
    part: str
    load: str
    again: WorkedAgain


class Ranged(NamedTuple):
    """A tube or plate beside its welds: ``stress`` gives it in each state at places of its section,
    (cases, n) MPa; ``clause``: what its range is held to.
    """

    part: str
    says: str
    stress: Callable[[UnderLoad], Array]
    again: WorkedAgain
    clause: Clause

"""Everyday life: the largest range of stress between any two everyday states, at weld throats,
roots of ears, the coil-seat plate and tubes beside their welds. Warnings, never a pass.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np

from ...layout.arrays import Array
from ...layout.loads.forces import Forces
from ..design.sizing import Check
from ..model.clause import Clause
from ..model.hold import Step
from ..rules import life
from . import explained
from .governing import NOTHING
from .pivots import PORTAL
from .recorded import Meshed, Ranged, Root, WeldGroup
from .work import Work

THROAT = 0.70711


def rows(work: Work, everyday: Sequence[Forces]) -> Iterator[Check]:
    """Ranges of stress between the states of every day's driving, against what may come back for
    ever.

    One row a weld group, one an ear, one a plate in elements and one a tube, each of the pair of
    states it ranges most between.

    Parameters
    ----------
    work : Work
        Its groups, ears, plates and tubes as the limits left them (``evaluate.rows`` first).
    everyday : sequence of Forces
        The states, of both hands.
    """
    for group in work.groups:
        yield from _group(group, everyday)
    for root in work.roots:
        yield from _root(root, everyday)
    for plate in work.meshed.values():
        yield from _plate(plate, everyday)
    for tube in work.ranged:
        yield from _tube(tube, everyday)


def _group(group: WeldGroup, everyday: Sequence[Forces]) -> Iterator[Check]:
    seen = group.again(everyday)
    stress = group.lines(seen) / (THROAT * group.pieces.corner_legs[:, None])
    ranges = {
        (one, other): float(np.linalg.norm(stress[one] - stress[other], axis=1).max())
        for one, other in _pairs(everyday)
    }
    worst = max(ranges, key=lambda pair: ranges[pair])
    says = f"throat of the {group.says}, every day"
    end = int(np.argmax(np.linalg.norm(stress[worst[0]] - stress[worst[1]], axis=1)))
    steps = explained.throat(group.lines(seen)[list(worst), end], group.pieces, end)
    case = _said(everyday, worst)
    yield from _row(group.part, says, life.life_throat, ranges[worst], case, steps)


def _root(root: Root, everyday: Sequence[Forces]) -> Iterator[Check]:
    force = root.again(everyday).force(root.load) / root.share
    skin = [_skin(root, each) for each in force]
    ranges = {
        (one, other): float(np.abs(skin[one] - skin[other]).max())
        for one, other in _pairs(everyday)
    }
    worst = max(ranges, key=lambda pair: ranges[pair])
    says = f"root of the ear under its share of the {root.says}, every day"
    steps = explained.skin(root, force[worst[0]] - force[worst[1]], PORTAL)
    case = _said(everyday, worst)
    yield from _row(root.part, says, life.life_root, ranges[worst], case, steps)


def _skin(root: Root, force: Array) -> Array:
    """Plain elastic stress at the four corners of an ear's foot, MPa, with sign."""
    turn = np.cross(root.lever, force)
    bend = float(turn @ root.out) / (root.thick * root.width**2 / 6)
    side = float(turn @ root.run) / (PORTAL if root.share > 1 else 1.0)
    side /= root.width * root.thick**2 / 6
    pull = float(force @ root.up) / (root.width * root.thick)
    return np.array([pull + one * bend + two * side for one in (1, -1) for two in (1, -1)])


def _plate(plate: Meshed, everyday: Sequence[Forces]) -> Iterator[Check]:
    """The coil-seat plate near its welds."""
    push = plate.again(everyday).amount(plate.load)
    worst = max(_pairs(everyday), key=lambda pair: abs(push[pair[0]] - push[pair[1]]))
    stress = plate.seat.per_newton * abs(float(push[worst[0]] - push[worst[1]]))
    says = "coil-seat plate one thickness off its welds, every day"
    steps = explained.pushed_plate(plate, [float(push[state]) for state in worst])
    case = _said(everyday, worst)
    yield from _row(plate.part, says, life.life_plate, stress, case, steps)


def _tube(tube: Ranged, everyday: Sequence[Forces]) -> Iterator[Check]:
    """A tube or plate beside its welds, where in its section the stress ranges most."""
    stress = tube.stress(tube.again(everyday))
    ranges = {
        (one, other): float(np.abs(stress[one] - stress[other]).max())
        for one, other in _pairs(everyday)
    }
    worst = max(ranges, key=lambda pair: ranges[pair])
    says = f"{tube.says}, every day"
    yield from _row(tube.part, says, tube.clause, ranges[worst], _said(everyday, worst))


def _row(
    part: str, says: str, clause: Clause, stress: float, case: str, steps: Sequence[Step] = ()
) -> Iterator[Check]:
    if stress >= NOTHING:
        given = {"range_MPa": stress}
        yield Check.of(clause, given, part=part, what=says, case=case, steps=tuple(steps))


def _pairs(everyday: Sequence[Forces]) -> list[tuple[int, int]]:
    """Every two states of one truck: with the same bushings."""
    return [
        (one, other)
        for one, other in combinations(range(len(everyday)), 2)
        if everyday[one].bushings == everyday[other].bushings
    ]


def _said(everyday: Sequence[Forces], pair: tuple[int, int]) -> str:
    names = [
        everyday[index].case.name + {"L": " left", "R": " right"}.get(everyday[index].case.hand, "")
        for index in pair
    ]
    bushings = everyday[pair[0]].bushings
    return f"everyday, {names[0]} to {names[1]}" + (f", {bushings}" if bushings else "")

"""Rigid weld groups: the most loaded millimeter against the weld and against the thinner wall."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ...layout.arrays import Array
from ..design.sizing import Check
from ..model.assembly import Weld
from ..model.hold import Hold, Pulls, UnderLoad
from ..rules import welds
from .governing import Row, governing
from .named_loads import case_of
from .recorded import AtWorst, GroupWorked, WeldGroup
from .view import SideUnderLoad
from .weld_pieces import pieces_of


def rows(hold: Hold, seen: SideUnderLoad, says: str) -> Iterator[Check]:
    """Checks of a declared weld group, its worst millimeter in the governing case: the weld, and
    the thinner wall beside it where its steel is known.

    ``hold``: names the welds and their load; ``seen``: the cases; ``says``: what the group is, for
    the shop. None where the point its load acts at is not solved.
    """
    work = seen.work
    found = [work.welds[name] for name in hold.welds if name in work.welds]
    if hold.pulls is None and not seen.has(*(f"{hold.at}.{axis}" for axis in "xyz")):
        return
    pulls = hold.pulls or (lambda view: ((view.point(hold.at), view.force(hold.load), None),))
    yield from group(found, seen, pulls, says)


def group(
    found: Sequence[Weld],
    seen: SideUnderLoad,
    pulls: Pulls,
    says: str,
) -> Iterator[Check]:
    """Checks of a rigid group by the elastic vector method, its worst millimeter in the governing
    case; recorded for the other sets unless its load has a case of its own.

    ``found``: its welds; ``pulls``: gives from a view every point (3,), mm, with its force
    (cases, 3), N, and couple (cases, 3), N mm, or None; ``says``: what the group is, for the shop.
    """
    pieces = pieces_of(seen.work, found)
    if pieces is None:
        return

    def lines(view: UnderLoad) -> Array:
        ends = pieces.corners
        total = np.zeros((view.cases, len(ends), 3))
        for at, force, couple in pulls(view):
            total += np.einsum("nij,cj->cni", pieces.unit(at, ends), force)
            if couple is not None:
                total += np.einsum("nij,cj->cni", pieces.unit_couple(at, ends), couple)
        return total

    made = WeldGroup(
        part=found[0].on,
        says=says,
        welds=tuple(found),
        pieces=pieces,
        again=seen.under,
        lines=lines,
        pulls=pulls,
    )
    seen.work.welded.append((made.part, says, tuple(weld.id for weld in found)))
    if seen.rows is seen.work.rows:
        seen.work.groups.append(made)
    yield from _limits(made, seen)


def _limits(made: WeldGroup, seen: SideUnderLoad) -> Iterator[Check]:
    pieces = made.pieces
    legs, walls = pieces.corner_legs, np.repeat(pieces.walls, 2, axis=0)
    lines = made.lines(seen)
    per = np.linalg.norm(lines, axis=2)
    cases = np.arange(len(per))
    worst = np.argmax(per / legs, axis=1)
    filler = seen.work.made_of.filler
    unsure = filler.tag == "memory" or any(weld.kind == "groove" for weld in made.welds)
    numbers = {
        "force_N_mm": per[cases, worst],
        "leg_mm": legs[worst],
        "fexx_MPa": filler.fexx,
    }
    yield from governing(
        Row(made.part, made.says, welds.weld_line, numbers, "memory" if unsure else ""), seen
    )
    used = per[cases, worst] / legs[worst]
    weld = _at_worst(made, seen, lines, int(np.argmax(used)), worst)
    known = np.isfinite(walls[:, 0])
    strong = walls[:, 0] * walls[:, 1]
    beside = np.argmax(per / strong, axis=1)
    most = int(np.argmax(per[cases, beside] / strong[beside]))
    wall = _at_worst(made, seen, lines, most, beside) if known.any() else None
    seen.work.grouped.append(
        GroupWorked(made.part, made.says, tuple(w.id for w in made.welds), pieces, weld, wall)
    )
    if wall is None:  # nothing it joins is steel of known strength
        return
    numbers = {
        "force_N_mm": np.where(known[beside], per[cases, beside], 0.0),
        "t_mm": np.where(known[beside], walls[beside, 0], 1.0),
        "fu_MPa": walls[beside, 1],
    }
    yield from governing(
        Row(made.part, f"steel beside the {made.says}", welds.wall_beside, numbers), seen
    )


def _at_worst(
    made: WeldGroup, seen: SideUnderLoad, lines: Array, case: int, worst: Array
) -> AtWorst:
    """The group in one case; ``lines``: (cases, 2n, 3); ``worst``: (cases,) its end in each."""
    pulls = tuple(
        (at, force[case], np.zeros(3) if couple is None else couple[case])
        for at, force, couple in made.pulls(seen)
    )
    end = int(worst[case])
    place = made.pieces.corners[end]
    return AtWorst(case_of(seen.rows[case]), pulls, end // 2, place, lines[case, end])

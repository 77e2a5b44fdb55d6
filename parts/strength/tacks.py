"""Tacks: an inch at each end of every edge a bracket is welded along, held against twice the
standing load: enough to set the truck down on, few enough to cut loose.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..design.sizing import Check
from ..model.assembly import Member, Weld
from ..model.body import Plate
from ..placed.fit import weld_line
from ..rules import welds as clauses
from ..rules.bolts import shares
from ..stock import IN
from ..words import numbers
from .governing import NOTHING
from .recorded import WeldGroup
from .work import Work

LONG = IN
TWICE = 2.0
FEWEST = 2
"""Tacks that hold a part from turning."""
CLOSED = 1.0
"""Ends of a ring that meet, mm."""


class Tack(NamedTuple):
    """A set of tacks: on which edges of which part, how many, how long, mm."""

    weld: Weld
    pieces: int
    length: float
    leg: float


class Tacked(NamedTuple):
    """Tacks of a group with the middle (n, 3) and leg (n,) of each, mm."""

    tacks: list[Tack]
    middles: Array
    legs: Array


def tacks_of(work: Work, welds: Sequence[Weld]) -> Tacked:
    """Tacks of a group: both ends of an edge, one in its middle where it is shorter than 3 in,
    opposite ones on a ring.

    ``welds``: of plates on the truck, others are passed over. Middles (n, 3), truck axes, and legs
    (n,), both mm, of all the tacks in the order of the welds.
    """
    found: list[Tack] = []
    middles: list[Array] = []
    legs: list[float] = []
    for weld in welds:
        member = work.members.get(weld.on)
        if member is None or not isinstance(member.body, Plate):
            continue
        at = _on_weld(work, weld, member)
        if at:
            found.append(Tack(weld, len(at), LONG, weld.leg))
            middles += at
            legs += [weld.leg] * len(at)
    return Tacked(found, np.array(middles), np.array(legs))


def _on_weld(work: Work, weld: Weld, member: Member) -> list[Array]:
    body = member.body
    assert isinstance(body, Plate)
    named = {edge.name for loop in (body.outline, *body.openings) for edge in loop}
    thick = work.shop.plate(body.stock).thickness
    face = "top" if weld.face == "top" else "bottom"
    return [
        place
        for edge in weld.edges
        if edge in named
        for place in _places(weld_line(member, edge, thick, face, weld.stop))
    ]


def _places(line: Array) -> list[Array]:
    if len(line) < FEWEST:
        return []
    step = np.linalg.norm(np.diff(line, axis=0), axis=1)
    run = float(step.sum())
    along = np.concatenate(([0.0], np.cumsum(step)))
    if np.linalg.norm(np.subtract(line[0], line[-1])) < CLOSED:
        at: tuple[float, ...] = (run / 4, 3 * run / 4)
    elif run < 3 * LONG:
        at = (run / 2,)
    else:
        at = (LONG / 2, run - LONG / 2)
    return [np.array([np.interp(where, along, line[:, axis]) for axis in range(3)]) for where in at]


def every(work: Work) -> list[Tack]:
    """Tacks of every weld of a plate, each weld once, in the order of their ids."""
    found = {tack.weld.id: tack for tack in tacks_of(work, work.truck.assembly.welds).tacks}
    return [found[name] for name in sorted(found)]


def rows(work: Work) -> Iterator[Check]:
    """A row for each weld group that something may stand on before it is welded: an inch of each
    tack against twice the standing load. It only warns. None for a group with a tube's end, on
    which nothing stands before it is welded, or with fewer tacks than keep it from turning.
    """
    for group in work.groups:
        yield from _held(work, group)


def _held(work: Work, group: WeldGroup) -> Iterator[Check]:
    tacked = tacks_of(work, group.welds)
    if len(tacked.middles) < FEWEST or len(tacked.tacks) < len(group.welds):
        return  # a tube's end among them: it is not stood on before it is welded
    standing = next(row for row in work.rows if row.case.name == "static")
    each = np.zeros((len(tacked.legs), 3))
    for at, force, _ in group.pulls(group.again((standing,))):
        each += shares(tacked.middles, tacked.legs * LONG, TWICE * force[0], at) / LONG
    worst = int(np.argmax(np.linalg.norm(each, axis=1) / tacked.legs))
    given = {
        "force_N_mm": float(np.linalg.norm(each[worst])),
        "leg_mm": float(tacked.legs[worst]),
        "fexx_MPa": work.made_of.filler.fexx,
    }
    if given["force_N_mm"] < NOTHING:
        return
    count = sum(tack.pieces for tack in tacked.tacks)
    yield Check.of(
        clauses.weld_line,
        given,
        part=group.part,
        what=(
            f"tacks for the {group.says}: {count} of {numbers.room(IN)} hold twice the standing"
            " load"
        ),
        case="tacked, 2 x static",
        must=False,
        tag="",
    )

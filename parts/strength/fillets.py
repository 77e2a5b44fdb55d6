"""Every fillet against the walls it joins: its least leg, its largest, its least length."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping

import numpy as np

from ..design.sizing import AS_DRAWN, Check
from ..model.assembly import Member, Weld
from ..model.body import Plate
from ..model.clause import Clause
from ..placed.fit import weld_line
from ..rules import welds
from ..words.names import edges
from .work import Work

OfClause = tuple[str, Check]
"""A clause's name, and a row of it."""
ANY_WALL = 1e3
"""Taken for a wall nobody knows, mm: no limit comes of it."""


def past_limits(work: Work, own: Container[str] | None = None) -> Iterator[Check]:
    """The rows of ``limits`` that are not met: most fillets are drawn at the limit."""
    return filter(past, limits(work, own))


def past(row: Check) -> bool:
    """Whether a fillet is over its limit."""
    return row.demand > row.capacity * (1 + 1e-9)


def limits(work: Work, own: Container[str] | None = None) -> Iterator[Check]:
    """Fillets as drawn against what the welding code asks of their leg and length.

    One row a part and clause, of the weld nearest its limit; stitches, grooves and plugs have other
    rules. ``own``: the members whose welds are looked at, every one if not said.
    """
    welds = work.truck.assembly.welds
    asked = [weld for weld in welds if own is None or weld.on in own]
    yield from nearest(row for weld in asked for row in of_weld(work, weld))


def nearest(rows: Iterable[OfClause]) -> tuple[Check, ...]:
    """Of each part and clause the row that asks most."""
    found: dict[tuple[str, str], Check] = {}
    for clause, row in rows:
        best = found.get((row.part, clause))
        if best is None or row.utilisation > best.utilisation:
            found[row.part, clause] = row
    return tuple(found.values())


def of_weld(work: Work, weld: Weld) -> tuple[OfClause, ...]:
    """Every limit of one fillet; none of another weld."""
    member = work.members.get(weld.on)
    if weld.kind != "fillet" or member is None:
        return ()
    return tuple(
        (
            clause.__name__,
            Check.of(
                clause,
                given,
                part=weld.on,
                what=f"{clause.__doc__.partition('.')[0].lower()}: {edges(weld.edges)}",
                case=AS_DRAWN,
            ),
        )
        for clause, given in _asked(work, weld, member)
    )


def _asked(work: Work, weld: Weld, member: Member) -> Iterator[tuple[Clause, Mapping[str, float]]]:
    """What the standard asks of a fillet, with its numbers."""
    thin = thinner(work, weld)
    most = float(welds.carried_leg(work.shop.legs, thin))
    least = {"t_mm": thin, "leg_mm": weld.leg, "cyclic": True, "most_mm": most}
    yield welds.fillet_least, least
    # an edge that carries no leg of the list fails by name, a plate that stands on another only
    # past its wall
    at_wall = most <= welds.most_leg(thin) + 1e-6
    largest = welds.fillet_wall if at_wall else welds.fillet_most
    yield largest, {"t_mm": thin, "leg_mm": weld.leg}
    if isinstance(member.body, Plate):
        thick = work.shop.plate(member.body.stock).thickness
        face = "top" if weld.face == "top" else "bottom"
        lines = [weld_line(member, edge, thick, face, weld.stop) for edge in weld.edges]
        length = weld.run or min(
            float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) for line in lines
        )
        yield (
            welds.fillet_length,
            {"leg_mm": weld.leg, "length_mm": length, "stitched": bool(weld.run)},
        )


def thinner(work: Work, weld: Weld) -> float:
    """Thickness of the thinner of what a weld joins, as it is called in the rack, mm: a leg is
    chosen from it, not from what the micrometer says. Of what is not known ``ANY_WALL``, so that no
    limit comes of it.
    """
    found = []
    for code in (weld.on, weld.to):
        member = work.members.get(code)
        body = member.body if member else None
        if isinstance(body, Plate):
            found.append(work.shop.plate(body.stock).thickness)
        elif wall := work.steel_of(code)[0]:
            found.append(wall)
    return min(found, default=ANY_WALL)

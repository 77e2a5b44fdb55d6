"""Every hold the families declared, worked in every load case: one row a clause, the case that
governs.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterator, Mapping

import numpy as np

from ...layout.arrays import Array
from ..design.site import SlipError
from ..design.sizing import Check
from ..model.codes import side_of
from ..model.hold import Hold, HoldKind, UnderLoad
from ..rules import life
from . import pivots, seat_plate, weld_groups
from .fillets import past_limits
from .governing import Row, governing
from .recorded import Ranged
from .view import SideUnderLoad, own_rows
from .work import Work

NAME = re.compile(r"\{(\w+)\}")
"""A member in the words of a hold."""


def rows(
    work: Work,
    asked: Callable[[Hold], bool] = lambda hold: True,
    own: Container[str] | None = None,
) -> Iterator[Check]:
    """Every row of every hold that is asked for, then the fillets past their limits; ``own``: the
    members whose fillets are looked at, every one if not said.
    """
    for hold in filter(asked, work.truck.assembly.holds):
        for row in worked(hold, work):
            work.worked.add(hold.id)
            yield row
    yield from past_limits(work, own)


def worked(hold: Hold, work: Work) -> tuple[Check, ...]:
    """One hold's rows in every case. SlipError names the hold whose clause or numbers fail."""
    seen = seen_by(work, hold)
    try:
        return tuple(WORKED[hold.kind](hold, seen))
    except (ArithmeticError, LookupError, TypeError, ValueError) as fault:
        raise SlipError(
            f"the row {words(hold, seen)!r} could not be worked: {type(fault).__name__}: {fault}."
            " Nothing was written; send the job file with this line"
        ) from fault


def seen_by(work: Work, hold: Hold) -> SideUnderLoad:
    """The truck as a hold sees it: its side, its cases (its load's own one, where it has one), and
    from which bolt to which its load points.
    """
    bolt = hold.bolts[0] if hold.bolts else ""
    return SideUnderLoad(
        work, side_of(hold.id), own_rows(work, hold.load), bolt_id=bolt, away=hold.away
    )


def words(hold: Hold, seen: SideUnderLoad) -> str:
    """What a hold says, for the shop, the members in it with their sides."""
    return NAME.sub(lambda found: seen.named(found[1]), hold.says)


def _row(hold: Hold, seen: SideUnderLoad) -> Iterator[Check]:
    assert hold.clause is not None and hold.numbers is not None, hold.id
    numbers = hold.numbers(seen)
    if numbers is None:
        return
    says = words(hold, seen)
    part = (*hold.members, *hold.bolts)[0] if hold.members or hold.bolts else ""
    if hold.welds:
        part = part or seen.work.welds[hold.welds[0]].on
        seen.work.welded.append((part, says, hold.welds))
    if hold.load:
        steps = hold.steps(seen) if hold.steps and seen.work.explains else ()
        yield from governing(Row(part, says, hold.clause, numbers, hold.tag, steps), seen)
    else:
        yield Check.of(hold.clause, numbers, part=part, what=says, case="any")


def _welds(hold: Hold, seen: SideUnderLoad) -> Iterator[Check]:
    yield from weld_groups.rows(hold, seen, words(hold, seen))


def _ear(hold: Hold, seen: SideUnderLoad) -> Iterator[Check]:
    if not seen.has(*(f"{hold.at}.{axis}" for axis in "xyz")):
        return
    at = np.asarray(seen.point(hold.at))
    for code in hold.members:
        ear = pivots.Ear(code, at, hold.says, hold.share, hold.load, hold.edges)
        yield from pivots.ear_rows(ear, seen)


def _range(hold: Hold, seen: SideUnderLoad) -> Iterator[Check]:
    """Left for the everyday set."""
    numbers = hold.numbers
    assert numbers is not None, hold.id

    def stress(view: UnderLoad) -> Array:
        found = numbers(view)
        return np.zeros((view.cases, 1)) if found is None else np.asarray(found["stress_MPa"])

    clause = hold.clause or life.life_tube
    seen.work.ranged.append(Ranged(hold.members[0], words(hold, seen), stress, seen.under, clause))
    yield from ()


WORKED: Mapping[HoldKind, Callable[[Hold, SideUnderLoad], Iterator[Check]]] = {
    HoldKind.ROW: _row,
    HoldKind.PIVOT: pivots.rows,
    HoldKind.EAR: _ear,
    HoldKind.WELDS: _welds,
    HoldKind.ELEMENTS: seat_plate.rows,
    HoldKind.RANGE: _range,
}

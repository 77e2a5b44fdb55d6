"""How a family says what it is held against, and what it is not.

A hold is declared through what it is: ``row`` for one clause, ``pivot`` for a bolt through its
ears, ``weld_group`` for a rigid group. Forces in N, lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from ...layout.arrays import Array
from ..model.assembly import Assembly
from ..model.clause import Clause
from ..model.hold import (
    Hold,
    HoldKind,
    NotHeld,
    NumbersUnderLoad,
    Pulls,
    Steps,
    TubeSize,
    UnderLoad,
)
from ..rules import tubes

SQUARE = 2**0.5
"""A tube's end pushes a plate as a square whose corners are on its outside (on the safe side)."""

Pulled = tuple[tuple[Array, Array, Array | None], ...]
"""Where a weld group is loaded: place (3,), force (cases, 3), couple (cases, 3) or None."""


class Reasoned(NamedTuple):
    """Numbers that go into a clause, and where they come from."""

    numbers: NumbersUnderLoad
    steps: Steps


def row(
    name: str,
    says: str,
    load: str,
    clause: Clause,
    numbers: NumbersUnderLoad | Reasoned,
    *,
    members: tuple[str, ...] = (),
    bolts: tuple[str, ...] = (),
    welds: tuple[str, ...] = (),
) -> Hold:
    """One clause, with the numbers that go into it."""
    own, steps = numbers if isinstance(numbers, Reasoned) else (numbers, None)
    found = Hold(
        id=name,
        kind=HoldKind.ROW,
        says=says,
        load=load,
        members=members,
        bolts=bolts,
        welds=welds,
        clause=clause,
        numbers=own,
    )
    return found._replace(steps=steps)


def pivot(
    name: str,
    says: str,
    load: str,
    members: tuple[str, ...] = (),
    welds: tuple[str, ...] = (),
    *,
    away: str = "",
) -> Hold:
    """A bolt of this name through its ears ``members``, with the welds of their feet.

    ``away``: the bolt at the other end of a strap or shock, which gives the force its direction.
    """
    return Hold(
        id=name,
        kind=HoldKind.PIVOT,
        says=says,
        load=load,
        members=members,
        bolts=(f"{name}#1",),
        welds=welds,
        away=away,
    )


def weld_group(
    name: str,
    says: str,
    load: str,
    welds: tuple[str, ...],
    *,
    members: tuple[str, ...] = (),
    bolts: tuple[str, ...] = (),
    at: str = "",
    pulls: Pulls | None = None,
) -> Hold:
    """A rigid group of welds, loaded at the solved point ``at`` or where ``pulls`` says."""
    return Hold(
        id=name,
        kind=HoldKind.WELDS,
        says=says,
        load=load,
        members=members,
        bolts=bolts,
        welds=welds,
        at=at,
        pulls=pulls,
    )


def at_bolt(bolt: str, load: str) -> Pulls:
    """A load at the middle of a bolt's joint; none where the bolt is not there."""

    def pulls(seen: UnderLoad) -> Pulled:
        return ((seen.bolt_at(bolt), seen.force(load), None),) if seen.there(bolt) else ()

    return pulls


def at_origin(code: str, load: str) -> Pulls:
    """A load that stands on a member's origin."""

    def pulls(seen: UnderLoad) -> Pulled:
        return ((seen.origin(code), seen.force(load), None),)

    return pulls


def section(tube: TubeSize) -> tuple[float, float]:
    """Area, mm2, and radius of gyration, mm, of a round tube."""
    area = float(tubes.area(tube.od, tube.wall))
    return area, math.sqrt(float(tubes.inertia(tube.od, tube.wall)) / area)


def held(made: Assembly, holds: Iterable[Hold], not_held: Iterable[NotHeld] = ()) -> Assembly:
    """An assembly with the loads it is held against: those about what was made this time.

    A bolt named without its number stands for every bolt of that name.
    """
    known = _NamesOf(made)
    rest = [entry._replace(ids=known.every(entry.ids)) for entry in not_held]
    return made._replace(
        holds=tuple(known.own(hold) for hold in holds if known.has(hold)),
        not_held=tuple(entry for entry in rest if entry.ids),
    )


class _NamesOf:
    """What an assembly has, by name."""

    def __init__(self, made: Assembly) -> None:
        self.codes = {member.code for member in made.members}
        self.welds = {weld.id for weld in made.welds}
        self.bolts = tuple(bolt.id for bolt in made.bolts)

    def bolts_of(self, names: Iterable[str]) -> tuple[str, ...]:
        """Bolts by their whole name, or by the name before the number."""
        return tuple(
            bolt
            for name in names
            for bolt in self.bolts
            if name == bolt
            or (name == bolt.partition("#")[0] and bolt.rpartition("#")[2].isdigit())
        )

    def has(self, hold: Hold) -> bool:
        """Whether anything a hold is about was made, of each kind that it names."""
        return bool(
            (not hold.members or self.codes & set(hold.members))
            and (not hold.bolts or self.bolts_of(hold.bolts))
            and (not hold.welds or self.welds & set(hold.welds))
        )

    def own(self, hold: Hold) -> Hold:
        """A hold with what was made."""
        return hold._replace(
            bolts=self.bolts_of(hold.bolts),
            welds=tuple(name for name in hold.welds if name in self.welds),
        )

    def every(self, names: Iterable[str]) -> tuple[str, ...]:
        """Of these names what was made."""
        return tuple(
            found
            for name in names
            for found in (
                *self.bolts_of((name,)),
                *((name,) if name in self.codes | self.welds else ()),
            )
        )

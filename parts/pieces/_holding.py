"""How a family says what it is held against, and what it is not."""

from __future__ import annotations

from collections.abc import Iterable

from ..model.assembly import Assembly
from ..model.hold import Hold, NotHeld


def held(made: Assembly, holds: Iterable[Hold], not_held: Iterable[NotHeld] = ()) -> Assembly:
    """An assembly with the loads it is held against: those about what was made this time.

    A bolt named without its number stands for every bolt of that name.
    """
    known = _Made(made)
    rest = [entry._replace(ids=known.every(entry.ids)) for entry in not_held]
    return made._replace(
        holds=tuple(known.own(hold) for hold in holds if known.has(hold)),
        not_held=tuple(entry for entry in rest if entry.ids),
    )


class _Made:
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

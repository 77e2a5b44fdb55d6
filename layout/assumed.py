"""What reaches a number though nobody read it: said wherever that number is used."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Assumed(NamedTuple):
    """One assumption.

    ``instead``: the field of the job file or the setting of the shop file that takes its place;
    ``moves``: which results, by how much; ``parts``: families' codes it touches, empty = the whole
    truck.
    """

    what: str
    value: str
    instead: str
    moves: str
    parts: frozenset[str] = frozenset()

    @property
    def taken(self) -> str:
        """What is said of it at the very reading that nobody took."""
        return f"taken as {self.value}; moves {self.moves}"

    def __str__(self) -> str:
        """The line that sheets and screen print."""
        return f"ASSUMED: {self.what} {self.value}, instead of {self.instead}; moves {self.moves}"


def about(found: Iterable[Assumed], *words: str) -> list[str]:
    """As printed, those that a reading or setting named with one of these words would replace."""
    return [str(one) for one in found if any(word in one.instead for word in words)]


def touching(found: Iterable[Assumed], codes: Iterable[str]) -> list[str]:
    """As printed, those that touch one of these families, and those that touch the whole truck."""
    mine = set(codes)
    return [str(one) for one in found if not one.parts or one.parts & mine]

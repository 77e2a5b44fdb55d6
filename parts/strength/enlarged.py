"""Sizes the loads made larger than the lightest that fits, and for which row."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from ...layout import units
from ..design.sizing import AS_DRAWN, Check
from ..model.family import Choice
from ..words.names import part as part_name


class SizeChange(NamedTuple):
    """One size of one family."""

    family: str
    name: str
    value: Choice
    unit: str

    @property
    def pin(self) -> str:
        """As it is typed in the job file."""
        typed = (
            f'"{self.value}"'
            if isinstance(self.value, str)
            else f'"{units.show(self.value, "length")}"'
            if self.unit == "mm"
            else f"{self.value:g}"
        )
        return f"[pin.{self.family}] {self.name} = {typed}"


class Enlarged(NamedTuple):
    """Sizes taken together for one row of a part; ``why``: the row, and how much it used before.

    >>> tube = SizeChange("upper_arms", "tube", "1.750 x 0.250 DOM 1020", "stock")
    >>> print(Enlarged((tube,), "UA1.L", "weld under its push, 1.18 of what is allowed before"))
    [pin.upper_arms] tube = "1.750 x 0.250 DOM 1020", for UA1 left: weld under its push, 1.18 of \
what is allowed before
    """

    changes: tuple[SizeChange, ...]
    part: str
    why: str

    def __str__(self) -> str:
        """As the screen has it: what to type to have it so at once, and why."""
        pins = " and ".join(change.pin for change in self.changes)
        return f"{pins}, for {self.reason}"

    @property
    def reason(self) -> str:
        """For which part and row."""
        return f"{part_name(self.part)}: {self.why}"

    def sets(self, family: str, name: str) -> bool:
        """Whether one of the sizes is of this family and variable."""
        return any((change.family, change.name) == (family, name) for change in self.changes)


def enlarged(changes: Iterable[SizeChange], part: str, worst: Check) -> Enlarged:
    """What was made larger for the row of a part that asked most."""
    case = f" in {worst.case}" if worst.case not in ("", AS_DRAWN) else ""
    why = f"{worst.what}, {worst.utilisation:.2f} of what is allowed{case} before"
    return Enlarged(tuple(changes), part, why)


def in_the_end(grown: Iterable[Enlarged]) -> tuple[Enlarged, ...]:
    """Each size once: where one grew twice, what it came to and the row that asked for that."""
    left: list[Enlarged] = []
    said: set[tuple[str, str]] = set()
    for one in reversed(list(grown)):
        rest = tuple(own for own in one.changes if (own.family, own.name) not in said)
        said |= {(own.family, own.name) for own in rest}
        if rest:
            left.append(one._replace(changes=rest))
    return tuple(reversed(left))

"""The words in which readings, solved values and their reasons are kept.

A quantity is a ``Key``: one spelling in the job file, in JSON, in ``explain`` and on sheets.
Values are in mm, N, N/mm, rad, kg (see ``units``) or text for words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Literal, NamedTuple, Protocol

Side = Literal["L", "R", "C"]
Role = Literal["measured", "choice", "wanted", "solved", "waiting", "conflict"]
GIVEN: tuple[Role, ...] = ("measured", "choice", "wanted")


class Key(NamedTuple):
    """Name and side of one quantity; side is "C" where left and right are one."""

    name: str
    side: Side

    def __str__(self) -> str:
        return (
            self.name
            if self.side == "C"
            else f"{self.name}.{'left' if self.side == 'L' else 'right'}"
        )


class Reading(NamedTuple):
    """One reading as typed and as understood.

    ``value`` in internal units (or text); ``usual``: its plus-minus is the field's, nobody gave
    one.
    """

    key: Key
    typed: tuple[str, ...]
    value: Any
    half_width: float
    state: str = ""
    by: str = ""
    date: str = ""
    role: Role = "measured"
    assumed: bool = False
    usual: bool = False


class Relation(NamedTuple):
    """One equation ``out = f(*ins)``, solvable for any name in it.

    ``sided`` relations are laid out once for L and once for R; an input that has no sides
    is taken from the centre. ``unit`` is the kind of the output ("length", "angle", ...).
    """

    out: str
    ins: tuple[str, ...]
    f: Callable[..., float]
    formula: str
    source: str
    unit: str = "length"
    sided: bool = False
    title: str = ""


class Derived(NamedTuple):
    """A value that follows from others but is never solved for: sizes, checks, masses."""

    key: Key
    value: float
    ins: frozenset[Key]
    formula: str
    source: str
    unit: str = "length"


class Conflict(NamedTuple):
    """Measured values that cannot all be true: the miss and the least cures, first is least.

    ``within``: the miss is within the doubt of the readings (2u), but a result was given closer
    than that and nothing gives way.
    """

    keys: frozenset[Key]
    miss: float
    cures: tuple[tuple[Key, float], ...]
    within: bool = False


class Solved(Protocol):
    """What the solver answers about every quantity of a job."""

    def role(self, k: Key) -> Role: ...
    def value(self, k: Key) -> float: ...
    def unit(self, k: Key) -> str: ...
    def every_key(self) -> Sequence[Key]: ...
    def rests_on(self, k: Key) -> frozenset[Key]: ...
    def gradient(self, k: Key) -> Mapping[Key, float]: ...
    def half_width(self, k: Key) -> float: ...
    def steps(self, k: Key) -> Sequence[tuple[Relation | Derived, Mapping[Key, float]]]: ...
    def conflicts(self) -> tuple[Conflict, ...]: ...
    def gave_way(self) -> Mapping[Key, tuple[float, float]]: ...
    def extend(self, rows: Iterable[Derived]) -> Solved: ...

"""What a clause is to whoever applies it: a function of numbers with the place it stands at."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Protocol

from .vectors import Number

Also = float | Callable[[Mapping[str, float]], float]
"""A fixed size, or a value of a table for a clause's numbers."""
WrittenAs = str | tuple[str, str]
"""How an argument is written in one formula: its letter, or its letter and what it stands for."""


class Clause(Protocol):
    """A rule of a standard as a function, entered by ``rules.clause``.

    Called with keyword-only numbers or arrays whose names end in their unit, it gives demand and
    capacity in ``unit``, elementwise.

    ``ref`` and ``edition``: where it stands; ``formula``: as it is printed, in the ``letters`` of
    its arguments and of what it needs ``also``; ``tag``: how its source was seen ("read", "read*",
    "memory", "fitted", "practice"); ``must`` False: a warning at most.
    """

    __name__: str
    __doc__: str
    ref: str
    edition: str
    formula: str
    tag: str
    unit: str
    must: bool
    letters: Mapping[str, WrittenAs]
    also: Mapping[str, Also]

    def __call__(self, **given: Number) -> tuple[Number, Number]:
        """Demand and capacity."""

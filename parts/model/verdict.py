"""The closed list of verdicts, worst first."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum


class Verdict(StrEnum):
    """Worst first."""

    CONFLICTS = "conflicts"
    FAILS = "fails"
    TOUCHES = "touches"
    WAITS = "waits"
    NOT_LOOKED_AT = "not looked at"
    TIGHT = "tight"
    CONFIRM = "confirm"
    ASSUMED = "assumed"
    OK = "ok"

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return _RANK[self]

    @property
    def bars(self) -> bool:
        """Whether a part with it is not for cutting."""
        return self.rank <= _RANK[Verdict.WAITS]

    @property
    def refused(self) -> bool:
        """Whether nothing with it is released or signed for, at any level."""
        return self.rank <= _RANK[Verdict.TOUCHES]

    @property
    def signed_for(self) -> bool:
        """Whether it wants a name and a reason before anything is welded."""
        return _RANK[Verdict.TOUCHES] < self.rank < _RANK[Verdict.OK]


_RANK: dict[str, int] = {v: i for i, v in enumerate(Verdict)}


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of some, ok of none."""
    return min(verdicts, key=lambda v: v.rank, default=Verdict.OK)


def of_gap(gap: float, plus_minus: float, wanted: float) -> Verdict:
    """What is said of the gap of a pair, mm: touches where nobody can say that it does not.

    ``plus_minus``: how far the gap can be told; ``wanted``: the gap asked for.

    >>> of_gap(1.0, 2.4, 12.7), of_gap(3.0, 2.4, 12.7), of_gap(12.7, 2.4, 12.7)
    (<Verdict.TOUCHES: 'touches'>, <Verdict.TIGHT: 'tight'>, <Verdict.OK: 'ok'>)
    """
    if gap < max(plus_minus, 0.0):
        return Verdict.TOUCHES
    return Verdict.TIGHT if gap < wanted - 1e-9 else Verdict.OK

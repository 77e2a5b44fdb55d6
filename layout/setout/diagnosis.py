"""What a diagnosis is, and the values of a job that the checks of the layout read."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple

from ..graph import Graph
from ..job.load import Job
from ..quantities import Key, Side

Severity = Literal["conflict", "warning", "note"]


class Diagnosis(NamedTuple):
    """What does not fit: a sentence with the numbers, the least change that cures it, the keys it
    is about.

    ``margin``: how much is missing (below zero) in internal units of the first key, NaN where there
    is no measure for it. ``severity``: "conflict" cannot be built, "warning" may be, "note" is for
    information.
    """

    code: str
    severity: Severity
    sentence: str
    cure: str
    keys: tuple[Key, ...]
    margin: float


class MissingValueError(Exception):
    """A check needs a value that waits or has no solution.

    Its text is the value's name. ``CheckedValues`` raises it and whoever runs the checks catches
    it: no diagnosis comes of what is not known yet.
    """


class CheckedValues:
    """Values and words of one job as the checks read them, internal units.

    Called with a name and a side it gives the value, or raises MissingValueError, which leaves
    the check out: what waits is owed, not wrong.
    """

    def __init__(self, job: Job, solved: Graph) -> None:
        self.job, self.solved = job, solved

    def __call__(self, name: str, side: Side = "C") -> float:
        """Value in internal units; raises MissingValueError."""
        value = self.solved.values.get(Key(name, side))
        if value is None or not math.isfinite(value):
            raise MissingValueError(name)
        return value

    def get(self, name: str, side: Side, default: float) -> float:
        """Value, or ``default`` where there is none.

        Internal units, and the default in the same. Unlike a call it never raises, and what is not
        finite is given back as it is.
        """
        return self.solved.values.get(Key(name, side), default)

    def u(self, name: str, side: Side = "C") -> float:
        """Standard uncertainty of a value, internal units; 0 where there is none.

        The printed plus-minus is twice it.
        """
        return self.solved.half_width(Key(name, side))


LayoutCheck = Callable[[CheckedValues], Iterator[Diagnosis]]


def keys(*pairs: tuple[str, Side]) -> tuple[Key, ...]:
    """Keys from name, side pairs, in their order.

    >>> [str(key) for key in keys(("arm.cc", "L"), ("axle.kpi", "C"))]
    ['arm.cc.left', 'axle.kpi']
    """
    return tuple(Key(name, side) for name, side in pairs)

"""What a diagnosis is, and the words its numbers are said in."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple

from .. import reader, units
from ..graph import Graph
from ..job.load import Job
from ..quantities import Key, Side

SIDES: tuple[Side, ...] = ("L", "R")
SIDE_WORD = {"L": "left", "R": "right", "C": ""}


class Diagnosis(NamedTuple):
    """What does not fit: a sentence with the numbers, the least change that cures it, the keys it
    is about.

    ``margin``: how much is missing (below zero) in internal units of the first key, NaN where there
    is no measure for it. ``severity``: "conflict" cannot be built, "warning" may be, "note" is for
    information.
    """

    code: str
    severity: Literal["conflict", "warning", "note"]
    sentence: str
    cure: str
    keys: tuple[Key, ...]
    margin: float


class Missing(Exception):
    """A check needs a value that waits or has no solution."""


class Facts:
    """Values and words of one job as the checks read them."""

    def __init__(self, job: Job, solved: Graph) -> None:
        self.job, self.solved = job, solved

    def __call__(self, name: str, side: Side = "C") -> float:
        """Value in internal units; raises Missing."""
        value = self.solved.values.get(Key(name, side))
        if value is None or not math.isfinite(value):
            raise Missing(name)
        return value

    def get(self, name: str, side: Side, default: float) -> float:
        """Value, or ``default`` where there is none."""
        return self.solved.values.get(Key(name, side), default)

    def u(self, name: str, side: Side = "C") -> float:
        """Standard uncertainty."""
        return self.solved.half_width(Key(name, side))


Check = Callable[[Facts], Iterator[Diagnosis]]


def inch(x: float) -> str:
    """Length as the reader's tape shows it: ``23 7/16 in``, ``595.5 mm``; one under half a step in
    decimals.
    """
    if 0 < abs(x) < reader.step() / 2:
        return reader.fine(x)
    return units.show(x, "length")


def up(x: float) -> str:
    """A length to add or take away, rounded up to the tape's next step so that it cures."""
    step = reader.step()
    return units.show(math.copysign(math.ceil(abs(x) / step - 1e-6) * step, x), "length")


def degrees(x: float, places: int = 1) -> str:
    """Angle in degrees."""
    return f"{math.degrees(x):.{places}f} deg"


def degrees_up(x: float) -> str:
    """A turn, rounded up to the next 0.1 deg so that it cures."""
    return f"{math.ceil(abs(math.degrees(x)) * 10 - 1e-6) / 10:.1f} deg"


def keys(*pairs: tuple[str, Side]) -> tuple[Key, ...]:
    """Keys from name, side pairs."""
    return tuple(Key(n, s) for n, s in pairs)

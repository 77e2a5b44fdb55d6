"""The words in which readings, solved values and their reasons are kept.

A quantity is a ``Key``: one spelling in the job file, in JSON, in ``explain`` and on sheets.
Values are in mm, N, N/mm, rad, kg (see ``units``) or text for words.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple

Side = Literal["L", "R", "C"]
SIDES: tuple[Side, ...] = ("L", "R")
SIDE_WORD: dict[Side, str] = {"L": "left", "R": "right", "C": ""}
"""What a side is called after a name; nothing where left and right are one."""
SIDE_OF: dict[str, Side] = {"left": "L", "right": "R"}
"""The side a word of the job file means."""
QuantityRole = Literal["measured", "choice", "wanted", "solved", "waiting", "conflict"]
GIVEN: tuple[QuantityRole, ...] = ("measured", "choice", "wanted")


class Key(NamedTuple):
    """Name and side of one quantity; side is "C" where left and right are one."""

    name: str
    side: Side

    def __str__(self) -> str:
        """The path of the job file: ``axle.lower_mount.x.left``."""
        return self.name if self.side == "C" else f"{self.name}.{SIDE_WORD[self.side]}"


class Reading(NamedTuple):
    """One reading as typed and as understood.

    ``value`` in internal units (or text); ``instrument``: what it was taken with, as typed;
    ``usual``: its plus-minus is the field's, nobody gave one.
    """

    key: Key
    typed: tuple[str, ...]
    value: float
    half_width: float
    state: str = ""
    by: str = ""
    date: str = ""
    instrument: str = ""
    role: QuantityRole = "measured"
    assumed: bool = False
    usual: bool = False


class Relation(NamedTuple):
    """One equation ``out = f(*ins)``, solvable for any name in it.

    ``sided`` relations are laid out once for L and once for R; an input that has no sides
    is taken from the center. ``unit`` is the kind of the output ("length", "angle", ...).
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

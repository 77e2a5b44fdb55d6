"""With what a row that fails would pass: its own clause asked again with one number changed."""

from __future__ import annotations

import math

from ...layout import reader
from ..design.sizing import Check
from ..rules import all_clauses
from ..stock.tables import bolt_over
from ..words.numbers import finely

OFFERED = {
    "leg_mm": "a weld leg of {}, if both parts are as thick",
    "d_mm": "a bolt of {}",
    "wall_mm": "a wall of {}",
    "t_mm": "steel {} thick",
    "fy_MPa": "steel that yields at {} or more",
    "fu_MPa": "steel of {} tensile strength or more",
}
"""What a shop may change of a clause's numbers, nearest to hand first, and its words."""
MOST = 2.0
"""Past this many times what is there, another number is the nearer one."""
NEAR = 1e-4
FORCES = ("_N", "_Nmm", "_N_mm")
HELD_BY = ("bending_", "bolt_", "capacity_", "critical_", "sheared_", "torsion_")
"""Endings of a clause's numbers that grow with the load, and beginnings of those that do not."""


def passing(row: Check, of: float = 1.0) -> str:
    """With what a row that fails would pass, in the reader's units: each change alone, all else as
    it is.

    "with a weld leg of 0.134 in, or with 93 % of that load". For a row that uses more than ``of``
    what is allowed; a number more than ``MOST`` times what is there is not offered. Empty where
    nothing said here helps.
    """
    ways = []
    for name, words in OFFERED.items():
        given = dict(row.given).get(name, 0.0)
        times = _least(row, (name,), MOST, of) if given > 0 else None
        if times is not None:
            size = given * times
            ways.append(f"with {words.format(_shown(name, size, given))}")
    if row.case:
        ways.append(f"with {math.floor(100 * share(row, of))} % of that load")
    return ", or ".join(ways)


def _shown(name: str, size: float, given: float) -> str:
    """A number as the shop can have it: the next bolt there is, else as it came out."""
    if name == "d_mm":
        return bolt_over(size, given) or finely(size)
    return reader.measure(size, "stress") if name.endswith("MPa") else finely(size)


def share(row: Check, of: float = 1.0) -> float:
    """How much of its load a row carries with ``of`` what is allowed: 0.93 is 93 %.

    By its clause asked again with every force less, or by utilization where the clause takes none.
    """
    loads = tuple(
        name for name, _ in row.given if name.endswith(FORCES) and not name.startswith(HELD_BY)
    )
    least = _least(row, loads, 0.0, of) if loads else None
    return of / row.utilisation if least is None else least


def _least(row: Check, names: tuple[str, ...], end: float, of: float) -> float | None:
    """The number of times between 1 and ``end`` nearest to 1 with which a row passes; None where
    not even ``end`` does.
    """
    if not _passes(row, names, end, of):
        return None
    fails, holds = 1.0, end
    while abs(fails - holds) > NEAR:
        middle = (fails + holds) / 2
        fails, holds = (fails, middle) if _passes(row, names, middle, of) else (middle, holds)
    return holds


def _passes(row: Check, names: tuple[str, ...], times: float, of: float) -> bool:
    clause = all_clauses().get(row.rule)
    if clause is None:
        return False
    given = {name: value * (times if name in names else 1.0) for name, value in row.given}
    demand, capacity = clause(**given)
    return bool(demand <= of * capacity)

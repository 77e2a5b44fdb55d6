"""With what a row that fails would pass: its own clause asked again with one number changed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from ...layout import reader, units
from ...layout.quantities import Key
from ..design.sizing import Check
from ..rules import all_clauses
from ..stock import Shop
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
WALLS = ("wall_mm", "t_mm")
"""Those of them that may be a wall the truck has."""
MOST = 2.0
"""Past this many times what is there, another number is the nearer one."""
NEAR = 1e-4
FORCES = ("_N", "_Nmm", "_N_mm")
HELD_BY = ("bending_", "bolt_", "capacity_", "critical_", "sheared_", "torsion_")
"""Endings of a clause's numbers that grow with the load, and beginnings of those that do not."""


Walls = Sequence[tuple[str, float]]
"""Walls the truck has, as they were read: what each is called, and mm."""
RAIL, AXLE = "the rail's wall", "the axle tube's wall"
CURES = {
    RAIL: "read it again, or move the part to where the rail is thicker",
    AXLE: "read it again, or take an axle with such a tube",
}
"""What helps where a wall is too thin that no shop has in another size."""
SAME = 0.01
"""Thicknesses closer than this are one, mm."""


def walls_read(values: Mapping[Key, float], shop: Shop) -> Walls:
    """The walls of rails and axle, of which no shop has another size; none that is as thick as a
    plate or tube in stock, which a row's numbers do not tell from it.

    ``values``: of a layout, by key, internal units.
    """
    stocked = [*(p.thickness for p in shop.plates), *(p.measured or 0.0 for p in shop.plates)]
    stocked += [tube.wall for tube in shop.tubes]
    found: dict[tuple[str, float], None] = {}
    for key, value in values.items():
        if key.name == "axle.tube_wall":
            found[AXLE, value] = None
        elif key.name.startswith("rail.") and key.name.endswith(".wall"):
            found[RAIL, value] = None
    return tuple(wall for wall in found if all(abs(wall[1] - thick) >= SAME for thick in stocked))


def passing(row: Check, of: float = 1.0, walls: Walls = (), legs: Sequence[float] = ()) -> str:
    """With what a row that fails would pass, in the reader's units: each change alone, all else as
    it is.

    "with a weld leg of 3/16 in, or with 93 % of that load". For a row that uses more than ``of``
    what is allowed; a number more than ``MOST`` times what is there is not offered. ``walls``: of
    the truck, which are told from steel the shop may change; ``legs``: those the shop welds, mm, of
    which the next is said, and none where not even the longest would do. Empty where nothing
    said here helps.
    """
    ways = []
    for name, words in OFFERED.items():
        given = dict(row.given).get(name, 0.0)
        times = _least(row, (name,), MOST, of) if given > 0 else None
        longest = max(legs, default=math.inf) if name == "leg_mm" else math.inf
        if times is not None and given * times <= longest + NEAR:
            size = given * times
            own = [wall for wall, read in walls if abs(read - given) < SAME and name in WALLS]
            ways.append(
                f"with {own[0]} {finely(size)}, which was read as {finely(given)}: {CURES[own[0]]}"
                if own
                else f"with {words.format(_shown(name, size, given, legs))}"
            )
    if row.case:
        ways.append(f"with {math.floor(100 * share(row, of))} % of that load")
    return ", or ".join(ways)


def _shown(name: str, size: float, given: float, legs: Sequence[float]) -> str:
    """A number as the shop can have it: the next bolt or leg there is, else as it came out."""
    if name == "leg_mm":
        leg = min((leg for leg in legs if leg >= size - NEAR), default=0.0)
        return units.show(leg, "length") if leg else finely(size)
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

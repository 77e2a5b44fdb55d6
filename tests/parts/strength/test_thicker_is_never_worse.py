"""The next plate, the next wall or the next weld leg never makes a row worse whose clause has it in
the capacity alone; where it may, the clause stands in ``MAY_WORSEN`` with the reason.

Nothing outside says which way a clause goes; that steel carries no less for being thicker is
common practice, no source. The numbers are those of the demo's rows, each moved at random by up to
a fifth, with the gauges of the shop's own stock.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import random
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from designs import designed_of
from soapstone.layout.job_file import of_table
from soapstone.parts import rules
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.needs import tables

NUMBERS = ("t_mm", "wall_mm", "leg_mm")
"""How a clause calls the thickness of a plate or of a wall, and the leg of a fillet."""
MAY_WORSEN = {
    ("bend_radius", "t_mm"): "a thicker plate wants a larger inside radius before it cracks",
    ("fillet_least", "t_mm"): "a thicker plate cools the bead faster: the least leg grows with it",
    ("fillet_length", "leg_mm"): "a fillet is at least four legs long, or it is no weld",
    ("fillet_most", "leg_mm"): "an edge carries no larger leg than it is thick, less what melts",
    (
        "fillet_most",
        "t_mm",
    ): "from 1/4 in on the leg keeps 1/16 in off the edge: a 0.21 in plate may"
    " take a larger one than a 1/4 in plate",
    ("fillet_wall", "leg_mm"): "a leg larger than the wall burns through it",
    ("plate_end", "t_mm"): "a stiff plate's end makes a hard spot in the softer wall of the rail",
    ("reinforcement", "t_mm"): "advice: reinforcement no thicker than the rail it lies on",
    ("reinforcement_most", "t_mm"): "reinforcement at most one and a half times the rail's wall",
    (
        "web_hole",
        "wall_mm",
    ): "the flange's inside is where the web ends: a thicker wall moves it in",
}
"""Clause and number of which more may be worse, with why."""
NEVER_WORSE = {
    ("arc_slip", "t_mm"),
    ("attached_length", "t_mm"),
    ("bearing", "t_mm"),
    ("bearing_slotted", "t_mm"),
    ("bent_tube", "wall_mm"),
    ("blade_pulled", "t_mm"),
    ("disk_past", "t_mm"),
    ("disk_pushed", "t_mm"),
    ("edge_buckling", "t_mm"),
    ("fillet_least", "leg_mm"),
    ("fillet_strength", "leg_mm"),
    ("fillet_wall", "t_mm"),
    ("plate_end", "wall_mm"),
    ("plate_lifted", "t_mm"),
    ("plate_push", "t_mm"),
    ("plate_root", "t_mm"),
    ("prying", "t_mm"),
    ("reinforcement", "wall_mm"),
    ("reinforcement_most", "wall_mm"),
    ("seat_collapse", "t_mm"),
    ("seat_on_lines", "t_mm"),
    ("shear_flow", "leg_mm"),
    ("strip_bent", "t_mm"),
    ("wall_beside", "t_mm"),
    ("wall_pulled", "t_mm"),
    ("weld_line", "leg_mm"),
}
"""Clause and number of which more is never worse."""
FILLETS: dict[str, list[dict[str, float]]] = {
    "fillet_least": [
        {"t_mm": t, "leg_mm": leg, "cyclic": 1, "most_mm": 8.0}
        for t in (4.8, 6.35, 9.5, 12.7)
        for leg in (3.2, 4.8, 6.35)
    ],
    "fillet_length": [
        {"leg_mm": leg, "length_mm": long, "stitched": 0}
        for leg in (3.2, 4.8, 8.0)
        for long in (12.0, 20.0, 60.0)
    ],
    "fillet_strength": [
        {"force_N": 8e3, "leg_mm": leg, "length_mm": 60.0, "fexx_MPa": 482.6, "angle_rad": 0.7}
        for leg in (3.2, 4.8, 8.0)
    ],
    "fillet_wall": [{"t_mm": t, "leg_mm": leg} for t in (3.0, 4.8) for leg in (3.2, 6.35)],
}
"""Numbers of clauses that the demo has no row of: invented."""
COUNTED = ("edges_held", "stitched", "cyclic", "planes", "k", "most_mm")
"""Numbers that are counted or chosen, and stay as they are."""
DRAWS = 3


@cache
def clauses() -> dict[str, Any]:
    """Every clause there is, by name."""
    found = {}
    for module in pkgutil.iter_modules(rules.__path__):
        loaded = importlib.import_module(f"{rules.__name__}.{module.name}")
        found |= {name: own for name, own in vars(loaded).items() if hasattr(own, "formula")}
    return found


@cache
def numbers() -> dict[str, list[dict[str, float]]]:
    """What is put into each clause: by the demo's rows, and moved at random."""
    truck = designed_of(of_table(tables("demo")))
    found = {name: list(rows) for name, rows in FILLETS.items()}
    for row in (*truck.truck.checks, *truck.strength.checks):
        if row.rule in clauses():
            found.setdefault(row.rule, []).append(dict(row.given))
    draw = random.Random(17)
    return {
        name: rows + [_moved(draw, row) for row in rows for _ in range(DRAWS)]
        for name, rows in found.items()
    }


def _moved(draw: random.Random, row: dict[str, float]) -> dict[str, float]:
    return {
        name: value if name in COUNTED else value * draw.uniform(0.8, 1.25)
        for name, value in row.items()
    }


def heavier(name: str, now: float) -> float:
    """The next gauge of the shop's stock; past the last a quarter more."""
    shop = default_shop()
    stock = {
        "t_mm": [plate.thickness for plate in shop.plates],
        "wall_mm": [tube.wall for tube in shop.tubes],
        "leg_mm": list(shop.legs),
    }[name]
    return min((size for size in stock if size > now + 0.01), default=1.25 * now)


def worse(name: str, number: str) -> Iterator[str]:
    """Every row that the next gauge makes worse, with its numbers."""
    clause = clauses()[name]
    for row in numbers()[name]:
        more = {**row, number: heavier(number, row[number])}
        was, now = (_used(*clause(**given)) for given in (row, more))
        if now > was * (1 + 1e-9) + 1e-12:
            yield f"{name}, {number} {row[number]} to {more[number]}: {was} to {now} of {row}"


def _used(demand: Any, capacity: Any) -> float:
    return float(demand) / float(capacity) if float(capacity) > 0 else 99.0 * (float(demand) > 0)


def test_every_clause_with_a_thickness_stands_in_one_of_the_two_lists() -> None:
    asked = {
        (name, number)
        for name, clause in clauses().items()
        for number in NUMBERS
        if number in inspect.signature(clause).parameters
    }
    assert asked == {*MAY_WORSEN, *NEVER_WORSE}
    assert not NEVER_WORSE & MAY_WORSEN.keys()


@pytest.mark.parametrize(("name", "number"), sorted(NEVER_WORSE))
def test_the_next_gauge_makes_no_row_worse(name: str, number: str) -> None:
    assert numbers()[name]
    assert next(worse(name, number), "") == ""


@pytest.mark.parametrize(("name", "number"), sorted(MAY_WORSEN))
def test_what_may_worsen_does_and_says_why(name: str, number: str) -> None:
    assert next(worse(name, number), "") and MAY_WORSEN[name, number]

"""Plates that the tool passes, held against a lower bound of their plastic collapse: a moment field
in equilibrium that nowhere passes Tresca's yield, found by linear programming (`plate_limit`). The
tool works them by yield lines, which are upper bounds of their pattern.

Published: a round plate under even pressure collapses at 6 m / R^2 on a turning edge, 11.26 m / R^2
held fast (Hopkins and Prager 1953, Tresca: unverified source).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from plate_limit import Plate, collapse, disk, grid, spread, square
from soapstone.parts.design.sizing import Check
from soapstone.parts.pieces._coil import LEG_HALF
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.result import strength
from trucks import truck

OMEGA = 1.67
AROUND = np.linspace(0.0, 2 * np.pi, 48, endpoint=False)
RING = np.column_stack((np.cos(AROUND), np.sin(AROUND)))
Given = Mapping[str, float]


class Worked(NamedTuple):
    """A plate, its held corners, the load on each, which stay level, those of a stiff part."""

    made: Plate
    held: np.ndarray
    load: np.ndarray
    level: Sequence[np.ndarray] = ()
    stiff: np.ndarray | None = None


@cache
def rows() -> tuple[Check, ...]:
    return strength(*truck(), default_shop()).checks


def even(made: Plate) -> np.ndarray:
    """One unit of pressure, a third of each triangle's on each of its corners."""
    a, b, c = (made.nodes[made.triangles[:, n]] for n in range(3))
    areas = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2
    found = np.zeros(len(made.nodes))
    np.add.at(found, made.triangles.ravel(), np.repeat(areas / 3, 3))
    return found


@pytest.mark.parametrize(("clamped", "published"), [(False, 6.0), (True, 11.26)])
def test_round_plate_under_pressure(clamped: bool, published: float) -> None:
    made = disk(1.0, 7)
    rim = np.hypot(*made.nodes.T) > 0.999
    found = collapse(made, rim, even(made), 1.0, (rim,) if clamped else ())
    assert 0.88 * published < found < published


def test_square_plate_lies_under_its_yield_lines() -> None:
    """24 m / L^2, Johansen's diagonals (any text): an upper bound."""
    made = square(1.0, 1.0, 6, 6)
    x, y = made.nodes.T
    found = collapse(made, (x < 1e-9) | (x > 1 - 1e-9) | (y < 1e-9) | (y > 1 - 1e-9), even(made), 1)
    assert 0.85 * 24 < found < 24


def coil_seat(of: Given) -> Worked:
    """Three edges held up and free to turn, the front one free."""
    made = square(of["span_mm"], of["deep_mm"], 10, 8)
    x, y = made.nodes.T
    middle = np.array([of["span_mm"] / 2, of["at_mm"]])
    load = spread(made, middle + of["coil_radius_mm"] * RING, of["coil_N"])
    load += spread(made, middle + of["stop_radius_mm"] * RING, of["stop_N"])
    return Worked(made, (y < 1e-6) | (x < 1e-6) | (x > of["span_mm"] - 1e-6), load)


def lower_seat(of: Given) -> Worked:
    """A round seat on two saddles, the stop's legs on it."""
    lines = (of["line_mm"], of["past_mm"])
    made = disk(of["rim_mm"], 7, (*lines, *(-y for y in lines)))
    held = np.isclose(np.abs(made.nodes[:, 1])[:, None], lines, atol=1e-6).any(axis=1)
    load = spread(made, of["coil_radius_mm"] * RING, of["coil_N"])
    for side in (1.0, -1.0) if of["stop_N"] > 0 else ():
        leg = np.column_stack(
            (np.linspace(-LEG_HALF, LEG_HALF, 9), np.full(9, side * of["fold_mm"]))
        )
        load += spread(made, leg, of["stop_N"] / 2)
    return Worked(made, held, load)


def wall(of: Given) -> Worked:
    """A quarter of a long wall held along both edges and free to turn, a stiff patch in its middle;
    the other quarters mirror it. A wall of the rail goes on round its corners and bends there (AISC
    360 K1-12 counts on it; the tool's row does not).
    """
    wide, along, across = (
        of[f"{name}_mm"] / 2 for name in ("edges", "patch_along", "patch_across")
    )
    room = wide - across
    cell, past = room / 4, 1.5 * np.sqrt(2 * wide * room)
    # cells about square beside the patch, longer farther off
    out = [along]
    while out[-1] < along + past:
        out.append(out[-1] + min(cell * 1.25 ** len(out), past / 4))
    inside = np.linspace(0.0, along, max(2, round(along / cell / 2)) + 1)
    xs = np.concatenate((inside, out[1:]))
    ys = np.concatenate((np.linspace(0.0, across, 3), np.linspace(across, wide, 5)[1:]))
    made = grid(xs, ys)
    x, y = made.nodes.T
    stiff = (x < along + 1e-6) & (y < across + 1e-6)
    load = np.where(stiff, abs(of["force_N"]) / 4 / stiff.sum(), 0.0)
    held = y > wide - 1e-6
    bends_on = (held,) if of.get("of_rail") else ()
    return Worked(made, held, load, (x < 1e-6, y < 1e-6, *bends_on), stiff)


WORKED: Mapping[str, Callable[[Given], Worked]] = {
    "seat_collapse": coil_seat,
    "seat_on_lines": lower_seat,
    "wall_pulled": wall,
}


def worst(rule: str) -> list[Check]:
    """The row of each kind of part that asks most."""
    found: dict[str, Check] = {}
    for row in (row for row in rows() if row.rule == rule):
        if dict(row.given).get("edges_held", 1.0) == 1.0:
            found.setdefault(f"{row.part.partition('.')[0]} {row.what}", row)
    return list(found.values())


@pytest.mark.long
@pytest.mark.parametrize("rule", sorted(WORKED))
def test_no_plate_passes_that_plasticity_does_not(rule: str) -> None:
    asked = worst(rule)
    assert asked
    for row in asked:
        of = {**dict(row.given), "of_rail": float(row.what.startswith("rail's"))}
        plate = WORKED[rule](of)
        moment = of["fy_MPa"] * of["t_mm"] ** 2 / 4
        carried = collapse(plate.made, plate.held, plate.load, moment, plate.level, plate.stiff)
        assert row.verdict != "fails"
        assert carried >= OMEGA, (row.part, row.what, carried)
        # what the tool takes for its collapse is not far above what is certain on a coarse mesh
        assert carried >= 0.65 * OMEGA / row.utilisation**2, (row.part, row.what, carried)

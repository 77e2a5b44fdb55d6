"""Everyday life: the largest range of stress between any two everyday states, at weld throats,
roots of ears and the coil-seat plate. Warnings, never a pass.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import TYPE_CHECKING, Any

import numpy as np

from ...layout.loads.forces import Forces
from ..design.sizing import Check, put_in
from ..rules import life as clauses
from .elements.coil_seat_plate import Seat

if TYPE_CHECKING:
    from .rows import Root, Work

THROAT = 0.70711


def _row(part: str, says: str, clause: Any, stress: float, case: str) -> Iterator[Check]:
    if stress < 1e-6:
        return
    got = {"range_MPa": stress}
    demand, capacity = (float(x) for x in clause(**got))
    yield Check(
        part,
        says,
        f"{clause.ref} {clause.edition}".strip(),
        demand,
        capacity,
        clause.unit,
        clause.must,
        clause.tag,
        case,
        clause.formula,
        put_in(got),
    )


def _said(a: Forces, b: Forces) -> str:
    name = lambda f: f.case.name + {"L": " left", "R": " right"}.get(f.case.hand, "")
    return f"everyday, {name(a)} to {name(b)}"


def rows(w: Work, everyday: Sequence[Forces]) -> Iterator[Check]:
    """One row a weld group and one an ear."""
    for g in w.groups:
        at = [
            g.unit @ np.asarray(g.force(f), dtype=float) / (THROAT * g.legs[:, None])
            for f in everyday
        ]
        worst, a, b = max(
            (
                (float(np.linalg.norm(at[i] - at[j], axis=1).max()), i, j)
                for i, j in combinations(range(len(at)), 2)
            ),
            key=lambda r: r[0],
        )
        yield from _row(
            g.part,
            f"throat of the {g.says}, every day",
            clauses.life_throat,
            worst,
            _said(everyday[a], everyday[b]),
        )
    for r in w.roots:
        skin = [_skin(r, np.asarray(r.force(f), dtype=float) / r.share) for f in everyday]
        worst, a, b = max(
            (
                (float(np.abs(skin[i] - skin[j]).max()), i, j)
                for i, j in combinations(range(len(skin)), 2)
            ),
            key=lambda x: x[0],
        )
        yield from _row(
            r.part,
            f"root of the ear under its share of the {r.says}, every day",
            clauses.life_root,
            worst,
            _said(everyday[a], everyday[b]),
        )


def _skin(r: Root, v: Any) -> Any:
    """Plain elastic stress at the four corners of an ear's foot, MPa, with sign."""
    turn = np.cross(r.lever, v)
    bend = float(turn @ r.out) / (r.t * r.width**2 / 6)
    side = float(turn @ r.run) / (4 if r.share > 1 else 1) / (r.width * r.t**2 / 6)
    pull = float(v @ r.up) / (r.width * r.t)
    return np.array([pull + i * bend + j * side for i in (1, -1) for j in (1, -1)])


def plate(w: Work, everyday: Sequence[Forces], i: int, s: str, got: Seat) -> Iterator[Check]:
    """The coil-seat plate near its welds."""
    push = [float(f.coil[i] + f.stop[i]) for f in everyday]
    low, high = int(np.argmin(push)), int(np.argmax(push))
    yield from _row(
        f"CS1.{s}",
        "coil-seat plate one thickness off its welds, every day",
        clauses.life_plate,
        got.per_newton * (push[high] - push[low]),
        _said(everyday[low], everyday[high]),
    )

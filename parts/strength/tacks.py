"""Tacks: an inch at each end of every edge a bracket is welded along, held against twice the
standing load: enough to set the truck down on, few enough to cut loose.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from ..design.sizing import Check, put_in
from ..model.assembly import Weld
from ..model.body import Plate
from ..placed.fit import weld_line
from ..rules import welds as clauses
from ..rules.bolts import shares
from ..stock import IN
from ..words import numbers as shown

if TYPE_CHECKING:
    from .rows import Group, Work

LONG = IN
TWICE = 2.0


class Tack(NamedTuple):
    """A set of tacks: on which edges of which part, how many, how long, mm."""

    weld: Weld
    count: int
    length: float
    leg: float


def tacks_of(w: Work, welds: tuple[Weld, ...]) -> tuple[list[Tack], Any, Any]:
    """Tacks of a group, and the middles (n, 3) and legs (n,) of each: both ends of an edge, one in
    its middle where it is shorter than 3 in, opposite ones on a ring.
    """
    found, mids, legs = [], [], []
    for x in welds:
        m = w.members.get(x.on)
        if m is None or not isinstance(m.body, Plate):
            continue
        named = {e.name for loop in (m.body.outline, *m.body.openings) for e in loop}
        at = [
            p
            for e in x.edges
            if e in named
            for p in _places(
                weld_line(
                    m,
                    e,
                    w.shop.plate(m.body.stock).thickness,
                    "top" if x.face == "top" else "bottom",
                    x.stop,
                )
            )
        ]
        if at:
            found.append(Tack(x, len(at), LONG, x.leg))
            mids += at
            legs += [x.leg] * len(at)
    return found, np.array(mids), np.array(legs)


def _places(line: Any) -> list[Any]:
    if len(line) < 2:
        return []
    step = np.linalg.norm(np.diff(line, axis=0), axis=1)
    run = float(step.sum())
    along = np.concatenate(([0.0], np.cumsum(step)))
    closed = np.linalg.norm(np.subtract(line[0], line[-1])) < 1.0
    at = (
        (run / 4, 3 * run / 4)
        if closed
        else (run / 2,)
        if run < 3 * LONG
        else (LONG / 2, run - LONG / 2)
    )
    return [np.array([np.interp(k, along, line[:, i]) for i in range(3)]) for k in at]


def every(w: Work) -> list[Tack]:
    """Tacks of every weld of a plate, each once."""
    found = {t.weld.id: t for t in tacks_of(w, tuple(w.t.assembly.welds))[0]}
    return [found[k] for k in sorted(found)]


def rows(w: Work) -> Iterator[Check]:
    """A row for each weld group that something may stand on before it is welded."""
    static = next(f for f in w.rows if f.case.name == "static")
    for g in w.groups:
        yield from _held(w, g, static)


def _held(w: Work, g: Group, static: Any) -> Iterator[Check]:
    found, mids, legs = tacks_of(w, g.welds)
    if len(mids) < 2:
        return
    each = shares(mids, legs * LONG, TWICE * np.asarray(g.force(static), dtype=float), g.at) / LONG
    n = int(np.argmax(np.linalg.norm(each, axis=1) / legs))
    got = {
        "force_N_mm": float(np.linalg.norm(each[n])),
        "leg_mm": float(legs[n]),
        "fexx_MPa": w.made_of.filler.fexx,
    }
    c = clauses.weld_line
    demand, capacity = (float(x) for x in c(**got))
    if demand < 1e-6:
        return
    yield Check(
        g.part,
        f"tacks for the {g.says}: {sum(t.count for t in found)} of {shown.room(IN)} hold twice the"
        " standing load",
        f"{c.ref} {c.edition}",
        demand,
        capacity,
        c.unit,
        False,
        "",
        "tacked, 2 x static",
        c.formula,
        put_in(got),
    )

"""Set down, measure, correct: what the tacked truck's readings say, and which moves cure it.

The fewest moves that bring everything within its limit are advised, in sixteenths and quarter
turns; where none do, those that cure most, one by one. What counts is what was read, and how hard
the bushings are squeezed at rest: an arm of the wrong length is cured at that arm, not by seats
that bring the heights back and leave the bushings in a bind.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .. import units
from ..travel.turning import Array
from .finding import Round, Truth, find
from .moves import Cure, Move, Moved, moves
from .readings import ASKED, BY, SAME, SLACK, Judged, judge, not_right, stands
from .standing import Truck, read

TRIED = 4
"""Steps of a move its effect is worked from."""
LEFT = 0.75
"""Share of its limit moves may leave a reading off by: the rest is for what tape and finder miss
(judgment, no source).
"""
AIMS = {a.name: a.aim for a in ASKED if a.aim}
SQUEEZED = 0.025
"""Share of its radial limit a bushing at rest may be squeezed before it counts as much as a reading
off by its aim: small, so that a wrong arm is cured at that arm (judgment, no source).
"""
WELL, LITTLE = 0.25, 0.2
"""Shares of its radial limit a bushing may be squeezed at rest and be well, and be as good as free
(judgment, no source).
"""


class Step(NamedTuple):
    """One move advised: steps of its unit, what it does to every reading (internal units)."""

    move: Move
    amount: float
    effect: Mapping[str, float]

    @property
    def words(self) -> str:
        """In sixteenths or quarter turns."""
        n = abs(self.amount)
        if self.move.unit == "turn":
            turns = round(n / self.move.step) / 4
            return (
                f"{self.move.says}: {turns:g} turn{'s' if turns > 1 else ''}"
                f" {'longer' if self.amount > 0 else 'shorter'}"
            )
        return f"{self.move.says}: {units.show(n, 'length')} {'up' if self.amount > 0 else 'down'}"


class Advice(NamedTuple):
    """What the readings say and what to do.

    ``judged``: a verdict on everything asked, as the truck stands; ``after``: off by the model once
    all is moved; ``squeeze``: share of its radial limit the hardest squeezed bushing is at, now and
    after.
    """

    judged: tuple[Judged, ...]
    steps: tuple[Step, ...]
    after: Mapping[str, float]
    truth: Truth
    squeeze: tuple[float, float]

    @property
    def errors(self) -> Mapping[str, float]:
        """Reading less target, for everything that was read."""
        return {r.name: r.off for r in self.judged if r.read is not None}

    @property
    def found(self) -> Mapping[str, float]:
        """What differs, by unknown."""
        return self.truth.found

    @property
    def unexplained(self) -> tuple[str, ...]:
        """Readings to be taken again."""
        return tuple(r.name for r in self.judged if r.word == "wild")

    @property
    def done(self) -> bool:
        """Whether everything that can be wrong was read and is within its limit."""
        return stands(self.judged)

    @property
    def not_right(self) -> str:
        """Everything out, to be read again and not read, in one sentence; empty if the truck stands
        right.
        """
        return not_right(self.judged)


def as_it_stands(
    rounds: Sequence[Round], truth: Truth
) -> tuple[dict[str, float], dict[str, float]]:
    """Readings of the truck as it stands now (set-downs since the last move; the later of two
    readings), and those of them not believed.
    """
    last = rounds[-1].moved
    taken: dict[str, float] = {}
    wild: dict[str, float] = {}
    for r, odd in zip(rounds, truth.wild, strict=True):
        if any(abs(r.moved.get(n, 0.0) - last.get(n, 0.0)) > SAME for n in {*r.moved, *last}):
            taken, wild = {}, {}
            continue
        for n, x in r.readings.items():
            taken[n] = x
            wild.pop(n, None)
            if n in odd:
                wild[n] = odd[n]
    return taken, wild


def advise(t: Truck, rounds: Sequence[Round], most: int = 6) -> Advice:
    """What the truck needs as it stands.

    The fewest moves that leave everything within its limit are advised, each rounded to its step.
    No move is advised while a reading is to be taken again: reading costs less than cutting a tack
    loose for nothing.
    """
    truth = find(t, rounds)
    taken, wild = as_it_stands(rounds, truth)
    before, x = dict(rounds[-1].moved), truth.found
    base, effect = _effects(t, x, before)
    # what is read counts, not what the model thinks: the model gives the slopes, and what nobody
    # read
    odd = set(wild) - set(truth.twice)
    believed = {n: v for n, v in taken.items() if n not in odd}
    now = {n: believed.get(n, base[n]) - t.targets[n] for n in AIMS} | _squeezes(base)
    chosen: Moved = []
    if believed and not odd and not _well_within(t, now, _squeezed(base)):
        limit = limits(t, believed, _squeezed(base))
        cure = Cure(moves(t), effect, now, aims(t), limit)
        chosen = cure.fewest(_within(effect, now, limit), most) or cure.one_by_one(most)
    total = {m.name: before.get(m.name, 0.0) + a for m, a in chosen}
    end = _columns(read(t, [(x, {**before, **total})]), 1)[0]
    return Advice(
        _judged(t, taken, wild, truth),
        tuple(Step(m, a, {n: a * e for n, e in effect[m.name].items()}) for m, a in chosen),
        {n: now[n] + end[n] - base[n] for n in AIMS},
        truth,
        (_squeezed(base) / t.squeeze, _squeezed(end) / t.squeeze),
    )


def _effects(
    t: Truck, x: Mapping[str, float], before: Mapping[str, float]
) -> tuple[dict[str, float], dict[str, dict[str, float]]]:
    """What would be read as it stands, and move -> reading -> change a mm."""
    can = moves(t)
    trials = [{**before, m.name: before.get(m.name, 0.0) + TRIED * m.step} for m in can]
    base, *tried = _columns(read(t, [(x, moved) for moved in (before, *trials)]), 1 + len(can))
    return base, {
        m.name: {n: (got[n] - base[n]) / (TRIED * m.step) for n in base}
        for m, got in zip(can, tried, strict=True)
    }


def _judged(
    t: Truck, taken: Mapping[str, float], wild: Mapping[str, float], truth: Truth
) -> tuple[Judged, ...]:
    """A verdict on everything asked; what was read twice alike is so, and what another reading
    would explain as well says which.
    """
    rows = []
    for r in judge(t.asked, taken, wild):
        if r.word == "wild" and r.name in truth.twice:
            why = "read twice alike: it is so, and nothing here explains it"
            rows.append(r._replace(word="out", why=why))
        elif r.word == "wild" and r.name in truth.instead:
            other = BY[truth.instead[r.name]].title
            rows.append(r._replace(why=f"if it is wrong, {other} is not: read it again"))
        else:
            rows.append(r)
    return tuple(rows)


def _within(
    effect: Mapping[str, Mapping[str, float]],
    now: Mapping[str, float],
    limit: Mapping[str, float],
) -> Callable[[Moved], bool]:
    """Whether moves leave all they are made for within its limit.

    ``effect``: move -> reading -> change a mm; ``now``: reading -> how far off as it stands.
    """

    def holds(moved: Moved) -> bool:
        end = dict(now)
        for move, amount in moved:
            for n in end:
                end[n] += effect[move.name][n] * amount
        squeezed = max(limit[n] for n in limit if n.startswith("squeeze."))
        return _squeezed(end) <= squeezed and all(
            abs(x) <= limit[n] for n, x in end.items() if n in AIMS
        )

    return holds


def _squeezes(got: Mapping[str, float]) -> dict[str, float]:
    return {n: x for n, x in got.items() if n.startswith("squeeze.")}


def _well_within(t: Truck, now: Mapping[str, float], squeezed: float) -> bool:
    """Whether nothing is worth cutting loose: all that moves are made for within half its limit, no
    bushing a quarter squeezed (judgment, no source).
    """
    near = all(abs(now[n]) <= BY[n].limit / 2 + SLACK[BY[n].kind] for n in AIMS)
    return near and squeezed <= WELL * t.squeeze


def aims(t: Truck) -> dict[str, float]:
    """What counts as much as what: a reading off by its aim, a bushing squeezed by the share that
    is too much.
    """
    return AIMS | {f"squeeze.{i}": SQUEEZED * t.squeeze for i in range(8)}


def limits(t: Truck, taken: Container[str], squeezed: float) -> dict[str, float]:
    """How far off each may be left: what was read a share of its limit, what the model thinks of
    the rest its limit; no bushing harder ``squeezed`` (mm) than now, unless by little.
    """
    rows = {n: BY[n].limit * (LEFT if n in taken else 1.0) for n in AIMS}
    most = min(max(squeezed, LITTLE * t.squeeze), WELL * t.squeeze)
    return rows | {f"squeeze.{i}": most for i in range(8)}


def _squeezed(got: Mapping[str, float]) -> float:
    """Radial squeeze of the hardest squeezed bushing, mm."""
    return max(
        float(np.hypot(got[f"squeeze.{2 * n}"], got[f"squeeze.{2 * n + 1}"])) for n in range(4)
    )


def _columns(got: Mapping[str, Array], n: int) -> list[dict[str, float]]:
    return [{k: float(a[i]) for k, a in got.items()} for i in range(n)]

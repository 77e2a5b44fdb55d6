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
from ..arrays import Array
from .finding import Round, Truth, find
from .moves import Move, Moved, MoveEffects, moves
from .readings import ASKED, BY, SAME, SLACK, ReadingVerdict, judge, not_right, stands
from .standing import read
from .truck import SetdownTruck

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


class AdvisedMove(NamedTuple):
    """One move advised.

    ``amount``: mm, up and longer positive, a whole number of the move's steps; ``effect``: what it
    does to every reading, mm or rad.
    """

    move: Move
    amount: float
    effect: Mapping[str, float]

    @property
    def words(self) -> str:
        """The move as a shop says it: in sixteenths, or quarter turns of a thread."""
        amount = abs(self.amount)
        if self.move.unit == "turn":
            turns = round(amount / self.move.step) / 4
            return (
                f"{self.move.says}: {turns:g} turn{'s' if turns > 1 else ''}"
                f" {'longer' if self.amount > 0 else 'shorter'}"
            )
        way = "up" if self.amount > 0 else "down"
        return f"{self.move.says}: {units.show(amount, 'length')} {way}"


class SetdownAdvice(NamedTuple):
    """What the readings say and what to do.

    ``judged``: a verdict on everything asked, as the truck stands; ``after``: off by the model once
    all is moved; ``squeeze``: share of its radial limit the hardest squeezed bushing is at, now and
    after.
    """

    judged: tuple[ReadingVerdict, ...]
    steps: tuple[AdvisedMove, ...]
    after: Mapping[str, float]
    truth: Truth
    squeeze: tuple[float, float]

    @property
    def errors(self) -> Mapping[str, float]:
        """Reading less target, mm or rad, for everything that was read."""
        return {row.name: row.off for row in self.judged if row.read is not None}

    @property
    def found(self) -> Mapping[str, float]:
        """What differs from the truck as designed, by unknown, mm, rad or a share."""
        return self.truth.found

    @property
    def unexplained(self) -> tuple[str, ...]:
        """Readings to be taken again."""
        return tuple(row.name for row in self.judged if row.word == "wild")

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
    for row, odd in zip(rounds, truth.wild, strict=True):
        if any(
            abs(row.moved.get(name, 0.0) - last.get(name, 0.0)) > SAME
            for name in {*row.moved, *last}
        ):
            taken, wild = {}, {}
            continue
        for name, value in row.readings.items():
            taken[name] = value
            wild.pop(name, None)
            if name in odd:
                wild[name] = odd[name]
    return taken, wild


def advise(truck: SetdownTruck, rounds: Sequence[Round], most: int = 6) -> SetdownAdvice:
    """What the truck needs as it stands.

    The fewest moves that leave everything within its limit are advised, each rounded to its step.
    No move is advised while a reading is to be taken again: reading costs less than cutting a tack
    loose for nothing.
    """
    truth = find(truck, rounds)
    taken, wild = as_it_stands(rounds, truth)
    before, found = dict(rounds[-1].moved), truth.found
    base, effect = _effects(truck, found, before)
    # what is read counts, not what the model thinks: the model gives the slopes, and what nobody
    # read
    odd = set(wild) - set(truth.twice)
    believed = {name: value for name, value in taken.items() if name not in odd}
    now = {name: believed.get(name, base[name]) - truck.targets[name] for name in AIMS} | _squeezes(
        base
    )
    chosen: Moved = []
    if believed and not odd and not _well_within(truck, now, _squeezed(base)):
        limit = limits(truck, believed, _squeezed(base))
        cure = MoveEffects(moves(truck), effect, now, aims(truck), limit)
        chosen = cure.fewest(_within(effect, now, limit), most) or cure.one_by_one(most)
    total = {move.name: before.get(move.name, 0.0) + amount for move, amount in chosen}
    end = _columns(read(truck, [(found, {**before, **total})]), 1)[0]
    return SetdownAdvice(
        _judged(truck, taken, wild, truth),
        tuple(
            AdvisedMove(
                move, amount, {name: amount * slope for name, slope in effect[move.name].items()}
            )
            for move, amount in chosen
        ),
        {name: now[name] + end[name] - base[name] for name in AIMS},
        truth,
        (_squeezed(base) / truck.squeeze, _squeezed(end) / truck.squeeze),
    )


def _effects(
    truck: SetdownTruck, found: Mapping[str, float], before: Mapping[str, float]
) -> tuple[dict[str, float], dict[str, dict[str, float]]]:
    """What would be read as it stands, and move -> reading -> change a mm."""
    can = moves(truck)
    trials = [{**before, move.name: before.get(move.name, 0.0) + TRIED * move.step} for move in can]
    base, *tried = _columns(
        read(truck, [(found, moved) for moved in (before, *trials)]), 1 + len(can)
    )
    return base, {
        move.name: {name: (got[name] - base[name]) / (TRIED * move.step) for name in base}
        for move, got in zip(can, tried, strict=True)
    }


def _judged(
    truck: SetdownTruck, taken: Mapping[str, float], wild: Mapping[str, float], truth: Truth
) -> tuple[ReadingVerdict, ...]:
    """A verdict on everything asked; what was read twice alike is so, and what another reading
    would explain as well says which.
    """
    rows = []
    for row in judge(truck.asked, taken, wild):
        if row.word == "wild" and row.name in truth.twice:
            why = "read twice alike: it is so, and nothing here explains it"
            rows.append(row._replace(word="out", why=why))
        elif row.word == "wild" and row.name in truth.instead:
            other = BY[truth.instead[row.name]].title
            rows.append(row._replace(why=f"if it is wrong, {other} is not: read it again"))
        else:
            rows.append(row)
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
            for name in end:
                end[name] += effect[move.name][name] * amount
        squeezed = max(limit[name] for name in limit if name.startswith("squeeze."))
        return _squeezed(end) <= squeezed and all(
            abs(value) <= limit[name] for name, value in end.items() if name in AIMS
        )

    return holds


def _squeezes(got: Mapping[str, float]) -> dict[str, float]:
    return {name: value for name, value in got.items() if name.startswith("squeeze.")}


def _well_within(truck: SetdownTruck, now: Mapping[str, float], squeezed: float) -> bool:
    """Whether nothing is worth cutting loose: all that moves are made for within half its limit, no
    bushing a quarter squeezed (judgment, no source).
    """
    near = all(abs(now[name]) <= BY[name].limit / 2 + SLACK[BY[name].kind] for name in AIMS)
    return near and squeezed <= WELL * truck.squeeze


def aims(truck: SetdownTruck) -> dict[str, float]:
    """What counts as much as what: a reading off by its aim, a bushing squeezed by the share that
    is too much.
    """
    return AIMS | {f"squeeze.{number}": SQUEEZED * truck.squeeze for number in range(8)}


def limits(truck: SetdownTruck, taken: Container[str], squeezed: float) -> dict[str, float]:
    """How far off each may be left: what was read a share of its limit, what the model thinks of
    the rest its limit; no bushing harder ``squeezed`` (mm) than now, unless by little.
    """
    rows = {name: BY[name].limit * (LEFT if name in taken else 1.0) for name in AIMS}
    most = min(max(squeezed, LITTLE * truck.squeeze), WELL * truck.squeeze)
    return rows | {f"squeeze.{number}": most for number in range(8)}


def _squeezed(got: Mapping[str, float]) -> float:
    """Radial squeeze of the hardest squeezed bushing, mm."""
    return max(
        float(np.hypot(got[f"squeeze.{2 * number}"], got[f"squeeze.{2 * number + 1}"]))
        for number in range(4)
    )


def _columns(got: Mapping[str, Array], many: int) -> list[dict[str, float]]:
    return [{name: float(values[number]) for name, values in got.items()} for number in range(many)]

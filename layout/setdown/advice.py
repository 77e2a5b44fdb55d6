"""Set down, measure, correct: what the tacked truck's readings say, and which moves cure it.

Moves are chosen one by one, the one that cures most first, in sixteenths and quarter turns. What
counts is what was read, and how hard the bushings are squeezed at rest: an arm of the wrong length
is cured at that arm, not by seats that bring the heights back and leave the bushings in a bind.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .. import units
from ..travel.turning import Array
from .finding import Round, Truth, find
from .readings import ASKED, BY, SLACK, Judged, judge, not_right, stands
from .standing import IN, Truck, read

AIMS = {a.name: a.aim for a in ASKED if a.aim}
SQUEEZED = 0.025
"""Share of its radial limit a bushing at rest may be squeezed before it counts as much as a reading
off by its aim: small, so that a wrong arm is cured at that arm (judgment, no source).
"""
WELL = 0.25


class Move(NamedTuple):
    """Something a person can move: the step it is made in, what it is called, how far at most;
    ``usual``: as much as is done without a second thought, mm.
    """

    name: str
    step: float
    says: str
    unit: str
    most: float
    usual: float


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


def moves(t: Truck) -> tuple[Move, ...]:
    """Everything a person can move.

    Both arms alike keep the bushings free; one alone winds them up, so less of it is usual.
    """
    word = (("L", "left", 1.0), ("R", "right", 1.0), ("both", "both", 3.0))
    arm, upper = t.threads
    return (
        *(
            Move(f"seat.{s}", IN / 16, f"{w} upper coil seat", "in", 2 * IN, IN)
            for s, w, _ in word[:2]
        ),
        *(
            Move(
                f"upper.{s}",
                upper / 4,
                f"{w} upper arm{'s' if s == 'both' else ''}",
                "turn",
                0.5 * IN,
                k * upper / 3,
            )
            for s, w, k in word
        ),
        *(
            Move(
                f"arm.{s}",
                arm / 4,
                f"{w} radius arm{'s' if s == 'both' else ''}",
                "turn",
                0.75 * IN,
                2 * k * arm,
            )
            for s, w, k in word
        ),
        Move("bar.z", IN / 16, "track bar's frame bracket", "in", 1.5 * IN, IN),
    )


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
        if any(abs(r.moved.get(n, 0.0) - last.get(n, 0.0)) > 1e-6 for n in {*r.moved, *last}):
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

    Moves are chosen one by one; each must cure a fair part of what is left, and is rounded to its
    step. No move is advised while a reading is to be taken again: reading costs less than cutting a
    tack loose for nothing.
    """
    truth = find(t, rounds)
    taken, wild = as_it_stands(rounds, truth)
    can, before, x = moves(t), dict(rounds[-1].moved), truth.found
    base, *tried = _columns(
        read(
            t,
            [
                (x, before),
                *((x, {**before, m.name: before.get(m.name, 0.0) + 4 * m.step}) for m in can),
            ],
        ),
        1 + len(can),
    )
    effect = {
        m.name: {n: (tr[n] - base[n]) / (4 * m.step) for n in base}
        for m, tr in zip(can, tried, strict=True)
    }
    # what is read counts, not what the model thinks: the model gives the slopes, and what nobody
    # read
    odd = set(wild) - set(truth.twice)
    believed = {n: v for n, v in taken.items() if n not in odd}
    now = {n: believed.get(n, base[n]) - t.targets[n] for n in AIMS}
    now |= {n: v for n, v in base.items() if n.startswith("squeeze.")}
    rows = [
        (
            r._replace(word="out", why="read twice alike: it is so, and nothing here explains it")
            if r.name in truth.twice and r.word == "wild"
            else r
        )
        for r in judge(t.asked, taken, wild)
    ]
    worth = believed and not odd and not _well_within(t, now, _squeezed(base))
    chosen = _choose(can, effect, now, aims(t), most) if worth else []
    total = {m.name: before.get(m.name, 0.0) + a for m, a in chosen}
    end = _columns(read(t, [(x, {**before, **total})]), 1)[0]
    after = {n: now[n] + end[n] - base[n] for n in AIMS}
    steps = tuple(Step(m, a, {n: a * e for n, e in effect[m.name].items()}) for m, a in chosen)
    squeeze = tuple(_squeezed(g) / t.squeeze for g in (base, end))
    return Advice(tuple(rows), steps, after, truth, squeeze)  # type: ignore[arg-type]


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


def _squeezed(got: Mapping[str, float]) -> float:
    """Radial squeeze of the hardest squeezed bushing, mm."""
    return max(
        float(np.hypot(got[f"squeeze.{2 * n}"], got[f"squeeze.{2 * n + 1}"])) for n in range(4)
    )


def _columns(got: Mapping[str, Array], n: int) -> list[dict[str, float]]:
    return [{k: float(a[i]) for k, a in got.items()} for i in range(n)]


def _choose(
    can: Sequence[Move],
    effect: Mapping[str, Mapping[str, float]],
    errors: Mapping[str, float],
    aim: Mapping[str, float],
    most: int,
) -> list[tuple[Move, float]]:
    """Forward selection: each time the move whose addition, all amounts fitted again, leaves least;
    stops when it cures too little to be worth cutting loose.
    """
    names = list(errors)
    weight = np.array([1 / aim[n] for n in names])
    e = np.array([errors[n] for n in names]) * weight
    columns = {m.name: np.array([effect[m.name][n] for n in names]) * weight for m in can}
    picked: list[Move] = []
    cost = float(e @ e)
    while len(picked) < most:
        trials: list[tuple[float, int, Move]] = []
        for m in can:
            if m in picked:
                continue
            rows = [*picked, m]
            amounts = _fit(rows, columns, e)
            left = e + sum(columns[r.name] * a for r, a in zip(rows, amounts, strict=True))
            effort = sum((a / r.usual) ** 2 for r, a in zip(rows, amounts, strict=True))
            trials.append((float(left @ left) + effort, len(trials), m))
        best = min(trials, default=None)
        if best is None or cost - best[0] < max(1.0, 0.1 * cost):
            break
        picked, cost = [*picked, best[2]], best[0]
    amounts = _fit(picked, columns, e) if picked else []
    return _by_side(can, {m.name: a for m, a in zip(picked, amounts, strict=True) if a})


def _by_side(can: Sequence[Move], amounts: Mapping[str, float]) -> list[tuple[Move, float]]:
    """Both arms and one of them besides, said as what each side gets in all; in the order the moves
    were chosen.
    """
    by = {m.name: m for m in can}
    rows: dict[str, float] = {}
    for name, a in amounts.items():
        head, _, side = name.partition(".")
        alone = {f"{head}.{s}" for s in "LR"} & set(amounts)
        for n in (f"{head}.L", f"{head}.R") if side == "both" and alone else (name,):
            rows[n] = rows.get(n, 0.0) + a
    return [(by[n], a) for n, a in rows.items() if abs(a) > by[n].step / 2]


def _fit(rows: Sequence[Move], columns: Mapping[str, Array], e: Array) -> list[float]:
    """Amounts by least squares of what is left and of the effort, rounded to steps one by one, the
    rest fitted again after each.
    """
    amounts: dict[str, float] = {}
    left = e.copy()
    todo = list(rows)
    while todo:
        a = np.vstack(
            (
                np.stack([columns[m.name] for m in todo], axis=1),
                np.diag([1 / m.usual for m in todo]),
            )
        )
        got = np.linalg.lstsq(a, -np.concatenate((left, np.zeros(len(todo)))), rcond=None)[0]
        i = int(np.argmax([abs(g) / m.step for g, m in zip(got, todo, strict=True)]))
        m = todo.pop(i)
        amount = max(-m.most, min(m.most, round(got[i] / m.step) * m.step))
        amounts[m.name] = amount
        left = left + columns[m.name] * amount
    return [amounts[m.name] for m in rows]

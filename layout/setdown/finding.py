"""What differs on the real truck, found from every set-down, and which readings nothing likely
explains.

What is not known (spring rate, load, seats, pivots, arm lengths, rear roll rate) gets the value
that explains every set-down's readings best, each within the doubt it had before (least squares
with priors). A reading is wild when all that may differ, and every other reading, leave it more
than ``WILD`` of its own doubt away. Set-downs are judged in turn: what was wild in one stays out in
the next, so a slip of the tape never turns against the good reading that follows it. The same
reading wild twice alike is true, and something the model does not know differs.
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ..arrays import Array
from .readings import BY
from .standing import UNKNOWNS, read
from .truck import SetdownTruck

WILD = 4.0
"""Doubts from which a reading is not believed (judgment, no source)."""
FAR, STEPS, SMALL = 4.0, 6, 1e-3
"""Doubts an unknown may be away at most; steps of Gauss-Newton; a step that no longer matters."""
TRIED = 0.05
"""Doubts an unknown is moved by for its slope."""
NAMES = tuple(u.name for u in UNKNOWNS)
DOUBT = np.array([u.doubt for u in UNKNOWNS])


class Round(NamedTuple):
    """One set-down: readings (internal units, by name of ``ASKED``) and the moves made since the
    first set-down, before it.
    """

    readings: Mapping[str, float]
    moved: Mapping[str, float]


class Truth(NamedTuple):
    """What every set-down together says.

    ``found``: what differs, by unknown; ``wild``: for every round the readings not believed, with
    how many doubts each is away; ``twice``: readings of the last round that were not believed
    before in the same way: true, and not explained; ``instead``: reading -> the wild one it would
    explain as well if it were wrong itself.
    """

    found: Mapping[str, float]
    wild: tuple[Mapping[str, float], ...]
    twice: tuple[str, ...]
    instead: Mapping[str, str] = {}


class _LinearSystem(NamedTuple):
    """Linear system about ``x``: rows of readings in their own doubt by unknowns in theirs, and
    what is missed.
    """

    jac: Array
    miss: Array
    which: tuple[tuple[int, str], ...]

    def kept(self, keep: Sequence[int]) -> _LinearSystem:
        """Some of the rows."""
        return _LinearSystem(
            self.jac[keep], self.miss[keep], tuple(self.which[number] for number in keep)
        )

    def without(self, where: int, names: Container[str]) -> _LinearSystem:
        """All but some readings of round ``where``."""
        return self.kept(
            [
                number
                for number, (round_number, name) in enumerate(self.which)
                if round_number != where or name not in names
            ]
        )

    def believing(self, leave: Sequence[Mapping[str, float]]) -> _LinearSystem:
        """All but the readings left out in each round."""
        return self.kept(
            [
                number
                for number, (round_number, name) in enumerate(self.which)
                if name not in leave[round_number]
            ]
        )


def _rows(
    truck: SetdownTruck, rounds: Sequence[Round], about: Array, leave: Sequence[Mapping[str, float]]
) -> _LinearSystem:
    trials = [
        about,
        *(about + TRIED * doubt * np.eye(len(about))[number] for number, doubt in enumerate(DOUBT)),
    ]
    got = read(
        truck,
        [(dict(zip(NAMES, trial, strict=True)), row.moved) for row in rounds for trial in trials],
    )
    jac, miss, which = [], [], []
    for round_number, row in enumerate(rounds):
        part = slice(round_number * len(trials), (round_number + 1) * len(trials))
        for name, value in row.readings.items():
            if name in leave[round_number] or name not in got:
                continue
            values, sigma = got[name][part], BY[name].doubt
            jac.append((values[1:] - values[0]) / (TRIED * sigma))
            miss.append((value - values[0]) / sigma)
            which.append((round_number, name))
    return _LinearSystem(np.array(jac).reshape(-1, len(about)), np.array(miss), tuple(which))


def _solve(rows: _LinearSystem, about: Array) -> tuple[Array, Array]:
    """The step (in doubts) and how far each reading stands from what all others say, in its own
    doubt (deleted residual).
    """
    matrix = np.vstack((rows.jac, np.eye(len(about))))
    misses = np.concatenate((rows.miss, -about / DOUBT))
    step = np.linalg.lstsq(matrix, misses, rcond=None)[0]
    lever = np.einsum("ij,ji->i", matrix, np.linalg.pinv(matrix))[: len(rows.miss)]
    far = (misses - matrix @ step)[: len(rows.miss)] / np.sqrt(np.maximum(1 - lever, 1e-9))
    return step, far


def _alone(rows: _LinearSystem, about: Array) -> Array:
    """How far each reading is from what any likely truck would give, in its own doubt and the
    truck's.
    """
    return np.asarray(
        (rows.miss + rows.jac @ (about / DOUBT)) / np.sqrt(1 + (rows.jac**2).sum(axis=1))
    )


def _drop(rows: _LinearSystem, about: Array, last: int) -> dict[str, float]:
    """Readings of round ``last`` that nothing explains: those no likely truck would give, whatever
    the others say (two that agree on nonsense do not outvote a good one); then those the others
    contradict, one by one, the furthest first.
    """
    out = {
        name: float(away)
        for away, (number, name) in zip(_alone(rows, about), rows.which, strict=True)
        if number == last and abs(away) >= WILD
    }
    while True:
        part = rows.without(last, out)
        _, far = _solve(part, about)
        mine = [
            (abs(off), name, off)
            for off, (number, name) in zip(far, part.which, strict=True)
            if number == last
        ]
        worst = max(mine, default=(0.0, "", 0.0))
        if worst[0] < WILD:
            return out
        out[worst[1]] = float(worst[2])


def find(truck: SetdownTruck, rounds: Sequence[Round]) -> Truth:
    """The differences that explain every round's believed readings best (Gauss-Newton).

    Any readings give an answer: those that would ask for an impossible truck are left out before
    the model is asked to stand there. Where a wild reading is explained as well by others being
    wrong, those are not believed either.
    """
    about = np.zeros(len(UNKNOWNS))
    leave: list[dict[str, float]] = []
    instead: dict[str, str] = {}
    for number in range(len(rounds)):
        leave.append({})
        for _ in range(STEPS):
            rows = _rows(truck, rounds[: number + 1], about, [*leave[:number], {}])
            leave[number] = _drop(rows, about, number)
            about, done = _nearer(rows.without(number, leave[number]), about)
            if done:
                break
        every = (
            _rows(truck, rounds[: number + 1], about, [{}] * (number + 1))
            if leave[number]
            else None
        )
        suspects = _suspects(every, about, leave) if every is not None else {}
        if suspects:
            instead |= {name: wild for name, (wild, _) in suspects.items()}
            leave[number] |= {name: far for name, (_, far) in suspects.items()}
            for _ in range(STEPS):
                about, done = _nearer(_rows(truck, rounds[: number + 1], about, leave), about)
                if done:
                    break
    last = leave[-1] if leave else {}
    twice = tuple(
        name
        for name, far_off in last.items()
        if any(name in before and abs(before[name] - far_off) < WILD for before in leave[:-1])
    )
    return Truth(dict(zip(NAMES, map(float, about), strict=True)), tuple(leave), twice, instead)


def _nearer(rows: _LinearSystem, about: Array) -> tuple[Array, bool]:
    """One step of Gauss-Newton, and whether it was too small to matter."""
    step, _ = _solve(rows, about)
    end = np.clip(about / DOUBT + step, -FAR, FAR) * DOUBT
    return end, float(np.abs((end - about) / DOUBT).max()) < SMALL


def _suspects(
    every: _LinearSystem, about: Array, leave: Sequence[Mapping[str, float]]
) -> dict[str, tuple[str, float]]:
    """Readings whose being wrong explains a wild one of the last round as well: suspect -> the wild
    reading and how many doubts the suspect is then away.

    A single reading, or both sides of one since they are read with one tool from one floor: with it
    left out in every round and the wild one believed, nothing is wild, and what is missed is no
    more than before.
    """
    last = len(leave) - 1
    missed = _missed(every.believing(leave), about)
    found: dict[str, tuple[str, float]] = {}
    for wild in leave[last]:
        for group in _groups({name for _, name in every.which} - set(leave[last])):
            other = [{name: away for name, away in row.items() if name != wild} for row in leave]
            other = [row | dict.fromkeys(group, 0.0) for row in other]
            part = every.believing(other)
            if _missed(part, about) > missed or _drop(part, about, last):
                continue
            far = dict(zip(every.which, _alone(every, about), strict=True))
            found |= {name: (wild, float(far[last, name])) for name in group if (last, name) in far}
    return found


def _groups(names: set[str]) -> list[tuple[str, ...]]:
    """Every reading by itself, and both sides of those that have two."""
    each: list[tuple[str, ...]] = [(name,) for name in sorted(names)]
    both = {name.removesuffix(".left") for name in names if name.endswith(".left")}
    pairs = [(f"{name}.left", f"{name}.right") for name in sorted(both) if f"{name}.right" in names]
    return [*each, *pairs]


def _missed(rows: _LinearSystem, about: Array) -> float:
    """What the best truck leaves: squares of what readings miss and of what it differs by, in
    doubts.
    """
    step, _ = _solve(rows, about)
    left = rows.miss - rows.jac @ step
    end = about / DOUBT + step
    return float(left @ left + end @ end)

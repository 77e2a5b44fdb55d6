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

from ..travel.turning import Array
from .readings import BY
from .standing import UNKNOWNS, Truck, read

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


class _Rows(NamedTuple):
    """Linear system about ``x``: rows of readings in their own doubt by unknowns in theirs, and
    what is missed.
    """

    jac: Array
    miss: Array
    which: tuple[tuple[int, str], ...]

    def kept(self, keep: Sequence[int]) -> _Rows:
        """Some of the rows."""
        return _Rows(self.jac[keep], self.miss[keep], tuple(self.which[i] for i in keep))

    def without(self, k: int, names: Container[str]) -> _Rows:
        """All but some readings of round ``k``."""
        return self.kept([i for i, (r, n) in enumerate(self.which) if r != k or n not in names])

    def believing(self, leave: Sequence[Mapping[str, float]]) -> _Rows:
        """All but the readings left out in each round."""
        return self.kept([i for i, (r, n) in enumerate(self.which) if n not in leave[r]])


def _rows(
    t: Truck, rounds: Sequence[Round], x: Array, leave: Sequence[Mapping[str, float]]
) -> _Rows:
    trials = [x, *(x + TRIED * d * np.eye(len(x))[i] for i, d in enumerate(DOUBT))]
    got = read(t, [(dict(zip(NAMES, tr, strict=True)), r.moved) for r in rounds for tr in trials])
    jac, miss, which = [], [], []
    for k, r in enumerate(rounds):
        part = slice(k * len(trials), (k + 1) * len(trials))
        for n, value in r.readings.items():
            if n in leave[k] or n not in got:
                continue
            a, sigma = got[n][part], BY[n].doubt
            jac.append((a[1:] - a[0]) / (TRIED * sigma))
            miss.append((value - a[0]) / sigma)
            which.append((k, n))
    return _Rows(np.array(jac).reshape(-1, len(x)), np.array(miss), tuple(which))


def _solve(rows: _Rows, x: Array) -> tuple[Array, Array]:
    """The step (in doubts) and how far each reading stands from what all others say, in its own
    doubt (deleted residual).
    """
    j = np.vstack((rows.jac, np.eye(len(x))))
    e = np.concatenate((rows.miss, -x / DOUBT))
    step = np.linalg.lstsq(j, e, rcond=None)[0]
    lever = np.einsum("ij,ji->i", j, np.linalg.pinv(j))[: len(rows.miss)]
    far = (e - j @ step)[: len(rows.miss)] / np.sqrt(np.maximum(1 - lever, 1e-9))
    return step, far


def _alone(rows: _Rows, x: Array) -> Array:
    """How far each reading is from what any likely truck would give, in its own doubt and the
    truck's.
    """
    return np.asarray((rows.miss + rows.jac @ (x / DOUBT)) / np.sqrt(1 + (rows.jac**2).sum(axis=1)))


def _drop(rows: _Rows, x: Array, k: int) -> dict[str, float]:
    """Readings of round ``k`` that nothing explains: those no likely truck would give, whatever the
    others say (two that agree on nonsense do not outvote a good one); then those the others
    contradict, one by one, the furthest first.
    """
    out = {
        n: float(a)
        for a, (r, n) in zip(_alone(rows, x), rows.which, strict=True)
        if r == k and abs(a) >= WILD
    }
    while True:
        part = rows.without(k, out)
        _, far = _solve(part, x)
        mine = [(abs(f), n, f) for f, (r, n) in zip(far, part.which, strict=True) if r == k]
        worst = max(mine, default=(0.0, "", 0.0))
        if worst[0] < WILD:
            return out
        out[worst[1]] = float(worst[2])


def find(t: Truck, rounds: Sequence[Round]) -> Truth:
    """The differences that explain every round's believed readings best (Gauss-Newton).

    Any readings give an answer: those that would ask for an impossible truck are left out before
    the model is asked to stand there. Where a wild reading is explained as well by others being
    wrong, those are not believed either.
    """
    x = np.zeros(len(UNKNOWNS))
    leave: list[dict[str, float]] = []
    instead: dict[str, str] = {}
    for k in range(len(rounds)):
        leave.append({})
        for _ in range(STEPS):
            rows = _rows(t, rounds[: k + 1], x, [*leave[:k], {}])
            leave[k] = _drop(rows, x, k)
            x, done = _nearer(rows.without(k, leave[k]), x)
            if done:
                break
        every = _rows(t, rounds[: k + 1], x, [{}] * (k + 1)) if leave[k] else None
        suspects = _suspects(every, x, leave) if every is not None else {}
        if suspects:
            instead |= {n: wild for n, (wild, _) in suspects.items()}
            leave[k] |= {n: far for n, (_, far) in suspects.items()}
            for _ in range(STEPS):
                x, done = _nearer(_rows(t, rounds[: k + 1], x, leave), x)
                if done:
                    break
    last = leave[-1] if leave else {}
    twice = tuple(
        n for n, f in last.items() if any(n in w and abs(w[n] - f) < WILD for w in leave[:-1])
    )
    return Truth(dict(zip(NAMES, map(float, x), strict=True)), tuple(leave), twice, instead)


def _nearer(rows: _Rows, x: Array) -> tuple[Array, bool]:
    """One step of Gauss-Newton, and whether it was too small to matter."""
    step, _ = _solve(rows, x)
    end = np.clip(x / DOUBT + step, -FAR, FAR) * DOUBT
    return end, float(np.abs((end - x) / DOUBT).max()) < SMALL


def _suspects(
    every: _Rows, x: Array, leave: Sequence[Mapping[str, float]]
) -> dict[str, tuple[str, float]]:
    """Readings whose being wrong explains a wild one of the last round as well: suspect -> the wild
    reading and how many doubts the suspect is then away.

    A single reading, or both sides of one since they are read with one tool from one floor: with it
    left out in every round and the wild one believed, nothing is wild, and what is missed is no
    more than before.
    """
    k = len(leave) - 1
    missed = _missed(every.believing(leave), x)
    found: dict[str, tuple[str, float]] = {}
    for wild in leave[k]:
        for group in _groups({n for _, n in every.which} - set(leave[k])):
            other = [{n: f for n, f in row.items() if n != wild} for row in leave]
            other = [row | dict.fromkeys(group, 0.0) for row in other]
            part = every.believing(other)
            if _missed(part, x) > missed or _drop(part, x, k):
                continue
            far = dict(zip(every.which, _alone(every, x), strict=True))
            found |= {n: (wild, float(far[k, n])) for n in group if (k, n) in far}
    return found


def _groups(names: set[str]) -> list[tuple[str, ...]]:
    """Every reading by itself, and both sides of those that have two."""
    each: list[tuple[str, ...]] = [(n,) for n in sorted(names)]
    both = {n.removesuffix(".left") for n in names if n.endswith(".left")}
    pairs = [(f"{n}.left", f"{n}.right") for n in sorted(both) if f"{n}.right" in names]
    return [*each, *pairs]


def _missed(rows: _Rows, x: Array) -> float:
    """What the best truck leaves: squares of what readings miss and of what it differs by, in
    doubts.
    """
    step, _ = _solve(rows, x)
    left = rows.miss - rows.jac @ step
    end = x / DOUBT + step
    return float(left @ left + end @ end)

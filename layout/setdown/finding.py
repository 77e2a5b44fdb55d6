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

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ..travel.turning import Array
from .readings import BY
from .standing import UNKNOWNS, Truck, read

WILD, FAR, STEPS = 4.0, 4.0, 6
NAMES = tuple(u.name for u in UNKNOWNS)
DOUBT = np.array([u.doubt for u in UNKNOWNS])


class Round(NamedTuple):
    """One set-down: readings (internal units, by name of ``ASKED``) and the moves made since the
    first set-down, before it.
    """

    readings: Mapping[str, float]
    moved: Mapping[str, float]


class Truth(NamedTuple):
    """``found``: what differs, by unknown; ``wild``: for every round the readings not believed,
    with how many doubts each is away; ``twice``: readings of the last round that were wild before
    in the same way: true, and not explained.
    """

    found: Mapping[str, float]
    wild: tuple[Mapping[str, float], ...]
    twice: tuple[str, ...]


class _Rows(NamedTuple):
    """Linear system about ``x``: rows of readings in their own doubt by unknowns in theirs, and
    what is missed.
    """

    jac: Array
    miss: Array
    which: tuple[tuple[int, str], ...]


def _rows(
    t: Truck, rounds: Sequence[Round], x: Array, leave: Sequence[Mapping[str, float]]
) -> _Rows:
    trials = [x, *(x + 0.05 * d * np.eye(len(x))[i] for i, d in enumerate(DOUBT))]
    got = read(t, [(dict(zip(NAMES, tr, strict=True)), r.moved) for r in rounds for tr in trials])
    jac, miss, which = [], [], []
    for k, r in enumerate(rounds):
        part = slice(k * len(trials), (k + 1) * len(trials))
        for n, value in r.readings.items():
            if n in leave[k] or n not in got:
                continue
            a, sigma = got[n][part], BY[n].doubt
            jac.append((a[1:] - a[0]) / (0.05 * sigma))
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


def _drop(rows: _Rows, x: Array, k: int) -> dict[str, float]:
    """Readings of round ``k`` that nothing explains: those no likely truck would give, whatever the
    others say (two that agree on nonsense do not outvote a good one); then those the others
    contradict, one by one, the furthest first.
    """
    alone = (rows.miss + rows.jac @ (x / DOUBT)) / np.sqrt(1 + (rows.jac**2).sum(axis=1))
    out = {
        n: float(a)
        for a, (r, n) in zip(alone, rows.which, strict=True)
        if r == k and abs(a) >= WILD
    }
    while True:
        keep = [i for i, (r, n) in enumerate(rows.which) if r != k or n not in out]
        part = _Rows(rows.jac[keep], rows.miss[keep], tuple(rows.which[i] for i in keep))
        _, far = _solve(part, x)
        mine = [(abs(f), n, f) for f, (r, n) in zip(far, part.which, strict=True) if r == k]
        worst = max(mine, default=(0.0, "", 0.0))
        if worst[0] < WILD:
            return out
        out[worst[1]] = float(worst[2])


def find(t: Truck, rounds: Sequence[Round]) -> Truth:
    """The differences that explain every round's believed readings best (Gauss-Newton).

    Any readings give an answer: those that would ask for an impossible truck are left out before
    the model is asked to stand there.
    """
    x = np.zeros(len(UNKNOWNS))
    leave: list[dict[str, float]] = []
    for k in range(len(rounds)):
        leave.append({})
        for _ in range(STEPS):
            rows = _rows(t, rounds[: k + 1], x, [*leave[:k], {}])
            leave[k] = _drop(rows, x, k)
            keep = [i for i, (r, n) in enumerate(rows.which) if r != k or n not in leave[k]]
            step, _ = _solve(_Rows(rows.jac[keep], rows.miss[keep], ()), x)
            end = np.clip(x / DOUBT + step, -FAR, FAR) * DOUBT
            moved, x = float(np.abs((end - x) / DOUBT).max()), end
            if moved < 1e-3:
                break
    last = leave[-1] if leave else {}
    twice = tuple(
        n for n, f in last.items() if any(n in w and abs(w[n] - f) < WILD for w in leave[:-1])
    )
    return Truth(dict(zip(NAMES, map(float, x), strict=True)), tuple(leave), twice)

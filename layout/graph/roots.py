"""Roots of one block: a bracket and bisection-secant for one unknown, damped Newton for several, a
rank test for both.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from ..arrays import Array

Residuals = Callable[[Sequence[float]], list[float]]

SCAN = 48
"""Steps of the search for sign changes over the allowed range."""
RANK = 1e-9
"""Least change of the residual that counts as the unknown acting on it, in usual sizes."""
MET = 1e-13
"""Residual that counts as none, in usual sizes."""
NEARLY_MET = 1e-10
"""Residual that still counts where damped Newton can go no further, in usual sizes."""


class FoundRoot(NamedTuple):
    """Values of the unknowns, or why there are none.

    ``fault``: "" with values; "rank" where the unknown does not act on the residual, "no root"
    where nothing in the allowed range meets it.
    """

    values: tuple[float, ...]
    fault: str = ""


def scalar(
    residual: Callable[[float], float],
    start: float,
    step: float,
    scale: float,
    low: float,
    high: float,
) -> FoundRoot:
    """Root of ``residual`` nearest to ``start`` within low..high.

    ``step``: a usual change of the unknown; ``scale``: a usual size of ``residual``.

    Secant first, then sign changes over the allowed range, each closed in by regula falsi
    (Illinois) and bisection.
    """
    start = min(max(start, low), high)
    tight = MET * scale
    here = residual(start)
    if abs(here) <= tight:
        return (
            FoundRoot((start,)) if _moves(residual, start, step, scale) else FoundRoot((), "rank")
        )
    got = _secant(
        residual=residual, x=start, at_x=here, little=step * 1e-3, tight=tight, low=low, high=high
    )
    if got is None:
        got = _scan(residual, start, step, low, high, tight)
    if got is None:
        return FoundRoot((), "no root" if _moves(residual, start, step, scale) else "rank")
    return FoundRoot((got,)) if _moves(residual, got, step, scale) else FoundRoot((), "rank")


def _moves(residual: Callable[[float], float], x: float, step: float, scale: float) -> bool:
    little = 1e-4 * step
    change = residual(x + little) - residual(x - little)
    return not abs(change) <= RANK * scale * 1e-4


def _secant(
    residual: Callable[[float], float],
    x: float,
    at_x: float,
    little: float,
    tight: float,
    low: float,
    high: float,
) -> float | None:
    before, at_before = x, at_x
    now = min(max(x + little, low), high)
    if now == before:
        now = before - little
    at_now = residual(now)
    best: tuple[float, float] | None = None
    for _ in range(40):
        if not (math.isfinite(at_before) and math.isfinite(at_now)):
            return None
        if abs(at_now) <= tight or now == before:
            return now if abs(at_now) <= max(tight * 1e3, 1e-300) else None
        if best is not None and abs(at_now) >= best[1] and best[1] <= tight * 1e3:
            return best[0]
        best = (now, abs(at_now)) if best is None or abs(at_now) < best[1] else best
        if at_now == at_before:
            return best[0] if best[1] <= tight * 1e3 else None
        next_ = now - at_now * (now - before) / (at_now - at_before)
        if not low <= next_ <= high:
            return None
        before, at_before, now, at_now = now, at_now, next_, residual(next_)
    return best[0] if best is not None and best[1] <= tight * 1e3 else None


def _scan(
    residual: Callable[[float], float],
    start: float,
    step: float,
    low: float,
    high: float,
    tight: float,
) -> float | None:
    if not math.isfinite(low) or not math.isfinite(high):
        low, high = max(low, start - 40 * step), min(high, start + 40 * step)
    points = sorted({low + (high - low) * i / SCAN for i in range(SCAN + 1)} | {start})
    values = [residual(point) for point in points]
    pairs = [
        (left, at_left, right, at_right)
        for (left, at_left), (right, at_right) in zip(
            zip(points, values, strict=True),
            list(zip(points, values, strict=True))[1:],
            strict=False,
        )
        if math.isfinite(at_left)
        and math.isfinite(at_right)
        and (at_left <= 0 <= at_right or at_right <= 0 <= at_left)
    ]
    for left, at_left, right, at_right in sorted(
        pairs, key=lambda point: min(abs(point[0] - start), abs(point[2] - start))
    ):
        got = _bisect(residual, left, at_left, right, at_right, tight)
        if got is not None:
            return got
    return None


def _bisect(
    residual: Callable[[float], float],
    left: float,
    at_left: float,
    right: float,
    at_right: float,
    tight: float,
) -> float | None:
    first = max(abs(at_left), abs(at_right))
    for _ in range(200):
        middle = 0.5 * (left + right)
        at_middle = residual(middle)
        if not math.isfinite(at_middle):
            return None
        if abs(at_middle) <= tight or middle in (left, right):
            return (
                middle if abs(at_middle) <= first * 1e-6 or abs(at_middle) <= tight * 1e3 else None
            )
        if (at_middle > 0) == (at_right > 0):
            right, at_right = middle, at_middle
        else:
            left, at_left = middle, at_middle
    return 0.5 * (left + right)


def several(
    residuals: Residuals,
    start: Sequence[float],
    steps: Sequence[float],
    scales: Sequence[float],
    limits: Sequence[tuple[float, float]],
) -> FoundRoot:
    """Damped Newton for as many residuals as unknowns, kept within ``limits``; Jacobian by central
    differences in ``steps``.
    """
    x = np.array(
        [min(max(begin, low), high) for begin, (low, high) in zip(start, limits, strict=True)],
        float,
    )
    size, unit = np.array(scales, float), np.array(steps, float)
    missed = np.array(residuals(x.tolist())) / size
    for _ in range(60):
        if not np.all(np.isfinite(missed)):
            return FoundRoot((), "no root")
        jac = _jacobian(residuals, x, unit, size)
        if jac is None:
            return FoundRoot((), "no root")
        strengths = np.linalg.svd(jac, compute_uv=False)
        if strengths[-1] <= RANK * max(strengths[0], 1e-30):
            return FoundRoot((), "rank")
        if np.max(np.abs(missed)) <= MET:
            return FoundRoot(tuple(x.tolist()))
        move = np.linalg.solve(jac, -missed) * unit
        x, missed, went = _damped(residuals, x, missed, move, size, limits)
        if not went:
            return (
                FoundRoot(tuple(x.tolist()))
                if np.max(np.abs(missed)) <= NEARLY_MET
                else FoundRoot((), "no root")
            )
    return (
        FoundRoot(tuple(x.tolist()))
        if np.max(np.abs(missed)) <= NEARLY_MET
        else FoundRoot((), "no root")
    )


def _jacobian(g: Residuals, x: Array, unit: Array, size: Array) -> Array | None:
    """Residuals by unknowns, both in their usual sizes; None where it is not finite."""
    columns = []
    for i in range(len(x)):
        h = 1e-5 * unit[i]
        up, down = x.copy(), x.copy()
        up[i] += h
        down[i] -= h
        columns.append((np.array(g(up.tolist())) - np.array(g(down.tolist()))) / size / 2e-5)
    jac = np.column_stack(columns)
    return jac if np.all(np.isfinite(jac)) else None


def _damped(
    g: Residuals,
    x: Array,
    r: Array,
    move: Array,
    size: Array,
    limits: Sequence[tuple[float, float]],
) -> tuple[Array, Array, bool]:
    """One step, halved until the residual falls: unknowns, residuals, whether it went."""
    low, high = (np.array(v, float) for v in zip(*limits, strict=True))
    share = 1.0
    for _ in range(24):
        y = np.clip(x + share * move, low, high)
        q = np.array(g(y.tolist())) / size
        if np.all(np.isfinite(q)) and np.linalg.norm(q) < np.linalg.norm(r):
            return y, q, True
        share *= 0.5
    return x, r, False

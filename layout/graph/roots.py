"""Roots of one block: a bracket and bisection-secant for one unknown, damped Newton for several, a
rank test for both.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Residuals = Callable[[Sequence[float]], list[float]]
Array = NDArray[np.float64]

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
    g: Callable[[float], float], start: float, step: float, scale: float, low: float, high: float
) -> FoundRoot:
    """Root of ``g`` nearest to ``start`` within low..high; ``step`` a usual change of the unknown,
    ``scale`` a usual size of ``g``.

    Secant first, then sign changes over the allowed range, each closed in by regula falsi
    (Illinois) and bisection.
    """
    start = min(max(start, low), high)
    tight = MET * scale
    here = g(start)
    if abs(here) <= tight:
        return FoundRoot((start,)) if _moves(g, start, step, scale) else FoundRoot((), "rank")
    got = _secant(g, start, here, step * 1e-3, tight, low, high)
    if got is None:
        got = _scan(g, start, step, low, high, tight)
    if got is None:
        return FoundRoot((), "no root" if _moves(g, start, step, scale) else "rank")
    return FoundRoot((got,)) if _moves(g, got, step, scale) else FoundRoot((), "rank")


def _moves(g: Callable[[float], float], x: float, step: float, scale: float) -> bool:
    h = 1e-4 * step
    change = g(x + h) - g(x - h)
    return not abs(change) <= RANK * scale * 1e-4


def _secant(
    g: Callable[[float], float],
    x: float,
    gx: float,
    h: float,
    tight: float,
    low: float,
    high: float,
) -> float | None:
    a, ga = x, gx
    b = min(max(x + h, low), high)
    if b == a:
        b = a - h
    gb = g(b)
    best: tuple[float, float] | None = None
    for _ in range(40):
        if not (math.isfinite(ga) and math.isfinite(gb)):
            return None
        if abs(gb) <= tight or b == a:
            return b if abs(gb) <= max(tight * 1e3, 1e-300) else None
        if best is not None and abs(gb) >= best[1] and best[1] <= tight * 1e3:
            return best[0]
        best = (b, abs(gb)) if best is None or abs(gb) < best[1] else best
        if gb == ga:
            return best[0] if best[1] <= tight * 1e3 else None
        c = b - gb * (b - a) / (gb - ga)
        if not low <= c <= high:
            return None
        a, ga, b, gb = b, gb, c, g(c)
    return best[0] if best is not None and best[1] <= tight * 1e3 else None


def _scan(
    g: Callable[[float], float], start: float, step: float, low: float, high: float, tight: float
) -> float | None:
    if not math.isfinite(low) or not math.isfinite(high):
        low, high = max(low, start - 40 * step), min(high, start + 40 * step)
    points = sorted({low + (high - low) * i / SCAN for i in range(SCAN + 1)} | {start})
    values = [g(p) for p in points]
    pairs = [
        (a, ga, b, gb)
        for (a, ga), (b, gb) in zip(
            zip(points, values, strict=True),
            list(zip(points, values, strict=True))[1:],
            strict=False,
        )
        if math.isfinite(ga) and math.isfinite(gb) and (ga <= 0 <= gb or gb <= 0 <= ga)
    ]
    for a, ga, b, gb in sorted(pairs, key=lambda p: min(abs(p[0] - start), abs(p[2] - start))):
        got = _bisect(g, a, ga, b, gb, tight)
        if got is not None:
            return got
    return None


def _bisect(
    g: Callable[[float], float], a: float, ga: float, b: float, gb: float, tight: float
) -> float | None:
    first = max(abs(ga), abs(gb))
    for _ in range(200):
        c = 0.5 * (a + b)
        gc = g(c)
        if not math.isfinite(gc):
            return None
        if abs(gc) <= tight or c in (a, b):
            return c if abs(gc) <= first * 1e-6 or abs(gc) <= tight * 1e3 else None
        if (gc > 0) == (gb > 0):
            b, gb = c, gc
        else:
            a, ga = c, gc
    return 0.5 * (a + b)


def several(
    g: Residuals,
    start: Sequence[float],
    steps: Sequence[float],
    scales: Sequence[float],
    limits: Sequence[tuple[float, float]],
) -> FoundRoot:
    """Damped Newton for as many residuals as unknowns, kept within ``limits``; Jacobian by central
    differences in ``steps``.
    """
    x = np.array([min(max(v, lo), hi) for v, (lo, hi) in zip(start, limits, strict=True)], float)
    size, unit = np.array(scales, float), np.array(steps, float)
    r = np.array(g(x.tolist())) / size
    for _ in range(60):
        if not np.all(np.isfinite(r)):
            return FoundRoot((), "no root")
        jac = _jacobian(g, x, unit, size)
        if jac is None:
            return FoundRoot((), "no root")
        s = np.linalg.svd(jac, compute_uv=False)
        if s[-1] <= RANK * max(s[0], 1e-30):
            return FoundRoot((), "rank")
        if np.max(np.abs(r)) <= MET:
            return FoundRoot(tuple(x.tolist()))
        move = np.linalg.solve(jac, -r) * unit
        x, r, went = _damped(g, x, r, move, size, limits)
        if not went:
            return (
                FoundRoot(tuple(x.tolist()))
                if np.max(np.abs(r)) <= NEARLY_MET
                else FoundRoot((), "no root")
            )
    return (
        FoundRoot(tuple(x.tolist()))
        if np.max(np.abs(r)) <= NEARLY_MET
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

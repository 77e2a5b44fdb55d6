"""A seat between gussets: plastic collapse of a plate held on three edges. Lengths mm."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ...layout.arrays import Array
from ..model.vectors import Number
from .clause import clause

OMEGA = 1.67
SHARES = np.linspace(0.3, 3.0, 55)
"""Where the yield lines from the two back corners meet, over the depth: the worst of these."""
ROUND = (np.arange(24) + 0.5) * np.pi / 24
"""Places on half a ring, rad; the other half is its mirror image."""


def _sink(span: Array, meet: Array, at: Array, radius: Array) -> Array:
    """Mean way a ring sinks, over that of the place where the lines from the back corners meet."""
    aside = np.abs(radius[..., None] * np.cos(ROUND))
    total: Array = np.zeros(())
    for way in (1.0, -1.0):
        out = at[..., None] + way * radius[..., None] * np.sin(ROUND)
        sunk = np.minimum(1 - 2 * aside / span[..., None], out / meet[..., None])
        total = total + np.maximum(sunk, 0.0).mean(axis=-1) / 2
    return total


def _moment(of: Mapping[str, Array]) -> tuple[Array, Array, Array, Array]:
    """Moment a length of yield line needs, N, with the place it is for, mm, and how far each ring
    sinks there: a row a place of ``SHARES``.
    """
    span, deep, at = (of[name][..., None] for name in ("span_mm", "deep_mm", "at_mm"))
    meet = SHARES * deep
    inside = 4 * deep / span + span / meet * np.minimum(1.0, deep / meet)
    coil, stop = (
        _sink(*np.broadcast_arrays(span, meet, at, of[f"{ring}_radius_mm"][..., None]))
        for ring in ("coil", "stop")
    )
    pushed = of["coil_N"][..., None] * coil + of["stop_N"][..., None] * stop
    return pushed / inside, meet, coil, stop


def worst(of: Mapping[str, float]) -> tuple[float, float, float]:
    """Where the lines from the back corners meet at the worst, mm from the back plate, and the mean
    way the coil's ring and the stop's sink there, over that of the place where they meet.

    ``of``: the numbers of ``seat_collapse``.
    """
    moment, *rest = _moment({name: np.asarray(value) for name, value in of.items()})
    index = int(np.argmax(moment))
    meet, coil, stop = (float(each.ravel()[index]) for each in rest)
    return meet, coil, stop


@clause(
    "yield lines, three edges hinged and one free",
    formula=("t >= sqrt(4 1.67 m / Fy); m = (Fc uc + Fs us) / (4 D/L + L/a min(1, D/a))"),
    tag="memory",
    letters={"deep_mm": "D"},
    also={
        "meet_mm": lambda of: worst(of)[0],
        "coil_sinks": lambda of: worst(of)[1],
        "stop_sinks": lambda of: worst(of)[2],
    },
)
def seat_collapse(  # noqa: PLR0913  # one number each that virtual work asks for
    *,
    coil_N: Number,
    stop_N: Number,
    span_mm: Number,
    deep_mm: Number,
    at_mm: Number,
    coil_radius_mm: Number,
    stop_radius_mm: Number,
    fy_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a seat between two gussets and a back plate, its outer edge free, under a coil
    and a stop on rings about one middle: plastic collapse by yield lines over 1.67 (AISC 360 F).

    ``span_mm`` L: between the gussets; ``deep_mm`` D: back plate to free edge; ``at_mm``: back
    plate to the middle of the rings. Edges turn freely and the locating ring is not counted.
    Virtual work: panels at the gussets turn by 2/L, the one at the back by 1/a, where the lines
    from its corners meet at a (past the free edge, D/a of the span is left of it).
    """
    given = {
        "coil_N": coil_N,
        "stop_N": stop_N,
        "span_mm": span_mm,
        "deep_mm": deep_mm,
        "at_mm": at_mm,
        "coil_radius_mm": coil_radius_mm,
        "stop_radius_mm": stop_radius_mm,
    }
    wide = np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in given.values()))
    needed = _moment(dict(zip(given, wide, strict=True)))[0].max(axis=-1)
    return np.sqrt(4 * OMEGA * needed / fy_MPa), t_mm

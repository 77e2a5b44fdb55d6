"""A seat between gussets: plastic collapse of a plate held on three edges. Lengths mm."""

from __future__ import annotations

import numpy as np

from ..model.vectors import Array, Number
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


@clause(
    "yield lines, three edges hinged and one free",
    formula="t >= sqrt(4 x 1.67 m / Fy), m (4 D/L + L/a) = F w, worst a",
    tag="memory",
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
    coil, stop, span, deep, at, coil_r, stop_r = (
        np.asarray(each, dtype=float)
        for each in (coil_N, stop_N, span_mm, deep_mm, at_mm, coil_radius_mm, stop_radius_mm)
    )
    needed: Array = np.zeros(())
    for share in SHARES:
        meet = share * deep
        inside = 4 * deep / span + span / meet * np.minimum(1.0, deep / meet)
        work = coil * _sink(span, meet, at, coil_r) + stop * _sink(span, meet, at, stop_r)
        needed = np.maximum(needed, work / inside)
    return np.sqrt(4 * OMEGA * needed / fy_MPa), t_mm

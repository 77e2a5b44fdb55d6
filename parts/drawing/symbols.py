"""Weld symbols after AWS A2.4: arrow, reference line, fillet triangle with its upright leg on the
left, size left of it, length and pitch right of it; the far side's above the line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...layout.units import tape as fraction
from ..model.assembly import Weld
from ..model.vectors import Vec2
from ..rules.welds import leg_text
from ..words.names import edges
from .display import Sheet, width_of

LONG = 78.0
TALL = 6.0


def size_words(w: Weld) -> str:
    """Leg as a welder reads it; of a groove its depth and, in brackets, its effective throat.

    Source: AWS A2.4.
    """
    return f"{fraction(w.groove.depth)} ({leg_text(w.leg)})" if w.groove else leg_text(w.leg)


def bevel_words(w: Weld) -> str:
    """What is ground off the edge of a groove weld after cutting, and the groove this opens; "" for
    any other weld.
    """
    if w.groove is None:
        return ""
    edge = f"edge {edges(w.edges)}, {'underside' if w.face == 'bottom' else 'top face'}"
    made = (
        f"bevel after cutting: {edge}, {math.degrees(w.groove.bevel):.0f} deg to a land of"
        f" {fraction(w.groove.land)}"
        if w.groove.bevel
        else f"no bevel: {edge} is left square, the round opens the groove"
    )
    return (
        f"{made}; groove {math.degrees(w.groove.angle):.0f} deg, root closed,"
        f" {fraction(w.groove.depth)} deep, effective throat ({leg_text(w.leg)})"
    )


def pitch_words(w: Weld) -> str:
    """Length and pitch of a stitched weld."""
    return f"{fraction(w.run)}-{fraction(w.pitch)}" if w.run else ""


def weld_symbol(s: Sheet, at: Vec2, tip: Vec2, w: Weld, number: str) -> None:
    """One symbol, its reference line from ``at`` to the right, the arrow from its left end to
    ``tip``.
    """
    x, y = at
    s.line((x, y), (x + LONG, y))
    s.line((x, y), tip)
    a = math.atan2(y - tip[1], x - tip[0])
    for turn in (0.28, -0.28):
        s.line(tip, (tip[0] + 7 * math.cos(a + turn), tip[1] + 7 * math.sin(a + turn)))
    mid = x + 30.0
    for way in (-1, 1) if w.face == "both" else (-1,):
        _mark(s, mid, y, way * TALL, w.kind)
        base = y + (way * TALL - 2 if way < 0 else 2.5)
        s.text(mid - 4, base, size_words(w), 6.5, anchor="end")
        s.text(mid + 11, base, pitch_words(w), 6.5)
    s.line((x + LONG, y), (x + LONG + 5, y + 5))
    s.line((x + LONG, y), (x + LONG + 5, y - 5))
    s.text(x + LONG - width_of(number, 6.5) - 2, y + 2, number, 6.5)


def _mark(s: Sheet, x: float, y: float, h: float, kind: str) -> None:
    if kind == "fillet":
        s.line((x, y), (x, y + h), (x + abs(h), y), closed=False)
    elif kind == "groove":
        s.line((x, y), (x, y + h))
        s.line((x, y), (x + abs(h), y + h))
    else:
        s.line((x - 2, y), (x - 2, y + h), (x + 9, y + h), (x + 9, y))


def symbols(
    s: Sheet, rows: Sequence[tuple[Vec2, Weld, str]], x: float, low: float, high: float
) -> int:
    """Symbols stacked at ``x`` between two heights, each at its tip's height where there is room,
    highest tip first. How many had no room.
    """
    pitch = 4.2 * TALL
    fit = int((high - low) // pitch)
    kept = sorted(rows[:fit], key=lambda r: -r[0][1])
    y = high
    for i, (tip, w, number) in enumerate(kept):
        want = min(y, max(tip[1], low + pitch * (len(kept) - 1 - i)))
        weld_symbol(s, (x, want), tip, w, number)
        y = want - pitch
    return len(rows) - len(kept)

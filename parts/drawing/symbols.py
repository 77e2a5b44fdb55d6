"""Weld symbols after AWS A2.4: arrow, reference line, fillet triangle with its upright leg on the
left, size left of it, length and pitch right of it; the far side's above the line.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ...layout.reader import metric
from ...layout.units import tape as fraction
from ..model.assembly import Groove, Weld
from ..model.vectors import Vec2
from ..rules.welds import leg_text
from ..words.names import edges
from .entities import LineKind, Text
from .field import Box
from .lettering import HEIGHT, letters, width
from .placed import Measured, PlacedDimension, arrow

END, GAP, MARK, TAIL, FOOT = 8.0, 4.0, 11.0, 6.0, 4.0
"""Points of a symbol: line before the size, between its parts, mark, fork of the tail, and from the
line to what stands beside it.
"""


def size_words(weld: Weld) -> str:
    """Leg as a welder reads it; of a groove its depth and, in brackets, its effective throat.

    Source: AWS A2.4.
    """
    size = leg_text(weld.leg)
    return f"{depth_words(weld.groove)} ({size})" if weld.groove else size


def depth_words(groove: Groove) -> str:
    """Depth of a groove, with its unit where legs have theirs."""
    return f"{fraction(groove.depth)}{' mm' if metric() else ''}"


def bevel_words(weld: Weld) -> str:
    """What is ground off the edge of a groove weld after cutting, and the groove this opens; "" for
    any other weld.
    """
    if weld.groove is None:
        return ""
    edge = f"edge {edges(weld.edges)}, {'underside' if weld.face == 'bottom' else 'top face'}"
    made = (
        f"bevel after cutting: {edge}, {math.degrees(weld.groove.bevel):.0f} deg to a land of"
        f" {fraction(weld.groove.land)}"
        if weld.groove.bevel
        else f"no bevel: {edge} is left square, the round opens the groove"
    )
    return (
        f"{made}; groove {math.degrees(weld.groove.angle):.0f} deg, root closed,"
        f" {depth_words(weld.groove)} deep, effective throat {leg_text(weld.leg)}"
    )


def pitch_words(weld: Weld) -> str:
    """Length and pitch of a stitched weld."""
    return f"{fraction(weld.run)}-{fraction(weld.pitch)}" if weld.run else ""


class Sized(NamedTuple):
    """A weld's symbol before it has a place.

    Attributes
    ----------
    weld, number : Weld, str
        Whose, and its number on maps and lists.
    size, pitch : str
        What stands on the reference line, after AWS A2.4.
    wide, tall : float
        The room it takes, points.
    """

    weld: Weld
    number: str
    size: str
    pitch: str
    wide: float
    tall: float


def symbol_size(weld: Weld, number: str) -> Sized:
    """The symbol of a weld and its room: size, mark, length and pitch, tail with the number."""
    size, pitch = size_words(weld), pitch_words(weld)
    wide = END + width(size) + GAP + MARK + GAP + width(pitch) + GAP + TAIL + GAP + width(number)
    return Sized(weld, number, size, pitch, wide, 2 * (HEIGHT + FOOT) + 2)


def draw_symbol(sized: Sized, tip: Vec2, knee: Vec2, box: Box) -> PlacedDimension:
    """The symbol in its box, its arrow from the near end of the reference line by way of ``knee``
    to ``tip``. What belongs to the arrow side stands below the line, to the other side above it.
    """
    y = (box.low + box.high) / 2
    start, fork = box.left + 1.0, box.right - width(sized.number) - GAP - TAIL
    mark = start + END + width(sized.size) + GAP
    near = start if knee[0] <= box.left else box.right
    lines: list[tuple[tuple[Vec2, ...], LineKind]] = [
        ((tip, knee, (near, y)), "narrow"),
        (((start, y), (fork, y)), "narrow"),
    ]
    texts: list[Text] = []
    if near == start:
        lines.append((((fork + TAIL, y + TAIL), (fork, y), (fork + TAIL, y - TAIL)), "narrow"))
        texts.append(letters((fork + TAIL + GAP, y - HEIGHT / 2), sized.number))
    else:
        own = width(sized.number) + GAP + TAIL
        lines[1] = (((box.left + own, y), (box.right, y)), "narrow")
        tail = box.left + own
        lines.append((((tail - TAIL, y + TAIL), (tail, y), (tail - TAIL, y - TAIL)), "narrow"))
        texts.append(letters((box.left, y - HEIGHT / 2), sized.number))
        mark = tail + END + width(sized.size) + GAP
    for way in (-1, 1) if sized.weld.face == "both" else (-1,):
        lines.append((_mark(mark, y, way * HEIGHT, sized.weld.kind), "narrow"))
        foot = y + 3.5 if way > 0 else y - 3.5 - HEIGHT
        texts.append(letters((mark - GAP, foot), sized.size, "end"))
        if sized.pitch:
            texts.append(letters((mark + MARK + GAP, foot), sized.pitch))
    words = f"{sized.number} {sized.size} {sized.pitch}".strip()
    return PlacedDimension(
        Measured("weld", sized.weld.leg, (tip,), words),
        tuple(lines),
        (arrow(tip, knee),),
        tuple(texts),
    )


def _mark(x: float, y: float, tall: float, kind: str) -> tuple[Vec2, ...]:
    """Fillet, bevel groove, or plug and slot."""
    if kind == "fillet":
        return (x, y), (x, y + tall), (x + abs(tall), y)
    if kind == "groove":
        return (x, y + tall), (x, y), (x + abs(tall), y + tall)
    return (x, y), (x, y + tall), (x + MARK, y + tall), (x + MARK, y)

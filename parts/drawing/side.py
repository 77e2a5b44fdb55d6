"""A side view with its linear dimensions: of a bent plate folded, of a tube.

In its own axes, mm; placed on a sheet by ``put``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from ..model.vectors import Vec2
from .entities import LineKind, Text
from .field import Box, extent
from .lettering import HEIGHT, Anchor, box_of, letters, width
from .placed import ARROW, Measured, PlacedDimension, PlacedStroke, What, arrow

OFF = 26.0
"""Points from what is measured to its dimension line; the next one is as far again."""
ALONG = 1e-6
"""Sine of the angle within which a direction is along an axis."""
BESIDE = 3.0
"""Points between a dimension line and its lettering; extension lines past it and before it."""


class Length(NamedTuple):
    """A length to show in a side view.

    Attributes
    ----------
    one, two : Vec2
        Its ends, mm.
    off : float
        Direction its line stands off in, rad.
    words : str
        What it says.
    tier : int
        1 nearest the view.
    """

    one: Vec2
    two: Vec2
    off: float
    words: str
    tier: int = 1


class Remark(NamedTuple):
    """A leader's words and where it may point.

    Attributes
    ----------
    what, size, words : What, float, str
        What it measures, how much, and what it says.
    tips : tuple of (Vec2, float)
        mm, each with the way it may leave, rad.
    of : tuple of Vec2
        Points of what it measures.
    """

    what: What
    size: float
    words: str
    tips: tuple[tuple[Vec2, float], ...]
    of: tuple[Vec2, ...] = ()


class SectionCut(NamedTuple):
    """Where a section is cut: its letter, the edges, and whether they are an opening's."""

    letter: str
    edges: tuple[tuple[Vec2, ...], ...]
    opening: bool


class SideElevation(NamedTuple):
    """A side view: its lines, lengths and remarks, what it is called, where it is cut if it is a
    section.
    """

    lines: tuple[PlacedStroke, ...]
    lengths: tuple[Length, ...]
    remarks: tuple[Remark, ...]
    words: str = ""
    cut: SectionCut | None = None


def put(
    side: SideElevation, scale: float, origin: Vec2
) -> tuple[tuple[PlacedStroke, ...], tuple[PlacedDimension, ...]]:
    """The view's lines and lengths on the sheet, ``origin`` where its own nought is."""

    def to(point: Vec2) -> Vec2:
        return origin[0] + scale * point[0], origin[1] + scale * point[1]

    lines = tuple((tuple(map(to, points)), kind) for points, kind in side.lines)
    lengths = tuple(_length(each, to(each.one), to(each.two), scale) for each in side.lengths)
    return lines, lengths


def reach(side: SideElevation, scale: float) -> Box:
    """The box a side view takes about its nought, with its lengths.

    ``scale``: points a mm. Gives points, from the view's own nought.
    """
    lines, lengths = put(side, scale, (0.0, 0.0))
    points = [point for stroke, _ in lines for point in stroke]
    for each in lengths:
        points += [point for stroke, _ in each.lines for point in stroke]
        for text in each.texts:
            box = box_of(text)
            points += [(box.left, box.low), (box.right, box.high)]
    return extent(points)


def _length(each: Length, one: Vec2, two: Vec2, scale: float) -> PlacedDimension:
    """A dimension line between two extension lines, its arrows outside where they have no room."""
    out = (math.cos(each.off), math.sin(each.off))
    far = OFF * each.tier
    along = math.atan2(two[1] - one[1], two[0] - one[0])
    base, end = _moved(one, out, far), _moved(two, out, far)
    lines: list[PlacedStroke] = [
        ((_moved(point, out, BESIDE), _moved(point, out, far + BESIDE)), "narrow")
        for point in (one, two)
    ]
    span, room = math.dist(one, two), width(each.words)
    way = (math.cos(along), math.sin(along))
    if span > 2.5 * ARROW:
        lines.append(((base, end), "narrow"))
        heads = (arrow(base, end), arrow(end, base))
        tail = end
    else:
        tail = _moved(end, way, 2 * ARROW)
        lines += [((_moved(base, way, -2 * ARROW), base), "narrow"), ((end, tail), "narrow")]
        heads = (arrow(base, _moved(base, way, -1.0)), arrow(end, tail))
    upright = abs(way[1]) > abs(way[0])
    inside = span > room + 6.0 or (span > 2.5 * ARROW and not upright and span > room)
    if inside:
        text = _on(base, end, out, each.words, upright)
    else:
        text = _after(tail, way, out, each.words, upright)
    return PlacedDimension(
        Measured("linear", math.dist(one, two) / scale, (one, two, base), each.words),
        tuple(lines),
        heads,
        (text,),
    )


def _moved(point: Vec2, way: Vec2, by: float) -> Vec2:
    return point[0] + way[0] * by, point[1] + way[1] * by


def _on(base: Vec2, end: Vec2, out: Vec2, words: str, upright: bool) -> Text:
    """Lettering beside the middle of a dimension line, on the far side of the view."""
    x, y = (base[0] + end[0]) / 2, (base[1] + end[1]) / 2
    if min(abs(out[0]), abs(out[1])) > ALONG:
        anchor: Anchor = "start" if out[0] > 0 else "end"
        return letters((x + 5.0 * out[0], y + 5.0 * out[1] - HEIGHT / 2), words, anchor)
    if upright:
        left = x - BESIDE if out[0] < 0 else x + BESIDE + HEIGHT
        return letters((left, y), words, "middle", turn=90.0)
    low = y + BESIDE if out[1] > 0 else y - BESIDE - HEIGHT
    return letters((x, low), words, "middle")


def _after(tail: Vec2, way: Vec2, out: Vec2, words: str, upright: bool) -> Text:
    """Lettering past the end of a short dimension line."""
    if upright and abs(out[1]) < ALONG:
        up = BESIDE if way[1] > 0 else -BESIDE - HEIGHT
        return letters((tail[0], tail[1] + up), words, "middle")
    if upright:
        return letters(tail, words, "start" if out[0] >= 0 else "end")
    right = way[0] > 0
    at = (tail[0] + (BESIDE if right else -BESIDE), tail[1] - HEIGHT / 2)
    return letters(at, words, "start" if right else "end")


def polyline(points: Sequence[Vec2], kind: LineKind = "wide") -> PlacedStroke:
    """A closed outline as a stroke."""
    return (*points, points[0]), kind

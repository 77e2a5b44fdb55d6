"""What of a plate is cut, drilled, bent and scribed, as rows that are the same for the same part:
what fingerprints, hands and part numbers are made from.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from ..geometry import outline
from ..model.assembly import Hole, Scribe, Weld
from ..model.body import Bend, Edge, Plate
from ..model.terms import Face, HowMade
from ..model.vectors import Vec2
from .part_numbers import PointSet

Loops = tuple[tuple[tuple[float, float, float], ...], ...]
Drilled = tuple[tuple[float, float, float, float, float, HowMade], ...]
MarkLines = tuple[tuple[tuple[Vec2, ...], ...], ...]


OFF_EDGE = 7e-5
"""mm; no multiple of it is one of 1/1000 mm, nor of 1/128 in."""


def steady(number: float) -> float:
    """To 0.01 mm, whatever the last digits of the arithmetic were: half of all lengths in eighths
    of an inch lie on the edge between two hundredths, which is moved off them; 0.0 for -0.0, since
    fingerprints are made of their texts.

    >>> steady(73.025), steady(73.025 - 1e-13), steady(73.025 + 1e-13), steady(-0.001)
    (73.03, 73.03, 73.03, 0.0)
    """
    return round(number + OFF_EDGE, 2) + 0.0


def steady_turn(number: float) -> float:
    """A bulge or an angle in rad to 1/10000, 0.0 for -0.0.

    >>> steady_turn(0.52359878), str(steady_turn(-1e-17))
    (0.5236, '0.0')
    """
    return round(number, 4) + 0.0


class CutShape(NamedTuple):
    """What is cut, drilled, bent and scribed, rounded to 0.01 mm so that the same part gives the
    same rows on every machine.

    Attributes
    ----------
    loops : tuple
        x, y, bulge of every edge, outline first.
    drilled : tuple
        x, y, diameter, length, angle and how it is made, of every hole, sorted.
    bends : tuple of str
        As text.
    lines : tuple
        Strokes of every scribe.
    """

    loops: Loops
    drilled: Drilled
    bends: tuple[str, ...]
    lines: MarkLines


def cut_shape(
    body: Plate, holes: Iterable[Hole], scribes: Iterable[Scribe], origin: Vec2 | None = None
) -> CutShape:
    """Canonical rows of what is cut, drilled and scribed.

    Parameters
    ----------
    origin : Vec2, optional
        From where lengths are measured: the part's own origin, or another, such as the lower left
        of its cut file. mm.
    """
    left, low = origin or (0.0, 0.0)
    loops = tuple(
        tuple(
            (
                steady(edge.start[0] - left),
                steady(edge.start[1] - low),
                steady_turn(edge.bulge),
            )
            for edge in loop
        )
        for loop in (body.outline, *body.openings)
    )
    drilled = tuple(
        sorted(
            (
                steady(hole.at[0] - left),
                steady(hole.at[1] - low),
                steady(hole.diameter),
                steady(hole.length),
                steady_turn(hole.angle),
                hole.how,
            )
            for hole in holes
        )
    )
    lines = tuple(
        tuple(
            tuple((steady(x - left), steady(y - low)) for x, y in line) for line in scribe.strokes
        )
        for scribe in scribes
    )
    bends = tuple(str(_bent(bend, (left, low))) for bend in body.bends)
    return CutShape(loops, drilled, bends, lines)


def _bent(bend: Bend, origin: Vec2) -> Bend:
    start, end = (
        (steady(point[0] - origin[0]), steady(point[1] - origin[1]))
        for point in (bend.start, bend.end)
    )
    angle, radius = steady_turn(bend.angle), steady(bend.radius)
    return bend._replace(start=start, end=end, angle=angle, radius=radius)


KIND = {HowMade.CUT: 10, HowMade.DRILL: 1010, HowMade.REAM: 2010}
"""Added to a hole's sizes, so that none is taken for a hole made otherwise, or for a corner."""
SLOT_END, SCRIBED = -20.0, -10.0
GROUND: Mapping[Face, int] = {"bottom": -1000, "top": -2000, "both": -3000}
"""Of an edge ground to a bevel on that face; less its degrees and hundredths of a mm of land."""


def points_of(rows: CutShape) -> PointSet:
    """The shape as points with a kind each, so that only like meets like when two parts are laid on
    each other: corners and middles of edges, holes by size and how they are made, ends of slots,
    scribed lines.
    """
    points = [point for loop in rows.loops for point in _mids(loop)]
    for x, y, diameter_, long, angle, how in rows.drilled:
        points.append((x, y, KIND[how] + diameter_ + long))
        if long > diameter_:
            for half in ((long - diameter_) / 2, (diameter_ - long) / 2):
                end = (x + half * math.cos(angle), y + half * math.sin(angle), SLOT_END)
                points.append(end)
    points += [(x, y, SCRIBED) for group in rows.lines for line in group for x, y in line]
    return tuple(points)


def _mids(loop: tuple[tuple[float, float, float], ...]) -> Iterator[tuple[float, float, float]]:
    """Corners and middle points of edges: enough to tell a loop from its mirror."""
    edges = tuple(Edge("", (x, y), bulge) for x, y, bulge in loop)
    for edge, end in outline.spans(edges):
        yield (*edge.start, 0.0)
        mid: Vec2 = ((edge.start[0] + end[0]) / 2, (edge.start[1] + end[1]) / 2)
        if edge.bulge:
            arc = outline.arc_of(edge.start, end, edge.bulge)
            mid = (
                arc.center[0] + arc.radius * math.cos(arc.start + arc.sweep / 2),
                arc.center[1] + arc.radius * math.sin(arc.start + arc.sweep / 2),
            )
        yield (*mid, 1.0)


def bevelled(body: Plate, bevels: Iterable[Weld]) -> PointSet:
    """The middles of edges that are ground for a groove, so that no plate ground otherwise, or on
    its other face, takes the same number.
    """
    return tuple(
        ((edge.start[0] + end[0]) / 2, (edge.start[1] + end[1]) / 2, GROUND[weld.face] - ground)
        for weld in bevels
        if weld.groove
        for ground in (round(math.degrees(weld.groove.bevel) + weld.groove.land / 100, 3),)
        for name in weld.edges
        for edge, end in outline.named(body.outline, name)
    )

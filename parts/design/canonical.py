"""What of a plate is cut, drilled, bent and scribed, as rows that are the same for the same part:
what fingerprints, hands and part numbers are made from.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from ..geometry import outline
from ..model.assembly import Hole, Scribe
from ..model.body import Bend, Edge, Plate
from ..model.terms import HowMade
from ..model.vectors import Vec2
from .part_numbers import Points

Loops = tuple[tuple[tuple[float, float, float], ...], ...]
Drilled = tuple[tuple[float, float, float, float, float, HowMade], ...]
Lines = tuple[tuple[tuple[Vec2, ...], ...], ...]


class CutShape(NamedTuple):
    """What is cut, drilled, bent and scribed, to 0.01 mm.

    ``loops``: x, y, bulge of every edge; ``drilled``: x, y, diameter, length, angle and how it is
    made, of every hole, sorted; ``bends``: as text; ``lines``: strokes of every scribe.
    """

    loops: Loops
    drilled: Drilled
    bends: tuple[str, ...]
    lines: Lines


def cut_shape(
    body: Plate, holes: Iterable[Hole], scribes: Iterable[Scribe], origin: Vec2 | None = None
) -> CutShape:
    """Canonical rows of what is cut, drilled and scribed, to 0.01 mm; from the part's own origin,
    or from another, such as the lower left of its cut file.
    """
    dx, dy = origin or (0.0, 0.0)
    loops = tuple(
        tuple(
            (
                round(e.start[0] - dx, 2) + 0.0,
                round(e.start[1] - dy, 2) + 0.0,
                round(e.bulge, 4) + 0.0,
            )
            for e in lp
        )
        for lp in (body.outline, *body.openings)
    )
    drilled = tuple(
        sorted(
            (
                round(h.at[0] - dx, 2) + 0.0,
                round(h.at[1] - dy, 2) + 0.0,
                round(h.diameter, 2),
                round(h.length, 2),
                round(h.angle, 4) + 0.0,
                h.how,
            )
            for h in holes
        )
    )
    lines = tuple(
        tuple(
            tuple((round(x - dx, 2) + 0.0, round(y - dy, 2) + 0.0) for x, y in line)
            for line in s.strokes
        )
        for s in scribes
    )
    bends = body.bends if origin is None else [_bent(b, origin) for b in body.bends]
    return CutShape(loops, drilled, tuple(map(str, bends)), lines)


def _bent(b: Bend, origin: Vec2) -> Bend:
    start, end = (
        (round(p[0] - origin[0], 2) + 0.0, round(p[1] - origin[1], 2) + 0.0)
        for p in (b.start, b.end)
    )
    return b._replace(start=start, end=end)


KIND = {HowMade.CUT: 10, HowMade.DRILL: 1010, HowMade.REAM: 2010}
"""Added to a hole's sizes, so that none is taken for a hole made otherwise, or for a corner."""
SLOT_END, SCRIBED = -20.0, -10.0


def points_of(rows: CutShape) -> Points:
    """Corners and middles of edges, holes by size and how they are made, ends of slots, scribed
    lines: with a kind each, so that only like meets like.
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
    edges = tuple(Edge("", (x, y), b) for x, y, b in loop)
    for e, q in outline.spans(edges):
        yield (*e.start, 0.0)
        mid: Vec2 = ((e.start[0] + q[0]) / 2, (e.start[1] + q[1]) / 2)
        if e.bulge:
            a = outline.arc_of(e.start, q, e.bulge)
            mid = (
                a.centre[0] + a.radius * math.cos(a.start + a.sweep / 2),
                a.centre[1] + a.radius * math.sin(a.start + a.sweep / 2),
            )
        yield (*mid, 1.0)

"""Whether a plate as cut and drilled can be cut, by other means than the tool's: its arcs turned to
points here, crossings and distances by GEOS (through shapely), corners from the points.

The limits (edges of 1.5 mm, corners of 30 deg, inner radius) are common practice, no source.
Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from soapstone.parts.model.assembly import Hole
from soapstone.parts.model.body import Edge, Plate

EDGE, CORNER = 1.5, 30.0
SLACK = 0.02
"""What the points of an arc may miss it by, mm."""

Points = NDArray[np.float64]


def drawn(loop: Sequence[Edge]) -> list[Points]:
    """Points along each edge of a loop, ends included, (m, 2): an arc every two degrees, since
    tan(angle / 4) is what it bulges.
    """
    rows = []
    for at, after in zip(loop, [*loop[1:], loop[0]], strict=True):
        a, b = complex(*at.start), complex(*after.start)
        angle = 4 * math.atan(at.bulge)
        n = max(2, int(abs(math.degrees(angle)) / 2) + 2)
        if abs(angle) < 1e-9:
            z = np.array([a, b])
        else:
            middle = (a + b) / 2 + 1j * (b - a) / 2 / math.tan(angle / 2)
            z = middle + (a - middle) * np.exp(1j * np.linspace(0.0, angle, n))
        rows.append(np.column_stack((z.real, z.imag)))
    return rows


def wrong(body: Plate, holes: Sequence[Hole], inner: float) -> Iterator[str]:
    """What is wrong with a plate's shape as cut and drilled. ``inner``: least radius of an inner
    corner, mm.
    """
    loops = (body.outline, *body.openings)
    lines = [np.vstack([edge[:-1] for edge in drawn(loop)]) for loop in loops]
    if not all(shapely.LinearRing(line).is_simple for line in lines):
        yield "a loop crosses itself"
        return
    for number, loop in enumerate(loops):
        yield from _corners(loop, number > 0, inner)
    steel = shapely.Polygon(lines[0])
    rooms = [*map(shapely.Polygon, lines[1:]), *map(_hole, holes)]
    for number, room in enumerate(rooms):
        if not steel.contains(room) or steel.exterior.distance(room) < EDGE - SLACK:
            yield f"opening {number} comes within 1.5 mm of the edge"
        if any(room.distance(other) < EDGE - SLACK for other in rooms[:number]):
            yield f"opening {number} comes within 1.5 mm of another"


def _corners(loop: Sequence[Edge], opening: bool, inner: float) -> Iterator[str]:
    ring = drawn(loop)
    for at, edge, after in zip(loop, ring, [*ring[1:], ring[0]], strict=True):
        length = float(np.hypot(*np.diff(edge, axis=0).T).sum())
        if length < EDGE - SLACK:
            yield f"an edge of {length:.2f} mm"
        angle = 4 * math.atan(at.bulge)
        hollow = angle > 0 if opening else angle < 0
        if hollow and abs(abs(angle) - math.pi) > 1e-5:  # a slot's round end has no other radius
            radius = math.dist(edge[0], edge[-1]) / 2 / math.sin(abs(angle) / 2)
            if radius < inner - SLACK:
                yield f"an inner corner of {radius:.2f} mm"
        came, goes = complex(*(edge[-1] - edge[-2])), complex(*(after[1] - after[0]))
        # a chord of two degrees at most leans one degree off the tangent at each end
        turn = math.degrees(np.angle(goes / came)) if abs(came) and abs(goes) else 0.0
        steel = 180.0 + turn if opening else 180.0 - turn
        if steel < CORNER - 2.5:
            yield f"steel of {steel:.0f} deg"
        if steel > 184.5:
            yield f"a sharp inner corner of {steel:.0f} deg"


def _hole(hole: Hole) -> shapely.Polygon:
    half = max(hole.length - hole.diameter, 0.0) / 2
    way = half * np.array((math.cos(hole.angle), math.sin(hole.angle)))
    if half < 1e-9:
        return shapely.Point(hole.at).buffer(hole.diameter / 2)
    ends = [np.array(hole.at) - way, np.array(hole.at) + way]
    return shapely.LineString(ends).buffer(hole.diameter / 2)

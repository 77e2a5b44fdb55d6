"""Triangles of a member, for the truck that can be turned on the page."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ...layout.arrays import Integers
from ..drawing.picture import faces
from ..geometry import outline
from ..geometry.facets import Corners
from ..geometry.holes import slot_loop
from ..model.assembly import Member, Part
from ..model.body import Bought, Existing, Helix, Plate
from ..model.vectors import Frame
from ..stock import Shop

CHORD = 0.8
"""How far a flattened arc may stand off its circle, mm."""
ROUND_COIL, ROUND_WIRE, LEAST_COIL = 16, 5, 24
"""Sections a turn of a coil and at least in all, corners of each."""
DIGITS = 4
"""Decimals by which two points of a plate are one."""


def solid_mesh(member: Member, part: Part | None, shop: Shop) -> tuple[Corners, Integers]:
    """Corners in truck axes and triangles of a member; none for what has no simple shape."""
    body = member.body
    if isinstance(body, (Bought, Existing)) and isinstance(body.solid, Helix):
        return _helix(member.place, body.solid)
    if isinstance(body, Plate) and not body.bends:
        return _plate(member, body, part, shop)
    points: list[Corners] = []
    triangles: list[tuple[int, int, int]] = []
    for face in faces(member, None, shop):
        base = sum(len(point) for point in points)
        points.append(face.points)
        triangles += [
            (base, base + index, base + index + 1) for index in range(1, len(face.points) - 1)
        ]
    if not points:
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
    return np.vstack(points), np.array(triangles)


class _Points:
    """Points of a plate's plane, each once, by number."""

    def __init__(self) -> None:
        self.numbers: dict[tuple[float, float], int] = {}

    def number(self, point: Sequence[float]) -> int:
        """The point's number, a new one for a new point."""
        key = (round(float(point[0]), DIGITS), round(float(point[1]), DIGITS))
        return self.numbers.setdefault(key, len(self.numbers))


def _plate(member: Member, body: Plate, part: Part | None, shop: Shop) -> tuple[Corners, Integers]:
    """A flat plate with its openings, holes and slots: both faces and every side."""
    from shapely import constrained_delaunay_triangles
    from shapely.geometry import Polygon

    thickness = shop.plate(body.stock).thickness
    through = (*part.slots, *(slot_loop(hole) for hole in part.holes)) if part else ()
    rings = [outline.flatten(loop, CHORD) for loop in (body.outline, *body.openings, *through)]
    flat = _Points()
    triangles: list[tuple[int, int, int]] = []
    for piece in constrained_delaunay_triangles(Polygon(rings[0], rings[1:])).geoms:
        first, second, third = (flat.number(coord) for coord in list(piece.exterior.coords)[:3])
        triangles.append((first, second, third))
    sides = [
        (flat.number(start), flat.number(end))
        for ring in rings
        for start, end in zip(ring, (*ring[1:], ring[0]), strict=True)
    ]
    above = len(flat.numbers)
    triangles += [(one + above, two + above, three + above) for one, two, three in triangles]
    triangles += [
        triangle
        for one, two in sides
        for triangle in ((one, two, two + above), (one, two + above, one + above))
    ]
    points = [member.place.out((x, y, z)) for z in (0.0, thickness) for x, y in flat.numbers]
    return np.array(points), np.array(triangles)


def _helix(place: Frame, coil: Helix) -> tuple[Corners, Integers]:
    """A round wire along a coil."""
    sections = max(LEAST_COIL, int(coil.turns * ROUND_COIL))
    middle, wire = coil.mean_diameter / 2, coil.wire / 2
    points = []
    for index in range(sections + 1):
        turn = math.tau * coil.turns * index / sections
        along = wire + (coil.length - coil.wire) * index / sections
        for step in range(ROUND_WIRE):
            round_wire = math.tau * step / ROUND_WIRE
            out = middle + wire * math.cos(round_wire)
            points.append(
                place.out(
                    (
                        along + wire * math.sin(round_wire),
                        out * math.cos(turn),
                        out * math.sin(turn),
                    )
                )
            )
    triangles = []
    for index in range(sections):
        here, there = index * ROUND_WIRE, (index + 1) * ROUND_WIRE
        for step in range(ROUND_WIRE):
            nxt = (step + 1) % ROUND_WIRE
            triangles += [
                (here + step, here + nxt, there + step),
                (here + nxt, there + nxt, there + step),
            ]
    return np.array(points), np.array(triangles)

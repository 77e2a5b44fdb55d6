"""A member's steel as triangles, each with the smooth surface it is of: what pictures hide lines
with. Exact but for arcs, which are flattened.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...layout.arrays import Integers
from ..model.assembly import Member, Part
from ..model.body import Bar, Helix, Loop, Plate, Rod, Tube
from ..model.vectors import Frame, Vec2
from ..stock import Shop
from . import bend, contours, outline
from .cope import cope
from .holes import slot_loop
from .prism import out

Corners = NDArray[np.float64]
"""Points (n, 3), mm."""
Flags = NDArray[np.bool_]
CHORD = 0.1
"""How far a flattened arc may stand off its circle, mm."""
TURN = 0.18
"""What a chord of an arc turns at most, rad."""
ROUND = 48
"""Flats of a round."""
DOME = 6
"""Rings of half a ball."""
DIGITS = 4
"""Decimals by which two corners are one."""
BEND = "bend"
"""Name of the edge a bent plate's panel ends in at a bend."""


class Facets(NamedTuple):
    """A surface as triangles.

    Attributes
    ----------
    corners : array (n, 3)
        Truck axes, mm.
    triangles : array (m, 3)
        Numbers of three corners, counter-clockwise seen from outside.
    surfaces : array (m,)
        Which smooth surface each is of: between two of one surface no line is drawn.
    ends : array (m,)
        Whether it is of a surface without an outline of its own: a tube's end, as wide as the wall.
    """

    corners: Corners
    triangles: Integers
    surfaces: Integers
    ends: Flags


EMPTY = Facets(
    np.zeros((0, 3)),
    np.zeros((0, 3), dtype=np.int64),
    np.zeros(0, dtype=np.int64),
    np.zeros(0, dtype=bool),
)


class _Mesh:
    """Triangles being collected."""

    def __init__(self) -> None:
        self.corners: list[Corners] = []
        self.triangles: list[Integers] = []
        self.surfaces: list[Integers] = []
        self.ends: list[Flags] = []
        self.count = self.last = 0

    def add(
        self, corners: Corners, triangles: Integers, surface: Integers, ends: Sequence[int] = ()
    ) -> None:
        """Adds triangles by numbers of these corners; surfaces as numbered here, ``ends`` those
        without an outline.
        """
        self.corners.append(corners)
        self.triangles.append(triangles + self.count)
        self.surfaces.append(surface + self.last)
        self.ends.append(np.isin(surface, np.array(ends, dtype=np.int64)))
        self.count += len(corners)
        self.last += int(surface.max(initial=0)) + 1

    def made(self) -> Facets:
        """What was collected, corners that coincide made one."""
        if not self.corners:
            return EMPTY
        corners = np.vstack(self.corners)
        _, first, number = np.unique(
            np.round(corners, DIGITS) + 0.0, axis=0, return_index=True, return_inverse=True
        )
        triangles = number.reshape(-1)[np.vstack(self.triangles)]
        first_corner, second_corner, third_corner = triangles.T
        kept = (
            (first_corner != second_corner)
            & (second_corner != third_corner)
            & (third_corner != first_corner)
        )
        surfaces, ends = np.concatenate(self.surfaces), np.concatenate(self.ends)
        return Facets(corners[first], triangles[kept], surfaces[kept], ends[kept])


def facets(member: Member, part: Part | None, shop: Shop) -> Facets:
    """The member's surface, its holes out; nothing for a coil, which is all air.

    Parameters
    ----------
    part : Part, optional
        What the member became, for its holes and slots.
    shop : Shop
        Where thicknesses and tube sizes are looked up.
    """
    mesh = _Mesh()
    body = member.body
    if isinstance(body, Plate):
        _plate(mesh, member.place, body, part, shop.plate(body.stock).thickness)
    elif isinstance(body, Tube):
        tube = shop.tube(body.stock)
        _tube(mesh, member.place, body, tube.od, tube.od - 2 * tube.wall)
    elif isinstance(body.solid, Rod):
        _rod(mesh, member.place, body.solid)
    elif isinstance(body.solid, Bar):
        bar = body.solid
        _prism(mesh, member.place, bar.outline, bar.openings, (0.0, bar.length))
    else:
        assert isinstance(body.solid, Helix)
    return mesh.made()


def _plate(mesh: _Mesh, place: Frame, body: Plate, part: Part | None, thickness: float) -> None:
    through = (*part.slots, *map(slot_loop, part.holes)) if part else ()
    whole = body._replace(openings=(*body.openings, *through))
    if not body.bends:
        _prism(mesh, place, whole.outline, whole.openings, (0.0, thickness))
        return
    panels, folds = bend.fold(whole, thickness)
    for panel in panels:
        frame = bend.joined(place, panel.place)
        _prism(mesh, frame, panel.outline, panel.openings, (0.0, thickness), BEND)
    for fold in folds:
        sector = bend.round_of(fold, body, thickness)
        named = tuple(edge if edge.bulge else edge._replace(name=BEND) for edge in sector.outline)
        frame = bend.joined(place, sector.place)
        _prism(mesh, frame, named, (), (0.0, sector.length), BEND)


def _flat(loop: Loop) -> Iterator[tuple[int, str, list[Vec2]]]:
    """Number, name and points of every edge of a loop, the next one's first point left out."""
    for number, (edge, end) in enumerate(outline.spans(loop)):
        sagitta = CHORD
        if edge.bulge:
            radius = outline.arc_of(edge.start, end, edge.bulge).radius
            sagitta = min(CHORD, radius * (1 - math.cos(TURN / 2)))
        yield number, edge.name, outline.edge_points(edge, end, sagitta)


def _prism(
    mesh: _Mesh,
    place: Frame,
    outer: Loop,
    inner: Iterable[Loop],
    levels: tuple[float, float],
    bare: str | None = None,
) -> None:
    """Loops over a height; ``bare``: name of edges whose side is not there."""
    rings = [
        list(_flat(_turning(loop, loop_number == 0)))
        for loop_number, loop in enumerate((outer, *inner))
    ]
    flat = [[point for _, _, points in ring for point in points] for ring in rings]
    above = sum(map(len, flat))
    points = np.array([point for ring in flat for point in ring])
    corners = np.vstack([np.column_stack((points, np.full(above, z))) for z in levels])
    cap = _cap(flat)
    rows: list[tuple[Integers, int]] = [(cap[:, ::-1], 0), (cap + above, 1)]
    start, surface = 0, 2
    for ring, own in zip(rings, flat, strict=True):
        numbers = np.arange(len(own))
        after = np.roll(numbers, -1)
        gone = 0
        for _, name, along in ring:
            here = slice(gone, gone + len(along))
            here_numbers, after_numbers = numbers[here] + start, after[here] + start
            if name != bare or bare is None:
                sides = np.vstack(
                    (
                        np.column_stack((here_numbers, after_numbers, after_numbers + above)),
                        np.column_stack(
                            (here_numbers, after_numbers + above, here_numbers + above)
                        ),
                    )
                )
                rows.append((sides, surface))
            surface += 1
            gone += len(along)
        start += len(own)
    mesh.add(
        out(place, corners),
        np.vstack([triangles for triangles, _ in rows]),
        np.concatenate([np.full(len(triangles), number) for triangles, number in rows]),
    )


def _turning(loop: Loop, outer: bool) -> Loop:
    """The loop turning counter-clockwise if it is the outer one, else clockwise."""
    return loop if (outline.signed_area(loop) > 0) == outer else contours.reversed_loop(loop)


def _cap(rings: Sequence[Sequence[Vec2]]) -> Integers:
    """Triangles of a flat face, counter-clockwise, by numbers of its points in their order."""
    from shapely import constrained_delaunay_triangles, get_coordinates
    from shapely.geometry import Polygon

    every = [point for ring in rings for point in ring]
    by_place = {(round(x, DIGITS), round(y, DIGITS)): number for number, (x, y) in enumerate(every)}
    found = constrained_delaunay_triangles(Polygon(rings[0], rings[1:]))
    places = get_coordinates(found).reshape(-1, 4, 2)[:, :3]
    numbers = np.array(
        [
            [by_place[round(x, DIGITS), round(y, DIGITS)] for x, y in corner]
            for corner in places.tolist()
        ],
        dtype=np.int64,
    ).reshape(-1, 3)
    (ax, ay), (bx, by), (cx, cy) = (places[:, corner_number].T for corner_number in range(3))
    left = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax) > 0
    return np.where(left[:, None], numbers, numbers[:, ::-1])


def _ring(x: Corners, radius: float) -> Corners:
    """A ring about local x, ``x`` along it (ROUND,), counter-clockwise seen from its end."""
    turn = np.arange(ROUND) * math.tau / ROUND
    return np.column_stack((x, radius * np.cos(turn), radius * np.sin(turn)))


def _band(one: int, two: int) -> Integers:
    """Triangles between two rings by their first corners, seen from outside where the second lies
    further along x.
    """
    here = np.arange(ROUND)
    there = np.roll(here, -1)
    return np.vstack(
        (
            np.column_stack((here + one, there + one, there + two)),
            np.column_stack((here + one, there + two, here + two)),
        )
    )


def _lathe(
    mesh: _Mesh,
    place: Frame,
    rings: Sequence[Corners],
    surfaces: Sequence[int],
    ends: Sequence[int] = (),
) -> None:
    """Bands between rings, one after the other; each with its surface."""
    bands = [_band(number * ROUND, (number + 1) * ROUND) for number in range(len(rings) - 1)]
    mesh.add(
        out(place, np.vstack(rings)),
        np.vstack(bands),
        np.repeat(np.array(surfaces), 2 * ROUND),
        ends,
    )


def _tube(mesh: _Mesh, place: Frame, body: Tube, od: float, bore: float) -> None:
    turn = np.arange(ROUND) * math.tau / ROUND
    ends = []
    for radius in (od / 2, bore / 2):
        own = []
        for number, end in enumerate(body.ends):
            way = 1.0 if number == 0 else -1.0
            y, z = radius * np.cos(turn), radius * np.sin(turn)
            back = (
                cope(end, number, od, radius, np.arctan2(-way * y, z))
                if end.kind == "cope"
                else np.zeros(ROUND)
            )
            own.append(_ring(back if number == 0 else body.length - back, radius))
        ends.append(own)
    (near, far), (inner_near, inner_far) = ends
    _lathe(mesh, place, (inner_near, near, far, inner_far, inner_near), (0, 1, 2, 3), (0, 2))


def _rod(mesh: _Mesh, place: Frame, rod: Rod) -> None:
    radius, zero, long = rod.diameter / 2, np.zeros(ROUND), np.full(ROUND, rod.length)
    near, far = _ring(zero, radius), _ring(long, radius)
    if rod.domed:
        rises = [ring * math.pi / 2 / DOME for ring in range(DOME + 1)]
        start = [
            _ring(zero - radius * math.sin(rise), radius * math.cos(rise))
            for rise in reversed(rises)
        ]
        end = [_ring(long + radius * math.sin(rise), radius * math.cos(rise)) for rise in rises]
        _lathe(mesh, place, (*start, *end), (0,) * (2 * DOME + 1))
        return
    inner = rod.bore / 2
    rings = [_ring(zero, inner), near, far, _ring(long, inner)]
    surfaces = [0, 1, 2]
    if rod.bore:
        rings.append(rings[0])
        surfaces.append(3)
    _lathe(mesh, place, rings, surfaces)


def joined(every: Sequence[Facets]) -> tuple[Facets, Integers]:
    """Several as one: facets with their numbers run on, and (m,) which of ``every`` each triangle
    is of.
    """
    if not every:
        return EMPTY, np.zeros(0, dtype=np.int64)
    starts = [0, *itertools.accumulate(len(one.corners) for one in every)]
    firsts = [0, *itertools.accumulate(int(one.surfaces.max(initial=-1)) + 1 for one in every)]
    return (
        Facets(
            np.vstack([one.corners for one in every]),
            np.vstack([one.triangles + number for one, number in zip(every, starts, strict=False)]),
            np.concatenate(
                [one.surfaces + number for one, number in zip(every, firsts, strict=False)]
            ),
            np.concatenate([one.ends for one in every]),
        ),
        np.repeat(np.arange(len(every)), [len(one.triangles) for one in every]),
    )

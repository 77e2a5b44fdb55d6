"""Pictures of parts and of the placed truck: faces seen from one side, nearest drawn last, so that
what lies behind is hidden. Seen from ahead, left and above by default.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..geometry import bend, outline
from ..geometry.holes import slot_loop
from ..model.assembly import Member, Part
from ..model.body import Bar, Bought, Existing, Loop, Plate, Rod, Tube
from ..model.vectors import Frame
from ..stock import Shop
from .display import Sheet, width_of

CHORD = 0.5
ROUND, DOME = 28, 4
"""Flats a round is drawn with, and rings of a dome."""
SMOOTH = 0.8
"""Cosine between neighbours of a rim above which their shared edge is a round's, not a corner's."""
QUAD = 4
"""Corners of a flat that may be left out where it looks away."""
AWAY = 1e-9
"""Towards the eye less than this is seen edge on."""


class View(NamedTuple):
    """From where one looks: three unit vectors in truck axes, square to each other.

    Attributes
    ----------
    right, up, eye : array (3,)
        Across the paper, up the paper, towards the eye.
    """

    right: Array
    up: Array
    eye: Array


def view(azimuth: float, height: float) -> View:
    """Looking at the truck from ``azimuth`` degrees (0 = from ahead, 90 = from its left),
    ``height`` degrees above level.
    """
    turn, tilt = math.radians(azimuth), math.radians(height)
    eye = np.array(
        (math.cos(turn) * math.cos(tilt), math.sin(turn) * math.cos(tilt), math.sin(tilt))
    )
    right = np.array((-math.sin(turn), math.cos(turn), 0.0))
    return View(right, np.cross(eye, right), eye)


class DrawnFace(NamedTuple):
    """One flat face to be drawn.

    Attributes
    ----------
    points : array (n, 3)
        Corners, mm.
    beside : (array (3,), array (3,)), optional
        Outward normals of the faces before and after it on a round, whose shared edges are drawn
        only where the round turns out of sight.
    """

    points: Array
    beside: tuple[Array, Array] | None = None


LEFT_AHEAD = view(35.0, 30.0)
RIGHT_AHEAD = view(-35.0, 30.0)


def faces(
    member: Member, part: Part | None, shop: Shop, to: Frame | None = None
) -> list[DrawnFace]:
    """Faces of a member in truck axes, or in its own with ``to`` a frame at rest; ``part``: its
    holes and slots.
    """
    place = to or member.place
    body = member.body
    if isinstance(body, Plate):
        thickness = shop.plate(body.stock).thickness
        if part:
            through = (*part.slots, *(slot_loop(hole) for hole in part.holes))
            body = body._replace(openings=(*body.openings, *through))
        if body.bends:
            return [
                face
                for panel in bend.fold(body, thickness)[0]
                for face in _slab(
                    bend.joined(place, panel.place), panel.outline, panel.openings, thickness
                )
            ]
        return _slab(place, body.outline, body.openings, thickness)
    if isinstance(body, Tube):
        size = shop.tube(body.stock)
        return _round(place, body.length, size.od)
    if isinstance(body, (Bought, Existing)):
        if isinstance(body.solid, Rod):
            whole = _round(place, body.solid.length, body.solid.diameter)
            return [*whole, *_domes(place, body.solid)] if body.solid.domed else whole
        if isinstance(body.solid, Bar):
            return _slab(place, body.solid.outline, (), body.solid.length)
    return []


def _slab(place: Frame, outer: Loop, inner: Iterable[Loop], thickness: float) -> list[DrawnFace]:
    pts = outline.flatten(outer, CHORD)
    low, high = (np.array([place.out((x, y, level)) for x, y in pts]) for level in (0.0, thickness))
    count = len(pts)
    sides = [
        np.array((low[each], low[(each + 1) % count], high[(each + 1) % count], high[each]))
        for each in range(count)
    ]
    normals = [_normal(each) for each in sides]
    found = [DrawnFace(low[::-1]), DrawnFace(high)]
    for index, side in enumerate(sides):
        near = (normals[index - 1], normals[(index + 1) % count])
        found.append(
            DrawnFace(
                side,
                near if min(float(normals[index] @ other) for other in near) > SMOOTH else None,
            )
        )
    return [
        *found,
        *(
            DrawnFace(
                np.array(
                    [
                        place.out((x, y, thickness + 0.05))
                        for x, y in outline.flatten(opening, CHORD)
                    ]
                )
            )
            for opening in inner
        ),
    ]


def _normal(corners: Array) -> Array:
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[1])
    return np.asarray(normal / max(float(np.linalg.norm(normal)), 1e-12))


def _domes(place: Frame, rod: Rod) -> list[DrawnFace]:
    """Half a ball beyond each end of a round, in rings that get smaller."""
    radius, turns = rod.diameter / 2, [index * math.tau / ROUND for index in range(ROUND + 1)]
    found = []
    for at, way in ((0.0, -1.0), (rod.length, 1.0)):
        ups = [index * math.pi / 2 / DOME for index in range(DOME + 1)]
        rings = [
            [
                np.array(
                    place.out(
                        (
                            at + way * radius * math.sin(up),
                            radius * math.cos(up) * math.cos(way * turn),
                            radius * math.cos(up) * math.sin(way * turn),
                        )
                    )
                )
                for turn in turns
            ]
            for up in ups
        ]
        for low, high in itertools.pairwise(rings):
            ring = [
                np.array((low[index], low[index + 1], high[index + 1], high[index]))
                for index in range(ROUND)
            ]
            normals = [_normal(facet) for facet in ring]
            found += [
                DrawnFace(facet, (normals[index - 1], normals[(index + 1) % ROUND]))
                for index, facet in enumerate(ring)
            ]
    return found


def _round(place: Frame, length: float, od: float) -> list[DrawnFace]:
    ring = [
        (math.cos(index * math.tau / ROUND) * od / 2, math.sin(index * math.tau / ROUND) * od / 2)
        for index in range(ROUND)
    ]
    near, far = (np.array([place.out((x, y, z)) for y, z in ring]) for x in (0.0, length))
    sides = [
        np.array((near[index], near[(index + 1) % ROUND], far[(index + 1) % ROUND], far[index]))
        for index in range(ROUND)
    ]
    return [
        DrawnFace(near[::-1]),
        DrawnFace(far),
        *(
            DrawnFace(facet, (_normal(sides[index - 1]), _normal(sides[(index + 1) % ROUND])))
            for index, facet in enumerate(sides)
        ),
    ]


def draw(
    sheet: Sheet, found: Sequence[DrawnFace], seen: View, box: tuple[float, float, float, float]
) -> tuple[float, Array]:
    """Faces in a box (left, bottom, width, height) of a sheet, fitted.

    Gives points a mm and the paper's origin, for ``spot``.
    """
    flat = [np.column_stack((face.points @ seen.right, face.points @ seen.up)) for face in found]
    every = np.vstack(flat)
    low, high = every.min(axis=0), every.max(axis=0)
    scale = float(min(box[2] / max(high[0] - low[0], 1e-6), box[3] / max(high[1] - low[1], 1e-6)))
    origin = (
        np.array(
            (
                box[0] + (box[2] - scale * (high[0] - low[0])) / 2,
                box[1] + (box[3] - scale * (high[1] - low[1])) / 2,
            )
        )
        - scale * low
    )
    depth = [face.points @ seen.eye for face in found]
    for index in sorted(
        range(len(found)), key=lambda index: (float(depth[index].mean()), float(depth[index].max()))
    ):
        face = found[index]
        if len(face.points) == QUAD and _normal(face.points) @ seen.eye <= AWAY:
            continue
        pts = [(float(x), float(y)) for x, y in scale * flat[index] + origin]
        sheet.face(pts, face.beside is None)
        if face.beside is not None:
            sheet.line(pts[0], pts[1])
            sheet.line(pts[2], pts[3])
            for normal, edge in zip(face.beside, ((pts[3], pts[0]), (pts[1], pts[2])), strict=True):
                if normal @ seen.eye <= 0:
                    sheet.line(*edge)
    return scale, origin


def spot(point: Sequence[float], seen: View, scale: float, origin: Array) -> tuple[float, float]:
    """Where a point of the truck is on the paper.

    ``point``: mm, truck axes; ``scale``: points a mm; ``origin``: (2,), points, both as ``draw``
    gives them. Gives points of the sheet.
    """
    place = np.array(point)
    return float(scale * (place @ seen.right) + origin[0]), float(
        scale * (place @ seen.up) + origin[1]
    )


def of_members(members: Iterable[Member], parts: Mapping[str, Part], shop: Shop) -> list[DrawnFace]:
    """Faces of several members at their places."""
    return [face for member in members for face in faces(member, parts.get(member.code), shop)]


def balloons(
    sheet: Sheet,
    at: Mapping[str, tuple[float, float]],
    box: tuple[float, float, float, float],
    size: float = 7.0,
) -> None:
    """A ringed number for each point along the box's sides, joined to it by a thin line; no ring
    touches another while there is room.
    """
    radius = 0.85 * size
    half = max((width_of(name, size) for name in at), default=0.0) / 2 + 0.5 * size
    low, high, mid = box[1] + radius, box[1] + box[3] - radius, box[0] + box[2] / 2
    left = [name for name in at if at[name][0] < mid]
    right = [name for name in at if at[name][0] >= mid]
    most = max(1, int((high - low) // (2.2 * radius)) + 1)
    for crowded, other in ((left, right), (right, left)):
        crowded.sort(key=lambda name: abs(at[name][0] - mid), reverse=True)
        while len(crowded) > most > len(other):
            other.append(crowded.pop())
    for names, x in ((left, box[0] + half), (right, box[0] + box[2] - half)):
        names.sort(key=lambda name: at[name][1])
        pitch = min(2.2 * radius, (high - low) / max(1, len(names) - 1))
        ys = [min(high, max(low, at[name][1])) for name in names]
        for index in range(1, len(ys)):
            ys[index] = max(ys[index], ys[index - 1] + pitch)
        for index in reversed(range(len(ys))):
            ys[index] = min(ys[index], high - pitch * (len(ys) - 1 - index))
        for name, y in zip(names, ys, strict=True):
            edge = x + half if x < mid else x - half
            sheet.line((edge, y), at[name])
            sheet.line(
                *[
                    (
                        at[name][0] + 1.4 * math.cos(each * math.tau / 6),
                        at[name][1] + 1.4 * math.sin(each * math.tau / 6),
                    )
                    for each in range(7)
                ],
                kind="wide",
            )
            ends = [
                (
                    x + way * (half - radius) + way * radius * math.cos(each * math.pi / 8),
                    y + way * radius * math.sin(each * math.pi / 8),
                )
                for way in (1, -1)
                for each in range(-4, 5)
            ]
            sheet.face(ends)
            sheet.text(x, y - 0.35 * size, name, size, anchor="middle")

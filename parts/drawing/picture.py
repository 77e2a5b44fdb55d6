"""Pictures of parts and of the placed truck: faces seen from one side, nearest drawn last, so that
what lies behind is hidden. Seen from ahead, left and above by default.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..geometry import bend, outline
from ..geometry.holes import slot_loop
from ..model.assembly import Member, Part
from ..model.body import Bar, Bought, Existing, Loop, Plate, Rod, Tube
from ..model.vectors import Frame
from ..stock import Shop
from .display import Sheet, width_of

Array = NDArray[np.float64]
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
    """Directions in truck axes: across the paper, up the paper, towards the eye."""

    right: Array
    up: Array
    eye: Array


def view(azimuth: float, height: float) -> View:
    """Looking at the truck from ``azimuth`` degrees (0 = from ahead, 90 = from its left),
    ``height`` degrees above level.
    """
    a, h = math.radians(azimuth), math.radians(height)
    eye = np.array((math.cos(a) * math.cos(h), math.sin(a) * math.cos(h), math.sin(h)))
    right = np.array((-math.sin(a), math.cos(a), 0.0))
    return View(right, np.cross(eye, right), eye)


class Face(NamedTuple):
    """Corners (n, 3).

    ``beside``: outward normals of the faces before and after it on a round, whose shared edges are
    drawn only where the round turns out of sight.
    """

    points: Array
    beside: tuple[Array, Array] | None = None


LEFT_AHEAD = view(35.0, 30.0)
RIGHT_AHEAD = view(-35.0, 30.0)


def faces(m: Member, part: Part | None, shop: Shop, to: Frame | None = None) -> list[Face]:
    """Faces of a member in truck axes, or in its own with ``to`` a frame at rest; ``part``: its
    holes and slots.
    """
    place = to or m.place
    body = m.body
    if isinstance(body, Plate):
        t = shop.plate(body.stock).thickness
        if part:
            through = (*part.slots, *(slot_loop(h) for h in part.holes))
            body = body._replace(openings=(*body.openings, *through))
        if body.bends:
            return [
                f
                for p in bend.fold(body, t)[0]
                for f in _slab(bend.joined(place, p.place), p.outline, p.openings, t)
            ]
        return _slab(place, body.outline, body.openings, t)
    if isinstance(body, Tube):
        s = shop.tube(body.stock)
        return _round(place, body.length, s.od)
    if isinstance(body, (Bought, Existing)):
        if isinstance(body.solid, Rod):
            whole = _round(place, body.solid.length, body.solid.diameter)
            return [*whole, *_domes(place, body.solid)] if body.solid.domed else whole
        if isinstance(body.solid, Bar):
            return _slab(place, body.solid.outline, (), body.solid.length)
    return []


def _slab(place: Frame, outer: Loop, inner: Iterable[Loop], t: float) -> list[Face]:
    pts = outline.flatten(outer, CHORD)
    low, high = (np.array([place.out((x, y, w)) for x, y in pts]) for w in (0.0, t))
    n = len(pts)
    sides = [np.array((low[i], low[(i + 1) % n], high[(i + 1) % n], high[i])) for i in range(n)]
    normals = [_normal(f) for f in sides]
    found = [Face(low[::-1]), Face(high)]
    for i, f in enumerate(sides):
        near = (normals[i - 1], normals[(i + 1) % n])
        found.append(Face(f, near if min(float(normals[i] @ k) for k in near) > SMOOTH else None))
    return [
        *found,
        *(
            Face(np.array([place.out((x, y, t + 0.05)) for x, y in outline.flatten(o, CHORD)]))
            for o in inner
        ),
    ]


def _normal(f: Array) -> Array:
    n = np.cross(f[1] - f[0], f[2] - f[1])
    return np.asarray(n / max(float(np.linalg.norm(n)), 1e-12))


def _domes(place: Frame, rod: Rod) -> list[Face]:
    """Half a ball beyond each end of a round, in rings that get smaller."""
    r, turns = rod.diameter / 2, [k * math.tau / ROUND for k in range(ROUND + 1)]
    found = []
    for at, way in ((0.0, -1.0), (rod.length, 1.0)):
        ups = [k * math.pi / 2 / DOME for k in range(DOME + 1)]
        rings = [
            [
                np.array(
                    place.out(
                        (
                            at + way * r * math.sin(u),
                            r * math.cos(u) * math.cos(way * a),
                            r * math.cos(u) * math.sin(way * a),
                        )
                    )
                )
                for a in turns
            ]
            for u in ups
        ]
        for low, high in itertools.pairwise(rings):
            ring = [np.array((low[i], low[i + 1], high[i + 1], high[i])) for i in range(ROUND)]
            normals = [_normal(f) for f in ring]
            found += [
                Face(f, (normals[i - 1], normals[(i + 1) % ROUND])) for i, f in enumerate(ring)
            ]
    return found


def _round(place: Frame, length: float, od: float) -> list[Face]:
    ring = [
        (math.cos(k * math.tau / ROUND) * od / 2, math.sin(k * math.tau / ROUND) * od / 2)
        for k in range(ROUND)
    ]
    a, b = (np.array([place.out((x, y, z)) for y, z in ring]) for x in (0.0, length))
    sides = [np.array((a[i], a[(i + 1) % ROUND], b[(i + 1) % ROUND], b[i])) for i in range(ROUND)]
    return [
        Face(a[::-1]),
        Face(b),
        *(
            Face(f, (_normal(sides[i - 1]), _normal(sides[(i + 1) % ROUND])))
            for i, f in enumerate(sides)
        ),
    ]


def draw(
    s: Sheet, found: Sequence[Face], v: View, box: tuple[float, float, float, float]
) -> tuple[float, Array]:
    """Faces in a box (left, bottom, width, height) of a sheet, fitted.

    Gives points a mm and the paper's origin, for ``spot``.
    """
    flat = [np.column_stack((f.points @ v.right, f.points @ v.up)) for f in found]
    every = np.vstack(flat)
    low, high = every.min(axis=0), every.max(axis=0)
    k = float(min(box[2] / max(high[0] - low[0], 1e-6), box[3] / max(high[1] - low[1], 1e-6)))
    origin = (
        np.array(
            (
                box[0] + (box[2] - k * (high[0] - low[0])) / 2,
                box[1] + (box[3] - k * (high[1] - low[1])) / 2,
            )
        )
        - k * low
    )
    depth = [f.points @ v.eye for f in found]
    for i in sorted(
        range(len(found)), key=lambda i: (float(depth[i].mean()), float(depth[i].max()))
    ):
        f = found[i]
        if len(f.points) == QUAD and _normal(f.points) @ v.eye <= AWAY:
            continue
        pts = [(float(x), float(y)) for x, y in k * flat[i] + origin]
        s.face(pts, f.beside is None)
        if f.beside is not None:
            s.line(pts[0], pts[1])
            s.line(pts[2], pts[3])
            for n, edge in zip(f.beside, ((pts[3], pts[0]), (pts[1], pts[2])), strict=True):
                if n @ v.eye <= 0:
                    s.line(*edge)
    return k, origin


def spot(p: Sequence[float], v: View, k: float, origin: Array) -> tuple[float, float]:
    """Where a point of the truck is on the paper."""
    q = np.array(p)
    return float(k * (q @ v.right) + origin[0]), float(k * (q @ v.up) + origin[1])


def of_members(members: Iterable[Member], parts: Mapping[str, Part], shop: Shop) -> list[Face]:
    """Faces of several members at their places."""
    return [f for m in members for f in faces(m, parts.get(m.code), shop)]


def balloons(
    s: Sheet,
    at: Mapping[str, tuple[float, float]],
    box: tuple[float, float, float, float],
    size: float = 7.0,
) -> None:
    """A ringed number for each point along the box's sides, joined to it by a thin line; no ring
    touches another while there is room.
    """
    r = 0.85 * size
    half = max((width_of(n, size) for n in at), default=0.0) / 2 + 0.5 * size
    low, high, mid = box[1] + r, box[1] + box[3] - r, box[0] + box[2] / 2
    left = [n for n in at if at[n][0] < mid]
    right = [n for n in at if at[n][0] >= mid]
    most = max(1, int((high - low) // (2.2 * r)) + 1)
    for crowded, other in ((left, right), (right, left)):
        crowded.sort(key=lambda n: abs(at[n][0] - mid), reverse=True)
        while len(crowded) > most > len(other):
            other.append(crowded.pop())
    for names, x in ((left, box[0] + half), (right, box[0] + box[2] - half)):
        names.sort(key=lambda n: at[n][1])
        pitch = min(2.2 * r, (high - low) / max(1, len(names) - 1))
        ys = [min(high, max(low, at[n][1])) for n in names]
        for i in range(1, len(ys)):
            ys[i] = max(ys[i], ys[i - 1] + pitch)
        for i in reversed(range(len(ys))):
            ys[i] = min(ys[i], high - pitch * (len(ys) - 1 - i))
        for n, y in zip(names, ys, strict=True):
            edge = x + half if x < mid else x - half
            s.line((edge, y), at[n])
            s.line(
                *[
                    (
                        at[n][0] + 1.4 * math.cos(k * math.tau / 6),
                        at[n][1] + 1.4 * math.sin(k * math.tau / 6),
                    )
                    for k in range(7)
                ],
                kind="wide",
            )
            ends = [
                (
                    x + way * (half - r) + way * r * math.cos(k * math.pi / 8),
                    y + way * r * math.sin(k * math.pi / 8),
                )
                for way in (1, -1)
                for k in range(-4, 5)
            ]
            s.face(ends)
            s.text(x, y - 0.35 * size, n, size, anchor="middle")

"""Where a member's steel is, without a CAD kernel: is a truck point inside it, and how far is one
from it. Exact for lines and arcs flattened to 0.02 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from ..model.assembly import Member, Part
from ..model.body import Bar, Helix, Loop, Plate, Rod, Tube
from ..model.vectors import Frame
from ..stock import Shop
from . import bend, outline
from .holes import slot_loop

Points = NDArray[np.float64]
BLOCK = 1 << 14
"""Pairs of a point and an edge that are looked at together."""


def into(f: Frame, p: Points) -> Points:
    """Truck points (n, 3) in a frame's coordinates."""
    turn = np.array((f.x, f.y, f.z))
    return np.asarray((p - np.array(f.origin)) @ turn.T)


def out(f: Frame, p: Points) -> Points:
    """Part points (n, 3) on the truck."""
    return np.asarray(p @ np.array((f.x, f.y, f.z)) + np.array(f.origin))


class Flat:
    """A flattened loop: inside and distance for many points at once."""

    def __init__(self, loop: Loop, sagitta: float = 0.02) -> None:
        self.a = np.array(outline.flatten(loop, sagitta))
        self.b = np.roll(self.a, -1, axis=0)

    def inside(self, p: Points) -> NDArray[np.bool_]:
        """Even-odd rule; p is (n, 2). Only the few edges a point's level line meets are worked."""
        x, y = p[:, 0], p[:, 1]
        (ax, ay), (bx, by) = self.a.T, self.b.T
        level = y[:, None]
        point, edge = np.nonzero((ay > level) != (by > level))
        reach = (bx - ax)[edge] * (y[point] - ay[edge]) / (by - ay)[edge] + ax[edge]
        crossed = np.bincount(point[x[point] < reach], minlength=len(p))
        return np.asarray(crossed % 2 == 1)

    def away(self, p: Points) -> Points:
        """Distance to the loop; p is (n, 2). A block of points at a time, as many as the processor
        keeps near at hand with every edge.
        """
        (ax, ay), (dx, dy) = self.a.T, (self.b - self.a).T
        square = dx * dx + dy * dy
        found = np.empty(len(p))
        many = max(1, BLOCK // len(ax))
        for start in range(0, len(p), many):
            x = p[start : start + many, :1] - ax
            y = p[start : start + many, 1:2] - ay
            k = np.clip((x * dx + y * dy) / square, 0.0, 1.0)
            x -= k * dx
            y -= k * dy
            found[start : start + many] = (x * x + y * y).min(axis=1)
        return np.sqrt(found)


class Prism:
    """Loops over a height: a plate or a rail. ``voids``: bolts whose holes go through."""

    def __init__(
        self,
        place: Frame,
        low: float,
        high: float,
        outer: Loop,
        inner: Iterable[Loop],
        sagitta: float = 0.02,
    ) -> None:
        self.place, self.low, self.high = place, low, high
        self.outer, self.inner = Flat(outer, sagitta), [Flat(o, sagitta) for o in inner]
        self.loops = (outer, *inner) if isinstance(inner, tuple) else (outer,)

    def _area(self, p: Points) -> NDArray[np.bool_]:
        found = self.outer.inside(p)
        for o in self.inner:
            found &= ~o.inside(p)
        return found

    def deep(self, truck: Points, margin: float) -> NDArray[np.bool_]:
        """Points that lie in the steel by more than ``margin``."""
        q = into(self.place, truck)
        found = (q[:, 2] > self.low + margin) & (q[:, 2] < self.high - margin)
        idx = np.flatnonzero(found)
        if idx.size:
            flat = q[idx, :2]
            ok = self._area(flat)
            for f in (self.outer, *self.inner):
                ok[ok] = f.away(flat[ok]) > margin
            found[idx] = ok
        return found

    def away(self, truck: Points) -> Points:
        """Distance of points from the steel, 0 inside."""
        q = into(self.place, truck)
        up = np.maximum(np.maximum(self.low - q[:, 2], q[:, 2] - self.high), 0.0)
        flat = q[:, :2]
        side = np.min([f.away(flat) for f in (self.outer, *self.inner)], axis=0)
        side[self._area(flat)] = 0.0
        return np.asarray(np.hypot(up, side))

    def signed(self, truck: Points) -> Points:
        """Distance of points from the steel; inside, less how far it is to the nearest face."""
        q = into(self.place, truck)
        up = np.maximum(self.low - q[:, 2], q[:, 2] - self.high)
        side = self.outer.away(q[:, :2])
        inside = self.outer.inside(q[:, :2])
        side[inside] *= -1
        for f in self.inner if inside.any() else ():
            hole = f.away(q[inside, :2])
            side[inside] = np.where(f.inside(q[inside, :2]), hole, np.maximum(side[inside], -hole))
        return np.asarray(
            np.where(
                (up < 0) & (side < 0),
                np.maximum(up, side),
                np.hypot(np.maximum(up, 0.0), np.maximum(side, 0.0)),
            )
        )

    def skin(self, pitch: float) -> Points:
        """Points on the surface, ``pitch`` apart at most: rims, edges between them, a grid on both
        faces.
        """
        rims = []
        for f in (self.outer, *self.inner):
            for a, b in zip(f.a, f.b, strict=True):
                n = max(1, math.ceil(math.dist(a, b) / pitch))
                rims.append(a + (b - a) * (np.arange(n)[:, None] / n))
        rim = np.vstack(rims)
        levels = np.linspace(
            self.low, self.high, max(2, math.ceil((self.high - self.low) / (2 * pitch)) + 1)
        )
        x0, y0, x1, y1 = outline.bbox(self.loops[0])
        gx, gy = np.meshgrid(
            np.arange(x0, x1, 2 * pitch), np.arange(y0, y1, 2 * pitch), indexing="ij"
        )
        face = np.column_stack((gx.ravel(), gy.ravel()))
        face = face[self._area(face)]
        both = [np.column_stack((rim, np.full(len(rim), z))) for z in levels] + [
            np.column_stack((face, np.full(len(face), z))) for z in (self.low, self.high)
        ]
        return out(self.place, np.vstack(both))

    def edges(self) -> tuple[Points, Points]:
        """Ends of its straight edges: rims of both faces and the uprights between them."""
        rims = [(f.a, f.b) for f in (self.outer, *self.inner)]
        a, b = (np.vstack([r[i] for r in rims]) for i in (0, 1))
        starts = ((a, self.low), (a, self.high), (a, self.low))
        ends = ((b, self.low), (b, self.high), (a, self.high))
        return (
            np.vstack([self._level(flat, z) for flat, z in starts]),
            np.vstack([self._level(flat, z) for flat, z in ends]),
        )

    def _level(self, flat: Points, z: float) -> Points:
        """Points (n, 2) of the loops' plane on the truck, ``z`` above it."""
        return out(self.place, np.column_stack((flat, np.full(len(flat), z))))

    def samples(self, margin: float, pitch: float) -> Points:
        """Points in the steel by ``margin``: a grid, and a row just inside every edge."""
        x0, y0, x1, y1 = outline.bbox(self.loops[0])
        gx, gy = np.meshgrid(
            np.arange(x0 + margin, x1, pitch), np.arange(y0 + margin, y1, pitch), indexing="ij"
        )
        flat = [np.column_stack((gx.ravel(), gy.ravel()))]
        for f in (self.outer, *self.inner):
            d = f.b - f.a
            n = np.column_stack((-d[:, 1], d[:, 0])) / np.hypot(*d.T)[:, None]
            for k in (0.02, 0.5, 0.98):
                mid = f.a + k * d
                flat += [mid + 1.5 * margin * n, mid - 1.5 * margin * n]
        pts = np.vstack(flat)
        pts = pts[self._area(pts)]
        for f in (self.outer, *self.inner):
            pts = pts[f.away(pts) > margin] if len(pts) else pts
        levels = np.array(
            (self.low + 1.01 * margin, (self.low + self.high) / 2, self.high - 1.01 * margin)
        )
        cube = np.column_stack((np.tile(pts, (3, 1)), np.repeat(levels, len(pts))))
        return out(self.place, cube)


class Pipe:
    """A round along local x, hollow if ``bore``."""

    def __init__(self, place: Frame, length: float, od: float, bore: float) -> None:
        self.place, self.length, self.od, self.bore = place, length, od, bore

    def deep(self, truck: Points, margin: float) -> NDArray[np.bool_]:
        """Points that lie in the steel by more than ``margin``."""
        q = into(self.place, truck)
        r = np.hypot(q[:, 1], q[:, 2])
        hollow = r > self.bore / 2 + margin if self.bore > 0 else np.ones(len(r), dtype=bool)
        return np.asarray(
            (q[:, 0] > margin)
            & (q[:, 0] < self.length - margin)
            & (r < self.od / 2 - margin)
            & hollow
        )

    def away(self, truck: Points) -> Points:
        """Distance of points from the steel, 0 inside."""
        q = into(self.place, truck)
        r = np.hypot(q[:, 1], q[:, 2])
        along = np.maximum(np.maximum(-q[:, 0], q[:, 0] - self.length), 0.0)
        across = np.maximum(np.maximum(r - self.od / 2, self.bore / 2 - r), 0.0)
        return np.asarray(np.hypot(along, across))

    def signed(self, truck: Points) -> Points:
        """Distance of points from the round as if it were solid; inside, less how far it is to the
        nearest face.
        """
        q = into(self.place, truck)
        along = np.maximum(-q[:, 0], q[:, 0] - self.length)
        across = np.hypot(q[:, 1], q[:, 2]) - self.od / 2
        return np.asarray(
            np.where(
                (along < 0) & (across < 0),
                np.maximum(along, across),
                np.hypot(np.maximum(along, 0.0), np.maximum(across, 0.0)),
            )
        )

    def skin(self, pitch: float) -> Points:
        """Points on the outer surface and both ends."""
        x = np.linspace(0.0, self.length, max(2, math.ceil(self.length / pitch) + 1))
        a = np.linspace(0.0, math.tau, max(8, math.ceil(math.pi * self.od / pitch)), endpoint=False)
        gx, ga = (g.ravel() for g in np.meshgrid(x, a, indexing="ij"))
        r = self.od / 2
        return out(
            self.place,
            np.vstack(
                (
                    np.column_stack((gx, r * np.cos(ga), r * np.sin(ga))),
                    np.array(((0.0, 0.0, 0.0), (self.length, 0.0, 0.0))),
                )
            ),
        )

    def ends(self) -> Points:
        """Both ends of its axis, (2, 3)."""
        return out(self.place, np.array(((0.0, 0.0, 0.0), (self.length, 0.0, 0.0))))

    def edges(self) -> tuple[Points, Points]:
        """Chords of both end circles, outside them by no more than they are inside, and lines along
        it.
        """
        n = max(24, math.ceil(math.pi / math.acos(1 - 0.04 / max(self.od, 0.1))))
        a = np.linspace(0.0, math.tau, n, endpoint=False)
        r = self.od / 2 / math.sqrt(math.cos(math.pi / n))
        ring = np.column_stack((np.zeros(n), r * np.cos(a), r * np.sin(a)))
        far = ring + np.array((self.length, 0.0, 0.0))
        some = slice(None, None, max(1, n // 24))
        starts = np.vstack((ring, far, ring[some]))
        stops = np.vstack((np.roll(ring, -1, axis=0), np.roll(far, -1, axis=0), far[some]))
        return out(self.place, starts), out(self.place, stops)

    def samples(self, margin: float, pitch: float) -> Points:
        """Points in the steel by ``margin``."""
        x = np.linspace(
            1.01 * margin, self.length - 1.01 * margin, max(3, int(self.length / pitch))
        )
        low = max(self.bore / 2 + 1.01 * margin, 0.0)
        radii = np.linspace(low, self.od / 2 - 1.01 * margin, 3)
        angles = np.arange(0.0, math.tau, min(0.2, 2 * pitch / self.od))
        gx, gr, ga = (g.ravel() for g in np.meshgrid(x, radii, angles, indexing="ij"))
        return out(self.place, np.column_stack((gx, gr * np.cos(ga), gr * np.sin(ga))))


class Bent:
    """Panels of a bent plate and the rounds of the bends between them, as the solids they are."""

    def __init__(self, panels: tuple[Prism, ...]) -> None:
        self.panels = panels

    def deep(self, truck: Points, margin: float) -> NDArray[np.bool_]:
        """Points that lie in the steel by more than ``margin``."""
        return np.asarray(np.any([p.deep(truck, margin) for p in self.panels], axis=0))

    def away(self, truck: Points) -> Points:
        """Distance of points from the steel, 0 inside."""
        return np.asarray(np.min([p.away(truck) for p in self.panels], axis=0))

    def signed(self, truck: Points) -> Points:
        """Distance of points from the steel, below zero inside a panel."""
        return np.asarray(np.min([p.signed(truck) for p in self.panels], axis=0))

    def skin(self, pitch: float) -> Points:
        """Points on the panels' surfaces."""
        return np.vstack([p.skin(pitch) for p in self.panels])

    def edges(self) -> tuple[Points, Points]:
        """Ends of the panels' straight edges."""
        a, b = zip(*(p.edges() for p in self.panels), strict=True)
        return np.vstack(a), np.vstack(b)

    def samples(self, margin: float, pitch: float) -> Points:
        """Points in the steel by ``margin``."""
        return np.vstack([p.samples(margin, pitch) for p in self.panels])


class Capsule(Pipe):
    """A round along local x with half a ball beyond each end."""

    def __init__(self, place: Frame, length: float, od: float) -> None:
        super().__init__(place, length, od, 0.0)

    def signed(self, truck: Points) -> Points:
        """Distance of points from the body, below zero inside."""
        q = into(self.place, truck)
        beyond = np.maximum(np.maximum(-q[:, 0], q[:, 0] - self.length), 0.0)
        return np.asarray(np.hypot(beyond, np.hypot(q[:, 1], q[:, 2])) - self.od / 2)

    def deep(self, truck: Points, margin: float) -> NDArray[np.bool_]:
        """Points that lie in it by more than ``margin``."""
        return np.asarray(self.signed(truck) < -margin)

    def away(self, truck: Points) -> Points:
        """Distance of points from it, 0 inside."""
        return np.maximum(self.signed(truck), 0.0)

    def skin(self, pitch: float) -> Points:
        """Points on the surface of round and balls."""
        r = self.od / 2
        rows = max(3, math.ceil(r * math.pi / 2 / pitch))
        caps = []
        for at, way in ((0.0, -1.0), (self.length, 1.0)):
            for up in np.linspace(0.0, math.pi / 2, rows + 1)[1:]:
                n = max(1, math.ceil(math.tau * r * math.cos(up) / pitch))
                a = np.linspace(0.0, math.tau, n, endpoint=False)
                flat = r * math.cos(up)
                x = np.full(n, at + way * r * math.sin(up))
                caps.append(np.column_stack((x, flat * np.cos(a), flat * np.sin(a))))
        return np.vstack((super().skin(pitch), out(self.place, np.vstack(caps))))


Solid = Prism | Pipe | Bent


def _bent(place: Frame, b: Plate, t: float, inner: tuple[Loop, ...], sagitta: float) -> Bent:
    panels, folds = bend.fold(b._replace(openings=inner), t)
    flats = (
        Prism(bend.joined(place, p.place), 0.0, t, p.outline, p.openings, sagitta) for p in panels
    )
    rounds = (bend.round_of(f, b, t) for f in folds)
    bends = (
        Prism(bend.joined(place, r.place), 0.0, r.length, r.outline, (), sagitta) for r in rounds
    )
    return Bent((*flats, *bends))


def solid(m: Member, part: Part | None, shop: Shop, sagitta: float = 0.02) -> Solid | None:
    """The member's steel, its holes out, arcs flattened to ``sagitta`` mm; None for a coil, which
    is all air.
    """
    body = m.body
    if isinstance(body, Plate):
        return _plate(m.place, body, part, shop.plate(body.stock).thickness, sagitta)
    if isinstance(body, Tube):
        tube = shop.tube(body.stock)
        return Pipe(m.place, body.length, tube.od, tube.od - 2 * tube.wall)
    return _simple(m.place, body.solid, sagitta)


def _plate(place: Frame, body: Plate, part: Part | None, t: float, sagitta: float) -> Solid:
    holes = tuple(slot_loop(hole) for hole in part.holes) if part else ()
    inner = (*body.openings, *(part.slots if part else ()), *holes)
    if body.bends:
        return _bent(place, body, t, inner, sagitta)
    return Prism(place, 0.0, t, body.outline, inner, sagitta)


def _simple(place: Frame, simple: Rod | Bar | Helix, sagitta: float) -> Solid | None:
    """What is bought or was there: a round, a bar, or a coil."""
    if isinstance(simple, Rod):
        if simple.domed:
            return Capsule(place, simple.length, simple.diameter)
        return Pipe(place, simple.length, simple.diameter, simple.bore)
    if isinstance(simple, Bar):
        return Prism(place, 0.0, simple.length, simple.outline, simple.openings, sagitta)
    return None

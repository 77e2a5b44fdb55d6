"""Loops over a height, asked about many points at once: what plates, panels and rails are. Exact
for lines, and for arcs flattened to 0.02 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from ..model.body import Loop
from ..model.vectors import Frame
from . import outline

Points = NDArray[np.float64]


BLOCK = 1 << 14
"""Pairs of a point and an edge that are looked at together."""


def into(frame: Frame, points: Points) -> Points:
    """Truck points (n, 3) in a frame's own coordinates."""
    turn = np.array((frame.x, frame.y, frame.z))
    return np.asarray((points - np.array(frame.origin)) @ turn.T)


def out(frame: Frame, points: Points) -> Points:
    """Points (n, 3) in a frame's own coordinates on the truck: what ``into`` undoes."""
    return np.asarray(points @ np.array((frame.x, frame.y, frame.z)) + np.array(frame.origin))


class Flat:
    """A loop flattened once, for asking about many points at a time.

    Parameters
    ----------
    sagitta : float
        How far chords may leave arcs, mm.
    """

    def __init__(self, loop: Loop, sagitta: float = 0.02) -> None:
        self.a = np.array(outline.flatten(loop, sagitta))
        self.b = np.roll(self.a, -1, axis=0)

    def inside(self, points: Points) -> NDArray[np.bool_]:
        """Which points (n, 2) lie inside, by the even-odd rule. Only the few edges a point's level
        line meets are worked.
        """
        x, y = points[:, 0], points[:, 1]
        (ax, ay), (bx, by) = self.a.T, self.b.T
        level = y[:, None]
        point, edge = np.nonzero((ay > level) != (by > level))
        reach = (bx - ax)[edge] * (y[point] - ay[edge]) / (by - ay)[edge] + ax[edge]
        crossed = np.bincount(point[x[point] < reach], minlength=len(points))
        return np.asarray(crossed % 2 == 1)

    def away(self, points: Points) -> Points:
        """Distance of points (n, 2) to the loop, mm, from inside and outside alike. A block of
        points at a time, as many as the processor keeps near at hand with every edge.
        """
        (ax, ay), (dx, dy) = self.a.T, (self.b - self.a).T
        square = dx * dx + dy * dy
        found = np.empty(len(points))
        many = max(1, BLOCK // len(ax))
        for start in range(0, len(points), many):
            x = points[start : start + many, :1] - ax
            y = points[start : start + many, 1:2] - ay
            share = np.clip((x * dx + y * dy) / square, 0.0, 1.0)
            x -= share * dx
            y -= share * dy
            found[start : start + many] = (x * x + y * y).min(axis=1)
        return np.sqrt(found)


class Prism:
    """Loops over a height: a flat plate, a panel of a bent one, or a rail.

    Parameters
    ----------
    place : Frame
        Loops lie in its x-y plane; its z is the height.
    low, high : float
        From where to where along z, mm.
    outer, inner : Loop, iterable of Loop
        Outline and what is gone from it, bolt holes too.
    sagitta : float
        How far chords may leave arcs, mm.
    """

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
        self.outer, self.inner = Flat(outer, sagitta), [Flat(opening, sagitta) for opening in inner]
        self.loops = (outer, *inner) if isinstance(inner, tuple) else (outer,)

    def _area(self, points: Points) -> NDArray[np.bool_]:
        found = self.outer.inside(points)
        for opening in self.inner:
            found &= ~opening.inside(points)
        return found

    def deep(self, truck: Points, margin: float) -> NDArray[np.bool_]:
        """Which truck points (n, 3) lie in the steel by more than ``margin`` mm from every face."""
        own = into(self.place, truck)
        # most points fall out by their height alone; only the others are held against the loops
        found = (own[:, 2] > self.low + margin) & (own[:, 2] < self.high - margin)
        idx = np.flatnonzero(found)
        if idx.size:
            flat = own[idx, :2]
            kept = self._area(flat)
            for rim in (self.outer, *self.inner):
                kept[kept] = rim.away(flat[kept]) > margin
            found[idx] = kept
        return found

    def away(self, truck: Points) -> Points:
        """Distance of truck points (n, 3) from the steel, mm; 0 inside."""
        own = into(self.place, truck)
        up = np.maximum(np.maximum(self.low - own[:, 2], own[:, 2] - self.high), 0.0)
        flat = own[:, :2]
        side = np.min([rim.away(flat) for rim in (self.outer, *self.inner)], axis=0)
        side[self._area(flat)] = 0.0
        return np.asarray(np.hypot(up, side))

    def signed(self, truck: Points) -> Points:
        """Distance of truck points (n, 3) from the steel, mm; inside, less how far it is to the
        nearest face, so that two bodies that overlap are told by how much.
        """
        own = into(self.place, truck)
        up = np.maximum(self.low - own[:, 2], own[:, 2] - self.high)
        side = self.outer.away(own[:, :2])
        inside = self.outer.inside(own[:, :2])
        side[inside] *= -1
        for rim in self.inner if inside.any() else ():
            hole = rim.away(own[inside, :2])
            side[inside] = np.where(
                rim.inside(own[inside, :2]), hole, np.maximum(side[inside], -hole)
            )
        return np.asarray(
            np.where(
                (up < 0) & (side < 0),
                np.maximum(up, side),
                np.hypot(np.maximum(up, 0.0), np.maximum(side, 0.0)),
            )
        )

    def skin(self, pitch: float) -> Points:
        """Points (m, 3) on the surface, ``pitch`` mm apart at most: rims, edges between them, a
        grid twice as wide on both faces.
        """
        rims = []
        for loop in (self.outer, *self.inner):
            for start, end in zip(loop.a, loop.b, strict=True):
                count = max(1, math.ceil(math.dist(start, end) / pitch))
                rims.append(start + (end - start) * (np.arange(count)[:, None] / count))
        edge = np.vstack(rims)
        levels = np.linspace(
            self.low, self.high, max(2, math.ceil((self.high - self.low) / (2 * pitch)) + 1)
        )
        x0, y0, x1, y1 = outline.bbox(self.loops[0])
        grid_x, grid_y = np.meshgrid(
            np.arange(x0, x1, 2 * pitch), np.arange(y0, y1, 2 * pitch), indexing="ij"
        )
        face = np.column_stack((grid_x.ravel(), grid_y.ravel()))
        face = face[self._area(face)]
        both = [np.column_stack((edge, np.full(len(edge), level))) for level in levels] + [
            np.column_stack((face, np.full(len(face), level))) for level in (self.low, self.high)
        ]
        return out(self.place, np.vstack(both))

    def edges(self) -> tuple[Points, Points]:
        """Ends of its straight edges, two arrays (m, 3): rims of both faces and the uprights
        between them. Between flat faces the closest points always lie on one (``closest``).
        """
        rims = [(rim.a, rim.b) for rim in (self.outer, *self.inner)]
        starting, ending = (np.vstack([pair[i] for pair in rims]) for i in (0, 1))
        starts = ((starting, self.low), (starting, self.high), (starting, self.low))
        ends = ((ending, self.low), (ending, self.high), (starting, self.high))
        return (
            np.vstack([self._level(flat, z) for flat, z in starts]),
            np.vstack([self._level(flat, z) for flat, z in ends]),
        )

    def _level(self, flat: Points, z: float) -> Points:
        """Points (n, 2) of the loops' plane on the truck, ``z`` above it."""
        return out(self.place, np.column_stack((flat, np.full(len(flat), z))))

    def samples(self, margin: float, pitch: float) -> Points:
        """Points (m, 3) that lie in the steel by ``margin`` mm: a grid ``pitch`` wide at three
        heights, and rows just inside every edge, where thin steel would fall between the grid's
        points.
        """
        x0, y0, x1, y1 = outline.bbox(self.loops[0])
        grid_x, grid_y = np.meshgrid(
            np.arange(x0 + margin, x1, pitch), np.arange(y0 + margin, y1, pitch), indexing="ij"
        )
        flat = [np.column_stack((grid_x.ravel(), grid_y.ravel()))]
        for rim in (self.outer, *self.inner):
            along = rim.b - rim.a
            inward = np.column_stack((-along[:, 1], along[:, 0])) / np.hypot(*along.T)[:, None]
            for share in (0.02, 0.5, 0.98):
                mid = rim.a + share * along
                flat += [mid + 1.5 * margin * inward, mid - 1.5 * margin * inward]
        points = np.vstack(flat)
        points = points[self._area(points)]
        for rim in (self.outer, *self.inner):
            points = points[rim.away(points) > margin] if len(points) else points
        levels = np.array(
            (self.low + 1.01 * margin, (self.low + self.high) / 2, self.high - 1.01 * margin)
        )
        cube = np.column_stack((np.tile(points, (3, 1)), np.repeat(levels, len(points))))
        return out(self.place, cube)

"""A closed surface of triangles, asked how far points are from it: a solid that came as a file.

Distances are exact to the triangles where they are small, never too large elsewhere. The sign is
that of the nearest face, edge or corner by its angle-weighted normal (Baerentzen and Aanaes, Signed
distance computation using the angle weighted pseudonormal, IEEE TVCG 11(3), 2005); the nearest
point of a triangle by the regions of its corners and edges (Ericson, Real-Time Collision Detection,
2005, 5.1.5). Both from memory.
"""

from __future__ import annotations

import math
from functools import cached_property

import numpy as np

from ...layout.arrays import Array, Index, Integers
from .prism import Points

NET = 4.0
"""mm between the points by which the nearest triangles are found."""
NEAR = 40.0
"""Distances are exact below, mm; beyond, short of the truth by NET^2 / 2 NEAR at most."""
SHARED = 2
"""Faces that meet in an edge of a closed surface."""
FLAT = math.cos(math.radians(1.0))
"""Faces that meet at less than this have no edge between them."""


class Faceted:
    """A closed surface.

    Parameters
    ----------
    corners : array (N, 3)
        mm.
    faces : array (M, 3)
        Corners of triangles, counter-clockwise from outside; none without area.
    """

    def __init__(self, corners: Points, faces: Integers) -> None:
        self.corners, self.faces = corners, faces
        self.a, self.b, self.c = (corners[faces[:, each]] for each in range(3))
        across = np.cross(self.b - self.a, self.c - self.a)
        self.normals = across / np.linalg.norm(across, axis=1)[:, None]

    @cached_property
    def _sides(self) -> tuple[Integers, Index]:
        """Every edge once, (E, 2), and that of each triangle's sides ab, bc, ca, (M, 3)."""
        three = np.sort(self.faces[:, ((0, 1), (1, 2), (2, 0))].reshape(-1, 2), axis=1)
        edges, own = np.unique(three, axis=0, return_inverse=True)
        return edges, own.reshape(-1, 3)

    @cached_property
    def _leans(self) -> Array:
        """Normals of corners a, b, c, edges ab, bc, ca and face of each triangle, (M, 7, 3)."""
        at_corner = np.zeros_like(self.corners)
        loops = np.stack((self.a, self.b, self.c), axis=1)
        for each in range(3):
            one = loops[:, (each + 1) % 3] - loops[:, each]
            two = loops[:, (each + 2) % 3] - loops[:, each]
            cosine = (one * two).sum(axis=1) / np.maximum(
                np.linalg.norm(one, axis=1) * np.linalg.norm(two, axis=1), 1e-300
            )
            angle = np.arccos(np.clip(cosine, -1.0, 1.0))
            np.add.at(at_corner, self.faces[:, each], angle[:, None] * self.normals)
        edges, own = self._sides
        on_edge = np.zeros((len(edges), 3))
        np.add.at(on_edge, own.ravel(), np.repeat(self.normals, 3, axis=0))
        return np.concatenate((at_corner[self.faces], on_edge[own], self.normals[:, None]), axis=1)

    def _net(self, pitch: float) -> tuple[Points, Index]:
        """Points on the surface, ``pitch`` mm apart at most, corners too; the triangle of each."""
        long = np.max([np.linalg.norm(one - two, axis=1) for one, two in self._pairs()], axis=0)
        steps = np.maximum(1, np.ceil(long / pitch).astype(int))
        points, rows = [], []
        for step in np.unique(steps):
            own = np.flatnonzero(steps == step)
            u, v = (part.ravel() for part in np.meshgrid(*(np.arange(step + 1) / step,) * 2))
            inside = u + v <= 1 + 1e-9
            u, v = u[inside][None, :, None], v[inside][None, :, None]
            a, b, c = (each[own][:, None] for each in (self.a, self.b, self.c))
            points.append((a + u * (b - a) + v * (c - a)).reshape(-1, 3))
            rows.append(np.repeat(own, u.shape[1]))
        return np.vstack(points), np.concatenate(rows)

    def _pairs(self) -> tuple[tuple[Points, Points], ...]:
        return (self.a, self.b), (self.b, self.c), (self.c, self.a)

    @cached_property
    def _found(self) -> tuple[object, Index]:
        from scipy.spatial import cKDTree

        points, rows = self._net(NET)
        return cKDTree(points), rows

    def signed(self, truck: Points) -> Points:
        """Distance of points (n, 3) from the surface, mm; below zero inside."""
        from scipy.spatial import cKDTree

        tree, rows = self._found
        assert isinstance(tree, cKDTree)
        away, first = tree.query(truck)
        reach = np.where(away < NEAR, away + NET, 0.0)
        near = tree.query_ball_point(truck, reach)
        counts = np.array([len(own) for own in near], dtype=int)
        point = np.concatenate((np.arange(len(truck)), np.repeat(np.arange(len(truck)), counts)))
        found = np.concatenate([first, *near]).astype(int)
        pairs = np.unique(np.column_stack((point, rows[found])), axis=0)
        best, lean = self._apart(truck[pairs[:, 0]], pairs[:, 1])
        # sorted by point, so that the least of each run is that point's
        order = np.lexsort((best, pairs[:, 0]))
        one = order[np.flatnonzero(np.diff(pairs[order, 0], prepend=-1))]
        least = np.where(away < NEAR, best[one], np.sqrt(np.maximum(away**2 - NET**2, 0.0)))
        return np.asarray(np.where(lean[one] < 0, -least, least))

    def _apart(self, points: Points, rows: Index) -> tuple[Points, Points]:
        """Distance of points (n, 3) from a triangle each, mm, and on which side of its nearest
        feature they lie.
        """
        a, b, c = self.a[rows], self.b[rows], self.c[rows]
        ab, ac, ap, bp, cp = b - a, c - a, points - a, points - b, points - c
        d1, d2, d3, d4, d5, d6 = (
            (one * two).sum(axis=1)
            for one, two in ((ab, ap), (ac, ap), (ab, bp), (ac, bp), (ab, cp), (ac, cp))
        )
        va, vb, vc = d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2
        where = np.select(
            [
                (d1 <= 0) & (d2 <= 0),
                (d3 >= 0) & (d4 <= d3),
                (d6 >= 0) & (d5 <= d6),
                (vc <= 0) & (d1 >= 0) & (d3 <= 0),
                (va <= 0) & (d4 - d3 >= 0) & (d5 - d6 >= 0),
                (vb <= 0) & (d2 >= 0) & (d6 <= 0),
            ],
            range(6),
            6,
        )
        with np.errstate(divide="ignore", invalid="ignore"):
            on_ab, on_ac = d1 / (d1 - d3), d2 / (d2 - d6)
            on_bc, whole = (d4 - d3) / ((d4 - d3) + (d5 - d6)), va + vb + vc
            zero, full = np.zeros(len(a)), np.ones(len(a))
            v = np.choose(where, (zero, full, zero, on_ab, 1 - on_bc, zero, vb / whole))
            w = np.choose(where, (zero, zero, full, zero, on_bc, on_ac, vc / whole))
        off = ap - v[:, None] * ab - w[:, None] * ac
        return np.linalg.norm(off, axis=1), (off * self._leans[rows, where]).sum(axis=1)

    def deep(self, truck: Points, margin: float) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Which points (n, 3) lie in it by more than ``margin`` mm."""
        return np.asarray(self.signed(truck) < -margin)

    def away(self, truck: Points) -> Points:
        """Distance of points from it, mm; 0 inside."""
        return np.maximum(self.signed(truck), 0.0)

    def skin(self, pitch: float) -> Points:
        """Points (m, 3) on the surface, ``pitch`` mm apart at most."""
        return np.unique(self._net(pitch)[0], axis=0)

    def edges(self) -> tuple[Points, Points]:
        """Ends of its edges, (m, 3) each; none where two faces lie in one plane."""
        edges, own = self._sides
        count = np.bincount(own.ravel(), minlength=len(edges))
        sums = np.zeros((len(edges), 3))
        np.add.at(sums, own.ravel(), np.repeat(self.normals, 3, axis=0))
        # two unit normals at an angle add up to twice the cosine of half of it
        bent = (np.linalg.norm(sums, axis=1) < 2 * math.sqrt((1 + FLAT) / 2)) | (count != SHARED)
        return self.corners[edges[bent, 0]], self.corners[edges[bent, 1]]

    def samples(self, margin: float, pitch: float) -> Points:
        """Points (m, 3) in it by ``margin`` mm, on a grid ``pitch`` mm wide."""
        low, high = self.corners.min(axis=0), self.corners.max(axis=0)
        lines = [np.arange(one + margin, two, pitch) for one, two in zip(low, high, strict=True)]
        grid = np.stack(np.meshgrid(*lines), axis=-1).reshape(-1, 3)
        return grid[self.deep(grid, margin)] if len(grid) else grid

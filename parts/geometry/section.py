"""Sections as sums of polygons, in exact unsymmetric bending and in torsion.

A section is a sum of solid and void polygons (y outward, z up, mm). sigma(y, z) is linear, so the
modulus W = 1 / max|sigma / M| is found at a corner. Lengths mm, moduli mm3, torsion constants mm4.
Source: boundary integrals of first and second moments; unsymmetric bending; Bredt's formula: as in
any strength-of-materials text.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]


ON_EDGE = 1e-9
"""mm by which a point on an edge may lie outside it: rounding."""


class Poly(NamedTuple):
    """A closed polygon, corners (y, z) counter-clockwise, mm; ``sign`` +1 is steel, -1 takes it
    away.
    """

    points: tuple[Point, ...]
    sign: float = 1.0


class Section(NamedTuple):
    """What bending asks of a section. y outward, z up.

    Attributes
    ----------
    area : float
        mm2.
    yc, zc : float
        Centroid, mm.
    iy, iz, iyz : float
        Second moments about axes through the centroid, mm4: iy bends up and down, iz sideways.
    corners : tuple of Point
        Of the steel, mm: where the stress can be greatest.
    """

    area: float
    yc: float
    zc: float
    iy: float
    iz: float
    iyz: float
    corners: tuple[Point, ...]

    def modulus(self, my: float, mz: float) -> float:
        """W for a moment of direction (my, mz), free to bend sideways too: mm3.

        An unsymmetric section answers a vertical moment with a sideways bend; sigma = M / W is then
        the greatest stress at any of its corners.
        """
        den = self.iy * self.iz - self.iyz**2
        return 1.0 / max(
            abs(
                (my * self.iz + mz * self.iyz) * (z - self.zc)
                - (mz * self.iy + my * self.iyz) * (y - self.yc)
            )
            / den
            for y, z in self.corners
        )

    @property
    def vertical(self) -> float:
        """W for a vertical load, free to bend sideways: mm3. The less favorable of the two vertical
        ones.
        """
        return self.modulus(1.0, 0.0)

    @property
    def held(self) -> float:
        """W for a vertical load where crossmembers hold the rail sideways: I_y / c, mm3."""
        return self.iy / max(abs(z - self.zc) for _, z in self.corners)

    @property
    def lateral(self) -> float:
        """W for bending sideways: mm3."""
        return self.modulus(0.0, 1.0)


def rect(y0: float, z0: float, y1: float, z1: float, sign: float = 1.0) -> Poly:
    """A rectangle between two corners, mm; ``sign`` -1 takes it away."""
    return Poly(((y0, z0), (y1, z0), (y1, z1), (y0, z1)), sign)


def rounded(
    y0: float, z0: float, y1: float, z1: float, r_in: float, r_out: float, sign: float = 1.0
) -> Poly:
    """A rectangle with round corners, ``r_in`` at y0 and ``r_out`` at y1, mm.

    24 chords a corner, on a circle a hair larger so that each corner's area is that of the arc: the
    section's area is exact and its second moments are to rounding.
    """
    points: list[Point] = []
    for cy, cz, radius, start in (
        (y0, z0, r_in, math.pi),
        (y1, z0, r_out, 1.5 * math.pi),
        (y1, z1, r_out, 0.0),
        (y0, z1, r_in, 0.5 * math.pi),
    ):
        if radius <= 0:
            points.append((cy, cz))
            continue
        chords, step = 24, math.pi / 48
        fair = (
            radius
            * (math.sqrt(1 + (chords - 2) * chords * step / math.sin(step)) - 1)
            / (chords - 2)
        )
        my, mz = cy + (radius if cy == y0 else -radius), cz + (radius if cz == z0 else -radius)
        rim = [radius, *[fair] * (chords - 1), radius]
        points += [
            (
                my + rim[chord] * math.cos(start + step * chord),
                mz + rim[chord] * math.sin(start + step * chord),
            )
            for chord in range(chords + 1)
        ]
    return Poly(tuple(points), sign)


def section(parts: Iterable[Poly], corners: Sequence[Point] | None = None) -> Section:
    """Properties of a sum of polygons, solid and void.

    Parameters
    ----------
    parts : iterable of Poly
        May overlap only where a void lies in a solid.
    corners : sequence of Point, optional
        Those of the steel; by default every corner of the solid polygons, which is right as long as
        no void reaches one.

    Notes
    -----
    Boundary integrals of first and second moments (Green's theorem on each edge), moved to the
    centroid.

    >>> made = section([rect(0.0, 0.0, 50.0, 100.0)])
    >>> made.area, round(made.iy) == round(50 * 100**3 / 12), round(made.vertical)
    (5000.0, True, 83333)
    """
    total = moment_y = moment_z = iyy = izz = iyz = 0.0
    rows = list(parts)
    for polygon in rows:
        for (y0, z0), (y1, z1) in zip(
            polygon.points, (*polygon.points[1:], polygon.points[0]), strict=True
        ):
            twice = polygon.sign * (y0 * z1 - y1 * z0)
            total += twice / 2
            moment_y += twice * (y0 + y1) / 6
            moment_z += twice * (z0 + z1) / 6
            iyy += twice * (z0 * z0 + z0 * z1 + z1 * z1) / 12
            izz += twice * (y0 * y0 + y0 * y1 + y1 * y1) / 12
            iyz += twice * (y0 * z1 + 2 * y0 * z0 + 2 * y1 * z1 + y1 * z0) / 24
    yc, zc = moment_y / total, moment_z / total
    found = (
        tuple(corners)
        if corners is not None
        else tuple(corner for polygon in rows if polygon.sign > 0 for corner in polygon.points)
    )
    return Section(
        area=total,
        yc=yc,
        zc=zc,
        iy=iyy - total * zc * zc,
        iz=izz - total * yc * yc,
        iyz=iyz - total * yc * zc,
        corners=found,
    )


def corners_of(parts: Sequence[Poly]) -> tuple[Point, ...]:
    """Corners with steel beside them: corners of solids and voids where a point a hair away lies in
    a solid and in no void. What a cut took away can bear no stress, and must not set the modulus.
    """
    points = np.array([corner for polygon in parts for corner in polygon.points])
    angles = math.pi / 8 + np.arange(8) * math.pi / 4
    near = points[:, None, :] + 1e-4 * np.stack((np.cos(angles), np.sin(angles)), axis=1)
    solid, void = (np.zeros(near.shape[:2], dtype=bool) for _ in range(2))
    for polygon in parts:
        if polygon.sign > 0:
            solid |= _holds(polygon, near)
        else:
            void |= _holds(polygon, near)
    steel = (solid & ~void).any(axis=1)
    return tuple((float(y), float(z)) for y, z in points[steel])


def _holds(polygon: Poly, points: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which points (..., 2) lie inside or on the edge of a convex polygon."""
    corners = np.array(polygon.points)
    way = np.roll(corners, -1, axis=0) - corners
    side = way[:, 0] * (points[..., None, 1] - corners[:, 1]) - way[:, 1] * (
        points[..., None, 0] - corners[:, 0]
    )
    return np.asarray((side >= -ON_EDGE).all(axis=-1))


def closed_cell(segments: Iterable[tuple[float, float]], area: float) -> float:
    """Torsion constant of a closed cell by Bredt, 4 A_m^2 / sum(ds / t): mm4.

    Parameters
    ----------
    segments : iterable of (length, thickness)
        Along the mid-line of the walls, mm.
    area : float
        Enclosed by that mid-line, mm2.
    """
    return 4 * area**2 / sum(length / thickness for length, thickness in segments)


def open_strip(segments: Iterable[tuple[float, float]]) -> float:
    """Torsion constant of an open thin section, sum(b t^3 / 3): mm4. ``segments``: length and
    thickness of each wall, mm.

    Why a notch costs a boxed rail nearly all of its torsion:

    >>> walls = [(76.0, 3.0), (76.0, 3.0), (120.0, 3.0), (120.0, 3.0)]
    >>> round(closed_cell(walls, 76.0 * 120.0) / open_strip(walls))
    722
    """
    return sum(length * thickness**3 / 3 for length, thickness in segments)

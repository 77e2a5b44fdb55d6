"""Plate against frame: the rail as it was, cut, and plated, in exact unsymmetric bending and as a
cell in torsion.

A section is a sum of solid and void polygons (y outward, z up, mm). sigma(y, z) is linear, so the
modulus W = 1 / max|sigma / M| is found at a corner. Lengths mm, moduli mm3, torsion constants mm4.
Source: boundary integrals of first and second moments; unsymmetric bending; Bredt's formula: as in
any strength-of-materials text.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]


ON_EDGE = 1e-9
"""mm by which a point on an edge may lie outside it: rounding."""


class Poly(NamedTuple):
    """A closed polygon, corners counter-clockwise; ``sign`` -1 takes it away."""

    points: tuple[Point, ...]
    sign: float = 1.0


class Section(NamedTuple):
    """Area, centroid, second moments about it, and the corners of the steel."""

    area: float
    yc: float
    zc: float
    iy: float
    iz: float
    iyz: float
    corners: tuple[Point, ...]

    def modulus(self, my: float, mz: float) -> float:
        """W for a moment of direction (my, mz), free to bend sideways: mm3."""
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
        """W for vertical bending, free to bend sideways: mm3."""
        return self.modulus(1.0, 0.0)

    @property
    def held(self) -> float:
        """W for vertical bending where the rail is held sideways by its crossmembers: I_y / c."""
        return self.iy / max(abs(z - self.zc) for _, z in self.corners)

    @property
    def lateral(self) -> float:
        """W for bending sideways: mm3."""
        return self.modulus(0.0, 1.0)


def rect(y0: float, z0: float, y1: float, z1: float, sign: float = 1.0) -> Poly:
    """A rectangle."""
    return Poly(((y0, z0), (y1, z0), (y1, z1), (y0, z1)), sign)


def rounded(
    y0: float, z0: float, y1: float, z1: float, r_in: float, r_out: float, sign: float = 1.0
) -> Poly:
    """A rectangle with round corners, ``r_in`` at y0 and ``r_out`` at y1; 24 chords a corner, whose
    area is that of the arc.
    """
    pts: list[Point] = []
    for cy, cz, r, start in (
        (y0, z0, r_in, math.pi),
        (y1, z0, r_out, 1.5 * math.pi),
        (y1, z1, r_out, 0.0),
        (y0, z1, r_in, 0.5 * math.pi),
    ):
        if r <= 0:
            pts.append((cy, cz))
            continue
        n, step = 24, math.pi / 48
        fair = r * (math.sqrt(1 + (n - 2) * n * step / math.sin(step)) - 1) / (n - 2)
        my, mz = cy + (r if cy == y0 else -r), cz + (r if cz == z0 else -r)
        rim = [r, *[fair] * (n - 1), r]
        pts += [
            (my + rim[k] * math.cos(start + step * k), mz + rim[k] * math.sin(start + step * k))
            for k in range(n + 1)
        ]
    return Poly(tuple(pts), sign)


def section(parts: Iterable[Poly], corners: Sequence[Point] | None = None) -> Section:
    """Properties of a sum of polygons.

    ``corners``: those of the steel, by default every corner of the solid polygons.
    """
    a = sy = sz = iyy = izz = iyz = 0.0
    rows = list(parts)
    for p in rows:
        for (y0, z0), (y1, z1) in zip(p.points, (*p.points[1:], p.points[0]), strict=True):
            c = p.sign * (y0 * z1 - y1 * z0)
            a += c / 2
            sy += c * (y0 + y1) / 6
            sz += c * (z0 + z1) / 6
            iyy += c * (z0 * z0 + z0 * z1 + z1 * z1) / 12
            izz += c * (y0 * y0 + y0 * y1 + y1 * y1) / 12
            iyz += c * (y0 * z1 + 2 * y0 * z0 + 2 * y1 * z1 + y1 * z0) / 24
    yc, zc = sy / a, sz / a
    found = (
        tuple(corners)
        if corners is not None
        else tuple(q for p in rows if p.sign > 0 for q in p.points)
    )
    return Section(a, yc, zc, iyy - a * zc * zc, izz - a * yc * yc, iyz - a * yc * zc, found)


def box(width: float, height: float, wall: float, radius: float = 0.0) -> tuple[Poly, ...]:
    """Boxed rail, outer face at y = 0, bottom at z = 0; ``radius`` outside at its corners."""
    return (
        rounded(-width, 0.0, 0.0, height, radius, radius),
        rounded(
            -width + wall,
            wall,
            -wall,
            height - wall,
            max(0.0, radius - wall),
            max(0.0, radius - wall),
            -1.0,
        ),
    )


def channel(width: float, height: float, wall: float, radius: float = 0.0) -> tuple[Poly, ...]:
    """Channel rail, web at y = 0 outside, open inboard; ``radius`` outside at the web's corners."""
    inner = max(0.0, radius - wall)
    return (
        _mixed(-width, 0.0, 0.0, height, r_in=0.0, r_low=radius, r_high=radius),
        _mixed(-width, wall, -wall, height - wall, r_in=0.0, r_low=inner, r_high=inner, sign=-1.0),
    )


@dataclass(frozen=True, kw_only=True)
class RailSection:
    """A rail's section as measured, mm.

    ``shape``: "boxed", or "channel" open inboard; ``radius``: outside at its corners.
    """

    width: float
    height: float
    wall: float
    shape: str = "boxed"
    radius: float = 0.0

    def steel(self) -> tuple[Poly, ...]:
        """Its polygons, outer face at y = 0, bottom at z = 0."""
        make = box if self.shape == "boxed" else channel
        return make(self.width, self.height, self.wall, self.radius)

    def webs(self) -> int:
        """Walls that carry its vertical shear."""
        return 2 if self.shape == "boxed" else 1


def cut(
    width: float,
    height: float,
    wall: float,
    z_low: float,
    z_high: float,
    *,
    radius: float = 0.0,
    flange: float = 0.0,
    shape: str = "boxed",
) -> tuple[Poly, ...]:
    """The rail with its outer wall gone between two heights.

    A cut that reaches a flange leaves that flange whole to y = 0 (a bulge cut flush: its corner was
    further out), less ``flange`` mm of the bottom one if that is taken too.
    """
    r_in = radius if shape == "boxed" else 0.0
    r_low, r_high = (
        0.0 if reached else radius for reached in (z_low <= wall, z_high >= height - wall)
    )
    inner = max(0.0, r_in - wall)
    outer = _mixed(-width, 0.0, 0.0, height, r_in=r_in, r_low=r_low, r_high=r_high)
    void = _mixed(
        -width + wall if shape == "boxed" else -width,
        wall,
        -wall,
        height - wall,
        r_in=inner,
        r_low=max(0.0, r_low - wall),
        r_high=max(0.0, r_high - wall),
        sign=-1.0,
    )
    low, high = max(z_low, wall), min(z_high, height - wall)
    gone = [rect(-wall, low, 0.0, high, -1.0)]
    if flange > 0:
        gone.append(rect(-flange, 0.0, 0.0, wall, -1.0))
    return (outer, void, *gone)


def _mixed(
    y0: float,
    z0: float,
    y1: float,
    z1: float,
    *,
    r_in: float,
    r_low: float,
    r_high: float,
    sign: float = 1.0,
) -> Poly:
    """Rounded rectangle whose outer lower and upper corners differ."""
    low, high = (
        rounded(y0, z0, y1, z1, r_in, r_low).points,
        rounded(y0, z0, y1, z1, r_in, r_high).points,
    )
    mid = (z0 + z1) / 2
    return Poly(tuple([p for p in low if p[1] < mid] + [p for p in high if p[1] >= mid]), sign)


def corners_of(parts: Sequence[Poly]) -> tuple[Point, ...]:
    """Corners with steel beside them: corners of solids and voids where a point a hair away lies in
    a solid and in no void.
    """
    points = np.array([q for p in parts for q in p.points])
    angles = math.pi / 8 + np.arange(8) * math.pi / 4
    near = points[:, None, :] + 1e-4 * np.stack((np.cos(angles), np.sin(angles)), axis=1)
    solid, void = (np.zeros(near.shape[:2], dtype=bool) for _ in range(2))
    for p in parts:
        if p.sign > 0:
            solid |= _holds(p, near)
        else:
            void |= _holds(p, near)
    steel = (solid & ~void).any(axis=1)
    return tuple((float(y), float(z)) for y, z in points[steel])


def _holds(p: Poly, q: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which points (..., 2) lie inside or on the edge of a convex polygon."""
    a = np.array(p.points)
    way = np.roll(a, -1, axis=0) - a
    side = way[:, 0] * (q[..., None, 1] - a[:, 1]) - way[:, 1] * (q[..., None, 0] - a[:, 0])
    return np.asarray((side >= -ON_EDGE).all(axis=-1))


def plated(
    parts: tuple[Poly, ...],
    t: float,
    z0: float,
    z1: float,
    *,
    strip: tuple[float, float] = (0.0, 0.0),
    height: float = 0.0,
    both: bool = False,
) -> tuple[Poly, ...]:
    """The section with a side plate of thickness ``t`` on the outer face, and with a strip
    (thickness, width inboard of the face) under the bottom flange, on the top one too if ``both``;
    strips reach out under the plate's edge.
    """
    more = [rect(0.0, z0, t, z1)]
    if strip[0] > 0:
        more.append(rect(-strip[1], -strip[0], t, 0.0))
        if both:
            more.append(rect(-strip[1], height, t, height + strip[0]))
    return (*parts, *more)


def closed_cell(segments: Iterable[tuple[float, float]], area: float) -> float:
    """Torsion constant of a closed cell by Bredt, 4 A_m^2 / sum(ds / t).

    ``segments``: length and thickness along the mid-line.
    """
    return 4 * area**2 / sum(length / t for length, t in segments)


def open_strip(segments: Iterable[tuple[float, float]]) -> float:
    """Torsion constant of an open thin section, sum(b t^3 / 3)."""
    return sum(b * t**3 / 3 for b, t in segments)


def rail_torsion(
    width: float,
    height: float,
    wall: float,
    notch: tuple[float, float] | None = None,
    plate: float = 0.0,
) -> float:
    """Torsion constant of a boxed rail: whole, cut open, or closed again by a plate over the cut
    (its edges welded to sound wall or flange).
    """
    w, h = width - wall, height - wall
    around = [(w, wall), (w, wall), (h, wall)]
    if notch is None:
        return closed_cell([*around, (h, wall)], w * h)
    gap = min(notch[1], height - wall / 2) - max(notch[0], wall / 2)
    if plate <= 0:
        return open_strip([*around, (h - gap, wall)])
    out = w + wall / 2 + plate / 2 if gap >= h - 1e-9 else w + (wall + plate) / 2 * gap / h
    return closed_cell(
        [(out, wall), (out, wall), (h, wall), (gap, plate), (h - gap, wall + plate)], out * h
    )


@cache
def restored(
    rail: RailSection,
    notch: tuple[float, float],
    t: float,
    plate: tuple[float, float],
    strip: tuple[float, float] = (0.0, 0.0),
    both: bool = False,
) -> dict[str, float]:
    """Plated against as measured, and cut against as measured: W vertical, held sideways, lateral;
    torsion constant of a boxed rail.
    """
    width, height, wall = rail.width, rail.height, rail.wall
    make = rail.steel()
    opened = cut(width, height, wall, *notch, radius=rail.radius, shape=rail.shape)
    mended = plated(opened, t, *plate, strip=strip, height=height, both=both)
    found: dict[str, float] = {}
    whole = section(make, corners_of(make))
    for word, parts in (("", mended), ("cut ", opened)):
        s = section(parts, corners_of(parts))
        found |= {
            f"{word}vertical": s.vertical / whole.vertical,
            f"{word}held": s.held / whole.held,
            f"{word}lateral": s.lateral / whole.lateral,
        }
    if rail.shape == "boxed":
        j = rail_torsion(width, height, wall)
        found |= {
            "torsion": rail_torsion(width, height, wall, notch, t) / j,
            "cut torsion": rail_torsion(width, height, wall, notch) / j,
        }
    return found

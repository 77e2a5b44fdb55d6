"""Plate against frame: the rail as it was, cut, and plated, in exact unsymmetric bending.

A section is a sum of solid and void rectangles (y outward, z up, mm). sigma(y, z) is linear, so the modulus
W = 1 / max|sigma / M| is found at a corner. Lengths mm, moduli mm3.
Source: boundary integrals of first and second moments; unsymmetric bending as in any strength-of-materials text.
"""

from __future__ import annotations

from typing import NamedTuple


class Rect(NamedTuple):
    """A rectangle y0..y1 by z0..z1; ``sign`` -1 takes it away."""

    y0: float
    z0: float
    y1: float
    z1: float
    sign: float = 1.0


class Section(NamedTuple):
    """Area, centroid and second moments about it."""

    area: float
    yc: float
    zc: float
    iy: float
    iz: float
    iyz: float
    corners: tuple[tuple[float, float], ...]

    def modulus(self, my: float, mz: float) -> float:
        """W for a moment of direction (my, mz), free to bend sideways: mm3."""
        den = self.iy * self.iz - self.iyz**2
        worst = 0.0
        for y, z in self.corners:
            dy, dz = y - self.yc, z - self.zc
            worst = max(worst, abs((my * self.iz + mz * self.iyz) * dz - (mz * self.iy + my * self.iyz) * dy) / den)
        return 1.0 / worst

    @property
    def vertical(self) -> float:
        return self.modulus(1.0, 0.0)

    @property
    def lateral(self) -> float:
        return self.modulus(0.0, 1.0)


def section(parts: tuple[Rect, ...]) -> Section:
    """Properties of a sum of rectangles."""
    a = sum(p.sign * (p.y1 - p.y0) * (p.z1 - p.z0) for p in parts)
    yc = sum(p.sign * (p.y1 - p.y0) * (p.z1 - p.z0) * (p.y0 + p.y1) / 2 for p in parts) / a
    zc = sum(p.sign * (p.y1 - p.y0) * (p.z1 - p.z0) * (p.z0 + p.z1) / 2 for p in parts) / a
    iy = iz = iyz = 0.0
    for p in parts:
        b, h = p.y1 - p.y0, p.z1 - p.z0
        dy, dz = (p.y0 + p.y1) / 2 - yc, (p.z0 + p.z1) / 2 - zc
        iy += p.sign * (b * h**3 / 12 + b * h * dz**2)
        iz += p.sign * (h * b**3 / 12 + b * h * dy**2)
        iyz += p.sign * b * h * dy * dz
    corners = tuple((y, z) for p in parts if p.sign > 0 for y in (p.y0, p.y1) for z in (p.z0, p.z1))
    return Section(a, yc, zc, iy, iz, iyz, corners)


def box(width: float, height: float, wall: float) -> tuple[Rect, ...]:
    """Boxed rail, outer face at y = 0, bottom at z = 0; sharp corners."""
    return (Rect(-width, 0, 0, height), Rect(-width + wall, wall, -wall, height - wall, -1.0))


def cut(width: float, height: float, wall: float, z_low: float, z_high: float) -> tuple[Rect, ...]:
    """The box with its outer wall gone between two heights. A cut that reaches a flange leaves that flange whole to y = 0."""
    return (*box(width, height, wall), Rect(-wall, max(z_low, wall), 0.0, min(z_high, height - wall), -1.0))


def plated(parts: tuple[Rect, ...], t: float, z0: float, z1: float) -> tuple[Rect, ...]:
    """The section with a side plate of thickness ``t`` on the outer face."""
    return (*parts, Rect(0.0, z0, t, z1))


def restored(width: float, height: float, wall: float, notch: tuple[float, float], t: float, plate: tuple[float, float]) -> dict[str, float]:
    """W plated / W as measured, vertical and lateral, and the same for the cut rail alone."""
    whole, open_ = section(box(width, height, wall)), section(cut(width, height, wall, *notch))
    mended = section(plated(cut(width, height, wall, *notch), t, *plate))
    return {"vertical": mended.vertical / whole.vertical, "lateral": mended.lateral / whole.lateral,
            "cut vertical": open_.vertical / whole.vertical, "cut lateral": open_.lateral / whole.lateral}

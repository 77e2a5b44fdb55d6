"""The units a shop writes, as factors to the internal ones.

Exact: inch 25.4 mm, pound 0.45359237 kg (international yard and pound, 1959), standard gravity
9.80665 m/s2 (3rd CGPM, 1901).
"""

from __future__ import annotations

import math

IN = 25.4
FT = 304.8
DEG = math.pi / 180
LB = 0.45359237
GRAVITY = 9.80665
LBF = LB * GRAVITY

INTERNAL = {
    "length": "mm",
    "angle": "rad",
    "force": "N",
    "rate": "N/mm",
    "torsion": "N*mm/rad",
    "mass": "kg",
}
KIND_WORDS = {
    "length": "a length",
    "angle": "an angle",
    "force": "a force",
    "rate": "a spring rate",
    "torsion": "a torsion rate",
    "mass": "a mass",
    "count": "a plain number",
}
EXAMPLES = {
    "length": "23 7/16 in, 1' 11 1/2\", 595.3 mm",
    "angle": "6 deg, 3° 30', 0.1 rad",
    "force": "860 lbf, 3.8 kN, 390 kgf",
    "rate": "225 lbf/in, 39.4 N/mm",
    "torsion": "40 in*lbf/deg, 4.5 N*m/deg",
    "mass": "12 lb, 5.4 kg",
    "count": "8.75",
}


def _names(factor: float, *names: str) -> dict[str, float]:
    return {n: factor for n in names}


TABLE: dict[str, dict[str, float]] = {
    "length": {
        **_names(1.0, "mm", "millimetre", "millimeter", "millimetres", "millimeters"),
        **_names(10.0, "cm"),
        **_names(1000.0, "m"),
        **_names(IN, "in", '"', "inch", "inches"),
        **_names(FT, "ft", "'", "foot", "feet"),
    },
    "angle": {
        **_names(DEG, "deg", "degree", "degrees", "°"),
        **_names(1.0, "rad", "radian", "radians"),
    },
    "force": {
        **_names(LBF, "lbf", "lb", "lbs", "pound", "pounds"),
        **_names(1.0, "n", "newton", "newtons"),
        **_names(1000.0, "kn"),
        **_names(GRAVITY, "kgf", "kp"),
        **_names(1000 * LBF, "kip"),
    },
    "rate": {
        **_names(LBF / IN, "lbf/in", "lb/in", "lbs/in", "lbf/inch", "lb/inch"),
        **_names(1.0, "n/mm", "kn/m"),
        **_names(GRAVITY, "kgf/mm"),
        **_names(0.001, "n/m"),
    },
    "torsion": {
        **_names(IN * LBF / DEG, "in*lbf/deg", "lbf*in/deg", "in*lb/deg", "lb*in/deg"),
        **_names(FT * LBF / DEG, "ft*lbf/deg", "lbf*ft/deg", "ft*lb/deg", "lb*ft/deg"),
        **_names(1000.0 / DEG, "n*m/deg", "nm/deg"),
        **_names(1.0 / DEG, "n*mm/deg", "nmm/deg"),
        **_names(1000.0, "n*m/rad", "nm/rad"),
        **_names(1.0, "n*mm/rad", "nmm/rad"),
        **_names(IN * LBF, "in*lbf/rad"),
    },
    "mass": {
        **_names(LB, "lb", "lbs", "lbm", "pound", "pounds"),
        **_names(1.0, "kg"),
        **_names(0.001, "g"),
        **_names(LB / 16, "oz"),
    },
}
SHORT = {
    "length": ("in", "mm"),
    "angle": ("deg", "rad"),
    "force": ("lbf", "N"),
    "rate": ("lbf/in", "N/mm"),
    "torsion": ("in*lbf/deg", "N*m/deg"),
    "mass": ("lb", "kg"),
}

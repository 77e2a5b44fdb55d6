"""Small outlines and radii several families draw with.

Lengths in mm. Values marked "practice" are common practice, no source.
"""

from __future__ import annotations

import numpy as np

from ..geometry.contours import Corner, circle, rounded
from ..model.body import Loop
from ..model.family import FloatOrArray
from ..model.vectors import Number, Vec2
from ._lengths import IN


def gusset_outline(
    a: float,
    b: float,
    clip: float = 9.525,
    nose: float = 9.525,
    names: tuple[str, str] = ("foot", "plate"),
) -> Loop:
    """Gusset with legs ``a`` along +x (edge names[0]) and ``b`` along +y (edge names[1]), inner
    corner clipped, ends blunt.

    Default clip and nose 3/8 in: practice.
    """
    pts = [
        ("clip", 0.0, clip),
        (names[0], clip, 0.0),
        ("nose_a", a, 0.0),
        ("slope", a, nose),
        ("nose_b", nose, b),
        (names[1], 0.0, b),
    ]
    return rounded([Corner(name, x, y) for name, x, y in pts])


def ring(outer: float, bore: float, names: tuple[str, str] = ("rim", "bore")) -> tuple[Loop, Loop]:
    """Outer and inner circles about the origin, by diameter."""
    return circle((0.0, 0.0), outer, names[0]), circle((0.0, 0.0), bore, names[1])


def socket_radius(across: FloatOrArray) -> FloatOrArray:
    """Radius a socket needs round a bolt of diameter ``across``: head across corners 1.5 times that
    x 1.155, wall 1/8 in (practice).
    """
    return 0.5 * 1.5 * across * 1.1547 + 0.125 * IN


def line(a: Vec2, b: Vec2) -> tuple[tuple[Vec2, ...], ...]:
    """One scribed stroke."""
    return ((a, b),)


def ear_radius(d: float, slot: Number = 0.0) -> Number:
    """End radius of an ear: 1.5 bolt diameters past the end of its slot (practice), to the next
    1/16 in.

    ``d``: the bolt, mm; ``slot``: how far the bolt may move from end to end, mm, 0 for a round
    hole, a float or an array; the radius, mm, likewise.
    """
    return np.ceil((1.5 * d + slot / 2) / (IN / 16) - 1e-6) * (IN / 16)

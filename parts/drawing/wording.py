"""What a dimension says, in the reader's units: a fraction where the size is one, else decimals."""

from __future__ import annotations

import math
from fractions import Fraction

from ...layout import units
from ...layout.reader import metric
from ..design.lettering import size_text
from .dimensions import Angle, BendNote, Diameter, Radius, SlotSize

IN = units.IN
STEPS = 32
"""Parts of an inch a tape or rule of the shop is read to."""
NEAR = 0.003 * IN
"""mm a size may be off a fraction and be lettered as it: a fifth of what a fraction is read to."""
STRUCK = 12 * IN
"""mm of radius from which an arc is set out by chord and rise, not from its center (judgment)."""
FLAT = 1e-3
"""rad by which arcs of one radius may differ in sweep and still be one chord."""
WHOLE = 0.05
"""Degrees within which an angle is whole."""


def length(mm: float) -> str:
    """A distance: a fraction of an inch where it is one, else inches to 0.001, or mm to 0.1.

    >>> length(14.2875), length(10.0), length(-25.4), length(0.0)
    ('9/16', '.394', '-1', '0')
    """
    if metric():
        return f"{round(mm, 1) + 0.0:g}"
    steps = round(mm / IN * STEPS)
    if abs(mm - steps * IN / STEPS) < NEAR:
        return fraction(Fraction(steps, STEPS))
    text = f"{abs(mm) / IN:.3f}".removeprefix("0")
    return f"-{text}" if mm < 0 else text


def fraction(value: Fraction) -> str:
    """Whole inches and a fraction.

    >>> fraction(Fraction(-27, 16))
    '-1 11/16'
    """
    whole, rest = divmod(abs(value), 1)
    words = " ".join(str(part) for part in (whole, rest) if part) or "0"
    return f"-{words}" if value < 0 else words


def angle(rad: float) -> str:
    """Degrees, to a tenth where they are not whole.

    >>> angle(math.pi / 2), angle(0.5)
    ('90°', '28.6°')
    """
    degrees = math.degrees(rad)
    whole = abs(degrees - round(degrees)) < WHOLE
    return f"{degrees:.0f}°" if whole else f"{degrees:.1f}°"


def _count(number: int) -> str:
    return f"{number}x " if number > 1 else ""


def radius(found: Radius) -> str:
    """Count and radius; chord and rise of an arc too flat to be struck from its center.

    An arc of 1000 mm over a chord of 100 mm rises 1000 - sqrt(1000 ** 2 - 50 ** 2) = 1.251 mm.

    >>> from .features import RoundEdge
    >>> half = math.asin(0.05)
    >>> flat = RoundEdge((0.0, 0.0), 1000.0, (0.0, 0.0), (0.0, 0.0), 0.0, 2 * half, False, False)
    >>> radius(Radius(1000.0, (flat,)))
    'R 39.370, rise .049 over 3 15/16'
    """
    words = f"{_count(len(found.arcs))}R {length(found.radius)}"
    sweeps = [abs(arc.sweep) for arc in found.arcs]
    if found.radius < STRUCK or max(sweeps) - min(sweeps) > FLAT:
        return words
    half = sweeps[0] / 2
    rise, chord = found.radius * (1 - math.cos(half)), 2 * found.radius * math.sin(half)
    fine = f"{rise:.2f}" if metric() else f"{rise / IN:.3f}".removeprefix("0")
    return f"{words}, rise {fine} over {length(chord)}"


def diameter(found: Diameter) -> str:
    """Count, diameter, how it is made with the pilot of a drilled hole."""
    size = length(found.diameter) if found.how in ("cut", "rim") else size_text(found.diameter)
    how = "" if found.how == "rim" else f" {found.how}"
    pilot = f", pilot {size_text(found.pilot)}" if found.pilot else ""
    return f"{_count(len(found.rounds))}Ø {size}{how}{pilot}"


def slot(found: SlotSize) -> str:
    """Count, width by length over all, its slope where it lies along neither axis."""
    turned = min(abs(found.angle % (math.pi / 2)), abs(-found.angle % (math.pi / 2)))
    slope = f" at {angle(found.angle)}" if math.degrees(turned) > WHOLE else ""
    size = f"{length(found.width)} x {length(found.length)}"
    return f"{_count(len(found.slots))}slot {size}{slope}"


def slope(found: Angle) -> str:
    """The angle to the level datum axis, in brackets: the ends of the edge give it already."""
    return f"({_count(len(found.slopes))}{angle(found.angle)})"


def bend(found: BendNote) -> str:
    """Direction, angle, inside radius."""
    way = "up" if found.bend.angle > 0 else "down"
    return f"bend {way} {angle(abs(found.bend.angle))}, inside R {length(found.bend.radius)}"

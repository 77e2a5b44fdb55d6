"""Numbers as paper and page print them, in the reader's units: lengths for tape and caliper,
tolerances of the shop, numbers put into a rule. Inside stays mm, N, MPa.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from ...layout import units
from ...layout.reader import metric, number, unit

SAME = 0.05
"""mm by which two ways are alike, or none."""
SMALL_ROOM, LARGE = 3, 1000
"""Under this many mm a room has a decimal; from this a number has none."""
MILE = 1.609344
"""km in a mile, exact (international yard and pound, 1959)."""
IN = units.IN
OTHER = {
    "mm": ("in", IN, "mm", 1.0),
    "mm2": ("in2", IN**2, "mm2", 1.0),
    "mm3": ("in3", IN**3, "mm3", 1.0),
    "mm4": ("in4", IN**4, "mm4", 1.0),
    "N": ("lbf", units.LBF, "N", 1.0),
    "N/mm": ("lbf/in", units.LBF / IN, "N/mm", 1.0),
    "N mm": ("lbf*in", units.LBF * IN, "N*m", 1000.0),
    "MPa": ("ksi", 1000 * units.LBF / IN**2, "MPa", 1.0),
}
"""Unit of a rule inside -> unit and internal units in one of it, for a reader in inches and one in
millimeters.
"""
_INCHES = re.compile(r"(?<![\w./-])((?:\d+ )?\d+/\d+|\d+(?:\.\d+)?) in\b")
_PUT_IN = re.compile(
    r"(?<![\w.])(-?\d+(?:\.\d+)?(?:e[+-]?\d+)?) (N/mm|N mm|mm[234]|mm|MPa|N)(?![\w/*])"
)


def fine(mm: float) -> str:
    """A machined length in mm without its unit: inches to 0.001, mm to 0.1.

    >>> fine(12.7)
    '0.500'
    """
    return number(mm, "length", 1 if metric() else 3)


def finely(mm: float) -> str:
    """``fine`` with its unit."""
    return f"{fine(mm)} {unit('length')}"


def leaned(angle: float, says: str = "") -> str:
    """How far something leans, rad, in words; ``says``: which way is +, behind a lean there is.

    >>> leaned(0.0004), leaned(-0.03, " (nose down is +)")
    ('not leaned', 'leaned -1.7 deg (nose down is +)')
    """
    degrees = round(math.degrees(angle), 1)
    return f"leaned {degrees:+.1f} deg{says}" if degrees else "not leaned"


def tape(mm: float) -> str:
    """A length by tape, with its unit."""
    return f"{units.tape(mm)} {unit('length')}"


def room(mm: float) -> str:
    """A tolerance or a room the shop keeps, mm, with its unit; to 1/64 in, or to whole mm from 3
    up.

    >>> room(3.175)
    '1/8 in'
    """
    if not metric():
        return units.show(mm, "length", "in", 64)
    places = 1 if mm < SMALL_ROOM else 0
    return f"{float(f'{mm:.{places}f}'):g} mm"


WAYS = {
    "x": ("along the truck", "ahead", "back"),
    "y": ("across the truck", "left", "right"),
    "z": ("up and down", "up", "down"),
    "turn": ("turned", "turned on", "turned back"),
    "slot": ("along its slot", "along its slot", "back along it"),
}
"""How a member may still move: both ways alike, or so much one way and so much the other."""


def may_move(way: str, low: float, high: float) -> str:
    """How far a member may still move, ``way`` as ``Member.moves`` names it, mm.

    >>> may_move("z", -25.4, 25.4), may_move("x", -6.35, 12.7)
    ('1 in up and down', '1/2 in ahead, 1/4 in back')
    """
    both, on, back = WAYS[way]
    if abs(low + high) < SAME:
        return f"{tape(high)} {both}"
    each = ((high, on), (-low, back))
    return ", ".join(f"{tape(size)} {to}" for size, to in each if size > SAME)


def inches(size: float) -> str:
    """``room`` of a length the trade gives in inches."""
    return room(size * IN)


COARSE = 100.0
"""Millimeters from which on a shop says a length of common practice to 50 mm."""


def about(size: float) -> str:
    """A length of common practice from which nothing is worked, given in inches: as it is, or as a
    shop in mm says it, to 5 mm, and to 50 mm from 100 mm on.

    >>> about(12)
    '12 in'
    """
    if not metric():
        return inches(size)
    step = 5 if size * IN < COARSE else 50
    return f"{step * round(size * IN / step)} mm"


def feet(size: float, *, least: bool = True) -> str:
    """A distance the trade gives in feet, or in meters: rounded up, so that it is never nearer,
    where it is the ``least``, else to the nearest.

    >>> feet(35)
    '35 ft'
    """
    if not metric():
        return f"{size:g} ft"
    return f"{-int(-size * 0.3048 // 1) if least else round(size * 0.3048)} m"


def miles(size: float) -> str:
    """A distance driven: miles, or km to the next 10."""
    return f"{10 * round(size * MILE / 10)} km" if metric() else f"{size:g} mi"


def speed(rate: float) -> str:
    """A speed: mph, or km/h to the next 5."""
    return f"{5 * round(rate * MILE / 5)} km/h" if metric() else f"{rate:g} mph"


def plain(x: float) -> str:
    """A number for a person: no exponent, three decimals at most, none from a thousand.

    >>> plain(0.12345), plain(12.0), plain(4321.5)
    ('0.123', '12', '4322')
    """
    return f"{x:.0f}" if abs(x) >= LARGE else f"{round(x, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


def unit_of(inside: str) -> tuple[str, float]:
    """The reader's unit of a rule's number, and how many internal units are one of it.

    >>> unit_of("MPa")[0], round(unit_of("MPa")[1], 3)
    ('ksi', 6.895)
    """
    inch, per_inch, mm, per_mm = OTHER.get(inside, (inside, 1.0, inside, 1.0))
    return (mm, per_mm) if metric() else (inch, per_inch)


def ruled(value: float, unit_: str) -> str:
    """A number of a rule, ``unit_`` as it is inside, in the reader's unit; a ratio as it is.

    >>> ruled(25.4, "mm"), ruled(0.85, "ratio")
    ('1 in', '0.85')
    """
    if unit_ not in OTHER:
        return f"{plain(value)} {unit_}".strip().removesuffix(" ratio")
    inch, per_inch, mm, per_mm = OTHER[unit_]
    return f"{plain(value / per_mm)} {mm}" if metric() else f"{plain(value / per_inch)} {inch}"


def worded(text: str) -> str:
    """A rule's own words, which give sizes of the trade in inches, for the reader: "3/8 in" as it
    is, or turned into mm.
    """
    return _INCHES.sub(lambda match: inches(_size(match[1])), text) if metric() else text


def _size(text: str) -> float:
    return sum(float(Fraction(x)) for x in text.split())


def put_in(text: str) -> str:
    """Numbers put into a rule as ``sizing.put_in`` writes them, in the reader's units.

    >>> put_in("leg 6.35 mm, length 100 mm")
    'leg 0.25 in, length 3.937 in'
    """
    return _PUT_IN.sub(lambda match: ruled(float(match[1]), match[2]), text)

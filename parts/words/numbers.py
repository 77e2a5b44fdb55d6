"""Numbers as paper and page print them, in the reader's units: lengths for tape and caliper,
tolerances of the shop, numbers put into a rule. Inside stays mm, N, MPa.
"""

from __future__ import annotations

import re
from fractions import Fraction

from ...layout import units
from ...layout.reader import measure, metric, number, unit

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
    """A machined length without its unit: inches to 0.001, mm to 0.1."""
    return number(mm, "length", 1 if metric() else 3)


def finely(mm: float) -> str:
    """``fine`` with its unit."""
    return f"{fine(mm)} {unit('length')}"


def finest(mm: float) -> str:
    """A thickness by micrometer, with its unit: inches to 0.0001, mm to 0.01."""
    return measure(mm, "length", 2 if metric() else 4)


def tape(mm: float) -> str:
    """A length by tape, with its unit."""
    return f"{units.tape(mm)} {unit('length')}"


def room(mm: float) -> str:
    """A tolerance or a room the shop keeps, with its unit: "1/8 in" or "3 mm"."""
    if not metric():
        return units.show(mm, "length", "in", 64)
    places = 1 if mm < SMALL_ROOM else 0
    return f"{float(f'{mm:.{places}f}'):g} mm"


def inches(size: float) -> str:
    """``room`` of a length the trade gives in inches."""
    return room(size * IN)


def feet(size: float) -> str:
    """A distance the trade gives in feet: "35 ft", or meters, rounded up so that it is never
    nearer.
    """
    return f"{-int(-size * 0.3048 // 1)} m" if metric() else f"{size:g} ft"


def miles(size: float) -> str:
    """A distance driven: miles, or km to the next 10."""
    return f"{10 * round(size * MILE / 10)} km" if metric() else f"{size:g} mi"


def speed(rate: float) -> str:
    """A speed: mph, or km/h to the next 5."""
    return f"{5 * round(rate * MILE / 5)} km/h" if metric() else f"{rate:g} mph"


def plain(x: float) -> str:
    """A number for a person: no exponent, three decimals at most, none from a thousand."""
    return f"{x:.0f}" if abs(x) >= LARGE else f"{round(x, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


def unit_of(inside: str) -> tuple[str, float]:
    """The reader's unit of a rule's number, and internal units in one of it."""
    inch, per_inch, mm, per_mm = OTHER.get(inside, (inside, 1.0, inside, 1.0))
    return (mm, per_mm) if metric() else (inch, per_inch)


def ruled(value: float, unit_: str) -> str:
    """A number of a rule, of the unit it has inside, in the reader's; a ratio as it is."""
    if unit_ not in OTHER:
        return f"{plain(value)} {unit_}".strip().removesuffix(" ratio")
    inch, per_inch, mm, per_mm = OTHER[unit_]
    return f"{plain(value / per_mm)} {mm}" if metric() else f"{plain(value / per_inch)} {inch}"


def worded(text: str) -> str:
    """A rule's own words, which give sizes of the trade in inches, for the reader."""
    return _INCHES.sub(lambda match: inches(_size(match[1])), text) if metric() else text


def _size(text: str) -> float:
    return sum(float(Fraction(x)) for x in text.split())


def put_in(text: str) -> str:
    """Numbers put into a rule as ``sizing.put_in`` writes them, in the reader's units."""
    return _PUT_IN.sub(lambda match: ruled(float(match[1]), match[2]), text)

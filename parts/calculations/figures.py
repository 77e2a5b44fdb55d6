"""Numbers of the calculations in one system of units throughout, so that a formula needs no
conversion: kip, in, ksi, or N, mm, MPa.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from ...layout import units
from ...layout.reader import metric

KIP = 1000 * units.LBF
INCH = {
    "mm": ("in", units.IN),
    "mm2": ("in2", units.IN**2),
    "mm3": ("in3", units.IN**3),
    "mm4": ("in4", units.IN**4),
    "N": ("kip", KIP),
    "N/mm": ("kip/in", KIP / units.IN),
    "N mm": ("kip*in", KIP * units.IN),
    "MPa": ("ksi", KIP / units.IN**2),
    "N mm/rad": ("kip*in/rad", KIP * units.IN),
    "N/mm3": ("kip/in3", KIP / units.IN**3),
    "N/mm4": ("kip/in4", KIP / units.IN**4),
}
"""Unit inside -> unit and internal units in one of it."""
NO_UNIT = ("ratio", "rad", "")
IN_ROWS, OF_RESULTS = 5, 4
"""Significant digits of a number put in, and of a demand or a capacity."""
NOTHING = 1e-7
"""Rounding of a number that is none, in the printed unit."""
OF_PLACES = 6
"""Of a place that a lever is measured from."""


def unit_of(inside: str) -> tuple[str, float]:
    """The reader's unit and internal units in one of it; bare numbers and angles as they are."""
    if inside in NO_UNIT:
        return ("rad" if inside == "rad" else ""), 1.0
    return (inside.replace(" ", "*"), 1.0) if metric() else INCH[inside]


def digits(value: float, many: int) -> str:
    """So many significant digits without an exponent; more before the point where it has more.

    >>> digits(0.187512, 4), digits(1848.31, 4), digits(123456.7, 4), digits(0.0, 4)
    ('0.1875', '1848', '123457', '0')
    """
    if not value or not math.isfinite(value):
        return f"{value:g}"
    places = max(0, many - 1 - math.floor(math.log10(abs(value))))
    return f"{value:.{places}f}"


def put(value: float, inside: str) -> str:
    """A number put into a formula, with its unit; ends without zeros that say nothing."""
    unit, factor = unit_of(inside)
    own = value / factor
    text = digits(own if abs(own) > NOTHING else 0.0, IN_ROWS)
    return f"{_bare(text)} {unit}".strip()


def result(value: float, inside: str) -> str:
    """A demand or a capacity, with its unit."""
    unit, factor = unit_of(inside)
    return f"{digits(value / factor, OF_RESULTS)} {unit}".strip()


def fixed(value: float, inside: str, places: int) -> str:
    """A number without its unit, to so many decimals; never minus nothing."""
    _, factor = unit_of(inside)
    return f"{round(value / factor, places) + 0.0:.{places}f}"


def vector(values: Iterable[float], inside: str, many: int = IN_ROWS) -> str:
    """Numbers as x, y, z without their unit, each to so many digits of the largest.

    >>> vector((1.5, 2e-16, 0.0), "ratio"), vector((2e-16, -4e-17, 0.0), "ratio")
    ('(1.5000, 0.0000, 0.0000)', '(0, 0, 0)')
    """
    _, factor = unit_of(inside)
    own = [float(value) / factor for value in values]
    most = max(map(abs, own), default=0.0)
    places = max(0, many - 1 - math.floor(math.log10(most))) if most > NOTHING else 0
    return "(" + ", ".join(f"{round(value, places) + 0.0:.{places}f}" for value in own) + ")"


def _bare(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text

"""Internal floats as the shop reads them: fractions of an inch, millimeters, degrees."""

from __future__ import annotations

import math

from ..reader import away, metric
from .factors import factor
from .spelling import spell
from .table import IN, SHORT


def fraction(value: float, denominator: int = 16) -> str:
    """mm as inches to the nearest 1/denominator: ``23 7/16``, ``-1/8``, ``0``."""
    n = round(abs(value) / IN * denominator)
    whole, rest = divmod(n, denominator)
    sign = "-" if value < 0 and n else ""
    if not rest:
        return f"{sign}{whole}"
    common = math.gcd(rest, denominator)
    part = f"{rest // common}/{denominator // common}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def to(value: float, kind: str, unit: str) -> float:
    """Internal value as a number in ``unit``."""
    return value if kind == "count" else value / factor(unit, kind)


def _fixed(number: float, places: int) -> str:
    text = f"{number:.{places}f}"
    return text.lstrip("-") if float(text) == 0 else text


_PLACES = {
    "mm": 1,
    "cm": 2,
    "m": 4,
    "ft": 3,
    "deg": 1,
    "rad": 4,
    "lbf": 0,
    "n": 0,
    "kn": 2,
    "kgf": 1,
    "lbf/in": 0,
    "n/mm": 1,
    "in*lbf/deg": 1,
    "n*m/deg": 2,
    "lb": 1,
    "kg": 2,
}


def readers(kind: str) -> str:
    """Unit in which the reader (``layout.reader``) is told a kind of reading; empty for a count."""
    both = SHORT.get(kind, ("",))
    return both[1] if metric() and len(both) > 1 and kind != "angle" else both[0]


def tape(mm: float, denominator: int = 16) -> str:
    """A length as the reader's tape shows it, without its unit: sixteenths, or mm to 0.5."""
    return (
        f"{_fixed(round(2 * mm) / 2, 1).removesuffix('.0')}"
        if metric()
        else fraction(mm, denominator)
    )


def tape_and_decimal(mm: float) -> str:
    """A length for tape and caliper, without its unit: sixteenths with the decimal beside, or mm to
    0.1.
    """
    return _fixed(mm, 1) if metric() else f"{fraction(mm)} ({away(mm / IN):.3f})"


def show(value: float, kind: str, unit: str = "", denominator: int = 16) -> str:
    """Internal value as printed, unit included: inches in fractions, mm to 0.1, degrees to 0.1.

    Without ``unit`` in the reader's.
    """
    unit = unit or readers(kind)
    if kind == "count":
        return f"{value:.6g}"
    if spell(unit) in ("in", '"', "inch", "inches"):
        return f"{fraction(value, denominator)} in"
    return f"{_fixed(to(value, kind, unit), _PLACES.get(spell(unit), 3))} {unit}"


def exact(value: float, kind: str, unit: str = "") -> str:
    """Internal value with every digit that matters, so that ``parse`` gives it back (within 1e-11
    of it).
    """
    unit = unit or SHORT.get(kind, ("",))[0]
    number = f"{to(value, kind, unit):.12g}"
    return number if kind == "count" else f"{number} {unit}"

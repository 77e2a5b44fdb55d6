"""What every sheet has: its margin, and how a tube's length is printed."""

from __future__ import annotations

from ...layout.reader import metric, unit
from ...layout.units import tape, tape_and_decimal

IN = 25.4
MARGIN = 36.0
ROUNDING = 1e-3
"""Share of a step on the tape that arithmetic may leave."""


def saw_length(mm: float) -> str:
    """A tube's length as it is cut, the same on every paper: sixteenths or whole mm, which is what
    it was rounded to; sixteenths with the decimal where it is a reading's own.
    """
    if metric():
        return f"{round(mm, 1) + 0.0:g}"
    sixteenths = mm / IN * 16
    if abs(sixteenths - round(sixteenths)) < ROUNDING:
        return tape(mm)
    return f"{mm:.0f} mm" if abs(mm - round(mm)) < ROUNDING else tape_and_decimal(mm)


def with_unit(length: str) -> str:
    """A length as ``saw_length`` gives it with its unit, once."""
    return length if length.endswith("mm") else f"{length} {unit('length')}"

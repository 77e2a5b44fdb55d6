"""Readings that must add up, readings that must stand in order, and how far left and right may
differ unasked: what the job file's check and the form on the phone both go by.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from .. import units

SLACK = 4 * units.IN / 16
"""Four readings of 1/16 in each."""
APART: Mapping[str, float] = {"length": units.IN / 2, "angle": 1.0 * units.DEG}
"""How far left and right may differ before somebody is asked whether that is so (judgment, no
source), by kind, internal units.
"""


class Closure(NamedTuple):
    """One reading that others add up to, ``*`` for the number of a row.

    ``path``: it; ``adds``, ``less``: paths of what is added and taken away, sides apart; ``says``:
    the sum in words; ``remedy``: what to read again.
    """

    path: str
    adds: tuple[str, ...]
    less: tuple[str, ...]
    says: str
    remedy: str


class Order(NamedTuple):
    """Two readings of one side of which ``low`` is the less."""

    low: str
    high: str
    remedy: str


CLOSURES: tuple[Closure, ...] = (
    Closure(
        "frame.station.*.outside",
        ("frame.station.*.outer.left", "frame.station.*.outer.right"),
        (),
        "outer left + outer right",
        "these readings contradict each other: tape all three again",
    ),
    Closure(
        "frame.station.*.inside",
        ("frame.station.*.outside",),
        ("frame.station.*.width.left", "frame.station.*.width.right"),
        "outside - both rail widths",
        "these readings contradict each other: tape inside, outside and both widths again",
    ),
)
_EDGES = 'swap or read them again; of a rail that stays whole say frame.cut = "no"'
ORDERS: tuple[Order, ...] = (
    Order("frame.notch.x_first", "frame.notch.x_last", _EDGES),
    Order("frame.notch.z_low", "frame.notch.z_high", _EDGES),
)

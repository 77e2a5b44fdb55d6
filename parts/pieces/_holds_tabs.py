"""What the tabs of shocks and limit straps are held against."""

from __future__ import annotations

from ..model.hold import HoldKind
from ._holding import pivot

PIVOT = HoldKind.PIVOT

TABS = (
    pivot(
        "strap.upper",
        "limit strap's bolt at the frame",
        "strap",
        ("ST5",),
        ("strap.frame",),
        away="strap.lower#1",
    ),
    pivot(
        "strap.lower",
        "limit strap's bolt at the axle",
        "strap",
        ("ST6",),
        ("strap.axle",),
        away="strap.upper#1",
    ),
    pivot(
        "shock.upper",
        "shock's bolt at the frame",
        "shock",
        ("ST3", "ST4"),
        ("shock.upper.front", "shock.upper.rear"),
        away="shock.lower#1",
    ),
    pivot(
        "shock.lower",
        "shock's bolt at the axle",
        "shock",
        ("ST1", "ST2"),
        ("shock.lower.out", "shock.lower.in"),
        away="shock.upper#1",
    ),
)

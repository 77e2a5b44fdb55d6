"""What the tabs of shocks and limit straps are held against."""

from __future__ import annotations

from ..model.hold import Hold, HoldKind

PIVOT = HoldKind.PIVOT

TABS = (
    Hold(
        "strap.upper",
        PIVOT,
        "limit strap's bolt at the frame",
        "strap",
        members=("ST5",),
        bolts=("strap.upper#1",),
        welds=("strap.frame",),
        away="strap.lower#1",
    ),
    Hold(
        "strap.lower",
        PIVOT,
        "limit strap's bolt at the axle",
        "strap",
        members=("ST6",),
        bolts=("strap.lower#1",),
        welds=("strap.axle",),
        away="strap.upper#1",
    ),
    Hold(
        "shock.upper",
        PIVOT,
        "shock's bolt at the frame",
        "shock",
        members=("ST3", "ST4"),
        bolts=("shock.upper#1",),
        welds=("shock.upper.front", "shock.upper.rear"),
        away="shock.lower#1",
    ),
    Hold(
        "shock.lower",
        PIVOT,
        "shock's bolt at the axle",
        "shock",
        members=("ST1", "ST2"),
        bolts=("shock.lower#1",),
        welds=("shock.lower.out", "shock.lower.in"),
        away="shock.upper#1",
    ),
)

"""Bump stop: the room it leaves at full bump for its spacer, cap and pad, between what it hangs from and what it lands on."""

from __future__ import annotations

from ..quantities import Relation
from ._relation import each

UNDER_RAIL = each(
    "stop.spacer",
    "rail.stop.bottom axle.z_bump axle.tube_diameter travel.stop_compressed",
    lambda b, z, d, s: b - (z + d / 2) - s,
    "rail bottom - (z_b + tube radius) - stop compressed",
    "room for bump-stop spacer and pad, rail to axle tube at full bump",
)
INSIDE_COIL = each(
    "stop.spacer",
    "spring.at_bump travel.stop_compressed",
    lambda coil, s: coil - s,
    "coil at full bump - stop compressed",
    "room for bump-stop spacer and pad, seat to seat at full bump",
)


def relations(inside: bool) -> tuple[Relation, ...]:
    """``inside``: the stop stands inside the coil, from seat to seat."""
    return (INSIDE_COIL if inside else UNDER_RAIL,)

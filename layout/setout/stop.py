"""Bump stop: the room it leaves at full bump for its spacer, cap and pad, between what it hangs
from and what it lands on.
"""

from __future__ import annotations

from ..quantities import Relation
from .relation_rows import each

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


OWED = each(
    "stop.spacer",
    "spring.at_bump travel.stop_place",
    lambda coil, _: coil,
    "by the stop's place",
    "room for bump-stop spacer and pad at full bump",
)
PLACES = {"inside coil": INSIDE_COIL, "beside": UNDER_RAIL}


def relations(stop_place: str) -> tuple[Relation, ...]:
    """``stop_place``: "inside coil", from seat to seat, or "beside" it; without it the room waits
    for ``travel.stop_place``.
    """
    return (PLACES.get(stop_place, OWED),)

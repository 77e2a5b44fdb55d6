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


PAD = (
    each(
        "stop.pad.x",
        "axle.x_ride axle.x_bump travel.stop_x",
        lambda ride, bump, x: ride + x - bump,
        "x_ride + x of the stop - x_b",
        "fore-aft place of the bump stop's pad at ride height",
    ),
    each(
        "stop.pad.y",
        "travel.stop_y",
        lambda y: y,
        "as chosen",
        "bump stop out from the center line",
    ),
    each(
        "stop.pad.z",
        "axle.z_ride axle.tube_diameter",
        lambda z, d: z + d / 2,
        "z_ride + tube radius",
        "top of the axle tube under the bump stop at ride height",
    ),
)
"""Where a stop beside the coil pushes on the axle, at ride height."""


def relations(stop_place: str) -> tuple[Relation, ...]:
    """``stop_place``: "inside coil", from seat to seat, or "beside" it, where it pushes on the axle
    at a place of its own; without it the room waits for ``travel.stop_place``.
    """
    return (PLACES.get(stop_place, OWED), *(PAD if stop_place == "beside" else ()))

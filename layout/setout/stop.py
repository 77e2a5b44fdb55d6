"""Bump stop: the spacer between rail and axle tube at full bump."""

from __future__ import annotations

from ..quantities import Relation
from ._relation import each

RELATIONS: tuple[Relation, ...] = (
    each(
        "stop.spacer",
        "rail.stop.bottom axle.z_bump axle.tube_diameter travel.stop_compressed",
        lambda b, z, d, s: b - (z + d / 2) - s,
        "rail bottom - (z_b + tube radius) - stop compressed",
        "bump-stop spacer",
    ),
)

"""What ends the travel, and positions without a rest or with two, as rows and words."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ...layout import reader, units

if TYPE_CHECKING:
    from ...layout.travel.limits import Limit
    from .cycle import Cycle

TravelRow = dict[str, str | float | bool | list[str] | None]
"""A row of the travel for JSON: values by column, in the reader's units."""


def in_shop(value: float, kind: str) -> float:
    """A value in the reader's unit, five decimals for JSON."""
    return round(reader.valued(value, kind) if unit_of(kind) else value, 5)


def unit_of(kind: str) -> str:
    """The reader's unit, empty for what has none."""
    return reader.KINDS[reader.reader()][kind].unit if kind in reader.KINDS[reader.reader()] else ""


def limit_rows(cycle: Cycle) -> list[TravelRow]:
    """One row a criterion and path.

    Signed: bump and left up are +, droop and right up -; ``there`` is the value at the travel asked
    for.
    """
    rows: list[TravelRow] = []
    for criterion in cycle.limits:
        along = "angle" if criterion.rolls else "length"
        there, limit = criterion.reads
        rows.append(
            {
                "path": criterion.path,
                "what": criterion.name,
                "at": in_shop(criterion.at, along) if math.isfinite(criterion.at) else None,
                "asked": in_shop(criterion.asked, along),
                "along": unit_of(along),
                "there": in_shop(there, criterion.unit),
                "bound": "most" if criterion.shown > 0 else "least",
                "limit": in_shop(limit, criterion.unit),
                "unit": unit_of(criterion.unit),
                "governs": criterion.governs,
                "short": criterion.short,
            }
        )
    return rows


def ends_words(cycle: Cycle, most: int) -> list[str]:
    """What ends the travel, the first ``most`` on each path."""
    return [
        f"{path}: {limit_words(limit)}"
        for path in dict.fromkeys(limit.path for limit in cycle.limits)
        for limit in [limit for limit in cycle.limits if limit.path == path][:most]
    ]


def rest_words(cycle: Cycle) -> list[str]:
    """Positions without a rest, and those with two."""
    return [f"no rest at {name}: {says}" for name, says in cycle.travel.lost.items()] + [
        f"WARNING: two rests at {name}: {says}" for name, says in cycle.two.items()
    ]


def limit_words(criterion: Limit) -> str:
    """One criterion on one path."""
    there, limit = criterion.reads
    bound = "most" if criterion.shown > 0 else "least"
    if not math.isfinite(criterion.at):
        text = (
            f"{math.degrees(there):.1f}, {bound} {math.degrees(limit):.1f} deg"
            if criterion.unit == "angle"
            else f"{reader.length(there)}, {bound} {reader.length(limit)}"
        )
        left = f"{reader.length(there)} left" if criterion.most == 0 else text
        return f"{criterion.name}: not reached ({left})"
    return (
        f"{criterion.name} at {_along(criterion, criterion.at)}"
        + (
            f", SHORT of the {_along(criterion, criterion.asked)} asked for"
            if criterion.short
            else ""
        )
        + ("  <- governs" if criterion.governs else "")
    )


def _along(criterion: Limit, value: float) -> str:
    """How far along its path, in roll or in heave."""
    return (
        f"{math.degrees(abs(value)):.1f} deg"
        if criterion.rolls
        else units.show(abs(value), "length")
    )

"""What ends the travel, and positions without a rest or with two, as rows and words."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from ...layout import reader, units

if TYPE_CHECKING:
    from ...layout.travel.limits import Limit
    from .cycle import Cycle


def in_shop(value: float, kind: str) -> float:
    """A value in the reader's unit, five decimals for JSON."""
    return round(reader.valued(value, kind) if unit_of(kind) else value, 5)


def unit_of(kind: str) -> str:
    """The reader's unit, empty for what has none."""
    return reader.KINDS[reader.reader()][kind].unit if kind in reader.KINDS[reader.reader()] else ""


def limit_rows(c: Cycle) -> list[dict[str, Any]]:
    """One row a criterion and path.

    Signed: bump and left up are +, droop and right up -; ``there`` is the value at the travel asked
    for.
    """
    rows = []
    for x in c.limits:
        along = "angle" if x.rolls else "length"
        there, limit = x.reads
        rows.append(
            {
                "path": x.path,
                "what": x.name,
                "at": in_shop(x.at, along) if math.isfinite(x.at) else None,
                "asked": in_shop(x.asked, along),
                "along": unit_of(along),
                "there": in_shop(there, x.unit),
                "bound": "most" if x.shown > 0 else "least",
                "limit": in_shop(limit, x.unit),
                "unit": unit_of(x.unit),
                "governs": x.governs,
                "short": x.short,
            }
        )
    return rows


def ends_words(c: Cycle, most: int) -> list[str]:
    """What ends the travel, the first ``most`` on each path."""
    return [
        f"{path}: {limit_words(x)}"
        for path in dict.fromkeys(x.path for x in c.limits)
        for x in [x for x in c.limits if x.path == path][:most]
    ]


def rest_words(c: Cycle) -> list[str]:
    """Positions without a rest, and those with two."""
    return [f"no rest at {n}: {w}" for n, w in c.travel.lost.items()] + [
        f"WARNING: two rests at {n}: {w}" for n, w in c.two.items()
    ]


def limit_words(x: Limit) -> str:
    """One criterion on one path."""
    there, limit = x.reads
    bound = "most" if x.shown > 0 else "least"
    if not math.isfinite(x.at):
        text = (
            f"{math.degrees(there):.1f}, {bound} {math.degrees(limit):.1f} deg"
            if x.unit == "angle"
            else f"{reader.length(there)}, {bound} {reader.length(limit)}"
        )
        return f"{x.name}: not reached ({f'{reader.length(there)} left' if x.most == 0 else text})"
    return (
        f"{x.name} at {_along(x, x.at)}"
        + (f", SHORT of the {_along(x, x.asked)} asked for" if x.short else "")
        + ("  <- governs" if x.governs else "")
    )


def _along(x: Limit, v: float) -> str:
    """How far along its path, in roll or in heave."""
    return f"{math.degrees(abs(v)):.1f} deg" if x.rolls else units.show(abs(v), "length")

"""What ends the travel, and positions without a rest or with two, as rows and words."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from soapstone.layout import units

if TYPE_CHECKING:
    from soapstone.cli.cycling import Cycle
    from soapstone.layout.travel.limits import Limit

SHOP = {"length": "in", "angle": "deg", "force": "lbf", "rate": "lbf/in", "torsion": "in*lbf/deg"}


def in_shop(x: float, kind: str) -> float:
    """A value in the unit the shop reads, five decimals for JSON."""
    if kind == "moment":
        return round(x / (units.LBF * units.IN * 12), 5)
    return round(units.to(x, kind, SHOP[kind]) if kind in SHOP else x, 5)


def unit_of(kind: str) -> str:
    return "lbf*ft" if kind == "moment" else SHOP.get(kind, "")


def limit_rows(c: Cycle) -> list[dict[str, Any]]:
    """One row a criterion and path. Signed: bump and left up are +, droop and right up -; ``there`` is the value at the travel asked for."""
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
    say = (
        (lambda v: f"{math.degrees(abs(v)):.1f} deg")
        if x.rolls
        else (lambda v: units.show(abs(v), "length"))
    )
    there, limit = x.reads
    bound = "most" if x.shown > 0 else "least"
    if not math.isfinite(x.at):
        text = (
            f"{math.degrees(there):.1f}, {bound} {math.degrees(limit):.1f} deg"
            if x.unit == "angle"
            else f"{there / units.IN:.2f}, {bound} {limit / units.IN:.2f} in"
        )
        return (
            f"{x.name}: not reached ({f'{there / units.IN:.2f} in left' if x.most == 0 else text})"
        )
    return (
        f"{x.name} at {say(x.at)}"
        + (f", SHORT of the {say(x.asked)} asked for" if x.short else "")
        + ("  <- governs" if x.governs else "")
    )

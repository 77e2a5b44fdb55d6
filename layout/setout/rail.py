"""The rail at the places parts stand: straight from station to station."""

from __future__ import annotations

from collections.abc import Callable

from ..quantities import Relation

QUANTITIES = ("outer", "width", "height", "wall", "bottom")
PLACES = {"coil": "seat.upper.x"}


def _between(n: int) -> Callable[..., float]:
    def f(x: float, *rest: float) -> float:
        pairs = sorted(zip(rest[:n], rest[n:], strict=True))
        for k in range(n - 1):
            if x <= pairs[k + 1][0] or k == n - 2:
                (x0, v0), (x1, v1) = pairs[k], pairs[k + 1]
                return v0 + (v1 - v0) * (x - x0) / (x1 - x0)
        return pairs[0][1]

    return f


def relations(stations: int) -> tuple[Relation, ...]:
    """rail.<place>.<what> interpolated between ``stations`` readings; beyond the last one its segment goes on."""
    if stations < 2:
        return ()
    xs = tuple(f"frame.station.{i + 1}.x" for i in range(stations))
    return tuple(
        Relation(f"rail.{at}.{what}", (x, *xs, *(f"frame.station.{i + 1}.{what}" for i in range(stations))), _between(stations),
                 "straight between stations", "geometry", "length", True, f"rail {what} at the {at}")
        for at, x in PLACES.items() for what in QUANTITIES)

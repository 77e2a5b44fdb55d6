"""The rail where parts stand: straight from station to station.

The plane that is left of its side at the cut.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from ..quantities import Relation
from .relation_rows import each

QUANTITIES = ("outer", "width", "height", "wall", "bottom")
SLOPES = {"slope_side": "outer", "slope_bottom": "bottom"}
CROSS_BEHIND = 3.5 * 25.4
SOURCE = "straight line between stations; beyond the last station its segment goes on"


def segment(
    x: float, xs: tuple[float, ...], values: tuple[float, ...]
) -> tuple[float, float, float]:
    """The straight piece between stations at ``x``; the end pieces go on beyond the last station.

    Parameters
    ----------
    xs, values : tuple of float
        Stations along the rail and what was read there, mm, in any order.

    Returns
    -------
    (x, value, slope)
        Of the piece's start, mm, and value per mm along.

    Raises
    ------
    ZeroDivisionError
        Two stations are one.

    >>> segment(150.0, (0.0, 100.0, 200.0), (10.0, 20.0, 50.0))
    (100.0, 20.0, 0.3)
    """
    pairs = sorted(zip(xs, values, strict=True))
    nearest = max(0, min(sum(pair[0] <= x for pair in pairs) - 1, len(pairs) - 2))
    (begins, value), (ends, next_value) = pairs[nearest], pairs[nearest + 1]
    return begins, value, (next_value - value) / (ends - begins)


def _value(stations: int) -> Callable[..., float]:
    def along(x: float, *rest: float) -> float:
        begins, value, slope = segment(x, rest[:stations], rest[stations:])
        return value + slope * (x - begins)

    return along


def _slope(stations: int) -> Callable[..., float]:
    def along(x: float, *rest: float) -> float:
        return segment(x, rest[:stations], rest[stations:])[2]

    return along


def _along(place: str, what: str, stations: int) -> Relation:
    xs = " ".join(f"frame.station.{i + 1}.x" for i in range(stations))
    values = " ".join(f"frame.station.{i + 1}.{SLOPES.get(what, what)}" for i in range(stations))
    if what in SLOPES:
        return each(
            out=f"rail.{place}.{what}",
            ins=f"rail.{place}.x {xs} {values}",
            f=_slope(stations),
            formula=f"d {SLOPES[what]} / d x",
            title=f"slope of the rail's {SLOPES[what]} at the {place}",
            unit="count",
            source=SOURCE,
        )
    return each(
        out=f"rail.{place}.{what}",
        ins=f"rail.{place}.x {xs} {values}",
        f=_value(stations),
        formula="straight between stations",
        title=f"rail {what} at the {place}",
        unit="length",
        source=SOURCE,
    )


PLACES = {
    "coil": each(
        "rail.coil.x",
        "seat.upper.x",
        lambda x: x,
        "at the coil",
        "place of the coil along the rail",
    ),
    "cross": each(
        "rail.cross.x",
        "arm.joint.x",
        lambda x: x - CROSS_BEHIND,
        "frame joint - 3.5 in",
        "place of the crossmember along the rail",
        source="shop setting",
    ),
    "bar": each(
        "rail.bar.x",
        "bar.frame.x",
        lambda x: x,
        "at the frame mount",
        "place of the track-bar bracket along the rail",
    ),
}
_STOP_TITLE = "place of the bump stop along the rail"
STOPS = {
    "inside coil": each("rail.stop.x", "seat.upper.x", lambda x: x, "inside the coil", _STOP_TITLE),
    "beside": each("rail.stop.x", "travel.stop_x", lambda x: x, "as chosen", _STOP_TITLE),
}
STOP_OWED = each(
    "rail.stop.x", "seat.upper.x travel.stop_place", lambda x, _: x, "by its place", _STOP_TITLE
)
HUB = each(
    "rail.hub.x", "axle.x_ride", lambda x: x, "at the hub", "place of the hub along the rail"
)


@lru_cache(maxsize=16)
def relations(
    stations: int, stop_place: str = "inside coil", hub: bool = False, *, cut: bool = True
) -> tuple[Relation, ...]:
    """rail.<place>.<what> for every place; nothing with fewer than two stations (all then waits for
    ``frame.station.2``).

    ``stop_place``: "inside coil" or "beside" it; without it the stop's place waits for
    ``travel.stop_place``. ``cut``: whether the rail's side is cut where the coil stands, or may be;
    a whole one has no plane of a cut.
    """
    count = max(stations, 2)
    places = {**PLACES, "stop": STOPS.get(stop_place, STOP_OWED)}
    rows = [
        relation
        for name, place in places.items()
        for relation in (place, *(_along(name, what, count) for what in (*QUANTITIES, *SLOPES)))
    ]
    if hub:
        rows += [HUB, _along("hub", "bottom", count)]
    return (*rows, *(NOTCH if cut else ()))


def _mean(*values: float) -> float:
    return sum(values) / len(values)


def plane(*read: float) -> tuple[float, float, float]:
    """Plane of least squares through the four readings of a notch plate.

    Parameters
    ----------
    read : float
        As ``_READ`` names them, mm.

    Returns
    -------
    (y0, yaw, lean)
        y at the seat's x and the rail bottom, mm; outward per length forward, and per height.
    """
    x_seat, front_low, front_high, rear_low, rear_high, low, high, front, rear = read
    yaw = (front_low + front_high - rear_low - rear_high) / 2 / (front - rear)
    lean = (front_high + rear_high - front_low - rear_low) / 2 / (high - low)
    return (
        _mean(front_low, front_high, rear_low, rear_high)
        + yaw * (x_seat - _mean(front, rear))
        - lean * _mean(low, high),
        yaw,
        lean,
    )


_READ = (
    "seat.upper.x frame.notch.plane_front_low frame.notch.plane_front_high"
    " frame.notch.plane_rear_low frame.notch.plane_rear_high frame.notch.plane_z_low"
    " frame.notch.plane_z_high frame.notch.plane_x_front frame.notch.plane_x_rear"
)
NOTCH = (
    each(
        "notch.y0",
        _READ,
        lambda *p: plane(*p)[0],
        "plane of least squares through the four readings",
        "plate plane from the center line, at the coil and the rail bottom",
    ),
    each(
        "notch.yaw",
        _READ,
        lambda *p: plane(*p)[1],
        "d y / d x of that plane",
        "plate plane, outward per length forward",
        "count",
    ),
    each(
        "notch.lean",
        _READ,
        lambda *p: plane(*p)[2],
        "d y / d z of that plane",
        "plate plane, outward per height",
        "count",
    ),
)

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
    """(x0, value at x0, slope) of the segment at ``x``; the end segments go on.

    ZeroDivisionError where two stations are one.
    """
    pairs = sorted(zip(xs, values, strict=True))
    k = max(0, min(sum(p[0] <= x for p in pairs) - 1, len(pairs) - 2))
    (x0, v0), (x1, v1) = pairs[k], pairs[k + 1]
    return x0, v0, (v1 - v0) / (x1 - x0)


def _value(n: int) -> Callable[..., float]:
    def f(x: float, *rest: float) -> float:
        x0, v0, slope = segment(x, rest[:n], rest[n:])
        return v0 + slope * (x - x0)

    return f


def _slope(n: int) -> Callable[..., float]:
    def f(x: float, *rest: float) -> float:
        return segment(x, rest[:n], rest[n:])[2]

    return f


def _along(at: str, what: str, n: int) -> Relation:
    xs = " ".join(f"frame.station.{i + 1}.x" for i in range(n))
    values = " ".join(f"frame.station.{i + 1}.{SLOPES.get(what, what)}" for i in range(n))
    if what in SLOPES:
        return each(
            f"rail.{at}.{what}",
            f"rail.{at}.x {xs} {values}",
            _slope(n),
            f"d {SLOPES[what]} / d x",
            f"slope of the rail's {SLOPES[what]} at the {at}",
            "count",
            SOURCE,
        )
    return each(
        f"rail.{at}.{what}",
        f"rail.{at}.x {xs} {values}",
        _value(n),
        "straight between stations",
        f"rail {what} at the {at}",
        "length",
        SOURCE,
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
    stations: int, stop_place: str = "inside coil", hub: bool = False
) -> tuple[Relation, ...]:
    """rail.<place>.<what> for every place; nothing with fewer than two stations (all then waits for
    ``frame.station.2``).

    ``stop_place``: "inside coil" or "beside" it; without it the stop's place waits for
    ``travel.stop_place``.
    """
    n = max(stations, 2)
    places = {**PLACES, "stop": STOPS.get(stop_place, STOP_OWED)}
    rows = [
        r
        for at, place in places.items()
        for r in (place, *(_along(at, w, n) for w in (*QUANTITIES, *SLOPES)))
    ]
    if hub:
        rows += [HUB, _along("hub", "bottom", n)]
    return (*rows, *NOTCH)


def _mean(*v: float) -> float:
    return sum(v) / len(v)


def plane(*read: float) -> tuple[float, float, float]:
    """(y0, yaw, lean) of the plane of least squares through the four readings: y0 at the seat's x
    and the rail bottom. ``read``: as ``_READ`` names them, mm.
    """
    x_seat, fl, fh, rl, rh, zl, zh, xf, xr = read
    yaw = (fl + fh - rl - rh) / 2 / (xf - xr)
    lean = (fh + rh - fl - rl) / 2 / (zh - zl)
    return _mean(fl, fh, rl, rh) + yaw * (x_seat - _mean(xf, xr)) - lean * _mean(zl, zh), yaw, lean


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

"""Drag link and track bar: the frame mount along the drag link's direction, or level."""

from __future__ import annotations

import math
from collections.abc import Callable

from ..quantities import Relation
from .relation_rows import on_axle, row

LENGTH_ON_HAND = row(
    "bar.length", "track_bar.length", lambda n: n, "bar on hand", "track bar, bolt to bolt"
)


def _part(axis: int) -> Callable[..., float]:
    def f(start: float, y0: float, y: float, dx: float, dy: float, dz: float) -> float:
        return start + (dx, dy, dz)[axis] * (y - y0) / dy

    return f


def mount(mode: str) -> tuple[Relation, ...]:
    """Frame mount of the track bar: relations of bar.frame.x, then bar.frame.z.

    ``mode``: "parallel" to the drag link, or "level"; without it the height waits for
    ``track_bar.mode``, so that the sheet says what is owed.
    """
    ins = "bar.axle.y bar.frame.y drag.dx drag.dy drag.dz"
    z = (
        row(
            "bar.frame.z",
            "bar.axle.z",
            lambda z: z,
            "level with the axle mount",
            "track bar, frame mount above the floor",
        )
        if mode == "level"
        else row(
            "bar.frame.z",
            f"bar.axle.z {ins}",
            _part(2),
            "axle mount + drag link rise x run / drag link y",
            "track bar, frame mount above the floor",
        )
    )
    if mode not in ("level", "parallel"):
        z = z._replace(ins=(*z.ins, "track_bar.mode"), f=lambda *v: _part(2)(*v[:-1]))
    return (
        row(
            "bar.frame.x",
            f"bar.axle.x {ins}",
            _part(0),
            "axle mount + drag link x run / drag link y",
            "track bar, frame mount from the full-bump plumb line",
        ),
        z,
    )


def apart(*parts: float) -> float:
    """Angle between track bar and drag link, rad, 0 to pi/2 whichever way each points.

    ``parts``: axle mount, frame mount (mm) and the drag link's vector, three numbers each.

    >>> apart(0.0, 0.0, 0.0, 0.0, 800.0, 0.0, 0.0, -600.0, 0.0)
    0.0
    """
    ax, ay, az, fx, fy, fz, dx, dy, dz = parts
    bar = (fx - ax, fy - ay, fz - az)
    across = (bar[1] * dz - bar[2] * dy, bar[2] * dx - bar[0] * dz, bar[0] * dy - bar[1] * dx)
    return math.atan2(math.hypot(*across), abs(bar[0] * dx + bar[1] * dy + bar[2] * dz))


def _slope(dz: float, *d: float) -> float:
    return math.atan2(dz, math.hypot(*d))


_BAR = "bar.axle.x bar.axle.y bar.axle.z bar.frame.x bar.frame.y bar.frame.z"
_DRAG = "drag.dx drag.dy drag.dz"

RELATIONS: tuple[Relation, ...] = (
    *on_axle("bar.axle", "axle.track_bar_mount", "track bar, axle mount at ride height"),
    *on_axle("drag.ball", "axle.drag_link_ball", "drag-link ball at the knuckle at ride height"),
    row(
        "drag.dx",
        "steering.pitman_ball.x drag.ball.x",
        lambda p, k: p - k,
        "pitman ball - knuckle ball",
        "drag link, part along the truck",
    ),
    row(
        "drag.dy",
        "steering.pitman_ball.y drag.ball.y",
        lambda p, k: p - k,
        "pitman ball - knuckle ball",
        "drag link, part across the truck",
    ),
    row(
        "drag.dz",
        "steering.pitman_ball.z drag.ball.z",
        lambda p, k: p - k,
        "pitman ball - knuckle ball",
        "drag link, rise to the pitman arm",
    ),
    row(
        "drag.length", _DRAG, math.hypot, "|pitman ball - knuckle ball|", "drag link, ball to ball"
    ),
    row(
        "drag.slope",
        "drag.dz drag.dx drag.dy",
        _slope,
        "atan(rise / plan length)",
        "drag link, rising to the pitman arm +",
        "angle",
    ),
    row(
        "bar.frame.y",
        "track_bar.frame_mount_y",
        lambda y: y,
        "as chosen",
        "track bar, frame mount from the center line, left +",
    ),
    row(
        "bar.length",
        _BAR,
        lambda ax, ay, az, fx, fy, fz: math.hypot(fx - ax, fy - ay, fz - az),
        "|frame mount - axle mount|",
        "track bar, bolt to bolt",
    ),
    row(
        "bar.slope",
        _BAR,
        lambda ax, ay, az, fx, fy, fz: _slope(fz - az, fx - ax, fy - ay),
        "atan(rise / plan length)",
        "track bar, rising to the frame +",
        "angle",
    ),
    row(
        "bar.error",
        f"{_BAR} {_DRAG}",
        apart,
        "angle between track bar and drag link",
        "track bar out of parallel with the drag link",
        "angle",
    ),
    row(
        "bar.ratio",
        "bar.length drag.length",
        lambda b, d: b / d,
        "track bar / drag link",
        "track bar length by drag link length",
        "count",
    ),
    row(
        "bar.pitman_drop",
        "drag.dz",
        lambda z: z,
        "rise of the drag link",
        "how much lower the pitman ball would make drag link and bar level",
    ),
)

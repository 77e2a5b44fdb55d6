"""Coils: motion ratio, load, lengths, seat height, bow and solid length; left and right each from
its own readings.
"""

from __future__ import annotations

import math

from ..quantities import Relation
from .relation_rows import each, on_axle, row, turned_x, turned_z

RATE_LENGTH = each(
    "spring.loaded",
    "spring.free_length spring.load spring.rate",
    lambda f, p, k: f - p / k,
    "free length - load / rate",
    "coil length at ride height",
)
READ_LENGTH = each(
    "spring.loaded",
    "spring.loaded_length",
    lambda n: n,
    "length as read with the weight on: it overrides the rate",
    "coil length at ride height",
)


def at(x: float, z: float, up: float, lx: float, lz: float, sx: float, sz: float) -> float:
    """Coil length in side view, mm.

    Parameters
    ----------
    x, z, up : float
        Axle center, mm, and pinion elevation, rad.
    lx, lz : float
        Lower seat in the axle's own frame, mm.
    sx, sz : float
        Upper seat, mm.
    """
    return math.hypot(x + turned_x(lx, lz, up) - sx, z + turned_z(lx, lz, up) - sz)


def bow(
    up: float,
    at_bump: float,
    at_droop: float,
    long_bump: float,
    long_droop: float,
    bump: float,
    droop: float,
    bar: float,
) -> float:
    """Estimated bow of the coil's middle, mm, the larger of bump and droop.

    End turn x length / 8, a bar bent to a circle between turned ends, plus half of what the track
    bar shifts the axle sideways.

    Parameters
    ----------
    up, at_bump, at_droop : float
        Pinion elevation, rad.
    long_bump, long_droop : float
        Coil length, mm.
    bump, droop, bar : float
        Travel each way and length of the track bar, mm.
    """

    def shift(h: float) -> float:
        return bar - math.sqrt(bar * bar - h * h)

    return max(
        abs(at_bump - up) * long_bump / 8 + shift(bump) / 2,
        abs(at_droop - up) * long_droop / 8 + shift(droop) / 2,
    )


def solid(ends: str) -> tuple[Relation, ...]:
    """Solid length by the end type read on the job; without it the length waits for
    ``spring.ends``.
    """
    title = "coil pressed solid"
    if ends == "ground":
        return (
            each(
                "spring.solid",
                "spring.wire spring.total_coils",
                lambda d, n: d * n,
                "wire x total coils (ends ground)",
                title,
            ),
        )
    if ends == "not ground":
        return (
            each(
                "spring.solid",
                "spring.wire spring.total_coils",
                lambda d, n: d * (n + 1),
                "wire x (total coils + 1) (ends not ground)",
                title,
            ),
        )
    return (
        each(
            "spring.solid",
            "spring.wire spring.total_coils spring.ends",
            lambda d, n, _: d * n,
            "by end type",
            title,
        ),
    )


def wedge(given: bool) -> tuple[Relation, ...]:
    """Wedge of the lower pad, and the seat angle left at bump and droop with the pad on hand or
    with the wedge solved.
    """
    pad = "spring.pad_wedge" if given else "spring.wedge@L"
    return (
        each(
            "spring.wedge",
            "pinion.up",
            lambda up: -up,
            "-pinion up",
            "wedge of the lower pad that squares the coil at ride height",
            "angle",
        ),
        row(
            "seat.angle",
            f"pinion.up_at_bump pinion.up pinion.up_at_droop {pad}",
            lambda b, r, d, w: max(abs(b + w), abs(r + w), abs(d + w)),
            "largest |pinion up + wedge| of bump, ride, droop",
            "angle between the coil's seats, track bar not counted",
            "angle",
        ),
    )


_LOWER = "axle.spring_seat.x axle.spring_seat.z seat.upper.x seat.upper.z"

RELATIONS: tuple[Relation, ...] = (
    *on_axle("seat.lower", "axle.spring_seat", "lower coil seat at ride height", sided=True),
    each(
        "spring.ratio",
        "seat.lower.x arm.joint.x axle.x_ride",
        lambda s, f, c: (s - f) / (c - f),
        "(S_x - F_x) / (C_x - F_x)",
        "coil travel per axle travel",
        "count",
    ),
    each(
        "spring.load",
        "spring.axle_load spring.unsprung spring.ratio",
        lambda w, u, r: (w - u) / 2 / r,
        "(axle load - unsprung) / 2 / ratio",
        "load on the coil at ride height",
        "force",
    ),
    each(
        "seat.upper.x",
        "seat.lower.x",
        lambda x: x,
        "plumb over the lower seat",
        "upper coil seat, from the full-bump plumb line",
    ),
    each(
        "seat.upper.y",
        "seat.lower.y",
        lambda y: y,
        "plumb over the lower seat",
        "upper coil seat, from the center line",
    ),
    each(
        "seat.upper.z",
        "seat.lower.z spring.loaded",
        lambda z, n: z + n,
        "S_z + loaded length",
        "underside of the upper coil seat above the floor",
    ),
    each(
        "seat.above_rail",
        "seat.upper.z rail.coil.bottom rail.coil.height",
        lambda z, b, h: z - b - h,
        "seat height - top of the rail",
        "underside of the upper coil seat above the rail top",
    ),
    each(
        "spring.at_bump",
        f"axle.x_bump axle.z_bump pinion.up_at_bump {_LOWER}",
        at,
        "|upper seat - lower seat| at full bump",
        "coil length at full bump",
    ),
    each(
        "spring.at_droop",
        f"axle.x_droop axle.z_droop pinion.up_at_droop {_LOWER}",
        at,
        "|upper seat - lower seat| at full droop",
        "coil length at full droop",
    ),
    each(
        "spring.bow",
        "pinion.up pinion.up_at_bump pinion.up_at_droop spring.at_bump spring.at_droop travel.bump"
        " travel.droop bar.length",
        bow,
        "pinion change x length / 8 + (L - sqrt(L^2 - h^2)) / 2",
        "bow of the coil, an estimate until travel is solved",
    ),
)

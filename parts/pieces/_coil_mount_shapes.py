"""Heights and outlines of the coil mount, and the frame its seat lies in."""

from __future__ import annotations

import numpy as np

from ...layout import reader
from ..design.site import Refused
from ..geometry.contours import Corner, mirrored, rounded, slot
from ..model.assembly import Port
from ..model.body import Loop
from ..model.family import Site, Sizes
from ..model.vectors import Frame, Number, Vec3
from ..rules.welds import leg_for
from ..words import numbers as shown
from ._coil import gusset_at
from ._coil_seat_shape import slot_width
from ._lengths import IN

MOVES = 1.5 * IN
"""How far the seat may move up or down between its gussets until it is welded."""


NOSE = IN
"""Corner radius of the seat, outboard; the gussets end where it begins, clear of a tire at lock."""


GUSSET_UP, GUSSET_CLIP, GUSSET_WELD = IN / 4, 3 * IN / 8, IN / 4
"""A gusset's lower edge over the back plate's, the corner cut off it, and how far past that corner
its weld begins.
"""


SLIDE = IN / 64
"""Gap on each side between the seat and its gussets."""


UP: Vec3 = (0.0, 0.0, 1.0)


DOWN: Vec3 = (0.0, 0.0, -1.0)


def level(site: Site, face: Port, x: float = 0.0, out: float = 0.0) -> float:
    """Height, on the plate's own y axis, at which the seat's underside passes ``x`` along and
    ``out`` from its face.
    """
    plate = face.frame
    return (site.q("seat.upper.z") - plate.origin[2] - x * plate.x[2] - out * plate.z[2]) / plate.y[
        2
    ]


def weld_top(site: Site, face: Port, seat: Number) -> Number:
    """Height of the upper end of the back plate's weld on the coil-seat plate, elementwise;
    ``seat``: thickness of the coil seat, mm.
    """
    top: Number = np.minimum(level(site, face) + MOVES + seat - IN / 2, face.size["high"] - IN / 8)
    return top


def heights(site: Site, face: Port, sizes: Sizes) -> tuple[float, float, float]:
    """Lower edge, end of the weld on the plate, upper edge of the back plate.

    Refused if less than 2 in are left to weld, or the lowered seat has no gusset under it.
    """
    low = face.size["low"] + leg_for(site.shop.legs, sizes["back.t"], face.size["t"])
    high = level(site, face) + MOVES + sizes["seat.t"] + IN / 2
    on = float(weld_top(site, face, sizes["seat.t"]))
    under = level(site, face) - MOVES
    if on - low < 2 * IN or under < low + IN:
        raise Refused(
            f"the coil seat stands {reader.length(under + 1.5 * IN)} above the rail's bottom and"
            f" the mount has {reader.length(max(0.0, on - low))} of the coil-seat plate to stand"
            f" on: {shown.room(2 * IN)} are needed, and the seat {shown.inches(1)} above the"
            f" mount's lower edge when it is moved down {shown.inches(1.5)}. Move the seat up"
            " (stiffer spring, more ride height) or carry the plate lower or higher"
        )
    return low, on, high


def back_loop(half: float, low: float, on: float, high: float) -> Loop:
    """Back plate on the coil-seat plate: welded along "bottom", "rear" and "front"; above the plate
    its sides stand free.
    """
    return rounded(
        [
            Corner("bottom", -half, low),
            Corner("rear", half, low),
            Corner("rear_up", half, on),
            Corner("top", half, high, 0.75 * IN),
            Corner("front_up", -half, high, 0.75 * IN),
            Corner("front", -half, on),
        ]
    )


def back_slot(site: Site, on: float, low: float) -> tuple[Loop, ...]:
    """A level slot between the gussets near the top of the weld on the plate: a fillet inside it
    holds the back plate where the coil pulls it off. None where the weld on the plate is too short
    to take it.
    """
    wide, long = slot_width(site), 2 * gusset_at(site) - 2 * IN
    at = on - IN - wide / 2
    return (
        (slot((0.0, at), long, wide, 0.0, "slot"),)
        if long > 2 * wide and at - wide / 2 > low + IN
        else ()
    )


def gusset_loop(reach: float, low: float, seat: float, t: float, way: float) -> Loop:
    """Gusset; x outward from the back plate if ``way`` is +1, toward it if -1.

    ``seat``: height of the seat's underside on it. It carries the seat with its welds wherever it
    is moved; its lower edge runs up and out, so that the tie rod passes.
    """
    nose, clip, top = seat - MOVES - 3 * IN / 4, GUSSET_CLIP, seat + MOVES + t + 3 * IN / 8
    loop = rounded(
        [
            Corner("clip", 0.0, low + clip),
            Corner("under", clip, low),
            Corner("front", reach, max(nose, low + clip)),
            Corner("top_slope", reach, top - 1.25 * IN),
            Corner("top", reach - 1.25 * IN, top),
            Corner("back", 0.0, top),
        ]
    )
    return loop if way > 0 else mirrored(loop)


def seat_loop(site: Site, face: Port, back: float, reach: float) -> Loop:
    """Seat between the gussets about the coil's center, x rearward, y inboard: its inner edge along
    the back plate's face, its ends along the gussets.
    """
    place, half = seat_frame(site, UP), gusset_at(site) - SLIDE

    def at(x: float, out: float) -> tuple[float, float]:
        local = place.into(face.frame.out((x, level(site, face, x, out), out)))
        return local[0], local[1]

    (
        (x_rear_in, y_rear_in),
        (x_front_in, y_front_in),
        (x_front_out, y_front_out),
        (x_rear_out, y_rear_out),
    ) = (
        at(half, back),
        at(-half, back),
        at(-half, back + reach),
        at(half, back + reach),
    )
    return rounded(
        [
            Corner("outer", x_front_out, y_front_out, NOSE),
            Corner("rear", x_rear_out, y_rear_out, NOSE),
            Corner("inner", x_rear_in, y_rear_in),
            Corner("front", x_front_in, y_front_in),
        ]
    )


def seat_frame(site: Site, z: Vec3) -> Frame:
    """At the middle of the seat's underside, x rearward."""
    return Frame(
        (site.q("seat.upper.x"), site.q("seat.upper.y"), site.q("seat.upper.z")),
        (-1.0, 0.0, 0.0),
        z,
    )

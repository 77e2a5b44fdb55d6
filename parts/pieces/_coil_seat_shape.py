"""The coil-seat plate's outline over the cut, its plane on the rail's side, how near a flange it
comes. Lengths in mm.
"""

from __future__ import annotations

import math
from typing import NamedTuple, overload

import numpy as np

from ...layout import reader
from ..design.site import Refused
from ..geometry.outline import check
from ..geometry.shape import LEAST_EDGE
from ..model.body import Edge, Loop
from ..model.family import Site
from ..model.vectors import Frame, Number, Vec2, cross, scale, unit
from ..rules.welds import BRIDGED, leg_for
from ._lengths import IN

SAME = IN / 8
"""Two tapes of 1/16 in each."""
NO_STEP = 1e-9
"""A step of the plate's edge shorter than this (mm) is the error of arithmetic: no step."""


@overload
def leg(site: Site, *more: float) -> float: ...
@overload
def leg(site: Site, *more: Number) -> Number: ...
def leg(site: Site, *more: Number) -> Number:
    """Fillet leg on the rail's wall, mm.

    ``more``: thicknesses of what stands on it, mm, floats or arrays of the grid's shape; a float
    for floats, else an array. Waiting where the wall is owed.
    """
    return leg_for(site.shop.legs, site.q("rail.coil.wall"), *more)


class RailCut(NamedTuple):
    """The cut in the rail's side, mm: rear and front end ahead of the full-bump plumb line; lower
    and upper edge above the rail's bottom; ``whole``: there is none, all of it is in one point
    under the coil, at half the rail's height.
    """

    first: float
    last: float
    low: float
    high: float
    whole: bool


def cut_read(site: Site) -> RailCut:
    """As read; Waiting where it is owed whether there is one, or where it is."""
    if site.word("frame.cut") == "no":
        x, z = site.q("seat.upper.x"), site.q("rail.coil.height") / 2
        return RailCut(x, x, z, z, True)
    return RailCut(
        site.q("frame.notch.x_first"),
        site.q("frame.notch.x_last"),
        site.q("frame.notch.z_low"),
        site.q("frame.notch.z_high"),
        False,
    )


def set_in(site: Site) -> float:
    """How far the plate's edge stays in from a flange's face and from a slot's middle: room for the
    largest leg the rail's wall could take.
    """
    return min(3 * IN / 16, site.q("rail.coil.wall"))


def slot_width(site: Site) -> float:
    """Width of a slot that takes a fillet on both sides, and the gun between them."""
    return 2 * set_in(site) + IN / 4


def outline(
    left: float, right: float, low: float, high: float, flat: tuple[float, float], inner: float
) -> Loop:
    """Plate with half-round ends, x from ``left`` (front) to ``right`` (rear) over all.

    The ends keep to the ``flat`` of the wall; an edge that goes on to a strip steps out to it at 45
    degrees, its inner corner round with radius ``inner``.
    """
    back = inner * math.tan(math.pi / 8)
    least = (back + 1.5 * LEAST_EDGE) * math.sqrt(0.5)
    down, up = (max(x, least) if x > NO_STEP else 0.0 for x in (flat[0] - low, high - flat[1]))
    foot, head = low + down, high - up
    radius = (head - foot) / 2

    def step(by: float, corner: Vec2, way: Vec2, name: str) -> list[Edge]:
        """The 45 degree step and the fillet that brings it into the end: out of the plate's long
        edge if ``way`` leaves it, else back to it.
        """
        if not by:
            return []
        fillet = -math.tan(math.pi / 16)
        k = back * math.sqrt(0.5)
        if name in ("rear_low", "front_high"):
            start = (corner[0] - way[0] * by, corner[1] - way[1] * by)
            turn = (corner[0] - way[0] * k, corner[1] - way[1] * k)
            return [Edge(name, start), Edge(f"{name}~", turn, fillet)]
        leaves = (corner[0] + way[0] * k, corner[1] + way[1] * k)
        return [
            Edge(f"{name}~", (corner[0] - way[0] * back, corner[1]), fillet),
            Edge(name, leaves),
        ]

    aside = {by: by + back if by else 0.0 for by in (down, up)}
    edges = [
        Edge("bottom", (left + radius + aside[down], low)),
        *step(down, (right - radius - back, foot), (1.0, 1.0), "rear_low"),
        Edge("rear_end", (right - radius, foot), 1.0),
        *step(up, (right - radius - back, head), (-1.0, 1.0), "rear_high"),
        Edge("top", (right - radius - aside[up], high)),
        *step(up, (left + radius + back, head), (-1.0, -1.0), "front_high"),
        Edge("front_end", (left + radius, head), 1.0),
        *step(down, (left + radius + back, foot), (1.0, -1.0), "front_low"),
    ]
    return check(tuple(edges))


def gap_at(site: Site, up: float) -> float:
    """Gap behind a plate edge ``up`` from a flange's face: the rail's round corner falls away
    there.
    """
    radius = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    return radius - math.sqrt(radius * radius - (radius - up) ** 2) if up < radius else 0.0


def reaches(site: Site) -> tuple[bool, bool]:
    """Whether the cut reaches the bottom and the top flange."""
    wall, cut = site.q("rail.coil.wall"), cut_read(site)
    return cut.low <= wall, cut.high >= site.q("rail.coil.height") - wall


def edges(site: Site, strip: float, thick: float) -> tuple[float, float]:
    """Lower and upper edge of the plate above the rail bottom.

    Where the cut reaches a flange: a weld leg in from its face, so that one outside-corner weld
    closes the cell, or right to the face where a strip lies on that flange. Elsewhere the cut and
    max(1 in, 3 t) of sound wall, at most to a leg from the flange's face, clear of its corner; as
    far as there on a whole rail.
    """
    height, margin = site.q("rail.coil.height"), set_in(site)
    own = margin if gap_at(site, margin) <= BRIDGED else max(margin, site.q("frame.corner_radius"))
    cut, sound = cut_read(site), max(IN, 3 * thick)
    if cut.whole:
        return own, height - own
    low, high = reaches(site)
    down = (0.0 if strip else margin) if low else max(own, cut.low - sound)
    up = (0.0 if strip else margin) if high else max(own, height - cut.high - sound)
    return down, height - up


def strip_width(site: Site, thick: Number) -> Number:
    """How far a strip reaches inboard under the flange: 4 t, and past the corner by 1/2 in
    (practice).

    ``thick``: t, mm, a float or an array of the grid's shape; the reach, mm, likewise.
    """
    radius = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    return np.maximum(4 * thick, radius + IN / 2)


def plane(site: Site) -> Frame:
    """The plate's plane: origin under the coil at the rail bottom, x rearward, z outward.

    It lies on the rail's side; Refused where the cut's own plane stands off it at the plate's ends.
    """
    cut_flush(site)
    along = unit((1.0, site.q("rail.coil.slope_side"), site.q("rail.coil.slope_bottom")))
    return Frame.of(
        (site.q("seat.upper.x"), site.q("rail.coil.outer"), site.q("rail.coil.bottom")),
        scale(along, -1.0),
        unit(cross((0.0, 0.0, 1.0), along)),
    )


def cut_flush(site: Site) -> None:
    """Whether the cut's four readings agree with the rail's side to the tape (1/8 in) at the
    plate's ends, low and high; Refused with the miss where they do not: the plate cannot lie on
    sound wall at both ends.
    """
    at = cut_read(site)
    if at.whole or not site.has("notch.y0"):
        return
    height = site.q("rail.coil.height")
    for end, way in ((at.first, -1.0), (at.last, 1.0)):
        reach = end + way * 2 * height - site.q("seat.upper.x")
        for up in (0.0, height):
            cut = site.q("notch.y0") + site.q("notch.yaw") * reach + site.q("notch.lean") * up
            miss = cut - site.q("rail.coil.outer") - site.q("rail.coil.slope_side") * reach
            if abs(miss) > SAME:
                raise Refused(
                    f"the plane of the cut stands {reader.length(abs(miss))}"
                    f" {'outside' if miss > 0 else 'inside'} the rail's side at the plate's"
                    f" {'rear' if way < 0 else 'front'} end: the plate cannot lie on sound wall"
                    " there. Read the plane (F-44 to F-51) and the stations again, or cut the"
                    " bulge flush with the rail's side"
                )

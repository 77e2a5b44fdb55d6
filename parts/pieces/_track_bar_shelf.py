"""The track bar's bracket at the axle under its ears: shelf, two ribs on the axle tube, and the web
between them that takes the bar's pull across the truck to the tube.

Lengths in mm. Values marked "practice" are common practice, no source.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ...layout import reader
from ..design.site import Refused
from ..geometry.contours import mirrored, rectangle
from ..geometry.outline import check
from ..model.assembly import Member, Weld
from ..model.body import Edge, Loop, Plate
from ..model.family import Site, Sizes
from ..model.vectors import Frame, Vec3
from ..rules.welds import full_leg, leg_for
from ..words import numbers as shown
from ._lengths import IN, round_down
from ._saddles import HORN, on_round, saddle_end

LOW = math.radians(40.0)
"""How far below level the ribs' saddles reach."""
TIP = IN / 2
"""Height of a rib at its front."""
ASLANT = 0.5
"""Height of the web's middle over the tube's middle at most, over the tube's radius: it meets the
tube at 60 degrees or more (AWS D1.1 has fillets in skewed joints from there, from memory).
"""
UNDER_SHELF = IN / 4
"""Least between shelf and web (practice)."""
FIT = IN / 32
"""Gap each side of the web (practice)."""
COPE = IN / 4
"""Corners of the web stay clear of the ribs' welds on the tube (practice)."""


class AxleBracketPlace(NamedTuple):
    """Where the bracket stands: bolt center ``at``; top face of the shelf ``high`` in truck
    coordinates, its underside ``top`` over the tube's axis; its ``rear`` and ``front`` ends ahead
    of that axis and its ``half`` width across the truck, mm.
    """

    at: Vec3
    high: float
    top: float
    rear: float
    front: float
    half: float


def shelf(sizes: Sizes, site: Site, stand: AxleBracketPlace) -> Member:
    """TB4: level plate under the ears; local x rearward, y inboard on the left, z up."""
    loop = rectangle(
        -stand.front,
        -stand.half,
        -stand.rear,
        stand.half,
        IN / 4,
        ("out", "rear", "in", "front"),
    )
    origin = (site.q("axle.x_ride"), stand.at[1], stand.high - sizes["plate.t"])
    return Member(
        "TB4",
        "track-bar shelf",
        "TA",
        Plate(sizes.stock("plate"), loop),
        Frame(origin, (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        ("out", "front"),
        fixed_after="axle prepared",
        ref="level, on its two ribs over the axle tube",
    )


def rib_feet(site: Site, stand: AxleBracketPlace, flat: float) -> tuple[float, float]:
    """Where a rib's saddle begins on the tube under the shelf and where it ends below, rad from x
    rearward; ``flat`` of its horns, mm.

    No horn stands above the shelf. Refused where no tube is left to stand on.
    """
    radius, top = site.q("axle.tube_diameter") / 2, stand.top
    rise = min(math.radians(75.0), math.asin(max(-1.0, min(1.0, top / (radius + flat)))))
    shelf_end, tip = (-stand.rear, top), (-stand.front + IN / 4, top - TIP)
    upper = saddle_end(radius, flat, math.pi, -rise, shelf_end) if rise > 0 else None
    lower = saddle_end(radius, flat, math.pi, LOW, tip)
    if upper is None or lower is None:
        nearer = site.q("axle.track_bar_mount.z") - top + 0.6 * radius
        raise Refused(
            f"the track bar's shelf at the axle lies {reader.length(abs(top))}"
            f" {'above' if top > 0 else 'below'} the tube's middle and begins"
            f" {reader.length(stand.rear)} ahead of it: its ribs have no tube to stand on. Set"
            f" axle.track_bar_mount.z nearer {reader.length(nearer)}, or have this bracket made to"
            " suit"
        )
    return upper, lower


def rib_loop(site: Site, stand: AxleBracketPlace, thick: float) -> Loop:
    """From the tube's front to the shelf's underside; x rearward, y up, origin on the tube's
    axis.
    """
    radius, flat = site.q("axle.tube_diameter") / 2, max(HORN, thick)
    top = stand.top
    upper, lower = rib_feet(site, stand, flat)
    outer, tip = radius + flat, -stand.front + IN / 4
    axis = (0.0, 0.0)
    return (
        Edge("horn_top", on_round(axis, radius, radius, upper)),
        Edge("neck", on_round(axis, outer, outer, upper)),
        Edge("shelf", (-stand.rear, top)),
        Edge("tip", (tip, top)),
        Edge("under", (tip, top - TIP)),
        Edge("horn_low", on_round(axis, outer, outer, lower)),
        Edge("saddle", on_round(axis, radius, radius, lower), -math.tan((lower - upper) / 4)),
    )


def inner(sizes: Sizes, stand: AxleBracketPlace) -> float:
    """From the bracket's middle to a rib's inner face."""
    return stand.half - IN / 4 - sizes["rib.t"]


def rib(sizes: Sizes, site: Site, stand: AxleBracketPlace, code: str, outboard: float) -> Member:
    """TB9 for ``outboard`` +1, TB10 for -1: upright between tube and shelf."""
    loop = rib_loop(site, stand, sizes["rib.t"])
    across = stand.at[1] + outboard * inner(sizes, stand)
    return Member(
        code,
        f"track-bar rib, {'outboard' if outboard > 0 else 'inboard'}",
        "TA",
        Plate(sizes.stock("rib"), check(loop if outboard > 0 else mirrored(loop))),
        Frame(
            (site.q("axle.x_ride"), across, site.q("axle.z_ride")),
            (-outboard, 0.0, 0.0),
            (0.0, outboard, 0.0),
        ),
        ("saddle", "shelf"),
        fixed_after="axle prepared",
        ref="upright on the axle tube, under the shelf",
    )


def web_reach(sizes: Sizes, site: Site, stand: AxleBracketPlace) -> tuple[float, float, float]:
    """The web's underside over the tube's axis, and its rear and front ends ahead of it: from the
    tube to where the ribs' lower edges leave room for its weld.

    Refused where it laps the shelf by less than it is thick.
    """
    radius, thick = site.q("axle.tube_diameter") / 2, sizes["plate.t"]
    middle = min(ASLANT * radius, stand.top - UNDER_SHELF - thick / 2)
    low, flat = middle - thick / 2, max(HORN, sizes["rib.t"])
    end = on_round((0.0, 0.0), radius + flat, radius + flat, rib_feet(site, stand, flat)[1])
    tip = (stand.front - IN / 4, stand.top - TIP)
    start = (-end[0], end[1])
    room = low - full_leg(site.shop.legs, thick, sizes["rib.t"]) - IN / 8
    share = (room - start[1]) / (tip[1] - start[1]) if tip[1] > start[1] else 1.0
    front = start[0] + min(max(share, 0.0), 1.0) * (tip[0] - start[0])
    front = round_down(min(front, stand.front - IN / 2), IN / 8)
    if front < stand.rear + thick:
        raise Refused(
            "the track bar's bracket at the axle has no room for the web under its shelf: the shelf"
            f" begins {reader.length(stand.rear)} ahead of the tube's middle and its ribs end"
            f" {reader.length(stand.front)} ahead of it. Set axle.track_bar_mount.x"
            f" {reader.length(stand.rear + thick - front)} further ahead, or have this bracket made"
            " to suit"
        )
    return low, math.sqrt(max(radius * radius - low * low, 0.0)), front


def web(sizes: Sizes, site: Site, stand: AxleBracketPlace) -> Member:
    """TB11: level plate between the ribs, from the tube to under the shelf; local x rearward, y
    inboard on the left, z up.
    """
    low, rear, front = web_reach(sizes, site, stand)
    half = inner(sizes, stand) - FIT
    loop = rectangle(-front, -half, -rear, half, COPE, ("out", "rear", "in", "front"))
    origin = (site.q("axle.x_ride"), stand.at[1], site.q("axle.z_ride") + low)
    return Member(
        "TB11",
        "track-bar web",
        "TA",
        Plate(sizes.stock("plate"), loop),
        Frame(origin, (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        ("out", "rear"),
        fixed_after="axle prepared",
        ref=f"level between the ribs, rear edge on the axle tube, {shown.tape(stand.top - low)}"
        " from the shelf's underside to its own",
    )


CARE = frozenset({"bushing out", "dummy sleeve in", "bolt through", "seals out"})


def welds(sizes: Sizes, site: Site) -> tuple[Weld, ...]:
    """Ears to shelf, ribs to shelf and tube: both faces, stopped short of the ends; the web to ribs
    and tube from below, where a torch reaches.
    """
    legs, wall = site.shop.legs, site.q("axle.tube_wall")
    ear, rib = leg_for(legs, sizes["plate.t"]), leg_for(legs, sizes["plate.t"], sizes["rib.t"])
    on_tube = leg_for(legs, sizes["rib.t"], wall)
    side = full_leg(legs, sizes["plate.t"], sizes["rib.t"])
    tube = site.port("axle.tube").member
    feet = (
        ("bar.axle.front", "TB5", "foot", "TB4", ear, 4),
        ("bar.axle.rear", "TB6", "foot", "TB4", ear, 4),
        ("bar.rib.out.shelf", "TB9", "shelf", "TB4", rib, 1),
        ("bar.rib.out.tube", "TB9", "saddle", tube, on_tube, 3),
        ("bar.rib.in.shelf", "TB10", "shelf", "TB4", rib, 1),
        ("bar.rib.in.tube", "TB10", "saddle", tube, on_tube, 3),
    )
    from_below = (
        ("bar.web.out", "out", "TB9", side, 2),
        ("bar.web.in", "in", "TB10", side, 2),
        ("bar.web.tube", "rear", tube, full_leg(legs, sizes["plate.t"], wall), 3),
    )
    return (
        *(
            Weld(
                name,
                code,
                (foot,),
                onto,
                "fillet",
                leg,
                care=CARE,
                face="both",
                stop=IN / 4,
                order=order,
            )
            for name, code, foot, onto, leg, order in feet
        ),
        *(
            Weld(name, "TB11", (edge,), onto, "fillet", leg, care=CARE, face="bottom", order=order)
            for name, edge, onto, leg, order in from_below
        ),
    )

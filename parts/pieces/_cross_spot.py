"""Where the crossmember's side plates stand: rail, tube, holes and the ends of the foot.

Local axes of the side plate: x rearward along the rail, y up, z outward, origin where the tube's
axis meets the rail's outer face. Lengths in mm.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import NamedTuple

from ...layout import reader
from ..design.site import Refused
from ..model.assembly import Port
from ..model.family import Site, Sizes
from ..model.vectors import Frame, Vec2, Vec3, dot, scale, sub
from ..rules.welds import leg_for
from ._lengths import IN, round_down, round_up
from ._outlines import socket_radius
from ._rail_places import along_to_x, own_holes
from .cross_tube import SEAT_MARGIN

SEAT_GAP = IN / 64
"""Radial gap of the tube in its seat, mm (practice)."""


FLANGE_CLEAR = 1.5 * IN
"""Side-wall hole to the rail's top or bottom, mm, where the rail is high enough."""


SQUARE = 1e-9
"""A rail that leans less than this against the truck (tangent of the angle) runs straight."""


TWO_ROWS = 2
"""What ``rows`` says where there are two rows of side-wall bolts."""


class CrossPlace(NamedTuple):
    """The rail and the tube at the crossmember, worked out once: frame of XS1, rail directions,
    seat, bolts.
    """

    place: Frame
    along: Vec3
    out: Vec3
    up: Vec3
    bottom: Frame
    width: float
    shy: float
    base: float
    height: float
    seat: Vec2
    seat_od: float
    holes: tuple[Vec2, ...]
    foot: tuple[float, float]
    bottoms: tuple[Vec2, ...]
    legs: tuple[float, ...]


def spot(sizes: Sizes, site: Site) -> CrossPlace:
    """Everything the plates are drawn from.

    ``shy``: how far the foot stays short of the rail's inner face; ``base``: rail bottom in XS1's
    own y; ``foot``: its ends along the rail in XS2's x; ``bottoms``:
    existing bottom holes in XS2's x, y.
    """
    side, bottom, tube = (
        site.port("rail.cross.side"),
        site.port("rail.cross.bottom"),
        site.port("cross.tube"),
    )
    along, out, up = side.frame.x, side.frame.z, scale(bottom.frame.z, -1.0)
    axis = tube.frame.origin
    y = (
        side.frame.origin[1]
        - (out[0] * (axis[0] - side.frame.origin[0]) + out[2] * (axis[2] - side.frame.origin[2]))
        / out[1]
    )
    place = Frame.of((axis[0], y, axis[2]), scale(along, -1.0), out)
    yaw, t = math.tan(math.acos(min(1.0, abs(out[1])))), sizes["plate.t"]
    lean = math.copysign(yaw, dot((0.0, 1.0, 0.0), place.x)) if yaw > SQUARE else 0.0
    seat_od = tube.size["od"] / abs(out[1]) + max(2 * SEAT_GAP, t * yaw + SEAT_GAP)
    base = dot(sub(side.frame.origin, place.origin), place.y)
    holes = side_holes(sizes, site, base, side.size["height"])
    bottoms = bottom_holes(site, bottom, tube)
    return CrossPlace(
        place=place,
        along=along,
        out=out,
        up=up,
        bottom=bottom.frame,
        width=side.size["width"],
        shy=_shy(site, bottoms),
        base=base,
        height=side.size["height"],
        seat=(t / 2 * lean, 0.0),
        seat_od=seat_od,
        holes=holes,
        foot=foot_ends(sizes, site, bottoms),
        bottoms=bottoms,
        legs=site.shop.legs,
    )


def bottom_holes(site: Site, bottom: Port, tube: Port) -> tuple[Vec2, ...]:
    """Holes the foot is bolted to: those there are; new ones only where the job sets that rule
    aside by name.
    """
    old = own_holes(site, "bottom", "crossmember")
    if not old and site.word("override.new_bottom_holes"):
        axis = along_to_x(bottom.frame, tube.frame.origin[0])
        return tuple((axis + way * 2 * IN, bottom.size["width"] / 2) for way in (-1.0, 1.0))
    found = {
        number: (
            along_to_x(bottom.frame, site.q(f"frame.hole.{number}.x")),
            site.q(f"frame.hole.{number}.from_edge"),
        )
        for number in old
    }
    for number, other in combinations(old, 2):
        if (near := math.dist(found[number], found[other])) < site.q(
            f"frame.hole.{number}.diameter"
        ) + IN / 16:
            raise Refused(
                f"frame.hole {number} and {other} lie {reader.length(near)} apart in the bottom of"
                " one rail: two holes cannot. One of them is in the other rail, or was read twice:"
                " correct its side or its x"
            )
    return tuple(found.values())


def side_rows(sizes: Sizes, height: float) -> tuple[float, ...]:
    """Heights of the side-wall bolt rows above the rail's bottom: two if they keep clear of the
    flanges and each other, else one midway.
    """
    apart = height - 2 * FLANGE_CLEAR
    if sizes["rows"] >= TWO_ROWS and apart >= 3 * sizes["bolt.d"]:
        return (FLANGE_CLEAR, height - FLANGE_CLEAR)
    return (height / 2,)


def side_holes(sizes: Sizes, site: Site, base: float, height: float) -> tuple[Vec2, ...]:
    """Side-wall bolts in XS1's own axes, two columns ``spread`` apart about the tube."""
    return tuple(
        (x, base + z)
        for z in side_rows(sizes, height)
        for x in (-sizes["spread"] / 2, sizes["spread"] / 2)
    )


def foot_ends(sizes: Sizes, site: Site, bottoms: tuple[Vec2, ...]) -> tuple[float, float]:
    """Ends of the foot along the rail: past the holes by socket, gusset and its weld; 3 in each way
    from the tube without holes.
    """
    axis = along_to_x(site.port("rail.cross.bottom").frame, site.port("cross.tube").frame.origin[0])
    xs = [x for x, _ in bottoms] or [axis - 2 * IN, axis + 2 * IN]
    past = (
        gusset_past(sizes, site.shop.legs)
        + sizes["plate.t"]
        + leg_for(site.shop.legs, sizes["plate.t"])
        + IN / 8
    )
    return min(xs) - round_up(past), max(xs) + round_up(past)


def gusset_past(sizes: Sizes, legs: tuple[float, ...]) -> float:
    """From the outermost bottom bolt to the near face of its gusset."""
    return float(socket_radius(sizes["bolt.d"]) + leg_for(legs, sizes["plate.t"]) + IN / 16)


def gusset_at(sizes: Sizes, stand: CrossPlace) -> tuple[float, float]:
    """Rear faces of the rear and front gusset in the foot's x, a leg inside the foot's ends."""
    leg, t = leg_for(stand.legs, sizes["plate.t"]), sizes["plate.t"]
    return stand.foot[0] + leg + IN / 8, stand.foot[1] - leg - IN / 8 - t


def foot_width(stand: CrossPlace) -> float:
    """How far the foot reaches inboard under the rail."""
    return round_down(stand.width - stand.shy, IN / 8)


def _shy(site: Site, bottoms: tuple[Vec2, ...]) -> float:
    """How far the foot stays short of the rail's inner face: 1/8 in, and where no bolt holds it but
    a weld along its edge, on the flat of the rail's bottom.
    """
    corner = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    return IN / 8 if bottoms else max(IN / 8, corner)


def gusset_height(stand: CrossPlace) -> float:
    """Leg of the gusset down the side plate: as long as its foot, at most half way to the tube's
    boss.
    """
    return min(
        foot_width(stand) - IN / 4,
        round_down((stand.base - stand.seat_od / 2 - SEAT_MARGIN) * 0.5, IN / 8),
    )

"""Tabs of the limit strap: a bent one on the rail, an ear on the axle tube."""

from __future__ import annotations

import math
from typing import NamedTuple

from ...layout import reader
from ..design.site import Refused
from ..geometry.bend import allowance
from ..geometry.contours import Corner, rounded
from ..model.assembly import Bolt, Member, Weld
from ..model.body import Bend, Plate
from ..model.family import Site, Sizes
from ..model.vectors import Frame, Vec3, add, scale
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ..words import numbers as shown
from ._lengths import IN
from ._rail_places import along_to_x, from_datum
from ._refusals import off_casting
from ._shock_tabs import CARE, Y, axle_ear, end_radius

STRAP_OFF = 1.25 * IN
"""From the axle tube to the strap's lower bolt; from the rail to its upper bolt."""


TAB = (3.0 * IN, 2.5 * IN)
"""Strap tab along the rail, and its height."""


class Bent(NamedTuple):
    """The frame tab laid flat on the rail's inner side, in that face's axes, mm: where its bend
    begins, its middle and its end; its lower and upper edge; the bend's inner radius.
    """

    begins: float
    middle: float
    ends: float
    low: float
    high: float
    radius: float


def bent_of(sizes: Sizes, site: Site) -> Bent:
    """The standing leg's middle at the strap's station."""
    port, thick = site.port("rail.coil.inner"), sizes["plate.t"]
    along = allowance(math.pi / 2, thick, thick)
    low = max(port.size["corner"], IN / 4) + IN / 8
    station = along_to_x(port.frame, site.q("travel.strap_x"))
    middle = station + along / 2 - thick - thick / 2
    return Bent(middle - along / 2, middle, middle + along / 2, low, low + TAB[1], thick)


def bent_plate(sizes: Sizes, site: Site, bent: Bent) -> Plate:
    """Flat leg, bend, standing leg round about its bolt."""
    end = end_radius(site.need("travel.strap_bolt"))
    foot = bent.begins - TAB[0]
    far = bent.ends + STRAP_OFF - sizes["plate.t"] - bent.radius + end
    loop = rounded(
        [
            Corner("lower", foot, bent.low, IN / 4),
            Corner("low_free", bent.begins, bent.low),
            Corner("end", far, bent.low, end),
            Corner("high_free", far, bent.high, end),
            Corner("upper", bent.begins, bent.high),
            Corner("rear", foot, bent.high, IN / 4),
        ]
    )
    fold = Bend("bend", (bent.middle, bent.high), (bent.middle, bent.low), math.pi / 2, bent.radius)
    return Plate(sizes.stock("plate"), loop, (), (fold,))


def strap_tab(sizes: Sizes, site: Site) -> tuple[Member, Bolt, Weld]:
    """ST5: bent tab, one leg flat on the rail's inner side, the other standing inboard across the
    truck; bolt along the rail.
    """
    port, bolt = site.port("rail.coil.inner"), site.need("travel.strap_bolt")
    bent = bent_of(sizes, site)
    member = Member(
        "ST5",
        "limit-strap tab, frame",
        "ST",
        bent_plate(sizes, site, bent),
        port.frame,
        ("rear", "lower"),
        fixed_after="set-down",
        ref=(
            "on the rail's inner side, long edges along the rail; standing leg"
            f" {shown.tape(site.q('travel.strap_x'))} from the plumb line"
        ),
    )
    hole = (bent.radius + bent.begins, (bent.low + bent.high) / 2, STRAP_OFF)
    pin = Bolt(
        id="strap.upper#1",
        at=port.frame.out(hole),
        along=port.frame.x,
        size=bolt,
        grade=class_for(site, "strap", bolt),
        through=("ST5",),
        duty="mount",
        hole="close",
        length=IN / 8,
    )
    weld = Weld(
        "strap.frame",
        "ST5",
        ("lower", "upper"),
        port.member,
        "fillet",
        leg_for(site.shop.legs, sizes["plate.t"], port.size["wall"]),
        stop=IN / 4,
        order=8,
    )
    return member, pin, weld


def strap_ear(sizes: Sizes, site: Site) -> tuple[Member, Bolt, Weld]:
    """ST6: ear on the axle tube, its bolt square to the truck."""
    thick, bolt = sizes["plate.t"], site.need("travel.strap_bolt")
    x, y = site.q("travel.strap_x"), site.q("travel.strap_y")
    off_casting(site, y, thick / 2, "the strap's lower tab", "travel.strap_y")
    away, ahead = site.q("axle.tube_diameter") / 2 + STRAP_OFF, x - site.q("axle.x_ride")
    if abs(ahead) > away:
        raise Refused(
            f"the strap at {reader.length(x)} from the plumb line passes the axle tube by"
            f" {reader.length(abs(ahead) - away)}: move travel.strap_x to within"
            f" {reader.length(away)} of the axle's center ({reader.length(site.q('axle.x_ride'))})"
        )
    at: Vec3 = (x, y, site.q("axle.z_ride") + math.sqrt(away * away - ahead * ahead))
    place = Frame(add(at, scale(Y, -thick / 2)), (-1.0, 0.0, 0.0), Y)
    member = Member(
        "ST6",
        "limit-strap tab, axle",
        "ST",
        Plate(sizes.stock("plate"), axle_ear(site, at, end_radius(bolt), 1.0, thick)),
        place,
        ("saddle", "end"),
        fixed_after="axle prepared",
        ref=f"on the axle tube; bolt {from_datum(site, at)}",
    )
    pin = Bolt(
        id="strap.lower#1",
        at=add(at, scale(Y, -thick / 2)),
        along=Y,
        size=bolt,
        grade=class_for(site, "strap", bolt),
        through=("ST6",),
        duty="mount",
        hole="close",
        length=IN / 8,
    )
    weld = Weld(
        "strap.axle",
        "ST6",
        ("saddle",),
        site.port("axle.tube").member,
        "fillet",
        leg_for(site.shop.legs, thick, site.q("axle.tube_wall")),
        care=CARE,
        face="both",
        stop=IN / 4,
        order=2,
    )
    return member, pin, weld

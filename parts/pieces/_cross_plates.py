"""Steel of the crossmember's side: side plate, foot and the gussets between them."""

from __future__ import annotations

from ...layout import reader
from ..design.site import Refused
from ..geometry.contours import Corner, circle, rounded
from ..geometry.hull import hull
from ..model.assembly import Member
from ..model.body import Edge, Loop, Plate
from ..model.family import Site, Sizes
from ..model.vectors import Frame, scale
from ..rules.welds import leg_for
from ._cross_spot import SEAT_GAP, CrossPlace, foot_width, gusset_at, gusset_height
from ._lengths import IN, round_up
from ._outlines import gusset_outline
from ._rail_places import from_datum, own_holes
from .cross_tube import SEAT_MARGIN


def main_outline(sizes: Sizes, stand: CrossPlace) -> Loop:
    """Tangent outline round side bolts, foot ends, gusset toes and the tube's boss."""
    edge, leg, toe = (
        round_up(max(1.5 * sizes["bolt.d"], IN)),
        leg_for(stand.legs, sizes["plate.t"]),
        IN / 2,
    )
    foot = stand.base - sizes["plate.t"] - leg - IN / 8
    shift = stand.bottom.into(stand.place.origin)[0]
    circles = [((x, y), edge) for x, y in stand.holes]
    circles += [
        ((shift - x + way * (toe - IN / 8), foot), toe)
        for x, way in zip(stand.foot, (-1.0, 1.0), strict=True)
    ]
    low = stand.base - sizes["plate.t"] - gusset_height(stand)
    circles += [
        ((shift - x - sizes["plate.t"] / 2, low), sizes["plate.t"] / 2 + leg + IN / 8)
        for x in gusset_at(sizes, stand)
    ]
    circles.append((stand.seat, stand.seat_od / 2 - SEAT_GAP + SEAT_MARGIN))
    return name_ends(hull(circles, "edge"))


def name_ends(loop: Loop) -> Loop:
    """The hull with its highest straight edge named "top" and its rearmost named "rear", so
    dimensions have a datum.
    """
    count = len(loop)
    ends = [(edge, loop[(place + 1) % count].start) for place, edge in enumerate(loop)]
    straight = [(edge, end) for edge, end in ends if not edge.bulge]
    top = max(
        straight,
        key=lambda side: (side[0].start[1] + side[1][1], -abs(side[0].start[1] - side[1][1])),
    )[0].name
    rear = max(
        (side for side in straight if side[0].name != top),
        key=lambda side: side[0].start[0] + side[1][0],
    )[0].name
    known = {top: "top", rear: "rear"}
    return tuple(Edge(known.get(edge.name, edge.name), edge.start, edge.bulge) for edge in loop)


def main_plate(sizes: Sizes, site: Site, stand: CrossPlace) -> Member:
    """XS1."""
    body = Plate(
        sizes.stock("plate"),
        main_outline(sizes, stand),
        (circle(stand.seat, stand.seat_od, "seat"),),
    )
    return Member(
        "XS1",
        "crossmember side plate",
        "XS",
        body,
        stand.place,
        ("top", "rear"),
        ref=f"flat on the rail's outer face; tube center {from_datum(site, stand.place.origin)}",
    )


def foot_plate(sizes: Sizes, site: Site, stand: CrossPlace) -> Member:
    """XS2: local x forward along the rail, y inboard, z down; its edge "side" butts XS1."""
    x0, x1 = (x - stand.foot[0] for x in stand.foot)
    width, round_off = foot_width(stand), IN / 2
    loop = rounded(
        [
            Corner("side", 0.0, 0.0),
            Corner("front", x1, 0.0),
            Corner("inner", x1, width, round_off),
            Corner("rear", x0, width, round_off),
        ]
    )
    frame = Frame(stand.bottom.out((stand.foot[0], 0.0, 0.0)), stand.bottom.x, stand.bottom.z)
    return Member(
        "XS2",
        "crossmember foot",
        "XS",
        Plate(sizes.stock("plate"), loop),
        frame,
        ("side", "rear"),
        ref=foot_ref(site, stand),
    )


def foot_ref(site: Site, stand: CrossPlace) -> str:
    """Where the foot sits and how it is held."""
    where = "under the rail, against the side plate"
    if not stand.bottoms:
        return where + ", welded to the rail"
    said = site.word("override.new_bottom_holes")
    holes = (
        "the old holes"
        if own_holes(site, "bottom", "crossmember") or not said
        else f"NEW holes in the rail's bottom by override ({said})"
    )
    return f"{where}, bolted up into {holes}, nuts on the strap inside the rail"


def gussets(sizes: Sizes, site: Site, stand: CrossPlace) -> tuple[Member, ...]:
    """XS3 and XS4, the same plate twice, outside the bottom bolts: local x inboard, y down, z
    forward. Refused where the tube leaves no height for them.
    """
    along, down = foot_width(stand) - IN / 4, gusset_height(stand)
    if down < IN:
        more = 2 * (IN - down)
        raise Refused(
            "the cross tube at the arms' frame joints stands too high under the rail: the side"
            " plate has no room for its foot and gussets. Set arms.joint_height"
            f" {reader.length(more)} lower, {reader.length(site.q('arms.joint_height') - more)} or"
            " less"
        )
    t, at = sizes["plate.t"], gusset_at(sizes, stand)
    body = Plate(sizes.stock("plate"), gusset_outline(along, down))
    made = []
    for code, x in zip(("XS3", "XS4"), at, strict=True):
        frame = Frame(stand.bottom.out((x, 0.0, t)), scale(stand.out, -1.0), stand.along)
        made.append(
            Member(
                code,
                "crossmember gusset",
                "XS",
                body,
                frame,
                ("foot", "plate"),
                ref="between foot and side plate",
            )
        )
    return tuple(made)

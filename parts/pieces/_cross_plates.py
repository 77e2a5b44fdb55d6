"""Steel of the crossmember's side: side plate, foot and the gussets between them."""

from __future__ import annotations

from ...layout import reader
from ..design.site import Refused
from ..geometry.hull import hull
from ..geometry.outline import Corner, circle, rounded
from ..model.assembly import Member
from ..model.body import Edge, Loop, Plate
from ..model.family import Site, Sizes
from ..model.vectors import Frame, scale
from ..rules.welds import leg_for
from ._cross_spot import SEAT_GAP, Spot, foot_width, gusset_at, gusset_height
from ._lengths import IN, round_up
from ._outlines import gusset_outline
from ._rail_places import from_datum, own_holes
from .cross_tube import SEAT_MARGIN


def main_outline(sizes: Sizes, g: Spot) -> Loop:
    """Tangent outline round side bolts, foot ends, gusset toes and the tube's boss."""
    edge, leg, toe = (
        round_up(max(1.5 * sizes["bolt.d"], IN)),
        leg_for(g.legs, sizes["plate.t"]),
        IN / 2,
    )
    foot = g.base - sizes["plate.t"] - leg - IN / 8
    shift = g.bottom.into(g.place.origin)[0]
    circles = [((x, y), edge) for x, y in g.holes]
    circles += [
        ((shift - x + k * (toe - IN / 8), foot), toe)
        for x, k in zip(g.foot, (-1.0, 1.0), strict=True)
    ]
    low = g.base - sizes["plate.t"] - gusset_height(g)
    circles += [
        ((shift - x - sizes["plate.t"] / 2, low), sizes["plate.t"] / 2 + leg + IN / 8)
        for x in gusset_at(sizes, g)
    ]
    circles.append((g.seat, g.seat_od / 2 - SEAT_GAP + SEAT_MARGIN))
    return name_ends(hull(circles, "edge"))


def name_ends(loop: Loop) -> Loop:
    """The hull with its highest straight edge named "top" and its rearmost named "rear", so
    dimensions have a datum.
    """
    n = len(loop)
    ends = [(e, loop[(i + 1) % n].start) for i, e in enumerate(loop)]
    straight = [(e, q) for e, q in ends if not e.bulge]
    top = max(straight, key=lambda c: (c[0].start[1] + c[1][1], -abs(c[0].start[1] - c[1][1])))[
        0
    ].name
    rear = max((c for c in straight if c[0].name != top), key=lambda c: c[0].start[0] + c[1][0])[
        0
    ].name
    known = {top: "top", rear: "rear"}
    return tuple(Edge(known.get(e.name, e.name), e.start, e.bulge) for e in loop)


def main_plate(sizes: Sizes, site: Site, g: Spot) -> Member:
    """XS1."""
    body = Plate(sizes.stock("plate"), main_outline(sizes, g), (circle(g.seat, g.seat_od, "seat"),))
    return Member(
        "XS1",
        "crossmember side plate",
        "XS",
        body,
        g.place,
        ("top", "rear"),
        ref=f"flat on the rail's outer face; tube center {from_datum(site, g.place.origin)}",
    )


def foot_plate(sizes: Sizes, site: Site, g: Spot) -> Member:
    """XS2: local x forward along the rail, y inboard, z down; its edge "side" butts XS1."""
    x0, x1 = (x - g.foot[0] for x in g.foot)
    w, r = foot_width(g), IN / 2
    loop = rounded(
        [
            Corner("side", 0.0, 0.0),
            Corner("front", x1, 0.0),
            Corner("inner", x1, w, r),
            Corner("rear", x0, w, r),
        ]
    )
    frame = Frame(g.bottom.out((g.foot[0], 0.0, 0.0)), g.bottom.x, g.bottom.z)
    return Member(
        "XS2",
        "crossmember foot",
        "XS",
        Plate(sizes.stock("plate"), loop),
        frame,
        ("side", "rear"),
        ref=foot_ref(site, g),
    )


def foot_ref(site: Site, g: Spot) -> str:
    """Where the foot sits and how it is held."""
    where = "under the rail, against the side plate"
    if not g.bottoms:
        return where + ", welded to the rail"
    nut = (
        "nuts on a strip fed along inside the rail"
        if site.word("frame.section") == "boxed"
        else "nuts inside the rail"
    )
    said = site.word("override.new_bottom_holes")
    holes = (
        "the old holes"
        if own_holes(site, "bottom", "crossmember") or not said
        else f"NEW holes in the rail's bottom by override ({said})"
    )
    return f"{where}, bolted up into {holes}, {nut}"


def gussets(sizes: Sizes, site: Site, g: Spot) -> tuple[Member, ...]:
    """XS3 and XS4, the same plate twice, outside the bottom bolts: local x inboard, y down, z
    forward. Refused where the tube leaves no height for them.
    """
    a, b = foot_width(g) - IN / 4, gusset_height(g)
    if b < IN:
        more = 2 * (IN - b)
        raise Refused(
            "the cross tube at the arms' frame joints stands too high under the rail: the side"
            " plate has no room for its foot and gussets. Set arms.joint_height"
            f" {reader.length(more)} lower, {reader.length(site.q('arms.joint_height') - more)} or"
            " less"
        )
    t, at = sizes["plate.t"], gusset_at(sizes, g)
    body = Plate(sizes.stock("plate"), gusset_outline(a, b))
    made = []
    for code, x in zip(("XS3", "XS4"), at, strict=True):
        frame = Frame(g.bottom.out((x, 0.0, t)), scale(g.out, -1.0), g.along)
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

"""What holds the crossmember's side together: crush sleeves, nut strap, bolts and welds."""

from __future__ import annotations

import math

from ...layout import reader
from ..design.site import Refused
from ..geometry.contours import rectangle
from ..model.assembly import Bolt, Member, Weld
from ..model.body import Plate, Tube, TubeEnd
from ..model.family import Site, Sizes
from ..model.vectors import Frame, scale
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ._cross_spot import CrossPlace
from ._lengths import IN, round_down, round_up

CORNER = 2.0
"""Outside radius of a rail's corners in walls where nobody read more (common practice, no source).
"""


def sleeves(
    sizes: Sizes, site: Site, stand: CrossPlace
) -> tuple[tuple[Member, ...], tuple[Bolt, ...]]:
    """Crush sleeve for each side-wall bolt through a boxed rail, and the hole it sits in through
    both walls.
    """
    if site.word("frame.section") != "boxed":
        return (), ()
    rail = site.port("rail.cross.side").member
    members, holes = [], []
    for number, (x, y) in enumerate(stand.holes):
        place = stand.place.out((x, y, 0.0))
        body = Tube(sizes.stock("sleeve"), stand.width, (TubeEnd(), TubeEnd()))
        members.append(
            Member(
                f"XS{5 + number}",
                "crush sleeve",
                "XS",
                body,
                Frame(place, scale(stand.out, -1.0), stand.along),
                ref="through both walls of the rail, flush",
            )
        )
        holes.append(
            Bolt(
                id=f"cross.sleeve#{number + 1}",
                at=place,
                along=scale(stand.out, -1.0),
                size=sizes.stock("bolt"),
                grade="",
                through=(rail,),
                duty="frame",
                hole=f"{sizes['sleeve.od'] + IN / 64:.3f}",
                length=stand.width,
            )
        )
    return tuple(members), tuple(holes)


def strap_width(site: Site, stand: CrossPlace) -> float:
    """As wide as the flat of the rail's bottom inside leaves, 1/16 in free each side."""
    own = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    corner = max(own, CORNER * site.port("rail.cross.bottom").size["wall"])
    return float(round_down(stand.width - 2 * (corner + IN / 16), IN / 8))


def strap_past(sizes: Sizes, wide: float) -> float:
    """From the outermost bolt to the strap's end: as far as its yield lines reach (``wall_pulled``
    on its own long edges, a washer of two diameters on it).
    """
    washer = 2 * sizes["bolt.d"]
    return float(round_up(sizes["bolt.d"] + math.sqrt(wide * max(wide - washer, 0.0) / 2), IN / 4))


def strap(sizes: Sizes, site: Site, stand: CrossPlace) -> tuple[Member, ...]:
    """XS9: plate inside the rail under the nuts of the foot's bolts, which it brings to the rail's
    side walls; local x forward along the rail, y outboard, z up.
    """
    if not stand.bottoms:
        return ()
    wide, middle = strap_width(site, stand), stand.width / 2
    if wide < 2 * sizes["bolt.d"]:
        raise Refused(
            f"the flat of the rail's bottom inside is {reader.fine(max(wide, 0.0))} wide, and the"
            " strap under the nuts of the foot's bolts wants two bolt diameters,"
            f" {reader.fine(2 * sizes['bolt.d'])}: read the rail's width, wall and corner radius"
            " there again, or take these holes out of the job, and the foot is welded"
        )
    past = strap_past(sizes, wide)
    ends = [x for x, _ in stand.bottoms]
    loop = rectangle(
        min(ends) - past,
        -middle - wide / 2,
        max(ends) + past,
        -middle + wide / 2,
        IN / 8,
        ("inner", "front", "outer", "rear"),
    )
    wall = site.port("rail.cross.bottom").size["wall"]
    frame = Frame(stand.bottom.out((0.0, 0.0, -wall)), stand.bottom.x, stand.up)
    return (
        Member(
            "XS9",
            "crossmember nut strap",
            "XS",
            Plate(sizes.stock("strap"), loop),
            frame,
            ("outer", "rear"),
            ref="inside the rail, flat on its bottom, under the nuts of the foot's bolts; fed in"
            " along the rail with the nuts tacked on it",
        ),
    )


def bolts(
    sizes: Sizes, site: Site, stand: CrossPlace, made: tuple[Member, ...]
) -> tuple[Bolt, ...]:
    """Side-wall bolts (head outside) and bolts up into the holes that are in the rail's bottom."""
    rail, inward, found = site.port("rail.cross.side").member, scale(stand.out, -1.0), []
    wall = site.port("rail.cross.side").size["wall"]
    for number, (x, y) in enumerate(stand.holes):
        through = ("XS1", made[number].code) if made else ("XS1", rail)
        found.append(
            Bolt(
                id=f"cross.side#{number + 1}",
                at=stand.place.out((x, y, sizes["plate.t"])),
                along=inward,
                size=sizes.stock("bolt"),
                grade=class_for(site, "cross.side", sizes.stock("bolt")),
                through=through,
                duty="frame",
                hole="close",
                length=0.0 if made else wall,
            )
        )
    for number, (x, y) in enumerate(stand.bottoms):
        found.append(
            Bolt(
                id=f"cross.bottom#{number + 1}",
                at=stand.bottom.out((x, y, sizes["plate.t"])),
                along=stand.up,
                size=sizes.stock("bolt"),
                grade=class_for(site, "cross.side", sizes.stock("bolt")),
                through=("XS2", rail, "XS9"),
                duty="frame",
                hole="normal",
                length=wall,
            )
        )
    return tuple(found)


CARE = frozenset({"bolted to the rail while welding"})


def welds(sizes: Sizes, site: Site, stand: CrossPlace) -> tuple[Weld, ...]:
    """Foot to side plate, gussets both faces, ends stopped 1/4 in short; foot to the rail only
    where no bottom hole takes a bolt.
    """
    leg = leg_for(site.shop.legs, sizes["plate.t"])
    foot = Weld(
        "cross.foot",
        "XS2",
        ("side",),
        "XS1",
        "fillet",
        leg,
        care=CARE,
        face="top",
        stop=IN / 4,
        order=1,
    )
    held = () if stand.bottoms else (foot_to_rail(site, sizes["plate.t"]),)
    return (foot, *gusset_welds("XS3", leg), *gusset_welds("XS4", leg), *held)


def gusset_welds(gusset: str, leg: float) -> tuple[Weld, ...]:
    """One gusset to the foot and to the side plate, on both of its faces."""
    return tuple(
        Weld(
            f"cross.{gusset}.{edge}",
            gusset,
            (edge,),
            onto,
            "fillet",
            leg,
            care=CARE,
            face="both",
            stop=IN / 4,
            order=2,
        )
        for edge, onto in (("foot", "XS2"), ("plate", "XS1"))
    )


def foot_to_rail(site: Site, t: float) -> Weld:
    """The foot's inner edge to the rail's bottom, its ends left free an inch."""
    rail = site.port("rail.cross.bottom")
    return Weld(
        "cross.foot.rail",
        "XS2",
        ("inner",),
        rail.member,
        "fillet",
        leg_for(site.shop.legs, t, rail.size["wall"]),
        stop=IN,
        order=3,
    )

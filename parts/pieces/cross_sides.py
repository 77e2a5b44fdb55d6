"""Crossmember side plates, each side: XS1 on the rail's side, XS2 foot under it, XS3 and XS4
gussets between, crush sleeves, XS9 strap inside the rail under the nuts of the foot's bolts.

XS1 lies on the rail's outer face and reaches down past the cross tube, which passes through a round
seat in it. XS2 butts XS1 and takes the holes that are already in the rail's bottom. Faces follow
the rail's own direction. Local axes of XS1: x rearward along the rail, y up, z outward, origin
where the tube's axis meets the rail's outer face.
"""

from __future__ import annotations

from ..design.weld_size import WELD
from ..model.assembly import Assembly, Port, Scribe
from ..model.family import Family, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, add
from ._cross_joining import bolts, sleeves, strap, welds
from ._cross_plates import foot_plate, gussets, main_plate
from ._cross_rules import RULES, mass
from ._cross_spot import SEAT_GAP, CrossPlace, spot
from ._from_stock import frame_bolts, plate_keys_over, tube_keys_between
from ._holding import held
from ._holds_cross import SIDES, SIDES_REST
from ._holds_rail_bottom import rail_bottom
from ._lengths import IN
from ._outlines import line


def scribes(sizes: Sizes, stand: CrossPlace) -> tuple[Scribe, ...]:
    """Tube center lines, the rail's bottom edge and a height scale (1/4 in) up from it on XS1."""
    radius, reach = stand.seat_od / 2, sizes["spread"] / 2
    up = tuple(
        (
            (reach - (0.25 if way % 4 else 0.5) * IN, stand.base + way * IN / 4),
            (reach, stand.base + way * IN / 4),
        )
        for way in range(5)
    )
    return (
        Scribe("XS1", "center", (((0.0, radius + IN / 8), (0.0, stand.base - IN / 2)),)),
        Scribe("XS1", "mate", line((-reach, stand.base), (reach - IN, stand.base)), "RAIL BOTTOM"),
        Scribe("XS1", "scale", up),
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Side plate, foot, gussets, strap, sleeves; ports ``cross.seat`` (outer face, on the tube's
    axis, x inboard) and ``cross.holes``.
    """
    stand = spot(sizes, site)
    made, holes = sleeves(sizes, site, stand)
    seat_frame = Frame(
        add(stand.place.origin, (0.0, sizes["plate.t"] / abs(stand.out[1]), 0.0)),
        (0.0, -1.0, 0.0),
        (0.0, 0.0, 1.0),
    )
    at = {
        f"{axis}{number}": value
        for number, hole in enumerate(stand.holes, 1)
        for axis, value in zip("xy", hole, strict=True)
    }
    seat_size = {"t": sizes["plate.t"], "gap": SEAT_GAP, "inner": stand.place.origin[1]}
    ports = {
        "cross.seat": Port(seat_frame, seat_size, "XS1"),
        "cross.holes": Port(
            stand.place,
            {
                "n": len(stand.holes),
                "base": stand.base,
                "height": stand.height,
                "width": stand.width,
                "d": sizes["bolt.d"],
                **at,
            },
            "XS1",
        ),
    }
    return held(
        Assembly(
            members=(
                main_plate(sizes, site, stand),
                foot_plate(sizes, site, stand),
                *gussets(sizes, site, stand),
                *strap(sizes, site, stand),
                *made,
            ),
            bolts=(*bolts(sizes, site, stand, made), *holes),
            welds=welds(sizes, site, stand),
            scribes=scribes(sizes, stand),
            ports=ports,
        ),
        (*SIDES, *rail_bottom(site.open_face(), not stand.bottoms)),
        SIDES_REST,
    )


def otherwise(made: Assembly) -> str:
    """What a foot that is welded for want of holes would need to be bolted."""
    if any(member.code.startswith("XS9") for member in made.members):
        return ""
    return (
        "its foot is welded to the rail for want of holes in its bottom: bolted up through two of"
        " them, read as holes for the crossmember, it takes about half of this off the side bolts"
    )


FAMILY = Family(
    code="XS",
    title="crossmember side plates",
    where="each side",
    needs=("rail.cross.side", "rail.cross.bottom", "cross.tube"),
    gives=("cross.seat", "cross.holes"),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("strap", "plate", plate_keys_over(0.25 * IN)),
        Variable("bolt", "bolt", frame_bolts),
        Variable("sleeve", "tube", tube_keys_between(0.8 * IN, 1.25 * IN)),
        Variable("rows", "", lambda shop: (1, 2), 1),
        Variable("spread", "mm", lambda shop: (4 * IN, 5 * IN, 6 * IN), 5 * IN),
        WELD,
    ),
    rules=RULES,
    mass=mass,
    build=build,
    sheet="crossmember side",
    roles={Role.BOTTOM_HOLES: ("XS",)},
    otherwise=otherwise,
)

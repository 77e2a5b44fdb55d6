"""Crossmember side plates, each side: XS1 on the rail's side, XS2 foot under it, XS3 gussets
between, crush sleeves.

XS1 lies on the rail's outer face and reaches down past the cross tube, which passes through a round
seat in it. XS2 butts XS1 and takes the holes that are already in the rail's bottom. Faces follow
the rail's own direction. Local axes of XS1: x rearward along the rail, y up, z outward, origin
where the tube's axis meets the rail's outer face.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import combinations
from typing import Any, NamedTuple

import numpy as np

from ...layout import reader
from ..design.site import Refused
from ..geometry.hull import hull
from ..geometry.outline import Corner, circle, rounded
from ..model.assembly import Assembly, Bolt, Member, Port, Scribe, Weld
from ..model.body import Edge, Loop, Plate, Tube, TubeEnd
from ..model.family import Family, Grid, Rule, Site, Variable
from ..model.vectors import Frame, Vec2, Vec3, add, dot, scale, sub
from ..rules.bolts import spacing
from ..rules.frame import hole_most, hole_spacing, web_hole
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ._from_stock import FRAME_BOLTS, STEEL, plate_keys_over, tube_keys_between
from ._lengths import IN, round_down, round_up
from ._outlines import gusset_outline, line, socket_radius
from ._rail_places import along_to_x, from_datum, own_holes
from ._room_rules import room_rule
from .cross_tube import SEAT_MARGIN

SEAT_GAP = IN / 64  # radial, tube in its seat
FLANGE_CLEAR = 1.5 * IN  # side-wall hole to the rail's top or bottom, where the rail is high enough


class Spot(NamedTuple):
    """The rail and the tube at the crossmember, worked out once: frame of XS1, rail directions,
    seat, bolts.
    """

    place: Frame
    along: Vec3
    out: Vec3
    up: Vec3
    bottom: Frame
    width: float
    base: float
    height: float
    seat: Vec2
    seat_od: float
    holes: tuple[Vec2, ...]
    foot: tuple[float, float]
    bottoms: tuple[Vec2, ...]
    legs: tuple[float, ...]


def spot(d: Mapping[str, Any], s: Site) -> Spot:
    """Everything the plates are drawn from.

    ``base``: rail bottom in XS1's own y; ``foot``: its ends along the rail in XS2's x; ``bottoms``:
    existing bottom holes in XS2's x, y.
    """
    side, bottom, tube = (
        s.port("rail.cross.side"),
        s.port("rail.cross.bottom"),
        s.port("cross.tube"),
    )
    along, out, up = side.frame.x, side.frame.z, scale(bottom.frame.z, -1.0)
    axis = tube.frame.origin
    y = (
        side.frame.origin[1]
        - (out[0] * (axis[0] - side.frame.origin[0]) + out[2] * (axis[2] - side.frame.origin[2]))
        / out[1]
    )
    place = Frame.of((axis[0], y, axis[2]), scale(along, -1.0), out)
    yaw, t = math.tan(math.acos(min(1.0, abs(out[1])))), d["plate.t"]
    lean = math.copysign(yaw, dot((0.0, 1.0, 0.0), place.x)) if yaw > 1e-9 else 0.0
    seat_od = tube.size["od"] / abs(out[1]) + max(2 * SEAT_GAP, t * yaw + SEAT_GAP)
    base = dot(sub(side.frame.origin, place.origin), place.y)
    holes = side_holes(d, s, base, side.size["height"])
    bottoms = bottom_holes(s, bottom, tube)
    return Spot(
        place,
        along,
        out,
        up,
        bottom.frame,
        side.size["width"],
        base,
        side.size["height"],
        (t / 2 * lean, 0.0),
        seat_od,
        holes,
        foot_ends(d, s, bottoms),
        bottoms,
        s.shop.legs,
    )


def bottom_holes(s: Site, bottom: Port, tube: Port) -> tuple[Vec2, ...]:
    """Holes the foot is bolted to: those there are; new ones only where the job sets that rule
    aside by name.
    """
    old = own_holes(s, "bottom", "crossmember")
    if not old and s.word("override.new_bottom_holes"):
        axis = along_to_x(bottom.frame, tube.frame.origin[0])
        return tuple((axis + k * 2 * IN, bottom.size["width"] / 2) for k in (-1.0, 1.0))
    found = {
        n: (along_to_x(bottom.frame, s.q(f"frame.hole.{n}.x")), s.q(f"frame.hole.{n}.from_edge"))
        for n in old
    }
    for n, m in combinations(old, 2):
        if (near := math.dist(found[n], found[m])) < s.q(f"frame.hole.{n}.diameter") + IN / 16:
            raise Refused(
                f"frame.hole {n} and {m} lie {reader.length(near)} apart in the bottom of one rail:"
                " two holes cannot. One of them is in the other rail, or was read twice: correct"
                " its side or its x"
            )
    return tuple(found.values())


def side_rows(d: Mapping[str, Any], height: float) -> tuple[float, ...]:
    """Heights of the side-wall bolt rows above the rail's bottom: two if they keep clear of the
    flanges and each other, else one midway.
    """
    apart = height - 2 * FLANGE_CLEAR
    if d["rows"] >= 2 and apart >= 3 * d["bolt.d"]:
        return (FLANGE_CLEAR, height - FLANGE_CLEAR)
    return (height / 2,)


def side_holes(d: Mapping[str, Any], s: Site, base: float, height: float) -> tuple[Vec2, ...]:
    """Side-wall bolts in XS1's own axes, two columns ``spread`` apart about the tube."""
    return tuple(
        (x, base + z) for z in side_rows(d, height) for x in (-d["spread"] / 2, d["spread"] / 2)
    )


def foot_ends(d: Mapping[str, Any], s: Site, bottoms: tuple[Vec2, ...]) -> tuple[float, float]:
    """Ends of the foot along the rail: past the holes by socket, gusset and its weld; 3 in each way
    from the tube without holes.
    """
    axis = along_to_x(s.port("rail.cross.bottom").frame, s.port("cross.tube").frame.origin[0])
    xs = [x for x, _ in bottoms] or [axis - 2 * IN, axis + 2 * IN]
    past = gusset_past(d, s.shop.legs) + d["plate.t"] + leg_for(s.shop.legs, d["plate.t"]) + IN / 8
    return min(xs) - round_up(past), max(xs) + round_up(past)


def gusset_past(d: Mapping[str, Any], legs: tuple[float, ...]) -> float:
    """From the outermost bottom bolt to the near face of its gusset."""
    return socket_radius(d["bolt.d"]) + leg_for(legs, d["plate.t"]) + IN / 16


def main_outline(d: Mapping[str, Any], g: Spot) -> Loop:
    """Tangent outline round side bolts, foot ends, gusset toes and the tube's boss."""
    edge, leg, toe = round_up(max(1.5 * d["bolt.d"], IN)), leg_for(g.legs, d["plate.t"]), IN / 2
    foot = g.base - d["plate.t"] - leg - IN / 8
    shift = g.bottom.into(g.place.origin)[0]
    circles = [((x, y), edge) for x, y in g.holes]
    circles += [
        ((shift - x + k * (toe - IN / 8), foot), toe)
        for x, k in zip(g.foot, (-1.0, 1.0), strict=True)
    ]
    low = g.base - d["plate.t"] - gusset_height(g)
    circles += [
        ((shift - x - d["plate.t"] / 2, low), d["plate.t"] / 2 + leg + IN / 8)
        for x in gusset_at(d, g)
    ]
    circles.append((g.seat, g.seat_od / 2 - SEAT_GAP + SEAT_MARGIN))
    return name_ends(hull(circles, "edge"))


def gusset_at(d: Mapping[str, Any], g: Spot) -> tuple[float, float]:
    """Rear faces of the rear and front gusset in the foot's x, a weld leg inside the foot's ends."""
    leg, t = leg_for(g.legs, d["plate.t"]), d["plate.t"]
    return g.foot[0] + leg + IN / 8, g.foot[1] - leg - IN / 8 - t


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


def main_plate(d: Mapping[str, Any], s: Site, g: Spot) -> Member:
    """XS1."""
    body = Plate(d["plate"], main_outline(d, g), (circle(g.seat, g.seat_od, "seat"),))
    return Member(
        "XS1",
        "crossmember side plate",
        "XS",
        body,
        g.place,
        ("top", "rear"),
        ref=f"flat on the rail's outer face; tube center {from_datum(s, g.place.origin)}",
    )


def foot_width(g: Spot) -> float:
    """How far the foot reaches inboard under the rail."""
    return round_down(g.width - IN / 8, IN / 8)


def foot_plate(d: Mapping[str, Any], s: Site, g: Spot) -> Member:
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
        Plate(d["plate"], loop),
        frame,
        ("side", "rear"),
        ref=foot_ref(s, g),
    )


def foot_ref(s: Site, g: Spot) -> str:
    """Where the foot sits and how it is held."""
    where = "under the rail, against the side plate"
    if not g.bottoms:
        return where + ", welded to the rail"
    nut = (
        "nuts on a strip fed along inside the rail"
        if s.word("frame.section") == "boxed"
        else "nuts inside the rail"
    )
    said = s.word("override.new_bottom_holes")
    holes = (
        "the old holes"
        if own_holes(s, "bottom", "crossmember") or not said
        else f"NEW holes in the rail's bottom by override ({said})"
    )
    return f"{where}, bolted up into {holes}, {nut}"


def gussets(d: Mapping[str, Any], s: Site, g: Spot) -> tuple[Member, ...]:
    """XS3 and XS4, the same plate twice, outside the bottom bolts: local x inboard, y down, z
    forward. Refused where the tube leaves no height for them.
    """
    a, b = foot_width(g) - IN / 4, gusset_height(g)
    if b < IN:
        more = 2 * (IN - b)
        raise Refused(
            "the cross tube at the arms' frame joints stands too high under the rail: the side"
            " plate has no room for its foot and gussets. Set arms.joint_height"
            f" {reader.length(more)} lower, {reader.length(s.q('arms.joint_height') - more)} or"
            " less"
        )
    t, at = d["plate.t"], gusset_at(d, g)
    body = Plate(d["plate"], gusset_outline(a, b))
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


def gusset_height(g: Spot) -> float:
    """Leg of the gusset down the side plate: as long as its foot, at most half way to the tube's
    boss.
    """
    return min(
        foot_width(g) - IN / 4, round_down((g.base - g.seat_od / 2 - SEAT_MARGIN) * 0.5, IN / 8)
    )


def sleeves(d: Mapping[str, Any], s: Site, g: Spot) -> tuple[tuple[Member, ...], tuple[Bolt, ...]]:
    """Crush sleeve for each side-wall bolt through a boxed rail, and the hole it sits in through
    both walls.
    """
    if s.word("frame.section") != "boxed":
        return (), ()
    rail = s.port("rail.cross.side").member
    members, holes = [], []
    for i, (x, y) in enumerate(g.holes):
        p = g.place.out((x, y, 0.0))
        body = Tube(d["sleeve"], g.width, (TubeEnd(), TubeEnd()))
        members.append(
            Member(
                f"XS{5 + i}",
                "crush sleeve",
                "XS",
                body,
                Frame(p, scale(g.out, -1.0), g.along),
                ref="through both walls of the rail, flush",
            )
        )
        holes.append(
            Bolt(
                f"cross.sleeve#{i + 1}",
                p,
                scale(g.out, -1.0),
                d["bolt"],
                "",
                (rail,),
                "frame",
                f"{d['sleeve.od'] + IN / 64:.3f}",
                length=g.width,
            )
        )
    return tuple(members), tuple(holes)


def bolts(d: Mapping[str, Any], s: Site, g: Spot, made: tuple[Member, ...]) -> tuple[Bolt, ...]:
    """Side-wall bolts (head outside) and bolts up into the holes that are in the rail's bottom."""
    rail, inward, found = s.port("rail.cross.side").member, scale(g.out, -1.0), []
    wall = s.port("rail.cross.side").size["wall"]
    for i, (x, y) in enumerate(g.holes):
        through = ("XS1", made[i].code) if made else ("XS1", rail)
        found.append(
            Bolt(
                f"cross.side#{i + 1}",
                g.place.out((x, y, d["plate.t"])),
                inward,
                d["bolt"],
                class_for(s, "cross.side", d["bolt"]),
                through,
                "frame",
                "close",
                length=0.0 if made else wall,
            )
        )
    for i, (x, y) in enumerate(g.bottoms):
        found.append(
            Bolt(
                f"cross.bottom#{i + 1}",
                g.bottom.out((x, y, d["plate.t"])),
                g.up,
                d["bolt"],
                class_for(s, "cross.side", d["bolt"]),
                ("XS2", rail),
                "frame",
                "normal",
                length=wall,
            )
        )
    return tuple(found)


def welds(d: Mapping[str, Any], s: Site, g: Spot) -> tuple[Weld, ...]:
    """Foot to side plate, gussets both faces, ends stopped 1/4 in short; foot to the rail only
    where no bottom hole takes a bolt.
    """
    t = d["plate.t"]
    leg, stop = leg_for(s.shop.legs, t), IN / 4
    care = frozenset({"bolted to the rail while welding"})
    found = [
        Weld(
            "cross.foot",
            "XS2",
            ("side",),
            "XS1",
            "fillet",
            leg,
            care=care,
            face="top",
            stop=stop,
            order=1,
        )
    ]
    for n in ("XS3", "XS4"):
        found.append(
            Weld(
                f"cross.{n}.foot",
                n,
                ("foot",),
                "XS2",
                "fillet",
                leg,
                care=care,
                face="both",
                stop=stop,
                order=2,
            )
        )
        found.append(
            Weld(
                f"cross.{n}.plate",
                n,
                ("plate",),
                "XS1",
                "fillet",
                leg,
                care=care,
                face="both",
                stop=stop,
                order=2,
            )
        )
    if not g.bottoms:
        wall = s.port("rail.cross.bottom").size["wall"]
        found.append(
            Weld(
                "cross.foot.rail",
                "XS2",
                ("inner",),
                s.port("rail.cross.bottom").member,
                "fillet",
                leg_for(s.shop.legs, t, wall),
                stop=IN,
                order=3,
            )
        )
    return tuple(found)


def scribes(d: Mapping[str, Any], g: Spot) -> tuple[Scribe, ...]:
    """Tube center lines, the rail's bottom edge and a height scale (1/4 in) up from it on XS1."""
    r, reach = g.seat_od / 2, d["spread"] / 2
    up = tuple(
        ((reach - (0.25 if k % 4 else 0.5) * IN, g.base + k * IN / 4), (reach, g.base + k * IN / 4))
        for k in range(5)
    )
    return (
        Scribe("XS1", "centre", (((0.0, r + IN / 8), (0.0, g.base - IN / 2)),)),
        Scribe("XS1", "mate", line((-reach, g.base), (reach - IN, g.base)), "RAIL BOTTOM"),
        Scribe("XS1", "scale", up),
    )


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Side plate, foot, gussets, sleeves; ports ``cross.seat`` (outer face, on the tube's axis, x
    inboard) and ``cross.holes``.
    """
    g = spot(d, s)
    made, holes = sleeves(d, s, g)
    seat_frame = Frame(
        add(g.place.origin, (0.0, d["plate.t"] / abs(g.out[1]), 0.0)),
        (0.0, -1.0, 0.0),
        (0.0, 0.0, 1.0),
    )
    at = {f"{k}{i + 1}": c for i, h in enumerate(g.holes) for k, c in zip("xy", h, strict=True)}
    ports = {
        "cross.seat": Port(
            seat_frame, {"t": d["plate.t"], "gap": SEAT_GAP, "inner": g.place.origin[1]}, "XS1"
        ),
        "cross.holes": Port(
            g.place,
            {
                "n": len(g.holes),
                "base": g.base,
                "height": g.height,
                "width": g.width,
                "d": d["bolt.d"],
                **at,
            },
            "XS1",
        ),
    }
    return Assembly(
        members=(main_plate(d, s, g), foot_plate(d, s, g), *gussets(d, s, g), *made),
        bolts=(*bolts(d, s, g, made), *holes),
        welds=welds(d, s, g),
        scribes=scribes(d, g),
        ports=ports,
    )


def mass(v: Grid, s: Site) -> Any:
    """Side plate, foot and gussets, kg."""
    drop = s.q("rail.cross.bottom") - s.port("cross.tube").frame.origin[2]
    h, w = s.q("rail.cross.height"), s.q("rail.cross.width")
    reach = v["spread"] + 2 * IN
    area = (
        reach * h
        + (reach + s.port("cross.tube").size["od"] + 2 * SEAT_MARGIN) / 2 * drop
        + (reach + 2 * IN) * w
        + w * w
    )
    return area * v["plate.t"] * STEEL


def flange_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """1.5 in from a side-wall hole to the rail's top and bottom, or half of a lower rail; and what
    the rows leave (mm).
    """
    height = s.port("rail.cross.side").size["height"]
    two = (v["rows"] >= 2) & (height - 2 * FLANGE_CLEAR >= 3 * v["bolt.d"])
    return min(FLANGE_CLEAR, height / 2), np.where(two, FLANGE_CLEAR, height / 2)


def access_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """Radius of a socket with the side plate's weld, and the way from a bottom bolt to the side
    plate (mm).
    """
    near = [s.q(f"frame.hole.{n}.from_edge") for n in own_holes(s, "bottom", "crossmember")]
    return socket_radius(v["bolt.d"]) + 0.1875 * IN, min(near, default=3 * IN)


def old_hole_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """Bolt diameter, and the smallest of the rail's own bottom holes (mm)."""
    found = [s.q(f"frame.hole.{n}.diameter") for n in own_holes(s, "bottom", "crossmember")]
    return v["bolt.d"], min(found, default=2 * IN)


def nearest_row(v: Grid, s: Site) -> Any:
    """Height of the lowest bolt row over the rail's bottom, mm: rows stand evenly about mid-depth."""
    height = s.port("rail.cross.side").size["height"]
    two = (v["rows"] >= 2) & (height - 2 * FLANGE_CLEAR >= 3 * v["bolt.d"])
    return np.where(two, FLANGE_CLEAR, height / 2)


def wall_hole(v: Grid, s: Site) -> Mapping[str, Any]:
    """What the rail's own hole is: the sleeve's in a box, the bolt's in a channel."""
    return {
        "hole_mm": (
            v["sleeve.od"] + IN / 64
            if s.word("frame.section") == "boxed"
            else v["bolt.hole"] + 0 * v["sleeve.od"]
        )
    }


RULES = (
    Rule(
        "frame.hole.web",
        web_hole,
        lambda v, s: {
            **wall_hole(v, s),
            "from_flange_mm": nearest_row(v, s),
            "wall_mm": s.q("rail.cross.wall"),
        },
        "side-wall holes keep clear of the flanges",
    ),
    Rule("frame.hole.most", hole_most, wall_hole, "holes in the rail no larger than need be"),
    Rule(
        "frame.hole.apart",
        hole_spacing,
        lambda v, s: {**wall_hole(v, s), "spacing_mm": v["spread"]},
        "steel between the holes in the rail",
    ),
    Rule(
        "frame.bolt.spacing",
        spacing,
        lambda v, s: {"d_mm": v["bolt.d"], "spacing_mm": v["spread"]},
        "bolts keep their spacing",
    ),
    room_rule(
        "frame.hole.flange",
        flange_room,
        "side-wall holes 1.5 in from the flanges, or as far as the rail's height allows",
    ),
    room_rule(
        "frame.hole.old", old_hole_room, "bolt passes the holes that are in the rail's bottom"
    ),
    room_rule(
        "frame.hole.access", access_room, "a socket reaches the bottom bolts beside the side plate"
    ),
    room_rule(
        "cross.sleeve.bore",
        lambda v, s: (v["bolt.d"] + IN / 64, v["sleeve.od"] - 2 * v["sleeve.wall"]),
        "bolt passes its crush sleeve",
    ),
    room_rule(
        "cross.sleeve.od",
        lambda v, s: (1.6 * v["bolt.d"], v["sleeve.od"]),
        "crush sleeve at least 1.6 bolt diameters outside",
    ),
    room_rule(
        "cross.sleeve.wall",
        lambda v, s: (0.1875 * IN, v["sleeve.wall"]),
        "crush sleeve wall at least 3/16 in",
    ),
    room_rule(
        "cross.seat.web",
        lambda v, s: (v["plate.t"], SEAT_MARGIN - SEAT_GAP),
        "steel below the tube at least a plate thickness",
    ),
)

FAMILY = Family(
    code="XS",
    title="crossmember side plates",
    where="each side",
    needs=("rail.cross.side", "rail.cross.bottom", "cross.tube"),
    gives=("cross.seat", "cross.holes"),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("bolt", "bolt", lambda shop: FRAME_BOLTS),
        Variable("sleeve", "tube", tube_keys_between(0.8 * IN, 1.25 * IN)),
        Variable("rows", "", lambda shop: (1, 2), 1),
        Variable("spread", "mm", lambda shop: (4 * IN, 5 * IN, 6 * IN), 5 * IN),
    ),
    rules=RULES,
    mass=mass,
    build=build,
)

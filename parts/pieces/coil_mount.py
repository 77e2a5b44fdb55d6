"""Coil mount: back plate and two gussets on the coil-seat plate, and between the gussets a seat
with its locating ring that is free to move in height.

The back plate reaches from the plate's lower edge to its upper one, so that no strip of plate is
left to bend under it; what moves at set-down is the seat alone, up and down its gussets. The seat
is level at ride height. The gussets stand fore and aft of the coil, past the edges of the cut, so
their load comes into sound wall.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from ...layout import reader
from ..design.site import Refused
from ..geometry.outline import Corner, bbox, circle, edge_length, mirrored, rounded, slot, spans
from ..model.assembly import Assembly, Bolt, Interlock, Member, Port, Scribe, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, Vec3, scale
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ..words import numbers as shown
from ._coil import GUSSET_MOST, coil_od, gusset_at, mount_half, ring_bore, ring_od
from ._from_stock import STEEL, plate_keys_over
from ._lengths import IN
from ._rail_places import from_datum
from ._room_rules import room_rule
from .coil_seat import slot_width

MOVES = 1.5 * IN
"""How far the seat may move up or down between its gussets until it is welded."""
NOSE = IN
"""Corner radius of the seat, outboard; the gussets end where it begins, clear of a tire at lock."""
TAB = IN
SLIDE = IN / 64
"""Gap on each side between the seat and its gussets."""
UP: Vec3 = (0.0, 0.0, 1.0)
DOWN: Vec3 = (0.0, 0.0, -1.0)


def level(s: Site, face: Port, x: float = 0.0, out: float = 0.0) -> float:
    """Height, on the plate's own y axis, at which the seat's underside passes ``x`` along and
    ``out`` from its face.
    """
    f = face.frame
    return (s.q("seat.upper.z") - f.origin[2] - x * f.x[2] - out * f.z[2]) / f.y[2]


def heights(s: Site, face: Port, d: Mapping[str, Any]) -> tuple[float, float, float]:
    """Lower edge, end of the weld on the plate, upper edge of the back plate.

    Refused if less than 2 in are left to weld, or the lowered seat has no gusset under it.
    """
    low = face.size["low"] + leg_for(s.shop.legs, d["back.t"], face.size["t"])
    high = level(s, face) + MOVES + d["plate.t"] + IN / 2
    on = min(high - IN, face.size["high"] - IN / 8)
    under = level(s, face) - MOVES
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


def back_slot(s: Site, on: float, low: float) -> tuple[Loop, ...]:
    """A level slot between the gussets near the top of the weld on the plate: a fillet inside it
    holds the back plate where the coil pulls it off. None where the weld on the plate is too short
    to take it.
    """
    wide, long = slot_width(s), 2 * gusset_at(s) - 2 * IN
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
    nose, clip, top = seat - MOVES - 3 * IN / 4, 3 * IN / 8, seat + MOVES + t + 3 * IN / 8
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


def seat_loop(s: Site, face: Port, back: float, reach: float) -> Loop:
    """Seat between the gussets about the coil's center, x rearward, y inboard: its inner edge along
    the back plate's face, its ends along the gussets.
    """
    place, half = seat_frame(s, UP), gusset_at(s) - SLIDE

    def at(x: float, out: float) -> tuple[float, float]:
        p = place.into(face.frame.out((x, level(s, face, x, out), out)))
        return p[0], p[1]

    (xr, yr), (xf, yf), (xo, yo), (xg, yg) = (
        at(half, back),
        at(-half, back),
        at(-half, back + reach),
        at(half, back + reach),
    )
    return rounded(
        [
            Corner("outer", xo, yo, NOSE),
            Corner("rear", xg, yg, NOSE),
            Corner("inner", xr, yr),
            Corner("front", xf, yf),
        ]
    )


def seat_frame(s: Site, z: Vec3) -> Frame:
    """At the middle of the seat's underside, x rearward."""
    return Frame(
        (s.q("seat.upper.x"), s.q("seat.upper.y"), s.q("seat.upper.z")), (-1.0, 0.0, 0.0), z
    )


def plates(d: Mapping[str, Any], s: Site) -> tuple[Member, ...]:
    """CM1 back plate, CM2 front and CM3 rear gussets, CM4 seat, CM5 ring."""
    face, back, half = s.port("coil.plate"), d["back.t"], mount_half(s)
    f = face.frame
    low, on, high = heights(s, face, d)
    may = {"z": (-MOVES, MOVES)}
    where = from_datum(s, (s.q("seat.upper.x"), s.q("seat.upper.y"), s.q("seat.upper.z")))
    made = [
        Member(
            "CM1",
            "coil mount back plate",
            "CM",
            Plate(d["back"], back_loop(half, low, on, high), back_slot(s, on, low)),
            f,
            ("front", "bottom"),
            fixed_after="set-down",
            ref=f"on the coil-seat plate, its line on the axle scribe; seat {where}",
        )
    ]
    reach = s.q("seat.upper.y") + coil_od(s) / 2 + 3 * IN / 8 - f.origin[1] - back
    for code, side, name in (("CM2", -1.0, "front"), ("CM3", 1.0, "rear")):
        x = side * gusset_at(s)
        at = f.out((x, 0.0, back))
        body = Plate(
            d["plate"],
            gusset_loop(reach - NOSE, low + IN / 4, level(s, face, x, back), d["plate.t"], -side),
        )
        made.append(
            Member(
                code,
                f"coil mount gusset, {name}",
                "CM",
                body,
                Frame(at, scale(f.z, -side), scale(f.x, side)),
                ("back", "top"),
                fixed_after="set-down",
                ref=(
                    f"square on the back plate, {shown.finely(gusset_at(s))} from the coil's line"
                    " to its inside face"
                ),
            )
        )
    seat = Plate(d["plate"], seat_loop(s, face, back, reach))
    made.append(
        Member(
            "CM4",
            "coil seat",
            "CM",
            seat,
            seat_frame(s, UP),
            ("front", "inner"),
            moves=may,
            fixed_after="set-down",
            ref=f"between the gussets, level at ride height; underside {where}",
        )
    )
    ring = Plate(
        d["ring"],
        circle((0.0, 0.0), ring_od(s), "rim"),
        (circle((0.0, 0.0), ring_bore(s), "bore"),),
    )
    made.append(
        Member(
            "CM5",
            "coil locating ring, upper",
            "CM",
            ring,
            seat_frame(s, DOWN),
            ("rim", "rim"),
            moves=may,
            fixed_after="set-down",
            ref="in the middle of the seat's underside, inside the coil",
        )
    )
    return tuple(made)


def welds(d: Mapping[str, Any], s: Site, face: Port) -> tuple[Weld, ...]:
    """Gussets and ring on the bench, back plate on the coil-seat plate, the seat last of all, once
    the truck has stood on it.
    """
    t, back = d["plate.t"], d["back.t"]
    care, last = (
        frozenset({"coil out", "opposite sides in turn"}),
        frozenset({"coil out", "after the set-down"}),
    )
    found = [
        Weld(
            "coil.mount.back",
            "CM1",
            ("bottom", "front", "rear"),
            face.member,
            "fillet",
            leg_for(s.shop.legs, back, face.size["t"]),
            care=care,
            stop=IN / 4,
            order=7,
        )
    ]
    low, on, _ = heights(s, face, d)
    if back_slot(s, on, low):
        found.append(
            Weld(
                "coil.mount.slot",
                "CM1",
                ("slot",),
                face.member,
                "fillet",
                leg_for(s.shop.legs, back, face.size["t"]),
                care=care,
                order=8,
            )
        )
    for n, c in (("front", "CM2"), ("rear", "CM3")):
        found += [
            Weld(
                f"coil.gusset.{n}",
                c,
                ("back",),
                "CM1",
                "fillet",
                leg_for(s.shop.legs, t, back),
                face="both",
                stop=IN / 4,
                order=5,
            ),
            Weld(
                f"coil.seat.{n}",
                "CM4",
                (n,),
                c,
                "fillet",
                leg_for(s.shop.legs, t),
                care=last,
                face="both",
                stop=IN / 4,
                order=9,
            ),
        ]
    return (
        *found,
        Weld(
            "coil.seat.back",
            "CM4",
            ("inner",),
            "CM1",
            "fillet",
            leg_for(s.shop.legs, t, back),
            care=last,
            face="both",
            stop=IN / 4,
            order=9,
        ),
        Weld(
            "coil.ring",
            "CM5",
            ("rim",),
            "CM4",
            "fillet",
            leg_for(s.shop.legs, t),
            run=1.5 * IN,
            pitch=3 * IN,
            order=4,
        ),
    )


def height_scale(
    s: Site, gusset: Member, face: Port, d: Mapping[str, Any]
) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Ticks up and down a gusset's outer edge from where the seat's underside belongs: every 1/4
    in, whole inches longer.
    """
    assert isinstance(gusset.body, Plate)
    x0, _, x1, _ = bbox(gusset.body.outline)
    edge, way = (x1, -1.0) if abs(x1) > abs(x0) else (x0, 1.0)
    side = 1.0 if gusset.code == "CM3" else -1.0
    at = level(s, face, side * gusset_at(s), d["back.t"])
    n = round(MOVES / (IN / 4))
    return tuple(
        (
            (edge + way * IN / 8, at + k * IN / 4),
            (
                edge + way * (IN / 8 + (IN / 2 if k == 0 else IN / 4 if k % 4 == 0 else IN / 8)),
                at + k * IN / 4,
            ),
        )
        for k in range(-n, n + 1)
    )


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """The mount; ports ``coil.mount`` (the seat's underside, z down, with its thickness) and the
    height scale's line.
    """
    face = s.port("coil.plate")
    members = plates(d, s)
    seat = members[3]
    low, on, _ = heights(s, face, d)
    scribes = (
        Scribe("CM1", "ride", (((0.0, low), (0.0, on)),), "AXLE"),
        *(Scribe(m.code, "scale", height_scale(s, m, face, d)) for m in members[1:3]),
        Scribe(
            "CM4",
            "centre",
            tuple(
                ((a, b), (c, e))
                for a, b, c, e in ((-2 * IN, 0.0, 2 * IN, 0.0), (0.0, -2 * IN, 0.0, 2 * IN))
            ),
        ),
    )
    inside = s.word("travel.stop_place") == "inside coil"
    hole = Bolt(
        "coil.retainer#1",
        seat.place.origin,
        UP,
        "1/2-13",
        "" if inside else class_for(s, "coil.retainer", "1/2-13"),
        ("CM4",),
        "drain" if inside else "mount",
        "close",
    )
    ports = {
        "coil.mount": Port(seat_frame(s, DOWN), {"t": d["plate.t"], "bore": ring_bore(s)}, "CM4")
    }
    return Assembly(
        members,
        (hole,),
        welds(d, s, face),
        tuple(
            Interlock(c, "back", "CM1", tabs_at(members[n]), TAB)
            for n, c in ((1, "CM2"), (2, "CM3"))
        ),
        scribes,
        ports,
    )


def tabs_at(gusset: Member) -> tuple[float, float]:
    """Two tabs along a gusset's back edge, one nearer its end than the other so that it goes in one
    way only.
    """
    assert isinstance(gusset.body, Plate)
    long = next(edge_length(e, q) for e, q in spans(gusset.body.outline) if e.name == "back")
    return 0.22 * long, 0.7 * long


def mass(v: Grid, s: Site) -> Any:
    """Back plate, two gussets, seat and ring by their boxes, kg."""
    half, deep = mount_half(s), s.q("seat.upper.y") + coil_od(s) / 2 - s.q("rail.coil.outer")
    tall = s.q("seat.upper.z") - s.q("rail.coil.bottom") - IN
    return (
        2 * half * tall * v["back.t"]
        + (deep * tall + 2 * half * deep) * v["plate.t"]
        + math.pi * ring_od(s) * 0.6 * IN * v["ring.t"]
    ) * STEEL


def behind(v: Grid, s: Site) -> tuple[Any, Any]:
    """Bow of the coil and 1/4 in against the gap between coil and back plate."""
    f = s.port("coil.plate").frame
    return (
        s.q("spring.bow") + IN / 4 + 0 * v["plate.t"] + 0 * v["ring.t"],
        s.q("seat.upper.y") - coil_od(s) / 2 - f.origin[1] - v["back.t"],
    )


FAMILY = Family(
    code="CM",
    title="coil mount",
    where="each side",
    needs=("coil.plate",),
    gives=("coil.mount",),
    variables=(
        Variable("back", "plate", plate_keys_over(0.1875 * IN)),
        Variable("ring", "plate", plate_keys_over(0.375 * IN)),
        Variable(
            "plate",
            "plate",
            lambda shop: tuple(
                p.key for p in shop.plates if 0.25 * IN - 1e-6 <= p.thickness <= GUSSET_MOST + 1e-6
            ),
        ),
    ),
    rules=(room_rule("coil.mount.behind", behind, "coil clears the back plate when it bows"),),
    mass=mass,
    build=build,
)

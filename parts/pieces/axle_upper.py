"""Axle upper-arm plates: a pair of ears saddled on the axle tube, turned with the pinion, carrying
the upper arm's bolt.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from ..model.assembly import Assembly, Bolt, Member, Port, Scribe, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Variable
from ..model.vectors import Frame, Vec3, add, scale
from ..rules.welds import full_leg
from ..stock.classes import class_for
from ._conflicts import AXLE_TURNED
from ._from_stock import STEEL, bolt_size, plate_keys_over
from ._holding import held
from ._holds_links import AXLE_UPPER
from ._lengths import IN
from ._outlines import ear_radius, line
from ._rail_places import from_datum
from ._refusals import bolt_square, off_casting
from ._room_rules import NO_LIMIT, edge_rule, room_rule
from ._saddles import ear_to_tube

OUT: Vec3 = (0.0, 1.0, 0.0)
SPAN = 140.0
"""Degrees of the axle tube an ear is saddled on: the welds are worked hardest by everyday twist."""


def inside(s: Site) -> float:
    """Gap between the plates: sleeve and 1/32 in for weld shrink (practice)."""
    return s.q("axle.upper_sleeve") + IN / 32


def radius(s: Site, slot: Any) -> Any:
    """End radius: 1.5 bolt diameters past the end of the slot (practice), to the next 1/16 in."""
    return ear_radius(bolt_size(s.need("axle.upper_bolt")).d, slot)


def ear(s: Site, end: float, forward: float, t: float) -> Loop:
    """Ear ``t`` thick about the bolt in axle axes; ``forward`` +1 where local x runs forward, -1
    rearward.
    """
    to = (-s.q("axle.upper_mount.x") * forward, -s.q("axle.upper_mount.z"))
    return ear_to_tube(to, s.q("axle.tube_diameter"), end, t, SPAN)


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Plates AP1 outboard and AP2 inboard, bolt, welds; ports ``ap.cheek.out`` and ``.in``."""
    bolt_square(s, "upper_bolt", "upper-arm bolt at the axle", "the upper-arm plate")
    t, end = d["plate.t"], float(radius(s, d["slot"]))
    off_casting(
        s, s.q("upper.mount.y"), inside(s) / 2 + t, "the upper-arm plates", "axle.upper_mount.y"
    )
    up = s.q("pinion.up")
    fore: Vec3 = (math.cos(up), 0.0, -math.sin(up))
    at = (s.q("upper.mount.x"), s.q("upper.mount.y"), s.q("upper.mount.z"))
    gap = inside(s)
    members, ports, marks = [], {}, []
    for code, side, name in (("AP1", 1.0, "out"), ("AP2", -1.0, "in")):
        frame = Frame(add(at, scale(OUT, side * gap / 2)), scale(fore, -side), scale(OUT, side))
        members.append(
            Member(
                code,
                f"axle upper-arm plate, {name}board",
                "AP",
                Plate(d["plate"], ear(s, end, -side, t)),
                frame,
                ("saddle", "end"),
                fixed_after="axle prepared",
                ref=f"on the axle tube, turned with the pinion; bolt {from_datum(s, at)}",
            )
        )
        face = frame._replace(origin=add(frame.origin, scale(frame.z, t)))
        ports[f"ap.cheek.{name}"] = Port(
            face,
            {"d": bolt_size(s.need("axle.upper_bolt")).d, "t": t, "slot": d["slot"], "radius": end},
            code,
        )
        marks.append(Scribe(code, "centre", line((-0.75 * end, 0.0), (0.75 * end, 0.0))))
    slots = {m: (d["slot"], fore) for m in ("AP2", "AP1")} if d["slot"] else {}
    pin = Bolt(
        "upper.mount#1",
        add(at, scale(OUT, -gap / 2 - t)),
        OUT,
        s.need("axle.upper_bolt"),
        class_for(s, "upper.mount", s.need("axle.upper_bolt")),
        ("AP2", s.port("upper.mount").member, "AP1"),
        "pivot",
        "close",
        slots,
    )
    leg = full_leg(s.shop.legs, t, s.q("axle.tube_wall"))
    care = frozenset(
        {"bushing out", "dummy sleeve in", "bolt through", "seals out", "opposite sides in turn"}
    )
    welds = tuple(
        Weld(
            f"axle.upper.{n}",
            c,
            ("saddle",),
            s.port("axle.tube").member,
            "fillet",
            leg,
            care=care,
            face="both",
            stop=IN / 4,
            order=2,
        )
        for n, c in (("out", "AP1"), ("in", "AP2"))
    )
    return held(
        Assembly(tuple(members), (pin,), welds, scribes=tuple(marks), ports=ports), AXLE_UPPER
    )


def mass(v: Grid, s: Site) -> Any:
    """Two ears, kg."""
    tall = math.hypot(s.q("axle.upper_mount.x"), s.q("axle.upper_mount.z"))
    return 2 * tall * (radius(s, v["slot"]) + s.q("axle.tube_diameter") / 2) * v["plate.t"] * STEEL


def housing_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """The bushing's shell and 1/8 in against what is between bolt and tube."""
    tall = math.hypot(s.q("axle.upper_mount.x"), s.q("axle.upper_mount.z"))
    return (
        s.q("axle.upper_bushing_od") / 2 + IN / 8 + 0 * v["slot"],
        tall - s.q("axle.tube_diameter") / 2,
    )


def top_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """Top of the ears at full bump against the rail's bottom, where they pass under it."""
    top = s.q("upper.mount.z") + radius(s, v["slot"]) + s.q("travel.bump")
    beside = s.q("upper.mount.y") - inside(s) / 2 > s.q("rail.coil.outer") or s.q(
        "upper.mount.y"
    ) + inside(s) / 2 < s.q("rail.coil.outer") - s.q("rail.coil.width")
    return top, s.q("rail.coil.bottom") + (NO_LIMIT if beside else 0.0) + 0 * v["slot"]


RULES: tuple[Rule, ...] = (
    edge_rule(
        "axle.upper.edge",
        lambda s: s.need("axle.upper_bolt"),
        lambda v, s: radius(s, v["slot"]) - v["slot"] / 2,
        "upper bolt keeps its edge distance",
    ),
    room_rule("axle.upper.housing", housing_room, "bushing clear of the axle tube by 1/8 in"),
    room_rule("axle.upper.top", top_room, "plates stay under the rail at full bump"),
)

FAMILY = Family(
    code="AP",
    title="axle upper-arm plates",
    where="each side",
    needs=("axle.tube", "upper.mount"),
    gives=("ap.cheek.out", "ap.cheek.in"),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("slot", "mm", lambda shop: (0.0, IN / 4, IN / 2), IN / 2),
    ),
    rules=RULES,
    mass=mass,
    build=build,
    place="axle",
    about=AXLE_TURNED,
)

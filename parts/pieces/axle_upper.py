"""Axle upper-arm plates: a pair of ears saddled on the axle tube, turned with the pinion, carrying
the upper arm's bolt.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..model.assembly import Assembly, Bolt, Member, Port, Scribe, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Sizes, Variable
from ..model.vectors import Frame, Number, Vec3, add, scale
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


def inside(site: Site) -> float:
    """Gap between the plates: sleeve and 1/32 in for weld shrink (practice)."""
    return site.q("axle.upper_sleeve") + IN / 32


def radius(site: Site, slot: Number) -> Number:
    """End radius: 1.5 bolt diameters past the end of the slot (practice), to the next 1/16 in."""
    return ear_radius(bolt_size(site.need("axle.upper_bolt")).d, slot)


def ear(site: Site, end: float, forward: float, thick: float) -> Loop:
    """Ear ``thick`` mm about the bolt in axle axes; ``forward`` +1 where local x runs forward, -1
    rearward.
    """
    to = (-site.q("axle.upper_mount.x") * forward, -site.q("axle.upper_mount.z"))
    return ear_to_tube(to, site.q("axle.tube_diameter"), end, thick, SPAN)


class Bolted(NamedTuple):
    """Where the bolt is: its center, and forward along the slots, turned with the pinion."""

    at: Vec3
    fore: Vec3


def bolted(site: Site) -> Bolted:
    """At ride height."""
    turn = site.q("pinion.up")
    at = (site.q("upper.mount.x"), site.q("upper.mount.y"), site.q("upper.mount.z"))
    return Bolted(at, (math.cos(turn), 0.0, -math.sin(turn)))


def plate(sizes: Sizes, site: Site, where: Bolted, code: str, name: str, outboard: float) -> Member:
    """One ear on the axle tube, its own z away from the bushing: ``outboard`` +1 or -1."""
    loop = ear(site, float(radius(site, sizes["slot"])), -outboard, sizes["plate.t"])
    return Member(
        code,
        f"axle upper-arm plate, {name}board",
        "AP",
        Plate(sizes.stock("plate"), loop),
        Frame(
            add(where.at, scale(OUT, outboard * inside(site) / 2)),
            scale(where.fore, -outboard),
            scale(OUT, outboard),
        ),
        ("saddle", "end"),
        fixed_after="axle prepared",
        ref=f"on the axle tube, turned with the pinion; bolt {from_datum(site, where.at)}",
    )


def cheek(sizes: Sizes, site: Site, ear_plate: Member) -> Port:
    """An ear's outer face, where its cam washer lies."""
    frame, thick = ear_plate.place, sizes["plate.t"]
    return Port(
        frame._replace(origin=add(frame.origin, scale(frame.z, thick))),
        {
            "d": bolt_size(site.need("axle.upper_bolt")).d,
            "t": thick,
            "slot": sizes["slot"],
            "radius": float(radius(site, sizes["slot"])),
        },
        ear_plate.code,
    )


def pivot(sizes: Sizes, site: Site, where: Bolted) -> Bolt:
    """The upper arm's bolt, its head inboard."""
    slots = {code: (sizes["slot"], where.fore) for code in ("AP2", "AP1")}
    return Bolt(
        id="upper.mount#1",
        at=add(where.at, scale(OUT, -inside(site) / 2 - sizes["plate.t"])),
        along=OUT,
        size=site.need("axle.upper_bolt"),
        grade=class_for(site, "upper.mount", site.need("axle.upper_bolt")),
        through=("AP2", site.port("upper.mount").member, "AP1"),
        duty="pivot",
        hole="close",
        slots=slots if sizes["slot"] else {},
    )


def foot_weld(sizes: Sizes, site: Site, code: str, name: str) -> Weld:
    """An ear's saddle to the axle tube, both faces, stopped short of the ends."""
    return Weld(
        f"axle.upper.{name}",
        code,
        ("saddle",),
        site.port("axle.tube").member,
        "fillet",
        full_leg(site.shop.legs, sizes["plate.t"], site.q("axle.tube_wall")),
        care=frozenset(
            {
                "bushing out",
                "dummy sleeve in",
                "bolt through",
                "seals out",
                "opposite sides in turn",
            }
        ),
        face="both",
        stop=IN / 4,
        order=2,
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Plates AP1 outboard and AP2 inboard, bolt, welds; ports ``ap.cheek.out`` and ``.in``."""
    bolt_square(site, "upper_bolt", "upper-arm bolt at the axle", "the upper-arm plate")
    beside = inside(site) / 2 + sizes["plate.t"]
    off_casting(site, site.q("upper.mount.y"), beside, "the upper-arm plates", "axle.upper_mount.y")
    where, half = bolted(site), 0.75 * float(radius(site, sizes["slot"]))
    both = (("AP1", "out", 1.0), ("AP2", "in", -1.0))
    plates = {name: plate(sizes, site, where, code, name, out) for code, name, out in both}
    return held(
        Assembly(
            members=tuple(plates.values()),
            bolts=(pivot(sizes, site, where),),
            welds=tuple(foot_weld(sizes, site, code, name) for code, name, _ in both),
            scribes=tuple(
                Scribe(code, "center", line((-half, 0.0), (half, 0.0))) for code, _, _ in both
            ),
            ports={f"ap.cheek.{name}": cheek(sizes, site, made) for name, made in plates.items()},
        ),
        AXLE_UPPER,
    )


def mass(grid: Grid, site: Site) -> Number:
    """Two ears, kg."""
    tall = math.hypot(site.q("axle.upper_mount.x"), site.q("axle.upper_mount.z"))
    wide: Number = radius(site, grid["slot"]) + site.q("axle.tube_diameter") / 2
    return 2 * tall * wide * grid["plate.t"] * STEEL


def housing_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """The bushing's shell and 1/8 in against what is between bolt and tube."""
    tall = math.hypot(site.q("axle.upper_mount.x"), site.q("axle.upper_mount.z"))
    return (
        site.q("axle.upper_bushing_od") / 2 + IN / 8 + 0 * grid["slot"],
        tall - site.q("axle.tube_diameter") / 2,
    )


def top_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Top of the ears at full bump against the rail's bottom, where they pass under it."""
    top = site.q("upper.mount.z") + radius(site, grid["slot"]) + site.q("travel.bump")
    beside = site.q("upper.mount.y") - inside(site) / 2 > site.q("rail.coil.outer") or site.q(
        "upper.mount.y"
    ) + inside(site) / 2 < site.q("rail.coil.outer") - site.q("rail.coil.width")
    return top, site.q("rail.coil.bottom") + (NO_LIMIT if beside else 0.0) + 0 * grid["slot"]


RULES: tuple[Rule, ...] = (
    edge_rule(
        "axle.upper.edge",
        lambda site: site.need("axle.upper_bolt"),
        lambda grid, site: radius(site, grid["slot"]) - grid["slot"] / 2,
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
    sheet="axle brackets",
    about=AXLE_TURNED,
)

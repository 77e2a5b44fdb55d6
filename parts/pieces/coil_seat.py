"""Coil-seat plate: the plate on the rail side that closes the cut and carries the coil mount.

It lies on the plane of the cut, up to the flange corners less one weld leg, and runs two rail
heights past the cut with round ends. A fillet in a round-ended slot ties it to sound wall beside
each end of the cut.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from ..design.weld_size import WELD
from ..geometry import rail_section
from ..geometry.contours import slot
from ..model.assembly import Assembly, Member, Port, Scribe, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Number, add, scale
from ..rules.frame import reinforcement, reinforcement_most, restored
from ..rules.welds import BRIDGED, fillet_most
from ._coil import mount_half
from ._coil_seat_shape import (
    cut_read,
    edges,
    gap_at,
    leg,
    outline,
    plane,
    reaches,
    set_in,
    slot_width,
    strip_width,
)
from ._from_stock import STEEL, plate_keys
from ._holding import held
from ._holds_coil import COIL_PLATE_REST, coil_plate
from ._lengths import IN
from ._rail_places import from_datum
from ._refusals import rail_at_coil, weldable
from ._room_rules import room_rule

SLOT_ENDS = 5 * IN / 8
"""Steel beyond the ends of a slot. The slots run on past the lower corners of the mount, which pull
outward: 1 in, and the plate bends about the slot's end half as much again as it may.
"""


class CutUnderSeat(NamedTuple):
    """The plate over the cut, in its own axes, mm: lower and upper edge; front and rear edge of the
    cut, both 0 under the coil where the rail is whole; how far the plate runs past either.
    """

    low: float
    high: float
    front: float
    rear: float
    reach: float


def cut_of(sizes: Sizes, site: Site) -> CutUnderSeat:
    """From the readings of the cut and the strips that were chosen."""
    under, read = site.q("seat.upper.x"), cut_read(site)
    return CutUnderSeat(
        *edges(site, sizes["strip"], sizes["plate.t"]),
        under - read.last,
        under - read.first,
        2 * site.q("rail.coil.height"),
    )


def slots(site: Site, cut: CutUnderSeat) -> tuple[Loop, ...]:
    """Welding slots beside the cut, clear of the mount with room for both welds."""
    wide, tall = slot_width(site), (cut.high - cut.low) - 2 * SLOT_ENDS
    clear = mount_half(site) + set_in(site) + IN / 8
    middle = site.q("rail.coil.height") / 2
    ahead = min(cut.front - IN / 8, -clear) - wide / 2
    behind = max(cut.rear + IN / 8, clear) + wide / 2
    return (
        slot((ahead, middle), tall, wide, math.pi / 2, "slot1"),
        slot((behind, middle), tall, wide, math.pi / 2, "slot2"),
    )


def body(sizes: Sizes, site: Site, cut: CutUnderSeat) -> Plate:
    """Outline and slots; its ends keep to the flat of the wall."""
    if gap_at(site, set_in(site)) <= BRIDGED:
        flat = edges(site, 0.0, sizes["plate.t"])
    else:
        corner = site.q("frame.corner_radius")
        flat = max(cut.low, corner), min(cut.high, site.q("rail.coil.height") - corner)
    front, rear = cut.front - cut.reach, cut.rear + cut.reach
    loop = outline(front, rear, cut.low, cut.high, flat, site.shop.inner_radius)
    return Plate(sizes.stock("plate"), loop, slots(site, cut))


def marks(cut: CutUnderSeat) -> tuple[Scribe, ...]:
    """The line under the coil, and both edges of the cut if there is one."""
    ride = Scribe("CS1", "ride", (((0.0, cut.low), (0.0, cut.high)),), "AXLE")
    if cut.front == cut.rear:
        return (ride,)
    return (
        ride,
        Scribe("CS1", "mate", tuple(((x, cut.low), (x, cut.high)) for x in (cut.front, cut.rear))),
    )


def long_weld(site: Site, thick: float, edge: str, closes: bool) -> Weld:
    """Along the bottom or top edge: all of it where it closes the cell, else stitched."""
    return Weld(
        f"coil.plate.{edge}",
        "CS1",
        (edge,),
        site.port("rail.coil.side").member,
        "fillet",
        leg(site, thick),
        care=frozenset({"closes the cell: no gap"} if closes else ()),
        run=0.0 if closes else 2 * IN,
        pitch=0.0 if closes else 6 * IN,
        order=2,
    )


def welds(sizes: Sizes, site: Site) -> tuple[Weld, ...]:
    """Round ends, slots, and the long edges that lie on no strip."""
    rail, size = site.port("rail.coil.side").member, leg(site, sizes["plate.t"])
    ends, slotted = ("front_end", "rear_end"), ("slot1", "slot2")
    return (
        Weld("coil.plate.ends", "CS1", ends, rail, "fillet", size, order=3),
        Weld("coil.plate.slots", "CS1", slotted, rail, "fillet", size, order=1),
        *(
            long_weld(site, sizes["plate.t"], edge, closes)
            for edge, closes in zip(("bottom", "top"), reaches(site), strict=True)
            if not (closes and sizes["strip"])
        ),
    )


def top_face(sizes: Sizes, site: Site, cut: CutUnderSeat, plate: Plate) -> Port:
    """Port ``coil.plate``: the outer face, origin under the coil at the rail bottom, x rearward."""
    place, (bottom, top) = plane(site), reaches(site)
    size = {
        "t": sizes["plate.t"],
        "low": cut.low,
        "high": cut.high,
        "front": cut.front,
        "rear": cut.rear,
        "half": plate.outline[0].start[0] - (cut.front - cut.reach),
        "reach": cut.reach,
        "strip": float(sizes["strip"]),
        "bottom": float(bottom),
        "top": float(top),
        "width": float(strip_width(site, sizes["plate.t"])),
    }
    outer = add(place.origin, scale(place.z, sizes["plate.t"]))
    return Port(place._replace(origin=outer), size, "CS1")


def build(sizes: Sizes, site: Site) -> Assembly:
    """The plate of one side and its port ``coil.plate``."""
    weldable(site)
    cut, place = cut_of(sizes, site), plane(site)
    lies = "rail's side" if cut_read(site).whole else "plane of the cut"
    plate = body(sizes, site, cut)
    low, _ = edges(site, float(sizes["strip"]), sizes["plate.t"])
    under = from_datum(site, place.out((0.0, low, 0.0)))
    member = Member(
        "CS1",
        "coil-seat plate",
        "CS",
        plate,
        place,
        ("front_end", "bottom"),
        ref=f"on the {lies}, its line under the coil; lower edge there {under}",
        fixed_after="plates in",
    )
    return held(
        Assembly(
            members=(member,),
            welds=welds(sizes, site),
            scribes=marks(cut),
            ports={"coil.plate": top_face(sizes, site, cut, plate)},
        ),
        coil_plate(not site.open_face()),
        COIL_PLATE_REST,
    )


def mass(grid: Grid, site: Site) -> Number:
    """Plate, and the strips on each flange the cut reaches, by their boxes, kg."""
    cut = cut_read(site)
    span = cut.last - cut.first + 4 * site.q("rail.coil.height")
    strips = (
        sum(reaches(site)) * grid["strip"] * (strip_width(site, grid["plate.t"]) + grid["plate.t"])
    )
    boxes: Number = span * (site.q("rail.coil.height") + strips)
    return boxes * grid["plate.t"] * STEEL


def ratio(which: str, grid: Grid, site: Site) -> Number:
    """Plated / as measured (W or torsion constant) for each thickness of the grid, without and with
    strips.
    """
    rail_at_coil(site)
    rail = rail_section.RailSection(
        width=site.q("rail.coil.width"),
        height=site.q("rail.coil.height"),
        wall=site.q("rail.coil.wall"),
        shape=site.word("frame.section") or "boxed",
        radius=site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0,
    )
    cut = cut_read(site)
    notch = cut.low, cut.high

    def one(thick: float, strip: float) -> float:
        low, top = reaches(site)
        lies = (thick, float(strip_width(site, thick))) if strip and low else (0.0, 0.0)
        found = rail_section.restored(
            rail, notch, thick, edges(site, strip, thick), lies, bool(strip and top)
        )
        return found.get(which, 1.0)

    return np.asarray(np.vectorize(one)(grid["plate.t"], grid["strip"]))


def closing_gap(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Gap behind the plate's edge at a rail corner against what one fillet bridges; none where a
    strip lies on the flange.
    """
    worst = gap_at(site, set_in(site)) if any(reaches(site)) else 0.0
    return worst * (1 - grid["strip"]) + 0 * grid["plate.t"], BRIDGED


FAMILY = Family(
    code="CS",
    title="coil-seat plate",
    where="each side",
    needs=("rail.coil.side",),
    gives=("coil.plate",),
    variables=(
        Variable("plate", "plate", plate_keys),
        Variable("strip", "", lambda shop: (0, 1), 0),
        WELD,
    ),
    rules=(
        Rule(
            "coil.plate.vertical",
            restored,
            lambda grid, site: {"ratio": ratio("vertical", grid, site)},
            "the plated rail carries vertical bending as before",
        ),
        Rule(
            "coil.plate.held",
            restored,
            lambda grid, site: {"ratio": ratio("held", grid, site)},
            "and where its crossmembers hold it sideways",
        ),
        Rule(
            "coil.plate.torsion",
            restored,
            lambda grid, site: {"ratio": ratio("torsion", grid, site)},
            "the cell closed again carries torsion as before",
        ),
        Rule(
            "coil.plate.leg",
            fillet_most,
            lambda grid, site: {
                "t_mm": np.minimum(grid["plate.t"], site.q("rail.coil.wall")),
                "leg_mm": leg(site, grid["plate.t"]),
            },
            "weld no larger than the wall or the plate carries",
        ),
        room_rule(
            "coil.plate.gap", closing_gap, "the plate's edge closes on the flange with one weld"
        ),
        Rule(
            "coil.plate.lateral",
            restored,
            lambda grid, site: {"ratio": ratio("lateral", grid, site)},
            "the plated rail carries sideways bending as before",
        ),
        Rule(
            "coil.plate.thick",
            reinforcement_most,
            lambda grid, site: {"t_mm": grid["plate.t"], "wall_mm": site.q("rail.coil.wall")},
            "plate at most 1.5 times the rail's wall",
        ),
        Rule(
            "coil.plate.rail",
            reinforcement,
            lambda grid, site: {"t_mm": grid["plate.t"], "wall_mm": site.q("rail.coil.wall")},
            "plate no thicker than the rail's wall",
        ),
    ),
    mass=mass,
    build=build,
    sheet="coil tower",
    roles={Role.COIL_PLATE: ("CS1",)},
)

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

import numpy as np

from ..design.weld_size import WELD
from ..geometry.outline import bbox, edge_length, spans
from ..model.assembly import Assembly, Bolt, Interlock, Member, Port, Scribe
from ..model.body import Plate
from ..model.family import Family, Grid, Rule, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Number
from ..rules.seats import seat_collapse
from ..rules.welds import leg_for
from ..rules.yield_lines import plate_lifted
from ..stock.classes import class_for
from ._coil import GUSSET_MOST, coil_od, gusset_at, mount_half, ring_bore, ring_od
from ._coil_mount_plates import plates
from ._coil_mount_shapes import (
    DOWN,
    GUSSET_CLIP,
    GUSSET_UP,
    GUSSET_WELD,
    MOVES,
    UP,
    heights,
    level,
    seat_frame,
    weld_top,
)
from ._coil_mount_welds import welds
from ._conflicts import COIL_ROOM, SEAT
from ._from_stock import STEEL, plate_keys_over, small_bolt
from ._holding import held
from ._holds_coil import COIL_MOUNT, COIL_MOUNT_REST
from ._lengths import IN
from ._refusals import coil_outboard
from ._room_rules import room_rule

TAB = IN
STOP_NEARER = 1.5
"""How much more a newton of the stop asks of the seat than one of the coil, about: it only picks
the case.
"""
BACK_SAYS = "back plate does not collapse between its gussets' lower ends and its own welds"
SEAT_SAYS = "coil seat does not collapse between its gussets under the coil's load"


def height_scale(
    site: Site, gusset: Member, face: Port, sizes: Sizes
) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Ticks up and down a gusset's outer edge from where the seat's underside belongs: every 1/4
    in, whole inches longer.
    """
    assert isinstance(gusset.body, Plate)
    x0, _, x1, _ = bbox(gusset.body.outline)
    edge, way = (x1, -1.0) if abs(x1) > abs(x0) else (x0, 1.0)
    side = 1.0 if gusset.code == "CM3" else -1.0
    at = level(site, face, side * gusset_at(site), sizes["back.t"])
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


def marks(sizes: Sizes, site: Site, members: tuple[Member, ...]) -> tuple[Scribe, ...]:
    """The line under the coil, the gussets' height scales, a cross on the seat."""
    face = site.port("coil.plate")
    low, on, _ = heights(site, face, sizes)
    arm = 2 * IN
    return (
        Scribe("CM1", "ride", (((0.0, low), (0.0, on)),), "AXLE"),
        *(
            Scribe(gusset.code, "scale", height_scale(site, gusset, face, sizes))
            for gusset in members[1:3]
        ),
        Scribe("CM4", "center", (((-arm, 0.0), (arm, 0.0)), ((0.0, -arm), (0.0, arm)))),
    )


def middle_hole(site: Site, seat: Member) -> Bolt:
    """Hole in the seat's middle: the coil's retainer, or a drain where the bump stop stands
    there.
    """
    inside, small = site.word("travel.stop_place") == "inside coil", small_bolt(site.shop)
    return Bolt(
        id="coil.retainer#1",
        at=seat.place.origin,
        along=UP,
        size=small,
        grade="" if inside else class_for(site, "coil.retainer", small),
        through=("CM4",),
        duty="drain" if inside else "mount",
        hole="close",
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """The mount; ports ``coil.mount`` (the seat's underside, z down, with its thickness) and the
    height scale's line.
    """
    members = plates(sizes, site)
    under = {"t": sizes["seat.t"], "bore": ring_bore(site)}
    return held(
        Assembly(
            members=members,
            bolts=(middle_hole(site, members[3]),),
            welds=welds(sizes, site, site.port("coil.plate")),
            interlocks=tuple(
                Interlock(gusset.code, "back", "CM1", tabs_at(gusset), TAB)
                for gusset in members[1:3]
            ),
            scribes=marks(sizes, site, members),
            ports={"coil.mount": Port(seat_frame(site, DOWN), under, "CM4")},
        ),
        COIL_MOUNT,
        COIL_MOUNT_REST,
    )


def tabs_at(gusset: Member) -> tuple[float, float]:
    """Two tabs along a gusset's back edge, one nearer its end than the other so that it goes in one
    way only.
    """
    assert isinstance(gusset.body, Plate)
    long = next(edge_length(e, q) for e, q in spans(gusset.body.outline) if e.name == "back")
    return 0.22 * long, 0.7 * long


def mass(grid: Grid, site: Site) -> Number:
    """Back plate, two gussets, seat and ring by their boxes, kg."""
    half, deep = (
        mount_half(site),
        site.q("seat.upper.y") + coil_od(site) / 2 - site.q("rail.coil.outer"),
    )
    tall = site.q("seat.upper.z") - site.q("rail.coil.bottom") - IN
    return (
        2 * half * tall * grid["back.t"]
        + deep * tall * grid["plate.t"]
        + 2 * half * deep * grid["seat.t"]
        + math.pi * ring_od(site) * 0.6 * IN * grid["ring.t"]
    ) * STEEL


def seat_loaded(grid: Grid, site: Site) -> Mapping[str, Number]:
    """The seat in the case that asks most of it; the mount waits while the loads do.

    Refused where the coil stands behind the face its mount would stand on: there is no seat.
    """
    face = site.port("coil.plate").frame
    span = 2 * gusset_at(site)
    out = site.q("seat.upper.y") - face.origin[1] - grid["back.t"]
    coil_outboard(site, float(np.min(out)))
    given: dict[str, Number] = {
        "span_mm": span,
        "deep_mm": out + coil_od(site) / 2 + 3 * IN / 8,
        "at_mm": out,
        "coil_radius_mm": site.q("spring.mean_diameter") / 2,
        "stop_radius_mm": stop_radius(site),
        "fy_MPa": grid["seat.fy"],
        "t_mm": grid["seat.t"] + 0 * grid["plate.t"] + 0 * grid["ring.t"],
    }
    coil, stop = site.force("coil"), site.force("seat_stop")
    most = int(np.argmax(coil + STOP_NEARER * stop))
    return {**given, "coil_N": float(coil[most]), "stop_N": float(stop[most])}


def back_loaded(grid: Grid, site: Site) -> Mapping[str, Number]:
    """The back plate in the case that asks most of it; the mount waits while the loads do."""
    face, legs = site.port("coil.plate"), site.shop.legs
    back, rib = grid["back.t"], gusset_at(site)
    low = face.size["low"] + leg_for(legs, back, face.size["t"])
    end = GUSSET_UP + GUSSET_CLIP + GUSSET_WELD
    aside = mount_half(site) - rib - grid["plate.t"] - leg_for(legs, grid["plate.t"], back)
    push = float(site.force("seat").max())
    return {
        "moment_Nmm": push * (site.q("seat.upper.y") - face.frame.origin[1]),
        "ribs_mm": 2 * rib,
        "lifted_mm": weld_top(site, face, grid["seat.t"]) - low - end,
        "held_mm": end + 0 * grid["ring.t"],
        "beside_mm": aside,
        "fy_MPa": grid["back.fy"],
        "t_mm": back,
    }


def stop_radius(site: Site) -> float:
    """Of the ring the stop pushes on: its spacer is at least three quarters as wide as it is; the
    coil's own where it stands beside the coil.
    """
    if site.word("travel.stop_place") != "inside coil" or not site.has("travel.stop_diameter"):
        return site.q("spring.mean_diameter") / 2
    return 0.375 * site.q("travel.stop_diameter")


def behind(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Bow of the coil and 1/4 in against the gap between coil and back plate."""
    f = site.port("coil.plate").frame
    return (
        site.q("spring.bow")
        + IN / 4
        + 0 * grid["plate.t"]
        + 0 * grid["ring.t"]
        + 0 * grid["seat.t"],
        site.q("seat.upper.y") - coil_od(site) / 2 - f.origin[1] - grid["back.t"],
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
        Variable("seat", "plate", plate_keys_over(0.25 * IN)),
        Variable(
            "plate",
            "plate",
            lambda shop: tuple(
                p.key for p in shop.plates if 0.25 * IN - 1e-6 <= p.thickness <= GUSSET_MOST + 1e-6
            ),
        ),
        WELD,
    ),
    rules=(
        room_rule("coil.mount.behind", behind, "coil clears the back plate when it bows"),
        Rule("coil.back.collapse", plate_lifted, back_loaded, BACK_SAYS),
        Rule("coil.seat.collapse", seat_collapse, seat_loaded, SEAT_SAYS),
    ),
    mass=mass,
    build=build,
    sheet="coil tower",
    about=COIL_ROOM + SEAT,
    roles={Role.IN_COIL: ("CM4", "CM5")},
)

"""Lower coil seat: a round seat on two saddles over the axle tube, level under the coil at ride
height, with a locating ring.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from ...layout import reader
from ..design.interlock import room
from ..design.site import Refused
from ..geometry.outline import check, circle
from ..model.assembly import Assembly, Interlock, Member, Port, Scribe, Weld
from ..model.body import Edge, Loop, Plate
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame
from ..rules.welds import full_leg, leg_for
from ._coil import coil_od, ring_bore, ring_od
from ._conflicts import AXLE_TURNED, COIL_ROOM, SEAT
from ._from_stock import STEEL, plate_keys_over
from ._holding import held
from ._holds_coil import LOWER_SEAT, LOWER_SEAT_REST
from ._lengths import IN
from ._rail_places import from_datum
from ._room_rules import room_rule
from ._saddles import HORN, on_round, saddle, saddle_end

HALF = math.radians(50.0)
SPREAD = 1.5 * IN
"""Half of the saddle's reach round the tube; saddles this far each side of the seat's centre."""


def saddle_loop(s: Site, t: float, rearward: float) -> Loop:
    """Saddle with the tube's center at the origin; ``rearward`` +1 where local x runs rearward.

    Refused where the seat stands too far from over the tube.
    """
    r, flat = s.q("axle.tube_diameter") / 2, max(HORN, t)
    top = s.q("seat.lower.z") - s.q("axle.z_ride") - t
    mid = -(s.q("seat.lower.x") - s.q("axle.x_ride")) * rearward
    half = coil_od(s) / 2 - IN

    def ends(mid: float) -> tuple[float | None, float | None]:
        over = math.pi / 2
        return saddle_end(r, flat, over, -HALF, (mid + half, top)), saddle_end(
            r, flat, over, HALF, (mid - half, top)
        )

    right, left = ends(mid)
    if right is None or left is None:
        most = next((k * IN / 16 for k in range(160, -1, -1) if None not in ends(k * IN / 16)), 0.0)
        off = s.q("seat.lower.x") - s.q("axle.x_ride")
        raise Refused(
            f"the lower coil seat stands {reader.length(abs(off))}"
            f" {'ahead of' if off > 0 else 'behind'} the axle tube's middle: its saddles have no"
            f" tube under them beyond {reader.length(most)}. Set axle.spring_seat.x"
            f" {reader.length(abs(off) - most)} nearer the tube, or raise axle.spring_seat.z"
        )
    outer = r + flat
    return check(
        (
            Edge("horn_right", on_round((0.0, 0.0), r, r, right)),
            Edge("right", on_round((0.0, 0.0), outer, outer, right)),
            Edge("seat", (mid + half, top)),
            Edge("left", (mid - half, top)),
            Edge("horn_left", on_round((0.0, 0.0), outer, outer, left)),
            *saddle((0.0, 0.0), r, r, left, right - left),
        )
    )


def seat_od(s: Site) -> float:
    """Seat: the coil's outside and 1/8 in all round (practice); more stands in the way of the
    upper-arm bolt's nut.
    """
    return coil_od(s) + IN / 4


def _winds(s: Site) -> int:
    """Which way the wire leaves the pig-tail's stop seen from above on the side shown: 1
    counter-clockwise (right hand), -1, 0 without one.
    """
    return {"right hand": 1, "left hand": -1}.get(s.word("spring.pigtail"), 0)


def pigtail_stop(s: Site) -> tuple[Scribe, ...]:
    """Where the coil's lower end stands, at the rear of the seat, and a stroke along the wire the
    way it leaves (practice, no source).
    """
    turn = _winds(s)
    if not turn:
        return ()
    low, high = ring_od(s) / 2 + IN / 16, coil_od(s) / 2
    mid = (low + high) / 2
    along = tuple(
        (mid * math.cos(turn * math.radians(a)), mid * math.sin(turn * math.radians(a)))
        for a in (0, 5, 10, 15, 20)
    )
    return (Scribe("LS1", "pig-tail", (((low, 0.0), (high, 0.0)), along)),)


def pigtail_ref(s: Site) -> str:
    """The same in the fitter's words; empty for a coil without a pig-tail."""
    if not _winds(s):
        return ""
    # the drawing is of the part as it lies on the truck: words are not mirrored, so the hand is the
    # coil's own
    hand = s.words["spring.pigtail"]
    way = "counterclockwise" if hand == "right hand" else "clockwise"
    return (
        f"; {hand} pig-tail ends against the mark at the rear, wire {way} from it seen from above"
    )


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Seat LS1, saddles LS2 outboard and LS3 inboard, ring LS4, and their welds.

    Under a small coil there is no room for tabs: the seat goes on by its scribe lines.
    """
    t = d["plate.t"]
    x, y, z = s.q("seat.lower.x"), s.q("seat.lower.y"), s.q("seat.lower.z")
    flat = Frame((x, y, z - t), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    od = seat_od(s)
    seat = Member(
        "LS1",
        "lower coil seat",
        "LS",
        Plate(d["plate"], circle((0.0, 0.0), od, "rim")),
        flat,
        ("rim", "rim"),
        fixed_after="axle prepared",
        ref=f"level at ride height; top face {from_datum(s, (x, y, z))}{pigtail_ref(s)}",
    )
    centre = (s.q("axle.x_ride"), y, s.q("axle.z_ride"))
    saddles = []
    for code, side in (("LS2", 1.0), ("LS3", -1.0)):
        at = (centre[0], y + side * SPREAD, centre[2])
        saddles.append(
            Member(
                code,
                f"lower seat saddle, {'out' if side > 0 else 'in'}board",
                "LS",
                Plate(d["plate"], saddle_loop(s, t, side)),
                Frame(at, (-side, 0.0, 0.0), (0.0, side, 0.0)),
                ("saddle", "seat"),
                fixed_after="axle prepared",
                ref="on the axle tube, under the seat",
            )
        )
    bore = ring_bore(s)
    ring = Member(
        "LS4",
        "coil locating ring, lower",
        "LS",
        Plate(
            d["ring"], circle((0.0, 0.0), ring_od(s), "rim"), (circle((0.0, 0.0), bore, "bore"),)
        ),
        flat._replace(origin=(x, y, z)),
        ("rim", "rim"),
        fixed_after="axle prepared",
        ref="in the middle of the lower seat, inside the coil",
    )
    tube, leg = s.port("axle.tube").member, leg_for(s.shop.legs, t, s.q("axle.tube_wall"))
    care = frozenset({"seals out", "opposite sides in turn", "coil out"})
    welds = []
    for n, c in (("out", "LS2"), ("in", "LS3")):
        welds.append(
            Weld(
                f"seat.saddle.{n}",
                c,
                ("saddle",),
                tube,
                "fillet",
                leg,
                care=care,
                face="both",
                stop=IN / 4,
                order=2,
            )
        )
        welds.append(
            Weld(
                f"seat.top.{n}",
                c,
                ("seat",),
                "LS1",
                "fillet",
                full_leg(s.shop.legs, t),
                care=care,
                face="both",
                stop=IN / 4,
                order=1,
            )
        )
    welds.append(
        Weld(
            "seat.ring",
            "LS4",
            ("rim",),
            "LS1",
            "fillet",
            leg_for(s.shop.legs, t),
            run=1.5 * IN,
            pitch=3 * IN,
            order=1,
        )
    )
    marks: tuple[Scribe, ...] = (
        Scribe(
            "LS1",
            "centre",
            (((-od / 2.2, 0.0), (od / 2.2, 0.0)), ((0.0, -od / 2.2), (0.0, od / 2.2))),
        ),
    )
    marks += pigtail_stop(s)
    ports = {"seat.lower": Port(flat._replace(origin=(x, y, z)), {"bore": bore}, "LS1")}
    foot, aside = coil_od(s) / 2 - IN, 3 * IN / 8
    fits = foot - aside >= room(IN, s.shop.inner_radius) / 2
    locks = tuple(
        Interlock(c, "seat", "LS1", (foot + off,), IN)
        for c, off in (("LS2", aside), ("LS3", -aside))
        if fits
    )
    return held(
        Assembly((seat, *saddles, ring), (), tuple(welds), locks, marks, ports),
        LOWER_SEAT,
        LOWER_SEAT_REST,
    )


def mass(v: Grid, s: Site) -> Any:
    """Seat, saddles, ring, kg."""
    seat = math.pi * seat_od(s) ** 2 / 4
    return (1.6 * seat * v["plate.t"] + math.pi * ring_od(s) * 0.6 * IN * v["ring.t"]) * STEEL


def tall(v: Grid, s: Site) -> tuple[Any, Any]:
    """Seat's thickness and a gap for the torch against the height from tube to seat."""
    return (
        v["plate.t"] + IN / 4 + 0 * v["ring.t"],
        s.q("seat.lower.z") - s.q("axle.z_ride") - s.q("axle.tube_diameter") / 2,
    )


FAMILY = Family(
    code="LS",
    title="lower coil seat",
    where="each side",
    needs=("axle.tube",),
    gives=("seat.lower",),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("ring", "plate", plate_keys_over(0.375 * IN)),
    ),
    rules=(room_rule("seat.tall", tall, "seat stands clear of the axle tube"),),
    mass=mass,
    build=build,
    place="axle",
    about=AXLE_TURNED + COIL_ROOM + SEAT,
)

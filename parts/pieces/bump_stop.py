"""Bump stop: spacer tube and cap that carry it, and the pad it lands on, square to the stop at
contact and under it there.

Inside the coil the spacer hangs from the coil seat and the pad stands on the lower seat; beside it
the spacer hangs from a base plate under the rail and the pad is saddled on the axle tube. The pad
is set forward or back by what the axle moves between ride and bump.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

from ...layout import reader
from ..design.site import Refused
from ..geometry.outline import check, circle, rectangle
from ..model.assembly import Assembly, Bolt, Member, Weld
from ..model.body import Edge, Loop, Plate, Tube, TubeEnd
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, Vec3, add, scale
from ..rules.welds import leg_for
from ._coil import ring_od
from ._conflicts import COIL_ROOM
from ._from_stock import STEEL, plate_keys_over, tube_keys_between
from ._holding import held
from ._holds_coil import BUMP_STOP, BUMP_STOP_REST
from ._lengths import IN, round_down, tape_step
from ._rail_places import from_datum
from ._refusals import weldable
from ._room_rules import NO_LIMIT, room_rule

INSIDE = "inside coil"
LEG_HALF = 0.7 * IN
APART = 0.4 * IN
"""Half width of a pad's leg, and from the pad's middle to its legs' inside faces: both within the
locating ring.
"""
SADDLE = math.radians(30.0)
DOWN: Vec3 = (0.0, 0.0, -1.0)
Y: Vec3 = (0.0, 1.0, 0.0)


class Landing(NamedTuple):
    """Frame in the middle of what the pad's legs stand on (x rearward, z up, square to the stop at
    bump), and the length from stop seat to pad.
    """

    place: Frame
    inside: bool
    room: float


def turn(s: Site) -> float:
    """How far the axle's nose comes up from ride to bump, rad."""
    return s.q("pinion.up_at_bump") - s.q("pinion.up")


def landing(s: Site) -> Landing:
    """Where the stop lands, on the axle at ride height.

    The pad leans back by the turn the axle still makes.
    """
    back = -turn(s)
    fore, up = (math.cos(back), 0.0, -math.sin(back)), (math.sin(back), 0.0, math.cos(back))
    if s.word("travel.stop_place") == INSIDE:
        seat = (s.q("seat.lower.x") - s.q("axle.x_ride"), s.q("seat.lower.z") - s.q("axle.z_ride"))
        c, n = math.cos(turn(s)), math.sin(turn(s))
        at_bump = s.q("axle.x_bump") + seat[0] * c + seat[1] * n
        x = s.q("seat.lower.x") + s.q("seat.upper.x") - at_bump
        at: Vec3 = (x, s.q("seat.lower.y"), s.q("seat.lower.z"))
        return Landing(Frame(at, scale(fore, -1.0), up), True, s.q("stop.spacer"))
    ahead = s.q("travel.stop_x") - s.q("axle.x_bump")
    centre: Vec3 = (s.q("axle.x_ride"), s.q("travel.stop_y"), s.q("axle.z_ride"))
    return Landing(
        Frame(add(centre, scale(fore, ahead)), scale(fore, -1.0), up), False, s.q("stop.spacer")
    )


def pad_height(s: Site, t: Any) -> Any:
    """Top of the pad above what its legs stand on: an inch of leg on the lower seat, half an inch
    over the axle tube.
    """
    return (IN if s.word("travel.stop_place") == INSIDE else IN / 2) + t


def pad_od(s: Site) -> float:
    """Pad: the stop's diameter and 1/4 in all round (practice)."""
    return s.q("travel.stop_diameter") + IN / 2


def spacer(s: Site, t: Any) -> Any:
    """Length of the spacer tube: what is left over cap and pad, and over the base plate under a
    rail.
    """
    place = landing(s)
    return place.room - pad_height(s, t) - t - (0.0 if place.inside else t)


def leg_loop(s: Site, t: float, g: Landing) -> Loop:
    """Pad's leg, x rearward, y up to the pad's underside: on the lower seat its foot is level at
    ride, on the tube it is a saddle.
    """
    top = pad_height(s, t) - t
    if g.inside:
        lean = math.tan(-turn(s))
        return check(
            (
                Edge("foot", (-LEG_HALF, lean * LEG_HALF)),
                Edge("rear", (LEG_HALF, -lean * LEG_HALF)),
                Edge("pad", (LEG_HALF, top)),
                Edge("front", (-LEG_HALF, top)),
            )
        )
    r = s.q("axle.tube_diameter") / 2
    mid = s.q("travel.stop_x") - s.q("axle.x_bump")
    a, b = (
        (mid - r * math.sin(SADDLE), r * math.cos(SADDLE)),
        (mid + r * math.sin(SADDLE), r * math.cos(SADDLE)),
    )
    return check(
        (
            Edge("foot", a, -math.tan(SADDLE / 2)),
            Edge("rear", b),
            Edge("pad", (LEG_HALF, r + top)),
            Edge("front", (-LEG_HALF, r + top)),
        )
    )


def pad(d: Mapping[str, Any], s: Site, g: Landing) -> tuple[list[Member], list[Weld]]:
    """Pad BP3 on legs BP4 outboard and BP5 inboard."""
    t, f = d["plate.t"], g.place
    rise = pad_height(s, t) - t + (0.0 if g.inside else s.q("axle.tube_diameter") / 2)
    ref = (
        "on the lower coil seat, inside the ring" if g.inside else "on the axle tube under the stop"
    )
    lean = math.degrees(-turn(s))
    made = [
        Member(
            "BP3",
            "bump pad",
            "BP",
            Plate(d["plate"], circle((0.0, 0.0), pad_od(s), "rim")),
            f._replace(origin=add(f.origin, scale(f.z, rise))),
            ("rim", "rim"),
            fixed_after="set-down",
            ref=(
                f"{ref}, leaned {lean:+.1f} deg (nose down is +) so that it is square to the stop"
                f" at full bump; its middle {from_datum(s, f.origin)}"
            ),
        )
    ]
    found, on = [], s.port("seat.lower" if g.inside else "axle.tube").member
    for code, out, name in (("BP4", APART, "out"), ("BP5", -APART - t, "in")):
        place = Frame(add(f.origin, (0.0, out, 0.0)), f.x, Y)
        made.append(
            Member(
                code,
                f"bump pad leg, {name}board",
                "BP",
                Plate(d["plate"], leg_loop(s, t, g)),
                place,
                ("foot", "front"),
                fixed_after="set-down",
                ref=ref,
            )
        )
        found += [
            Weld(
                f"stop.leg.{name}.foot",
                code,
                ("foot",),
                on,
                "fillet",
                leg_for(s.shop.legs, t),
                face="both",
                stop=IN / 8,
                order=15,
            ),
            Weld(
                f"stop.leg.{name}.pad",
                code,
                ("pad",),
                "BP3",
                "fillet",
                leg_for(s.shop.legs, t),
                face="both",
                stop=IN / 8,
                order=14,
            ),
        ]
    return made, found


def hung(d: Mapping[str, Any], s: Site, g: Landing) -> tuple[list[Member], list[Weld]]:
    """Spacer BP1, cap BP2, and base plate BP6 where it hangs from the rail."""
    t, step = d["plate.t"], tape_step(s.shop)
    length = round_down(float(spacer(s, t)), step)
    made, found = [], []
    if g.inside:
        at: Vec3 = (s.q("seat.upper.x"), s.q("seat.upper.y"), s.q("seat.upper.z"))
        on, ref = s.port("coil.mount").member, "under the coil seat's middle, inside the ring"
    else:
        weldable(s)
        at, base, welds = base_plate(d, s)
        made.append(base)
        found += welds
        on, ref = "BP6", "under the base plate"
    body = Tube(d["tube"], length, (TubeEnd(), TubeEnd()))
    made.append(
        Member(
            "BP1",
            "bump-stop spacer",
            "BP",
            body,
            Frame(at, DOWN, (1.0, 0.0, 0.0)),
            fixed_after="set-down",
            ref=ref,
        )
    )
    cap = Frame(add(at, (0.0, 0.0, -length)), (-1.0, 0.0, 0.0), DOWN)
    made.append(
        Member(
            "BP2",
            "bump-stop cap",
            "BP",
            Plate(d["plate"], circle((0.0, 0.0), round_down(d["tube.od"] + IN / 4), "rim")),
            cap,
            ("rim", "rim"),
            fixed_after="set-down",
            ref=(
                "on the spacer's lower end; the stop's nut is welded inside before the spacer is"
                " closed"
            ),
        )
    )
    found += [
        Weld(
            "stop.spacer.top",
            "BP1",
            ("end0",),
            on,
            "fillet",
            leg_for(s.shop.legs, d["tube.wall"], t),
            care=frozenset({"stop out"}),
            order=14,
        ),
        Weld(
            "stop.spacer.cap",
            "BP1",
            ("end1",),
            "BP2",
            "fillet",
            leg_for(s.shop.legs, d["tube.wall"], t),
            care=frozenset({"stop out", "nut in first"}),
            order=13,
        ),
    ]
    return made, found


def base_plate(d: Mapping[str, Any], s: Site) -> tuple[Vec3, Member, list[Weld]]:
    """BP6 on the rail's bottom, long edges along the rail; the middle of its under side.

    Refused where the stop is not under the rail.
    """
    port, t = s.port("rail.stop.bottom"), d["plate.t"]
    f, wide, corner = port.frame, port.size["width"], port.size["corner"]
    x = (s.q("travel.stop_x") - f.origin[0]) / f.x[0]
    y = (s.q("travel.stop_y") - f.out((x, 0.0, 0.0))[1]) / f.y[1]
    half = d["tube.od"] / 2 + IN / 4
    if y - half < corner or y + half > wide - corner:
        raise Refused(
            f"the bump stop at {reader.length(s.q('travel.stop_y'))} from the center line does not"
            f" stand under the flat of the rail ({reader.length(wide)} wide): move travel.stop_y"
            " under the rail, or put the stop inside the coil"
        )
    loop = rectangle(
        x - half - IN / 2,
        corner,
        x + half + IN / 2,
        wide - corner,
        IN / 4,
        ("outer", "front", "inner", "rear"),
    )
    member = Member(
        "BP6",
        "bump-stop base plate",
        "BP",
        Plate(d["plate"], loop),
        f,
        ("rear", "outer"),
        fixed_after="set-down",
        ref="under the rail, long edges along it",
    )
    weld = Weld(
        "stop.base",
        "BP6",
        ("outer", "inner"),
        port.member,
        "fillet",
        leg_for(s.shop.legs, t, port.size["wall"]),
        stop=IN / 4,
        order=12,
    )
    at = f.out((x, y, t))
    return at, member, [weld]


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Spacer, cap, pad and legs, and the hole for the stop's stud."""
    g = landing(s)
    stand, pad_welds = pad(d, s, g)
    above, welds = hung(d, s, g)
    cap = next(m for m in above if m.code == "BP2")
    stud = Bolt(
        "stop.stud#1",
        cap.place.origin,
        DOWN,
        s.need("travel.stop_bolt"),
        "stud of the stop",
        ("BP2",),
        "mount",
        "normal",
    )
    return held(
        Assembly((*above, *stand), (stud,), (*welds, *pad_welds)), BUMP_STOP, BUMP_STOP_REST
    )


def mass(v: Grid, s: Site) -> Any:
    """Tube, cap, pad and legs, kg."""
    tube = math.pi * (v["tube.od"] - v["tube.wall"]) * v["tube.wall"] * s.q("spring.at_bump")
    return (tube + 2 * pad_od(s) ** 2 * v["plate.t"]) * STEEL


def long_enough(v: Grid, s: Site) -> tuple[Any, Any]:
    """Half an inch of spacer against what the travel leaves over cap, stop and pad."""
    return IN / 2 + 0 * v["plate.t"] + 0 * v["tube.od"], spacer(s, v["plate.t"]) + 0 * v["tube.od"]


def carries(v: Grid, s: Site) -> tuple[Any, Any]:
    """Three quarters of the stop's diameter against the spacer (practice)."""
    return 0.75 * s.q("travel.stop_diameter"), v["tube.od"] + 0 * v["plate.t"]


def in_ring(v: Grid, s: Site) -> tuple[Any, Any]:
    """Cap within the coil: its radius, the bow and 1/4 in against the coil's inside radius; no
    limit beside the coil.
    """
    inside = s.word("travel.stop_place") == INSIDE
    return v["tube.od"] / 2 + IN / 8 + s.q("spring.bow") + IN / 4, (
        (s.q("spring.mean_diameter") - s.q("spring.wire")) / 2
        if inside
        else NO_LIMIT + 0 * v["tube.od"]
    )


def pad_in_coil(v: Grid, s: Site) -> tuple[Any, Any]:
    """Pad where it stands, set off by the axle's walk, against the coil's inside radius less 1/8
    in; no limit beside the coil.
    """
    if s.word("travel.stop_place") != INSIDE:
        return 0.0 * v["plate.t"], NO_LIMIT
    off = abs(landing(s).place.origin[0] - s.q("seat.lower.x"))
    return off + pad_od(s) / 2 + IN / 8 + 0 * v["plate.t"], ring_od(s) / 2


FAMILY = Family(
    code="BP",
    title="bump stop",
    where="each side",
    needs=("coil.mount", "seat.lower", "axle.tube", "rail.stop.bottom"),
    gives=(),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("tube", "tube", tube_keys_between(1.25 * IN, 3.0 * IN)),
    ),
    rules=(
        room_rule("stop.spacer.long", long_enough, "room for a spacer over stop and pad"),
        room_rule("stop.spacer.od", carries, "spacer carries the stop"),
        room_rule("stop.cap", in_ring, "cap clear of the coil when it bows"),
        room_rule(
            "stop.pad", pad_in_coil, "pad covers where the stop lands and stays inside the coil"
        ),
    ),
    mass=mass,
    build=build,
    place="shocks and stops",
    about=COIL_ROOM,
)

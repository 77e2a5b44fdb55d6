"""Where a bump stop lands, and the pad on two legs it lands on, square to it at full bump."""

from __future__ import annotations

import math
from typing import NamedTuple

from ..geometry.contours import circle
from ..geometry.outline import check
from ..model.assembly import Member, Weld
from ..model.body import Edge, Loop, Plate
from ..model.family import FloatOrArray, Site, Sizes
from ..model.vectors import Frame, Vec3, add, scale
from ..rules.welds import leg_for
from ..words.numbers import leaned
from ._coil import LEG_HALF, LEGS_APART
from ._lengths import IN
from ._rail_places import from_datum

INSIDE = "inside coil"
SADDLE = math.radians(30.0)
Y: Vec3 = (0.0, 1.0, 0.0)


class Landing(NamedTuple):
    """Frame in the middle of what the pad's legs stand on (x rearward, z up, square to the stop at
    bump), and the length from stop seat to pad.
    """

    place: Frame
    inside: bool
    room: float


def turn(site: Site) -> float:
    """How far the axle's nose comes up from ride to bump, rad."""
    return site.q("pinion.up_at_bump") - site.q("pinion.up")


def landing(site: Site) -> Landing:
    """Where the stop lands, on the axle at ride height.

    The pad leans back by the turn the axle still makes.
    """
    back = -turn(site)
    fore, up = (math.cos(back), 0.0, -math.sin(back)), (math.sin(back), 0.0, math.cos(back))
    if site.word("travel.stop_place") == INSIDE:
        seat = (
            site.q("seat.lower.x") - site.q("axle.x_ride"),
            site.q("seat.lower.z") - site.q("axle.z_ride"),
        )
        along, above = math.cos(turn(site)), math.sin(turn(site))
        at_bump = site.q("axle.x_bump") + seat[0] * along + seat[1] * above
        x = site.q("seat.lower.x") + site.q("seat.upper.x") - at_bump
        at: Vec3 = (x, site.q("seat.lower.y"), site.q("seat.lower.z"))
        return Landing(Frame(at, scale(fore, -1.0), up), True, site.q("stop.spacer"))
    ahead = site.q("travel.stop_x") - site.q("axle.x_bump")
    center: Vec3 = (site.q("axle.x_ride"), site.q("travel.stop_y"), site.q("axle.z_ride"))
    return Landing(
        Frame(add(center, scale(fore, ahead)), scale(fore, -1.0), up), False, site.q("stop.spacer")
    )


def pad_height(site: Site, thick: FloatOrArray) -> FloatOrArray:
    """Top of the pad above what its legs stand on: an inch of leg on the lower seat, half an inch
    over the axle tube.
    """
    return (IN if site.word("travel.stop_place") == INSIDE else IN / 2) + thick


def pad_od(site: Site) -> float:
    """Pad: the stop's diameter and 1/4 in all round (practice)."""
    return site.q("travel.stop_diameter") + IN / 2


def leg_loop(site: Site, thick: float, under: Landing) -> Loop:
    """Pad's leg, x rearward, y up to the pad's underside: on the lower seat its foot is level at
    ride, on the tube it is a saddle.
    """
    top = pad_height(site, thick) - thick
    if under.inside:
        lean = math.tan(-turn(site))
        return check(
            (
                Edge("foot", (-LEG_HALF, lean * LEG_HALF)),
                Edge("rear", (LEG_HALF, -lean * LEG_HALF)),
                Edge("pad", (LEG_HALF, top)),
                Edge("front", (-LEG_HALF, top)),
            )
        )
    radius = site.q("axle.tube_diameter") / 2
    middle = site.q("travel.stop_x") - site.q("axle.x_bump")
    aside, high = radius * math.sin(SADDLE), radius * math.cos(SADDLE)
    return check(
        (
            Edge("foot", (middle - aside, high), -math.tan(SADDLE / 2)),
            Edge("rear", (middle + aside, high)),
            Edge("pad", (LEG_HALF, radius + top)),
            Edge("front", (-LEG_HALF, radius + top)),
        )
    )


def stands_on(under: Landing) -> str:
    """What the pad's legs stand on, in the fitter's words."""
    if under.inside:
        return "on the lower coil seat, inside the ring"
    return "on the axle tube under the stop"


def pad(sizes: Sizes, site: Site, under: Landing) -> Member:
    """Pad BP3 over its legs."""
    frame, thick = under.place, sizes["plate.t"]
    to_tube = 0.0 if under.inside else site.q("axle.tube_diameter") / 2
    rise = pad_height(site, thick) - thick + to_tube
    return Member(
        "BP3",
        "bump pad",
        "BP",
        Plate(sizes.stock("plate"), circle((0.0, 0.0), pad_od(site), "rim")),
        frame._replace(origin=add(frame.origin, scale(frame.z, rise))),
        ("rim", "rim"),
        fixed_after="set-down",
        ref=(
            f"{stands_on(under)}, {leaned(-turn(site), ' (nose down is +)')} so that it is"
            " square to the stop at full bump; its middle"
            f" {from_datum(site, frame.origin)}"
        ),
    )


def leg(sizes: Sizes, site: Site, under: Landing, code: str, name: str) -> Member:
    """One leg of the pad, BP4 outboard or BP5 inboard."""
    across = LEGS_APART if name == "out" else -LEGS_APART - sizes["plate.t"]
    return Member(
        code,
        f"bump pad leg, {name}board",
        "BP",
        Plate(sizes.stock("plate"), leg_loop(site, sizes["plate.t"], under)),
        Frame(add(under.place.origin, (0.0, across, 0.0)), under.place.x, Y),
        ("foot", "front"),
        fixed_after="set-down",
        ref=stands_on(under),
    )


def leg_welds(sizes: Sizes, site: Site, under: Landing, code: str, name: str) -> tuple[Weld, ...]:
    """One leg's foot and its end at the pad, both faces."""
    seat = site.port("seat.lower" if under.inside else "axle.tube").member
    return tuple(
        Weld(
            f"stop.leg.{name}.{end}",
            code,
            (end,),
            onto,
            "fillet",
            leg_for(site.shop.legs, sizes["plate.t"]),
            face="both",
            stop=IN / 8,
            order=order,
        )
        for end, onto, order in (("foot", seat, 15), ("pad", "BP3", 14))
    )

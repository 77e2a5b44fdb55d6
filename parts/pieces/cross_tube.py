"""Cross tube: the round tube across the truck that carries the arm brackets and the transmission.

One straight tube parallel to y in three pieces. Stubs stay on the truck with the arm brackets; the
center section bolts between their flanges and comes out downward. This family chooses the tube, its
place and the parting planes (port ``cross.tube``) and makes the center section; ``cross_stub``
makes what is on each side.
"""

from __future__ import annotations

import math
from typing import NamedTuple, cast, overload

from ..model.assembly import Assembly, Bolt, Member, Port
from ..model.body import Tube, TubeEnd
from ..model.family import Family, Grid, Site, Sizes, Variable
from ..model.vectors import Frame, Number
from ..rules.welds import smallest_leg
from ..words import numbers as shown
from ._from_stock import STEEL, tube_keys_between
from ._holding import held
from ._holds_cross import TUBE
from ._lengths import IN, round_down, tape_step
from ._room_rules import room_rule

SHIM = (
    IN / 32
)  # between the flanges, so the center drops out after welding has drawn the stubs; practice
PAST_WELD = IN / 16  # tube ends stop the inside weld's leg and this behind the parting face
SEAT_MARGIN = IN / 2  # steel below the tube in the side plate
BELOW_JOINT = IN / 2  # tube axis below the frame joint, if the belly limit leaves it
SLIDE = IN  # each way, arm bracket along the tube
CHEEK_ROOM = 0.4375 * IN  # thickest ear and its weld the parting plane leaves room for
SOCKET_ROOM = 1.75 * IN  # outboard of the flange: bolt out, socket on
FLANGE_ROOM = 0.5 * IN


def axis_x(site: Site) -> float:
    """x of the tube's axis: the crossmember's place behind the frame joints."""
    return sum(site.pair("rail.cross.x")) / 2


@overload
def axis_z(site: Site, od: float) -> float: ...
@overload
def axis_z(site: Site, od: Number) -> Number: ...
def axis_z(site: Site, od: Number) -> Number:
    """z of the tube's axis: half an inch below the frame joint, higher where the side plate below
    it would pass the belly limit.

    ``od``: the tube's outside diameter, mm, a float or an array of the grid's shape; z, mm,
    likewise. Waiting where a reading is owed.
    """
    joint = min(site.pair("arm.joint.z"))
    low: Number = joint - BELOW_JOINT
    if site.has("wanted.belly_limit"):
        low = _larger(
            low,
            max(site.pair("rail.cross.bottom"))
            - site.q("wanted.belly_limit")
            + od / 2
            + SEAT_MARGIN,
        )
    return _smaller(low, joint)


def _larger(one: Number, other: Number) -> Number:
    return (one + other + cast(Number, abs(one - other))) / 2


def _smaller(one: Number, other: Number) -> Number:
    return (one + other - cast(Number, abs(one - other))) / 2


def bracket_inner(site: Site, od: Number) -> Number:
    """Least y the arm bracket reaches on the tube when it stands at the inner end of its slide, the
    lesser of both sides.
    """
    reach = []
    half = site.q("arms.joint_width") / 2 + IN / 64 + CHEEK_ROOM
    for y, slant, x in zip(
        site.pair("arm.joint.y"), site.pair("arm.slant"), site.pair("arm.joint.x"), strict=True
    ):
        back = abs(x - axis_x(site)) + od / 2
        reach.append(y - half * math.cos(slant) - back * abs(math.sin(slant)) - SLIDE)
    return _smaller(*reach)


@overload
def parting(site: Site, od: float) -> float: ...
@overload
def parting(site: Site, od: Number) -> Number: ...
def parting(site: Site, od: Number) -> Number:
    """Distance of both parting planes from the center line: inboard of the brackets' slide with
    room for bolt and socket, and clear of the front shaft where it passes over a flange.

    ``od``: the tube's outside diameter, mm, a float or an array of the grid's shape; the distance,
    mm, likewise. Waiting where a reading is owed.
    """
    most = bracket_inner(site, od) - SOCKET_ROOM - FLANGE_ROOM
    if site.has("driveline.output.y") and site.has("driveline.shaft_od"):
        beside = (
            abs(site.q("driveline.output.y"))
            - site.q("driveline.shaft_od") / 2
            - IN / 2
            - FLANGE_ROOM
            - 0.5 * IN
        )
        most = _smaller(most, beside)
    return most


class Axis(NamedTuple):
    """The tube's axis: its ``x`` and height ``z`` on the truck, half the center section's length,
    the parting planes' distance from the center line and how far a tube's end stops behind them,
    mm.
    """

    x: float
    z: float
    half: float
    parting: float
    recess: float


def axis_of(sizes: Sizes, site: Site) -> Axis:
    """Lengths rounded to what the shop cuts, once."""
    od = sizes["tube.od"]
    plane = round_down(parting(site, od), IN / 8)
    recess = float(smallest_leg(site.shop.legs, sizes["tube.wall"])) + PAST_WELD
    half = round_down(plane - SHIM / 2 - recess, tape_step(site.shop) / 2)
    return Axis(axis_x(site), axis_z(site, od), half, plane, recess)


def drains(axis: Axis, od: float) -> tuple[Bolt, Bolt]:
    """Holes at the tube's lowest line, 2 in from its ends, that let water out."""
    left, right = (
        Bolt(
            id=f"cross.drain#{number}",
            at=(axis.x, side * (axis.half - 2 * IN), axis.z - od / 2),
            along=(0.0, 0.0, -1.0),
            size="3/8-16",
            grade="",
            through=("XT3.C",),
            duty="drain",
            hole=f"{0.375 * IN:.3f}",
        )
        for number, side in ((1, 1.0), (2, -1.0))
    )
    return left, right


def build(sizes: Sizes, site: Site) -> Assembly:
    """Center tube with drain holes, and port ``cross.tube`` (origin on its axis at the center
    plane, x across the truck).
    """
    axis, across = axis_of(sizes, site), ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    tube = Member(
        "XT3",
        "cross tube, center",
        "XT",
        Tube(sizes.stock("tube"), 2 * axis.half, (TubeEnd(), TubeEnd())),
        Frame((axis.x, -axis.half, axis.z), *across),
        fixed_after="tack",
        ref=f"between the stub flanges, {shown.inches(1 / 32)} shim at each; comes out downward",
    )
    size = {
        "od": sizes["tube.od"],
        "wall": sizes["tube.wall"],
        "parting": axis.parting,
        "shim": SHIM,
        "recess": axis.recess,
        "half": axis.half,
        "slide": SLIDE,
    }
    return held(
        Assembly(
            members=(tube,),
            bolts=drains(axis, sizes["tube.od"]),
            ports={"cross.tube": Port(Frame((axis.x, 0.0, axis.z), *across), size, "XT3.C")},
        ),
        TUBE,
    )


def center_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Half of the least center section (pad and flanges), and the parting plane's distance (mm)."""
    pad = (
        abs(site.q("driveline.mount.y")) + site.q("driveline.mount.bolt_dy") / 2 + 1.5 * IN
        if site.has("driveline.mount.y")
        else 3 * IN
    )
    return pad + FLANGE_ROOM, parting(site, grid["tube.od"])


def behind_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Joint housing, 1/8 in, a 1/4 in bridge and the tube's radius, and how far the tube's axis is
    behind the joints (mm).
    """
    return site.q("arms.joint_housing") / 2 + 0.375 * IN + grid["tube.od"] / 2, min(
        site.pair("arm.joint.x")
    ) - axis_x(site)


def mass(grid: Grid, site: Site) -> Number:
    """Whole tube, rail to rail, kg."""
    od, wall = grid["tube.od"], grid["tube.wall"]
    return math.pi * (od - wall) * wall * 2 * max(site.pair("rail.cross.outer")) * STEEL


FAMILY = Family(
    code="XT",
    title="cross tube, center section",
    where="center",
    needs=(),
    gives=("cross.tube",),
    variables=(Variable("tube", "tube", tube_keys_between(2.5 * IN, 4.0 * IN)),),
    rules=(
        room_rule(
            "cross.tube.wall",
            lambda grid, site: (0.1875 * IN, grid["tube.wall"]),
            "tube wall at least 3/16 in",
        ),
        room_rule(
            "cross.parting", center_room, "room between the parting planes for the center section"
        ),
        room_rule(
            "cross.tube.behind",
            behind_room,
            "tube far enough behind the frame joints for joint, bridge and saddle",
        ),
    ),
    mass=mass,
    build=build,
    sheet="crossmember center",
)

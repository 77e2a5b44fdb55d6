"""Upper arm: threaded joint on the radius arm, bushing at the axle, tube between them.

Tack level until the pinion angle has been read.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..model.assembly import Assembly, Member, Port
from ..model.body import Bought, Rod, Tube
from ..model.family import Family, Grid, Site, Sizes, SteelOf, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number, Vec3, add, dot, scale, sub, unit
from ._arm_ends import end_welds, insert
from ._conflicts import ARM_REACH, AXLE_TURNED, THREAD_OF_UPPER
from ._from_stock import STEEL, as_chosen, tube_keys_between
from ._holding import held
from ._holds_links import UPPER_ARMS
from ._lengths import IN, round_near, tape_step
from ._room_rules import room_rule
from ._saddles import eye_end

Y: Vec3 = (0.0, 1.0, 0.0)
BESIDE = IN / 8
"""Beside the tube, within the axle's plates: it sways by some degrees (judgment)."""


def ends(site: Site) -> tuple[Vec3, Vec3]:
    """Bolt at the axle, joint on the radius arm."""
    return (site.q("upper.mount.x"), site.q("upper.mount.y"), site.q("upper.mount.z")), (
        site.q("upper.joint.x"),
        site.q("upper.joint.y"),
        site.q("upper.joint.z"),
    )


class UpperArmLine(NamedTuple):
    """Where an upper arm lies: its ends, the way from axle to radius arm, square up to it, and the
    axis of the joint's bolt, outboard.
    """

    mount: Vec3
    joint: Vec3
    along: Vec3
    up: Vec3
    bolt: Vec3


def arm_of(site: Site) -> UpperArmLine:
    """From the solved ends."""
    mount, joint = ends(site)
    along = unit(sub(joint, mount))
    up = unit(sub((0.0, 0.0, 1.0), scale(along, along[2])))
    return UpperArmLine(mount, joint, along, up, unit(sub(Y, scale(along, dot(along, Y)))))


def tube(sizes: Sizes, site: Site, arm: UpperArmLine) -> Member:
    """Tube UA1; the joint's thread takes up what rounding its length leaves."""
    aslant = math.asin(max(-1.0, min(1.0, dot(arm.along, Y))))
    end, more = eye_end(
        site.q("arms.upper_eye_to_tube"),
        site.q("axle.upper_bushing_od"),
        sizes["tube.od"],
        -aslant,
    )
    length = round_near(site.q("upper.tube") + more, tape_step(site.shop))
    start = add(arm.mount, scale(arm.along, site.q("arms.upper_eye_to_tube") - more))
    return Member(
        "UA1",
        "upper-arm tube",
        "UA",
        Tube(sizes.stock("tube"), length, (end, insert(site, "upper_joint"))),
        Frame.of(start, arm.along, arm.up),
        fixed_after="set-down",
        ref=(
            "between the axle's upper bolt and the joint on the radius arm; tack only until the"
            " pinion angle is read with full weight on"
        ),
    )


def threaded_joint(site: Site, arm: UpperArmLine) -> Member:
    """Joint UA2 about its bolt."""
    width = site.q("arms.upper_joint_width")
    return Member(
        "UA2",
        "upper-arm joint",
        "UA",
        Bought(
            "threaded joint with misalignment spacers, upper arm to radius arm",
            Rod(width, site.q("arms.upper_joint_housing")),
        ),
        Frame.of(add(arm.joint, scale(arm.bolt, -width / 2)), arm.bolt, arm.up),
        fixed_after="set-down",
        ref="in the tabs on the radius arm",
    )


def bushing(site: Site, arm: UpperArmLine) -> Member:
    """Bushing UA3 with its sleeve, across the truck."""
    width = site.q("axle.upper_sleeve")
    body = Rod(width, site.q("axle.upper_bushing_od"), site.q("axle.upper_sleeve_od"))
    return Member(
        "UA3",
        "upper-arm bushing",
        "UA",
        Bought("bushing with sleeve, upper arm to axle", body),
        Frame.of(add(arm.mount, scale(Y, -width / 2)), Y, (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="between the axle's upper-arm plates",
    )


def arm_ports(site: Site, arm: UpperArmLine) -> dict[str, Port]:
    """``upper.joint``: its z along the joint's bolt, outboard; ``upper.mount``: z outboard."""
    joint = {
        "width": site.q("arms.upper_joint_width"),
        "housing": site.q("arms.upper_joint_housing"),
    }
    mount = {"width": site.q("axle.upper_sleeve"), "housing": site.q("axle.upper_bushing_od")}
    return {
        "upper.joint": Port(Frame.of(arm.joint, arm.along, arm.bolt), joint, "UA2"),
        "upper.mount": Port(Frame.of(arm.mount, arm.along, Y), mount, "UA3"),
    }


def build(sizes: Sizes, site: Site) -> Assembly:
    """Tube UA1, joint UA2, bushing UA3; ports ``upper.joint`` and ``upper.mount``."""
    arm = arm_of(site)
    return held(
        Assembly(
            members=(tube(sizes, site, arm), threaded_joint(site, arm), bushing(site, arm)),
            welds=end_welds(
                site, "upper", sizes["tube.wall"], tube="UA1", bushing="UA3", orders=(8, 8)
            ),
            ports=arm_ports(site, arm),
        ),
        UPPER_ARMS,
    )


def room_beside(grid: Grid, site: Site) -> tuple[Number, Number]:
    """A tube with its room to swing, and the room between the axle's plates; nothing is needed for
    the tube that the job names.
    """
    larger = grid["tube.od"] > site.q("arms.upper_tube_od") + IN / 64
    return larger * (grid["tube.od"] + 2 * BESIDE), site.q("axle.upper_sleeve")


def mass(grid: Grid, site: Site) -> Number:
    """Tube, kg."""
    return (
        math.pi
        * (grid["tube.od"] - grid["tube.wall"])
        * grid["tube.wall"]
        * site.q("upper.tube")
        * STEEL
    )


FAMILY = Family(
    code="UA",
    title="upper arm",
    where="each side",
    needs=(),
    gives=("upper.joint", "upper.mount"),
    variables=(Variable("tube", "tube", tube_keys_between(1.0 * IN, 2.0 * IN)),),
    rules=(
        room_rule(
            "upper.tube.od",
            as_chosen("arms.upper_tube_od", "od"),
            "tube at least as large as the job's upper-arm tube",
        ),
        room_rule(
            "upper.tube.wall",
            as_chosen("arms.upper_tube_wall", "wall"),
            "tube wall at least that of the job's upper-arm tube",
        ),
        room_rule(
            "upper.tube.beside",
            room_beside,
            "a tube larger than the job's swings between the axle's plates, 1/8 in each side",
        ),
        room_rule(
            "upper.tube.length",
            lambda grid, site: (2 * grid["tube.od"], site.q("upper.tube") + 0 * grid["tube.od"]),
            "tube at least two diameters long",
        ),
    ),
    mass=mass,
    build=build,
    sheet="radius arm",
    about=ARM_REACH + AXLE_TURNED + THREAD_OF_UPPER,
    roles={Role.UPPER_ARM: ("UA1",)},
    steels=(SteelOf("UA1", "upper-arm tube", "arms.upper_tube_steel"),),
)

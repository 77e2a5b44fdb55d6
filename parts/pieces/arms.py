"""Radius arm: tube between the lower bushing at the axle and the threaded joint at the frame, with
the joint itself.

The tube is coped onto the bushing's shell and takes a threaded insert at the frame end; its length
is the layout's, joint at mid-thread. The frame bolt is level and square to the arm in plan.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..model.assembly import Assembly, Bolt, Member, Port
from ..model.body import Bought, Rod, Tube
from ..model.family import Family, Grid, Site, Sizes, SteelOf, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number, Vec3, add, cross, scale, sub, unit
from ..stock import steel
from ..stock.classes import class_for
from ._arm_ends import end_welds, insert
from ._conflicts import ARM_REACH, FRAME_JOINTS, THREAD_OF_ARM
from ._from_stock import STEEL, as_chosen, tube_keys_between
from ._holding import held
from ._holds_links import ARMS
from ._lengths import IN, round_near, tape_step
from ._rail_places import from_datum
from ._refusals import bolt_square
from ._room_rules import room_rule
from ._saddles import eye_end

ALIKE = 1e-6
"""What a tube of another steel than was read counts heavier, a share."""


def ends(site: Site) -> tuple[Vec3, Vec3]:
    """Lower bolt at the axle and frame joint."""
    return (
        (site.q("arm.bolt.x"), site.q("arm.bolt.y"), site.q("arm.bolt.z")),
        (site.q("arm.joint.x"), site.q("arm.joint.y"), site.q("arm.joint.z")),
    )


def bolt_axis(along: Vec3) -> Vec3:
    """Level, square to the arm in plan, pointing outboard."""
    axis = unit((-along[1], along[0], 0.0))
    return axis if axis[1] > 0 else scale(axis, -1.0)


class ArmLine(NamedTuple):
    """Where an arm lies: its ends, the way from axle to frame, square up to it, and the axis of the
    frame joint's bolt, outboard.
    """

    axle: Vec3
    joint: Vec3
    along: Vec3
    up: Vec3
    bolt: Vec3


def arm_of(site: Site) -> ArmLine:
    """From the solved ends."""
    axle, joint = ends(site)
    along = unit(sub(joint, axle))
    return ArmLine(axle, joint, along, unit(cross(along, (0.0, -1.0, 0.0))), bolt_axis(along))


def tube(sizes: Sizes, site: Site, arm: ArmLine) -> Member:
    """Tube AR1 from the bushing's shell to the threaded insert."""
    end, more = eye_end(
        site.q("arms.eye_to_tube"),
        site.q("axle.lower_bushing_od"),
        sizes["tube.od"],
        site.q("arm.slant"),
    )
    length = round_near(site.q("arm.tube") + more, tape_step(site.shop))
    start = add(arm.axle, scale(arm.along, site.q("arms.eye_to_tube") - more))
    return Member(
        "AR1",
        "radius-arm tube",
        "AR",
        Tube(sizes.stock("tube"), length, (end, insert(site, "joint"))),
        Frame.of(start, arm.along, arm.up),
        fixed_after="full bump",
        ref="between the axle's lower bolt and the frame joint",
    )


def bushing(site: Site, arm: ArmLine) -> Member:
    """Bushing AR2 with its sleeve, across the truck on the axle's lower bolt."""
    width = site.q("axle.lower_sleeve")
    body = Rod(width, site.q("axle.lower_bushing_od"), site.q("axle.lower_sleeve_od"))
    start = add(arm.axle, (0.0, -width / 2, 0.0))
    return Member(
        "AR2",
        "lower arm bushing",
        "AR",
        Bought("bushing with sleeve, arm to axle", body),
        Frame.of(start, (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
        fixed_after="arms",
        ref="on the axle's lower bolt",
    )


def frame_joint(site: Site, arm: ArmLine) -> Member:
    """Threaded joint AR3 about the frame bolt."""
    width = site.q("arms.joint_width")
    return Member(
        "AR3",
        "frame joint",
        "AR",
        Bought(
            "threaded joint with misalignment spacers, arm to frame",
            Rod(width, site.q("arms.joint_housing")),
        ),
        Frame.of(add(arm.joint, scale(arm.bolt, -width / 2)), arm.bolt, (0.0, 0.0, 1.0)),
        fixed_after="arms",
        ref=from_datum(site, arm.joint),
    )


def axle_bolt(site: Site, arm: ArmLine) -> Bolt:
    """The axle's lower bolt; its ears are the axle's own."""
    return Bolt(
        id="arm.bolt#1",
        at=add(arm.axle, (0.0, -site.q("axle.lower_sleeve") / 2, 0.0)),
        along=(0.0, 1.0, 0.0),
        size=site.need("axle.bolt"),
        grade=class_for(site, "arm.bolt", site.need("axle.bolt")),
        through=("AR2",),
        duty="pivot",
        hole="close",
        length=2 * site.q("axle.lower_ear") if site.has("axle.lower_ear") else 0.0,
    )


def arm_ports(sizes: Sizes, site: Site, arm: ArmLine) -> dict[str, Port]:
    """``arm.joint``: its z along the frame bolt, outboard; ``arm.tube``: its x along the arm."""
    joint = {"width": site.q("arms.joint_width"), "housing": site.q("arms.joint_housing")}
    tube_size = {
        "od": sizes["tube.od"],
        "wall": sizes["tube.wall"],
        "from": site.q("arms.eye_to_tube"),
        "length": site.q("arm.tube"),
    }
    return {
        "arm.joint": Port(Frame.of(arm.joint, arm.along, arm.bolt), joint, "AR3"),
        "arm.tube": Port(Frame.of(arm.axle, arm.along, arm.up), tube_size, "AR1"),
    }


def build(sizes: Sizes, site: Site) -> Assembly:
    """Tube AR1, bushing AR2 at the axle, joint AR3 at the frame; ports ``arm.joint`` and
    ``arm.tube``.
    """
    bolt_square(site, "lower_bolt", "lower arm bolt", "the arm's eye")
    arm = arm_of(site)
    return held(
        Assembly(
            members=(tube(sizes, site, arm), bushing(site, arm), frame_joint(site, arm)),
            bolts=(axle_bolt(site, arm),),
            welds=end_welds(
                site, "arm", sizes["tube.wall"], tube="AR1", bushing="AR2", orders=(1, 2)
            ),
            ports=arm_ports(sizes, site, arm),
        ),
        ARMS,
    )


def mass(grid: Grid, site: Site) -> Number:
    """Tube, kg; of two alike the one of the steel read is taken."""
    section = math.pi * (grid["tube.od"] - grid["tube.wall"]) * grid["tube.wall"]
    read = site.word("arms.tube_steel")
    other = grid["tube.fy"] != steel(read).fy if read not in ("", "unknown") else 0.0
    kg: Number = section * site.q("arm.tube") * STEEL * (1 + ALIKE * other)
    return kg


def neck_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Shell and the corner of a tube that meets it aslant, against the reading; nothing is needed
    where the end is coped.
    """
    shell, end = site.q("axle.lower_bushing_od") / 2, site.q("arms.eye_to_tube")
    return (
        shell + grid["tube.od"] / 2 * abs(math.sin(site.q("arm.slant")))
        if end > shell + IN / 16
        else 0.0 * grid["tube.od"]
    ), end


FAMILY = Family(
    code="AR",
    title="radius arm",
    where="each side",
    needs=(),
    gives=("arm.joint", "arm.tube"),
    variables=(Variable("tube", "tube", tube_keys_between(1.5 * IN, 3.0 * IN)),),
    rules=(
        room_rule(
            "arm.tube.od",
            as_chosen("arms.tube_od", "od"),
            "tube at least as large as the job's arm tube",
        ),
        room_rule("arm.eye", neck_room, "a square tube end clears the bushing's shell"),
        room_rule(
            "arm.tube.wall",
            as_chosen("arms.tube_wall", "wall"),
            "tube wall at least that of the job's arm tube",
        ),
    ),
    mass=mass,
    build=build,
    sheet="radius arm",
    about=ARM_REACH + FRAME_JOINTS + THREAD_OF_ARM,
    roles={Role.ARM: ("AR1",)},
    steels=(SteelOf("AR1", "radius-arm tube", "arms.tube_steel"),),
)

"""Upper arm: threaded joint on the radius arm, bushing at the axle, tube between them.

Tack level until the pinion angle has been read.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from ..model.assembly import Assembly, Member, Port, Weld
from ..model.body import Bought, Rod, Tube, TubeEnd
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, Vec3, add, dot, scale, sub, unit
from ..rules.welds import full_leg
from ._conflicts import ARM_REACH, AXLE_TURNED, THREAD_OF_UPPER
from ._from_stock import STEEL, as_chosen, tube_keys_between
from ._holding import held
from ._holds_links import UPPER_ARMS
from ._lengths import IN, round_near, tape_step
from ._room_rules import room_rule
from ._saddles import eye_end

Y: Vec3 = (0.0, 1.0, 0.0)


def ends(s: Site) -> tuple[Vec3, Vec3]:
    """Bolt at the axle, joint on the radius arm."""
    return (s.q("upper.mount.x"), s.q("upper.mount.y"), s.q("upper.mount.z")), (
        s.q("upper.joint.x"),
        s.q("upper.joint.y"),
        s.q("upper.joint.z"),
    )


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Tube UA1, joint UA2, bushing UA3; ports ``upper.joint`` (z along its bolt, outboard) and
    ``upper.mount``.
    """
    mount, joint = ends(s)
    along = unit(sub(joint, mount))
    shell = s.q("axle.upper_bushing_od")
    aslant = math.asin(max(-1.0, min(1.0, dot(along, Y))))
    end, more = eye_end(s.q("arms.upper_eye_to_tube"), shell, d["tube.od"], -aslant)
    start = add(mount, scale(along, s.q("arms.upper_eye_to_tube") - more))
    up = unit(sub((0.0, 0.0, 1.0), scale(along, along[2])))
    insert = TubeEnd(
        "insert",
        depth=s.q("arms.upper_joint_thread"),
        item=f"threaded insert, {s.q('arms.upper_joint_tpi'):.0f} threads per inch",
    )
    # the joint's thread takes up what rounding leaves
    length = round_near(s.q("upper.tube") + more, tape_step(s.shop))
    tube = Member(
        "UA1",
        "upper-arm tube",
        "UA",
        Tube(d["tube"], length, (end, insert)),
        Frame.of(start, along, up),
        fixed_after="set-down",
        ref=(
            "between the axle's upper bolt and the joint on the radius arm; tack only until the"
            " pinion angle is read with full weight on"
        ),
    )
    n = unit(sub(Y, scale(along, dot(along, Y))))
    wide, housing = s.q("arms.upper_joint_width"), s.q("arms.upper_joint_housing")
    ball = Member(
        "UA2",
        "upper-arm joint",
        "UA",
        Bought(
            "threaded joint with misalignment spacers, upper arm to radius arm", Rod(wide, housing)
        ),
        Frame.of(add(joint, scale(n, -wide / 2)), n, up),
        fixed_after="set-down",
        ref="in the tabs on the radius arm",
    )
    width, sleeve = s.q("axle.upper_sleeve"), s.q("axle.upper_sleeve_od")
    bushing = Member(
        "UA3",
        "upper-arm bushing",
        "UA",
        Bought("bushing with sleeve, upper arm to axle", Rod(width, shell, sleeve)),
        Frame.of(add(mount, scale(Y, -width / 2)), Y, (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="between the axle's upper-arm plates",
    )
    welds = (
        Weld(
            "upper.insert",
            "UA1",
            ("end1",),
            "UA1",
            "fillet",
            full_leg(s.shop.legs, d["tube.wall"]),
            care=frozenset({"joint out", "rosettes first"}),
            order=8,
        ),
        Weld(
            "upper.shell",
            "UA1",
            ("end0",),
            "UA3",
            "fillet",
            full_leg(s.shop.legs, d["tube.wall"]),
            care=frozenset({"bushing out", "dummy sleeve in"}),
            order=8,
        ),
    )
    ports = {
        "upper.joint": Port(Frame.of(joint, along, n), {"width": wide, "housing": housing}, "UA2"),
        "upper.mount": Port(Frame.of(mount, along, Y), {"width": width, "housing": shell}, "UA3"),
    }
    return held(Assembly((tube, ball, bushing), (), welds, ports=ports), UPPER_ARMS)


def mass(v: Grid, s: Site) -> Any:
    """Tube, kg."""
    return math.pi * (v["tube.od"] - v["tube.wall"]) * v["tube.wall"] * s.q("upper.tube") * STEEL


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
            "upper.tube.length",
            lambda v, s: (2 * v["tube.od"], s.q("upper.tube") + 0 * v["tube.od"]),
            "tube at least two diameters long",
        ),
    ),
    mass=mass,
    build=build,
    place="arms",
    about=ARM_REACH + AXLE_TURNED + THREAD_OF_UPPER,
)

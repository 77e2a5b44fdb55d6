"""Radius arm: tube between the lower bushing at the axle and the threaded joint at the frame, with
the joint itself.

The tube is coped onto the bushing's shell and takes a threaded insert at the frame end; its length
is the layout's, joint at mid-thread. The frame bolt is level and square to the arm in plan.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from ..model.assembly import Assembly, Bolt, Member, Port, Weld
from ..model.body import Bought, Rod, Tube, TubeEnd
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, Vec3, add, cross, scale, sub, unit
from ..rules.welds import full_leg
from ..stock.classes import class_for
from ._conflicts import ARM_REACH, FRAME_JOINTS, THREAD_OF_ARM
from ._from_stock import STEEL, as_chosen, tube_keys_between
from ._holding import held
from ._holds_links import ARMS
from ._lengths import IN, round_near, tape_step
from ._rail_places import from_datum
from ._refusals import bolt_square
from ._room_rules import room_rule
from ._saddles import eye_end


def ends(s: Site) -> tuple[Vec3, Vec3]:
    """Lower bolt at the axle and frame joint."""
    a = (s.q("arm.bolt.x"), s.q("arm.bolt.y"), s.q("arm.bolt.z"))
    f = (s.q("arm.joint.x"), s.q("arm.joint.y"), s.q("arm.joint.z"))
    return a, f


def bolt_axis(along: Vec3) -> Vec3:
    """Level, square to the arm in plan, pointing outboard."""
    v = unit((-along[1], along[0], 0.0))
    return v if v[1] > 0 else scale(v, -1.0)


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Tube AR1, bushing AR2 at the axle, joint AR3 at the frame; ports ``arm.joint`` and
    ``arm.tube``.
    """
    bolt_square(s, "lower_bolt", "lower arm bolt", "the arm's eye")
    a, f = ends(s)
    along = unit(sub(f, a))
    v = bolt_axis(along)
    up = unit(cross(along, (0.0, -1.0, 0.0)))
    shell = s.q("axle.lower_bushing_od")
    end, more = eye_end(s.q("arms.eye_to_tube"), shell, d["tube.od"], s.q("arm.slant"))
    start = add(a, scale(along, s.q("arms.eye_to_tube") - more))
    tube = Member(
        "AR1",
        "radius-arm tube",
        "AR",
        Tube(
            d["tube"],
            round_near(s.q("arm.tube") + more, tape_step(s.shop)),
            (
                end,
                TubeEnd(
                    "insert",
                    depth=s.q("arms.joint_thread"),
                    item=f"threaded insert, {s.q('arms.joint_tpi'):.0f} threads per inch",
                ),
            ),
        ),
        Frame.of(start, along, up),
        fixed_after="full bump",
        ref="between the axle's lower bolt and the frame joint",
    )
    width, sleeve = s.q("axle.lower_sleeve"), s.q("axle.lower_sleeve_od")
    bushing = Member(
        "AR2",
        "lower arm bushing",
        "AR",
        Bought("bushing with sleeve, arm to axle", Rod(width, shell, sleeve)),
        Frame.of(add(a, (0.0, -width / 2, 0.0)), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
        fixed_after="arms",
        ref="on the axle's lower bolt",
    )
    wide, housing = s.q("arms.joint_width"), s.q("arms.joint_housing")
    joint = Member(
        "AR3",
        "frame joint",
        "AR",
        Bought("threaded joint with misalignment spacers, arm to frame", Rod(wide, housing)),
        Frame.of(add(f, scale(v, -wide / 2)), v, (0.0, 0.0, 1.0)),
        fixed_after="arms",
        ref=from_datum(s, f),
    )
    weld = Weld(
        "arm.insert",
        "AR1",
        ("end1",),
        "AR1",
        "fillet",
        full_leg(s.shop.legs, d["tube.wall"]),
        care=frozenset({"joint out", "rosettes first"}),
        order=1,
    )
    shell_weld = Weld(
        "arm.shell",
        "AR1",
        ("end0",),
        "AR2",
        "fillet",
        full_leg(s.shop.legs, d["tube.wall"]),
        care=frozenset({"bushing out", "dummy sleeve in"}),
        order=2,
    )
    pin = Bolt(
        "arm.bolt#1",
        add(a, (0.0, -width / 2, 0.0)),
        (0.0, 1.0, 0.0),
        s.need("axle.bolt"),
        class_for(s, "arm.bolt", s.need("axle.bolt")),
        ("AR2",),
        "pivot",
        "close",
        length=2 * s.q("axle.lower_ear") if s.has("axle.lower_ear") else 0.0,
    )
    ports = {
        "arm.joint": Port(Frame.of(f, along, v), {"width": wide, "housing": housing}, "AR3"),
        "arm.tube": Port(
            Frame.of(a, along, up),
            {
                "od": d["tube.od"],
                "wall": d["tube.wall"],
                "from": s.q("arms.eye_to_tube"),
                "length": s.q("arm.tube"),
            },
            "AR1",
        ),
    }
    return held(Assembly((tube, bushing, joint), (pin,), (weld, shell_weld), ports=ports), ARMS)


def mass(v: Grid, s: Site) -> Any:
    """Tube, kg."""
    return math.pi * (v["tube.od"] - v["tube.wall"]) * v["tube.wall"] * s.q("arm.tube") * STEEL


def neck_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """Shell and the corner of a tube that meets it aslant, against the reading; nothing is needed
    where the end is coped.
    """
    r, end = s.q("axle.lower_bushing_od") / 2, s.q("arms.eye_to_tube")
    return (
        r + v["tube.od"] / 2 * abs(math.sin(s.q("arm.slant")))
        if end > r + IN / 16
        else 0.0 * v["tube.od"]
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
    place="arms",
    about=ARM_REACH + FRAME_JOINTS + THREAD_OF_ARM,
)

"""Arm frame bracket, each side: two ears on the cross-tube stub holding the radius arm's frame
joint, and a bridge between them.

The bolt is square to the arm in plan, so the ears stand at the slant to the tube and are unequal:
each one's foot is the tube's section by its own plane, an ellipse that two arcs follow. The bracket
slides along y until set-down. Bracket axes at the joint: u forward along the arm in plan, v
outboard along the bolt, z up.
"""

from __future__ import annotations

import math

from ..design.weld_size import WELD
from ..geometry.contours import Corner, mirrored, rounded
from ..model.assembly import Assembly, Bolt, Member, Port, Scribe, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, add, scale
from ..rules.welds import full_leg, leg_for
from ..stock.classes import class_for
from ._arm_bracket_place import (
    FOOT_OVER,
    SPAN,
    ArmBracketPlace,
    bridge_back,
    bridge_half,
    foot_face,
    foot_gap,
    spot,
    tube_behind,
)
from ._arm_bracket_rules import RULES, mass
from ._conflicts import ARM_REACH, FRAME_JOINTS
from ._from_stock import plate_keys_over
from ._holding import held
from ._holds_links import ARM_BRACKET, BRIDGE
from ._lengths import IN
from ._outlines import line
from ._rail_places import from_datum
from ._refusals import bolt_square
from ._saddles import ear_on_round


def cheek_outline(axes: ArmBracketPlace, v_mid: float, rearward: bool) -> Loop:
    """Cheek in its own axes (origin on the bolt): end circle about the bolt, foot hollow to the
    tube. ``rearward``: +x points back.
    """
    shift, _ = foot_gap(axes.t, axes.slant)
    open_by = max(0.0, shift / 2 - FOOT_OVER)
    radius = axes.od / 2 + open_by
    loop = ear_on_round(
        (tube_behind(axes, v_mid), -axes.drop),
        radius / math.cos(axes.slant),
        radius,
        SPAN,
        axes.end,
        axes.t,
    )
    if rearward:
        return loop
    return mirrored(loop)


def cheeks(sizes: Sizes, site: Site, axes: ArmBracketPlace) -> tuple[Member, Member]:
    """AB1 outboard (local x rearward) and AB2 inboard (local x forward); z away from the joint, y
    up.
    """
    made = []
    for code, side, title in (
        ("AB1", 1.0, "arm bracket, outboard ear"),
        ("AB2", -1.0, "arm bracket, inboard ear"),
    ):
        outboard = side * (axes.inside + axes.t) / 2
        frame = Frame(
            add(axes.at, scale(axes.v, side * axes.inside / 2)),
            scale(axes.u, -side),
            scale(axes.v, side),
        )
        body = Plate(sizes.stock("plate"), cheek_outline(axes, outboard, side > 0))
        made.append(
            Member(
                code,
                title,
                "AB",
                body,
                frame,
                ("saddle", "end"),
                moves={"y": (-IN, IN)},
                fixed_after="set-down",
                ref=f"on the cross-tube stub, square to the arm; bolt {from_datum(site, axes.at)}",
            )
        )
    return made[0], made[1]


def bridge(sizes: Sizes, axes: ArmBracketPlace) -> Member:
    """AB3: plate between the ears in front of the tube; local x along the bolt outboard, y up, z
    forward.
    """
    width, half_height = axes.inside / 2, bridge_half(axes)
    loop = rounded(
        [
            Corner("low", -width, -half_height),
            Corner("out", width, -half_height),
            Corner("high", width, half_height),
            Corner("in", -width, half_height),
        ]
    )
    origin = add(axes.at, scale(axes.u, -bridge_back(axes)))
    return Member(
        "AB3",
        "arm bracket, bridge",
        "AB",
        Plate(sizes.stock("plate"), loop),
        Frame(origin, axes.v, axes.u),
        ("low", "in"),
        moves={"y": (-IN, IN)},
        fixed_after="set-down",
        ref="between the ears, in front of the tube, clear of the joint",
    )


def bolt(sizes: Sizes, site: Site, axes: ArmBracketPlace) -> Bolt:
    """The joint's bolt, head inboard: it comes out inboard, clear of the side plate."""
    joint = site.port("arm.joint").member
    at = add(axes.at, scale(axes.v, -(axes.inside / 2 + axes.t)))
    slots = {code: (sizes["slot"], axes.u) for code in ("AB2", "AB1")} if sizes["slot"] else {}
    through = ("AB2", joint, "AB1") if joint else ("AB2", "AB1")
    return Bolt(
        id="arm.joint#1",
        at=at,
        along=axes.v,
        size=site.need("arms.joint_bolt"),
        grade=class_for(site, "arm.joint", site.need("arms.joint_bolt")),
        through=through,
        duty="pivot",
        hole="close",
        slots=slots,
    )


def welds(axes: ArmBracketPlace, wall: float) -> tuple[Weld, ...]:
    """Each foot to the tube, bridge to both ears in front."""
    care = frozenset({"joint out", "dummy sleeve in", "bolt through"})
    foot, web = full_leg(axes.legs, axes.t, wall), leg_for(axes.legs, axes.t)
    ears = (("out", "AB1", 1.0), ("in", "AB2", -1.0))
    feet = tuple(
        Weld(
            f"bracket.foot.{name}",
            ear,
            ("saddle",),
            "XT1",
            "fillet",
            foot,
            care=care,
            face=foot_face(axes, side),
            order=2,
        )
        for name, ear, side in ears
    )
    bridged = tuple(
        Weld(
            f"bracket.bridge.{name}",
            "AB3",
            (name,),
            ear,
            "fillet",
            web,
            care=care,
            face="top",
            stop=IN / 4,
            order=1,
        )
        for name, ear, _ in ears
    )
    return (*feet, *bridged)


def scribes(axes: ArmBracketPlace) -> tuple[Scribe, ...]:
    """Joint center lines and the line to the tube's axis on both cheeks."""
    found = []
    for code, side in (("AB1", 1.0), ("AB2", -1.0)):
        back = side * (
            tube_behind(axes, side * (axes.inside + axes.t) / 2)
            - axes.od / 2 / math.cos(axes.slant)
            - IN / 4
        )
        found.append(Scribe(code, "center", line((side * 0.75 * axes.bolt_d, 0.0), (back, 0.0))))
    return tuple(found)


def ports(sizes: Sizes, axes: ArmBracketPlace) -> dict[str, Port]:
    """``bracket.cheek.out`` and ``.in``: on the bolt axis at the outer face of each ear, z away
    from the joint, x along the arm.
    """
    size = {"d": axes.bolt_d, "t": axes.t, "slot": sizes["slot"], "radius": axes.end}
    return {
        f"bracket.cheek.{name}": Port(
            Frame(
                add(axes.at, scale(axes.v, side * (axes.inside / 2 + axes.t))),
                scale(axes.u, -side),
                scale(axes.v, side),
            ),
            size,
            code,
        )
        for name, side, code in (("out", 1.0, "AB1"), ("in", -1.0, "AB2"))
    }


def build(sizes: Sizes, site: Site) -> Assembly:
    """Two ears, bridge, pivot bolt, welds, ports."""
    bolt_square(site, "frame_joint_bolt", "frame joint's bolt", "the arm bracket")
    axes = spot(sizes, site)
    return held(
        Assembly(
            members=(*cheeks(sizes, site, axes), bridge(sizes, axes)),
            bolts=(bolt(sizes, site, axes),),
            welds=welds(axes, site.port("cross.stub").size["wall"]),
            scribes=scribes(axes),
            ports=ports(sizes, axes),
        ),
        ARM_BRACKET,
        BRIDGE,
    )


FAMILY = Family(
    code="AB",
    title="arm frame bracket",
    where="each side",
    needs=("cross.stub", "arm.joint"),
    gives=("bracket.cheek.out", "bracket.cheek.in"),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("slot", "mm", lambda shop: (0.0, IN / 4, IN / 2), IN / 2),
        WELD,
    ),
    rules=RULES,
    mass=mass,
    build=build,
    sheet="arm bracket",
    about=ARM_REACH + FRAME_JOINTS,
    roles={Role.ARM_BRACKET: ("AB1", "AB2")},
)

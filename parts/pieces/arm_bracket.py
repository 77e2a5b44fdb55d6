"""Arm frame bracket, each side: two ears on the cross-tube stub holding the radius arm's frame
joint, and a bridge between them.

The bolt is square to the arm in plan, so the ears stand at the slant to the tube and are unequal:
each one's foot is the tube's section by its own plane, an ellipse that two arcs follow. The bracket
slides along y until set-down. Bracket axes at the joint: u forward along the arm in plan, v
outboard along the bolt, z up.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

import numpy as np

from ..geometry.outline import Corner, mirrored, rounded
from ..model.assembly import Assembly, Bolt, Member, Port, Scribe, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Variable
from ..model.vectors import Frame, Vec3, add, scale
from ..rules.bolts import bearing
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ._from_stock import STEEL, bolt_size, plate_keys_over
from ._lengths import IN
from ._outlines import ear_radius, line
from ._rail_places import from_datum
from ._refusals import bolt_square
from ._room_rules import edge_rule, room_rule
from ._saddles import ear_on_round

INSIDE_EXTRA = IN / 32  # ears to spacers, after weld shrink; practice
ROOT_GAP = 0.5  # mm, most a fillet line may stand off the tube
SPAN = math.radians(120.0)  # of the tube under each foot
MARGIN = IN / 8  # joint housing to bridge and ears at full swing
FOOT_OVER = (
    0.2  # mm by which the tighter face of an ear may bite into the tube line; dressed when fitted
)


class Spot(NamedTuple):
    """The joint and its bracket axes, tube center in them, sizes."""

    at: Vec3
    u: Vec3
    v: Vec3
    slant: float
    inside: float
    t: float
    end: float
    bolt_d: float
    od: float
    back: float
    drop: float
    legs: tuple[float, ...]


def spot(d: Mapping[str, Any], s: Site) -> Spot:
    """Bracket axes and sizes.

    ``back``: the tube's axis behind the joint along x; ``drop``: below it (+).
    """
    at = (s.q("arm.joint.x"), s.q("arm.joint.y"), s.q("arm.joint.z"))
    a = s.q("arm.slant")
    tube = s.port("cross.stub")
    size = bolt_size(s.need("arms.joint_bolt")).d
    end = float(ear_radius(size, d["slot"]))
    o = tube.frame.origin
    return Spot(
        at,
        (math.cos(a), math.sin(a), 0.0),
        (-math.sin(a), math.cos(a), 0.0),
        a,
        s.q("arms.joint_width") + INSIDE_EXTRA,
        d["plate.t"],
        end,
        size,
        tube.size["od"],
        at[0] - o[0],
        at[2] - o[2],
        s.shop.legs,
    )


def tube_behind(g: Spot, v: float) -> float:
    """Distance of the tube's axis behind the joint along u, in the plane ``v`` outboard of it."""
    return (g.back - v * math.sin(g.slant)) / math.cos(g.slant)


def foot_gap(t: Any, slant: float) -> tuple[Any, Any]:
    """How far apart the tube's lines on an ear's two faces are (mm), and what of it is left as root
    gap on the open face.
    """
    shift = t * abs(math.tan(slant))
    return shift, shift / 2 + (shift / 2 - FOOT_OVER + abs(shift / 2 - FOOT_OVER)) / 2


def cheek_outline(g: Spot, v_mid: float, rearward: bool) -> Loop:
    """Cheek in its own axes (origin on the bolt): end circle about the bolt, foot hollow to the
    tube. ``rearward``: +x points back.
    """
    shift, _ = foot_gap(g.t, g.slant)
    open_by = max(0.0, shift / 2 - FOOT_OVER)
    r = g.od / 2 + open_by
    loop = ear_on_round(
        (tube_behind(g, v_mid), -g.drop), r / math.cos(g.slant), r, SPAN, g.end, g.t
    )
    if rearward:
        return loop
    return mirrored(loop)


def cheeks(d: Mapping[str, Any], s: Site, g: Spot) -> tuple[Member, Member]:
    """AB1 outboard (local x rearward) and AB2 inboard (local x forward); z away from the joint, y
    up.
    """
    made = []
    for code, side, title in (
        ("AB1", 1.0, "arm bracket, outboard ear"),
        ("AB2", -1.0, "arm bracket, inboard ear"),
    ):
        v = side * (g.inside + g.t) / 2
        frame = Frame(
            add(g.at, scale(g.v, side * g.inside / 2)), scale(g.u, -side), scale(g.v, side)
        )
        body = Plate(d["plate"], cheek_outline(g, v, side > 0))
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
                ref=f"on the cross-tube stub, square to the arm; bolt {from_datum(s, g.at)}",
            )
        )
    return made[0], made[1]


def bridge_back(g: Spot) -> float:
    """Rear face of the bridge behind the joint along u: 1/32 in clear of the tube at its nearest
    corner.
    """
    return (
        min(tube_behind(g, v) for v in (-g.inside / 2, g.inside / 2))
        - g.od / 2 / math.cos(g.slant)
        - IN / 32
    )


def swing_radius(s: Site, inside: Any) -> Any:
    """Reach of the joint's housing about the ball when it swings: its corner.

    A housing of unread width is the widest that can swing so far between the cheeks.
    """
    r, a = s.q("arms.joint_housing") / 2, s.q("arms.max_joint_angle")
    if s.has("arms.joint_housing_width"):
        return (r**2 + (s.q("arms.joint_housing_width") / 2) ** 2) ** 0.5
    half = (inside / 2 - r * math.sin(a)) / math.cos(a)
    return (r**2 + half**2) ** 0.5


def bridge(d: Mapping[str, Any], g: Spot) -> Member:
    """AB3: plate between the ears in front of the tube; local x along the bolt outboard, y up, z
    forward.
    """
    w, h = g.inside / 2, bridge_half(g)
    loop = rounded(
        [Corner("low", -w, -h), Corner("out", w, -h), Corner("high", w, h), Corner("in", -w, h)]
    )
    origin = add(g.at, scale(g.u, -bridge_back(g)))
    return Member(
        "AB3",
        "arm bracket, bridge",
        "AB",
        Plate(d["plate"], loop),
        Frame(origin, g.v, g.u),
        ("low", "in"),
        moves={"y": (-IN, IN)},
        fixed_after="set-down",
        ref="between the ears, in front of the tube, clear of the joint",
    )


def bridge_half(g: Spot) -> float:
    """Half height of the bridge: inside the ears by a weld leg."""
    return float(g.end - leg_for(g.legs, g.t) - IN / 16)


def bolt(d: Mapping[str, Any], s: Site, g: Spot) -> Bolt:
    """The joint's bolt, head inboard: it comes out inboard, clear of the side plate."""
    joint = s.port("arm.joint").member
    at = add(g.at, scale(g.v, -(g.inside / 2 + g.t)))
    slots = {m: (d["slot"], g.u) for m in ("AB2", "AB1")} if d["slot"] else {}
    through = ("AB2", joint, "AB1") if joint else ("AB2", "AB1")
    return Bolt(
        "arm.joint#1",
        at,
        g.v,
        s.need("arms.joint_bolt"),
        class_for(s, "arm.joint", s.need("arms.joint_bolt")),
        through,
        "pivot",
        "close",
        slots,
    )


def foot_face(g: Spot, side: float) -> Literal["bottom", "top"]:
    """Face of an ear its foot is welded on: outside, unless the slant opens a root gap there that a
    fillet should not have.
    """
    loose = side * g.slant < 0 and foot_gap(g.t, g.slant)[1] > ROOT_GAP
    return "bottom" if loose else "top"


def welds(g: Spot, wall: float) -> tuple[Weld, ...]:
    """Each foot to the tube, bridge to both ears in front."""
    care = frozenset({"joint out", "dummy sleeve in", "bolt through"})
    foot, web = leg_for(g.legs, g.t, wall), leg_for(g.legs, g.t)
    return (
        Weld(
            "bracket.foot.out",
            "AB1",
            ("saddle",),
            "XT1",
            "fillet",
            foot,
            care=care,
            face=foot_face(g, 1.0),
            order=2,
        ),
        Weld(
            "bracket.foot.in",
            "AB2",
            ("saddle",),
            "XT1",
            "fillet",
            foot,
            care=care,
            face=foot_face(g, -1.0),
            order=2,
        ),
        Weld(
            "bracket.bridge.out",
            "AB3",
            ("out",),
            "AB1",
            "fillet",
            web,
            care=care,
            face="top",
            stop=IN / 4,
            order=1,
        ),
        Weld(
            "bracket.bridge.in",
            "AB3",
            ("in",),
            "AB2",
            "fillet",
            web,
            care=care,
            face="top",
            stop=IN / 4,
            order=1,
        ),
    )


def scribes(g: Spot) -> tuple[Scribe, ...]:
    """Joint center lines and the line to the tube's axis on both cheeks."""
    found = []
    for code, side in (("AB1", 1.0), ("AB2", -1.0)):
        back = side * (
            tube_behind(g, side * (g.inside + g.t) / 2) - g.od / 2 / math.cos(g.slant) - IN / 4
        )
        found.append(Scribe(code, "centre", line((side * 0.75 * g.bolt_d, 0.0), (back, 0.0))))
    return tuple(found)


def ports(d: Mapping[str, Any], g: Spot) -> dict[str, Port]:
    """``bracket.cheek.out`` and ``.in``: on the bolt axis at the outer face of each ear, z away
    from the joint, x along the arm.
    """
    size = {"d": g.bolt_d, "t": g.t, "slot": d["slot"], "radius": g.end}
    return {
        f"bracket.cheek.{name}": Port(
            Frame(
                add(g.at, scale(g.v, side * (g.inside / 2 + g.t))),
                scale(g.u, -side),
                scale(g.v, side),
            ),
            size,
            code,
        )
        for name, side, code in (("out", 1.0, "AB1"), ("in", -1.0, "AB2"))
    }


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Two ears, bridge, pivot bolt, welds, ports."""
    bolt_square(s, "frame_joint_bolt", "frame joint's bolt", "the arm bracket")
    g = spot(d, s)
    return Assembly(
        members=(*cheeks(d, s, g), bridge(d, g)),
        bolts=(bolt(d, s, g),),
        welds=welds(g, s.port("cross.stub").size["wall"]),
        scribes=scribes(g),
        ports=ports(d, g),
    )


def mass(v: Grid, s: Site) -> Any:
    """Cheeks and bridge, kg."""
    size = bolt_size(s.need("arms.joint_bolt")).d
    end = 1.5 * size + v["slot"] / 2
    back = s.q("arm.joint.x") - s.port("cross.stub").frame.origin[0]
    width = s.q("arms.joint_width") + INSIDE_EXTRA
    return (2 * (back * 2 * end - end**2) + 2 * end * width) * v["plate.t"] * STEEL


def bridge_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """Reach of the swinging housing with its margin, and what the tube and the bridge leave of the
    way to the tube (mm).
    """
    inside = s.q("arms.joint_width") + INSIDE_EXTRA
    tube, a = s.port("cross.stub"), abs(s.q("arm.slant"))
    back = s.q("arm.joint.x") - tube.frame.origin[0]
    nearest = (back - inside / 2 * math.sin(a) - tube.size["od"] / 2) / math.cos(a) - IN / 32
    return swing_radius(s, inside) + MARGIN, nearest - v["plate.t"]


def end_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """1.5 bolt diameters past the end of the slot, and the end radius there (mm)."""
    d = bolt_size(s.need("arms.joint_bolt")).d
    return 1.5 * d, ear_radius(d, v["slot"]) - v["slot"] / 2


def housing_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """Half width the swung housing takes between the ears, and half their gap less spacer play
    (mm); 0 if its width was not read.
    """
    r, a = s.q("arms.joint_housing") / 2, s.q("arms.max_joint_angle")
    wide = (
        s.q("arms.joint_housing_width") / 2 * math.cos(a) + r * math.sin(a)
        if s.has("arms.joint_housing_width")
        else 0.0
    )
    return wide + 0 * v["plate.t"], (s.q("arms.joint_width") + INSIDE_EXTRA) / 2


def slide_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """Slide with the room a flange socket needs, and the way from the inboard ear to the stub's
    flange (mm).
    """
    tube, a = s.port("cross.stub"), s.q("arm.slant")
    half = (s.q("arms.joint_width") + INSIDE_EXTRA) / 2 + v["plate.t"]
    back = s.q("arm.joint.x") - tube.frame.origin[0] + tube.size["od"] / 2
    return (
        IN + 1.5 * IN,
        s.q("arm.joint.y") - half * math.cos(a) - back * abs(math.sin(a)) - tube.size["low"],
    )


def pull(s: Site) -> float:
    """Largest force at the frame joint over the load cases, N."""
    return float(np.linalg.norm(s.force("joint"), axis=1).max())


def on_cheek(v: Grid, s: Site) -> Mapping[str, Any]:
    """Half of the pull on one ear, toward the end past the slot."""
    size = bolt_size(s.need("arms.joint_bolt"))
    clear = ear_radius(size.d, v["slot"]) - v["slot"] / 2 - size.hole_close / 2
    return {
        "force_N": pull(s) / 2,
        "d_mm": size.d,
        "t_mm": v["plate.t"],
        "fu_MPa": v["plate.fu"],
        "clear_mm": clear,
    }


RULES = (
    Rule(
        "bracket.bearing",
        bearing,
        on_cheek,
        "ear carries its half of the largest force at the frame joint, in bearing and tear-out past"
        " its slot",
    ),
    room_rule(
        "bracket.end_radius",
        end_room,
        "end radius of an ear at least 1.5 bolt diameters past the slot",
    ),
    edge_rule(
        "bracket.edge",
        lambda s: s.need("arms.joint_bolt"),
        lambda v, s: ear_radius(bolt_size(s.need("arms.joint_bolt")).d, v["slot"]) - v["slot"] / 2,
        "joint bolt keeps its edge distance",
    ),
    room_rule(
        "bracket.bridge_clear",
        bridge_room,
        "bridge clear of the joint's housing at full swing by 1/8 in",
    ),
    room_rule("bracket.mouth", housing_room, "joint swings its full angle between the ears"),
    room_rule("bracket.slide", slide_room, "slides 1 in and leaves the flange bolts their socket"),
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
    ),
    rules=RULES,
    mass=mass,
    build=build,
)

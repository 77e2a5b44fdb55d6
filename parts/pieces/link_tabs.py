"""Link tabs: the pair on the radius arm that holds the upper arm's joint, twisted and leaned with
the joint's bolt.

Their planes are square to the bolt and so at an angle to the arm: each foot is the tube's section
by the tab's own plane, and the two are unequal. A tab stands beside the middle of the tube, so its
edge touches along one face; the other side's edge is ground to a bevel, which opens with the
falling round a groove of 60 deg, filled from there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Literal, NamedTuple

import numpy as np

from ..design.site import Refused
from ..geometry.hull import ear
from ..geometry.outline import check
from ..model.assembly import Assembly, Bolt, Groove, Member, Scribe, Weld
from ..model.body import Edge, Loop, Plate
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, add, dot, scale
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ..words import numbers as shown
from ._conflicts import ARM_REACH, AXLE_TURNED
from ._from_stock import STEEL, bolt_size, plate_keys_over
from ._holding import held
from ._holds_links import LINK_TABS
from ._lengths import IN
from ._outlines import ear_radius, line
from ._refusals import bolt_square
from ._room_rules import edge_rule, room_rule
from ._saddles import bulge_through

OPEN = math.radians(60.0)
LAND = IN / 16
CARE = frozenset({"joint out", "dummy sleeve in", "bolt through"})


class Spot(NamedTuple):
    """Where the tabs stand: joint frame (z outboard along the bolt), arm frame, tube radius, gap
    between the tabs, plate, end radius.
    """

    joint: Frame
    arm: Frame
    r: float
    gap: float
    t: float
    end: float


def spot(d: Mapping[str, Any], s: Site) -> Spot:
    """From the ports of the upper arm and of the radius arm."""
    joint, arm = s.port("upper.joint"), s.port("arm.tube")
    return Spot(
        joint.frame,
        arm.frame,
        arm.size["od"] / 2,
        joint.size["width"] + IN / 32,
        d["plate.t"],
        end_radius(s),
    )


def end_radius(s: Site) -> float:
    """1.5 bolt diameters (practice), to the next 1/16 in."""
    return float(ear_radius(bolt_size(s.need("arms.upper_joint_bolt")).d))


def tab_frame(g: Spot, side: float) -> Frame:
    """Origin on the bolt at the tab's inner face, z away from the joint, y up; x along the arm,
    rearward outboard and forward inboard.
    """
    n = g.joint.z
    return Frame.of(
        add(g.joint.origin, scale(n, side * g.gap / 2)), scale(g.arm.x, side), scale(n, side)
    )


def foot(g: Spot, f: Frame, x: float) -> tuple[float, float]:
    """Height of the tube's surface under the tab at ``x``, and the depth into the plate where it is
    highest. Refused if the tab misses the tube.
    """
    best = (-math.inf, 0.0)
    for w in np.linspace(0.0, g.t, 17):
        p, up = g.arm.into(f.out((x, 0.0, float(w)))), f.y
        a = sum(u * v for u, v in zip(up, g.arm.y, strict=True))
        b = sum(u * v for u, v in zip(up, g.arm.z, strict=True))
        k, half, c = a * a + b * b, p[1] * a + p[2] * b, p[1] ** 2 + p[2] ** 2 - g.r**2
        root = half * half - k * c
        if root > 0:
            best = max(best, ((-half + math.sqrt(root)) / k, float(w)))
    if best[0] == -math.inf:
        raise Refused(
            "a link tab would stand beside the arm's tube, not on it: set the upper joint nearer"
            " the arm's middle (upper_inboard) or take a narrower joint"
        )
    return best


def tab_loop(g: Spot, f: Frame, half: float) -> Loop:
    """Tab about the bolt; its "foot" follows the tube in four arcs through exact points."""
    heights = [(x, foot(g, f, x)[0]) for x in np.linspace(-half, half, 9).tolist()]
    first, last = heights[0], heights[-1]
    _, side, end, back = ear(first, last, (0.0, 0.0), g.end)
    edges = []
    for i in range(0, 8, 2):
        p, m, q = heights[i : i + 3]
        edges.append(Edge("foot", p, bulge_through(p, m, q)))
    return check(
        (
            *edges,
            side._replace(name="side_rear"),
            end._replace(name="end"),
            back._replace(name="side_front"),
        )
    )


def preparation(g: Spot, f: Frame) -> Groove:
    """The bevel that opens the groove between the tab's edge and the round to 60 deg at its root,
    to the next 5 deg; a land of 1/16 in is left where it touches. At 60 deg the throat is the
    groove's whole depth [AISC 360-16 table J2.1, V or bevel of 60 deg, any position: unverified].
    """
    high, w = foot(g, f, 0.0)
    p = g.arm.into(f.out((0.0, high, w)))
    square = add(scale(g.arm.y, p[1] / g.r), scale(g.arm.z, p[2] / g.r))
    flat = math.asin(min(1.0, abs(dot(square, f.z))))
    bevel = math.radians(max(0.0, math.ceil(math.degrees(OPEN - flat) / 5 - 1e-6) * 5))
    return Groove(bevel, flat + bevel, LAND, g.t - LAND)


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Tabs LT1 outboard and LT2 inboard and the bolt ``upper.joint#1``."""
    bolt_square(s, "upper_joint_bolt", "upper joint's bolt", "the link tab")
    g = spot(d, s)
    arm, joint = s.port("arm.tube"), s.port("upper.joint")
    half = g.end + 1.125 * IN
    twist, lean = math.degrees(s.q("upper.twist")), math.degrees(s.q("upper.lean"))
    offset = 3 * math.tan(abs(s.q("upper.twist")))
    members, marks, welds = [], [], []
    for code, side, name in (("LT1", 1.0, "out"), ("LT2", -1.0, "in")):
        f = tab_frame(g, side)
        body = Plate(d["plate"], tab_loop(g, f, half))
        members.append(
            Member(
                code,
                f"link tab on the radius arm, {name}board",
                "LT",
                body,
                f,
                ("foot", "end"),
                fixed_after="arms",
                ref=(
                    f"on the arm's tube, bolt {shown.finely(s.q('arms.upper_back'))} from the lower"
                    f" bolt along the arm and {shown.finely(s.q('arms.upper_above'))} above its"
                    f" middle; twisted {twist:+.2f} deg to the arm ({shown.finely(offset * IN)}"
                    f" over {shown.inches(3)}), leaned {lean:+.2f} deg"
                ),
            )
        )
        marks.append(Scribe(code, "centre", line((0.0, -0.75 * g.end), (0.0, 0.75 * g.end))))
        face: Literal["bottom", "top"] = "bottom" if foot(g, f, 0.0)[1] < g.t / 2 else "top"
        prepared = preparation(g, f)
        welds.append(
            Weld(
                f"link.tab.{name}",
                code,
                ("foot",),
                arm.member,
                "groove",
                min(leg_for(s.shop.legs, g.t, arm.size["wall"]), prepared.depth),
                care=CARE,
                face=face,
                stop=0.0,
                order=9,
                groove=prepared,
            )
        )
    start = add(g.joint.origin, scale(g.joint.z, -g.gap / 2 - g.t))
    pin = Bolt(
        "upper.joint#1",
        start,
        g.joint.z,
        s.need("arms.upper_joint_bolt"),
        class_for(s, "upper.joint", s.need("arms.upper_joint_bolt")),
        ("LT2", joint.member, "LT1"),
        "pivot",
        "close",
    )
    return held(Assembly(tuple(members), (pin,), tuple(welds), scribes=tuple(marks)), LINK_TABS)


def mass(v: Grid, s: Site) -> Any:
    """Two tabs by their boxes, kg."""
    return (
        2
        * (2 * end_radius(s) + IN)
        * (s.q("arms.upper_above") + end_radius(s))
        * v["plate.t"]
        * STEEL
    )


def swing(v: Grid, s: Site) -> tuple[Any, Any]:
    """1/8 in against the gap between the joint's housing and the arm's tube."""
    return (
        IN / 8 + 0 * v["plate.t"],
        s.q("arms.upper_above")
        - s.q("arms.upper_joint_housing") / 2
        - s.port("arm.tube").size["od"] / 2,
    )


def depth(v: Grid, s: Site) -> tuple[Any, Any]:
    """How far a tab's outer face stands from the middle of the tube against the tube's radius: a
    foot wholly on it.
    """
    return (
        s.port("upper.joint").size["width"] / 2 + abs(s.q("arms.upper_inboard")) + v["plate.t"],
        s.port("arm.tube").size["od"] / 2,
    )


FAMILY = Family(
    code="LT",
    title="link tabs",
    where="each side",
    needs=("arm.tube", "upper.joint"),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(0.25 * IN)),),
    rules=(
        edge_rule(
            "link.edge",
            lambda s: s.need("arms.upper_joint_bolt"),
            lambda v, s: end_radius(s) + 0 * v["plate.t"],
            "joint bolt keeps its edge distance",
        ),
        room_rule("link.swing", swing, "joint's housing clear of the arm's tube by 1/8 in"),
        room_rule("link.depth", depth, "both faces of a tab stand on the tube"),
    ),
    mass=mass,
    build=build,
    place="arms",
    about=ARM_REACH + AXLE_TURNED,
)

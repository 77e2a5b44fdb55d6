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
from typing import NamedTuple

import numpy as np

from ..design.site import Refused
from ..design.weld_size import WELD
from ..geometry.hull import ear
from ..geometry.outline import check
from ..model.assembly import Assembly, Bolt, Groove, Member, Scribe, Weld
from ..model.body import Edge, Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Sizes, Variable
from ..model.vectors import Frame, Number, add, dot, scale
from ..rules.life import attached_length
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
SIDES = {"out": 1.0, "in": -1.0}
"""Which way a tab's own z points along the bolt."""
CARE = frozenset({"joint out", "dummy sleeve in", "bolt through"})


class TabsPlace(NamedTuple):
    """Where the tabs stand: joint frame (z outboard along the bolt), arm frame, tube ``radius``,
    ``gap`` between the tabs, plate ``thick``, ``end`` radius, mm.
    """

    joint: Frame
    arm: Frame
    radius: float
    gap: float
    thick: float
    end: float


def stand_of(sizes: Sizes, site: Site) -> TabsPlace:
    """From the ports of the upper arm and of the radius arm."""
    joint, arm = site.port("upper.joint"), site.port("arm.tube")
    return TabsPlace(
        joint.frame,
        arm.frame,
        arm.size["od"] / 2,
        joint.size["width"] + IN / 32,
        sizes["plate.t"],
        end_radius(site),
    )


def end_radius(site: Site) -> float:
    """1.5 bolt diameters (practice), to the next 1/16 in."""
    return float(ear_radius(bolt_size(site.need("arms.upper_joint_bolt")).d))


def tab_frame(stand: TabsPlace, side: float) -> Frame:
    """Origin on the bolt at the tab's inner face, z away from the joint, y up; x along the arm,
    rearward outboard and forward inboard.
    """
    bolt = stand.joint.z
    face = add(stand.joint.origin, scale(bolt, side * stand.gap / 2))
    return Frame.of(face, scale(stand.arm.x, side), scale(bolt, side))


def foot(stand: TabsPlace, tab: Frame, x: float) -> tuple[float, float]:
    """Height of the tube's surface under the tab at ``x``, and the depth into the plate where it is
    highest. Refused if the tab misses the tube.
    """
    best = (-math.inf, 0.0)
    rise, into = (
        sum(u * v for u, v in zip(tab.y, axis, strict=True)) for axis in (stand.arm.y, stand.arm.z)
    )
    # a point climbs along the tab's y until it stands on the round: a quadratic in the height
    square = rise * rise + into * into
    for depth_in in np.linspace(0.0, stand.thick, 17):
        start = stand.arm.into(tab.out((x, 0.0, float(depth_in))))
        half = start[1] * rise + start[2] * into
        rest = start[1] ** 2 + start[2] ** 2 - stand.radius**2
        root = half * half - square * rest
        if root > 0:
            best = max(best, ((-half + math.sqrt(root)) / square, float(depth_in)))
    if best[0] == -math.inf:
        raise Refused(
            "a link tab would stand beside the arm's tube, not on it: set the upper joint nearer"
            " the arm's middle (upper_inboard) or take a narrower joint"
        )
    return best


def half_foot(end: Number, thick: Number) -> Number:
    """Half the length of a tab's foot: 1 1/8 in past the end's radius, as far as the tube beside it
    stays in its category, and never less than the end is wide. Floats or arrays, mm.
    """
    longest = attached_length(length_mm=0.0, t_mm=thick)[1]
    return np.maximum(np.minimum(end + 1.125 * IN, np.asarray(longest) / 2), end)


def tab_loop(stand: TabsPlace, tab: Frame) -> Loop:
    """Tab about the bolt; its "foot" follows the tube in four arcs through exact points."""
    half = float(half_foot(stand.end, stand.thick))
    heights = [(x, foot(stand, tab, x)[0]) for x in np.linspace(-half, half, 9).tolist()]
    _, side, end, back = ear(heights[0], heights[-1], (0.0, 0.0), stand.end)
    edges = []
    for i in range(0, 8, 2):
        start, middle, stop = heights[i : i + 3]
        edges.append(Edge("foot", start, bulge_through(start, middle, stop)))
    return check(
        (
            *edges,
            side._replace(name="side_rear"),
            end._replace(name="end"),
            back._replace(name="side_front"),
        )
    )


def preparation(stand: TabsPlace, tab: Frame) -> Groove:
    """The bevel that opens the groove between the tab's edge and the round to 60 deg at its root,
    to the next 5 deg; a land of 1/16 in is left where it touches. At 60 deg the throat is the
    groove's whole depth [AISC 360-16 table J2.1, V or bevel of 60 deg, any position: unverified].
    """
    high, depth_in = foot(stand, tab, 0.0)
    root = stand.arm.into(tab.out((0.0, high, depth_in)))
    square = add(
        scale(stand.arm.y, root[1] / stand.radius), scale(stand.arm.z, root[2] / stand.radius)
    )
    flat = math.asin(min(1.0, abs(dot(square, tab.z))))
    bevel = math.radians(max(0.0, math.ceil(math.degrees(OPEN - flat) / 5 - 1e-6) * 5))
    return Groove(bevel, flat + bevel, LAND, stand.thick - LAND)


def place_words(site: Site) -> str:
    """Where a tab goes on the arm, in the fitter's words."""
    twist, lean = site.q("upper.twist"), site.q("upper.lean")
    offset = 3 * IN * math.tan(abs(twist))
    return (
        f"on the arm's tube, bolt {shown.tape(site.q('arms.upper_back'))} from the lower bolt"
        f" along the arm and {shown.tape(site.q('arms.upper_above'))} above its middle; twisted"
        f" {math.degrees(twist):+.1f} deg to the arm ({shown.tape(offset)} over"
        f" {shown.inches(3)}), {shown.leaned(lean)}"
    )


def tab(sizes: Sizes, site: Site, stand: TabsPlace, code: str, name: str) -> Member:
    """One tab, LT1 outboard or LT2 inboard of the joint."""
    frame = tab_frame(stand, SIDES[name])
    return Member(
        code,
        f"link tab on the radius arm, {name}board",
        "LT",
        Plate(sizes.stock("plate"), tab_loop(stand, frame)),
        frame,
        ("foot", "end"),
        fixed_after="arms",
        ref=place_words(site),
    )


def foot_weld(site: Site, stand: TabsPlace, code: str, name: str) -> Weld:
    """The groove along one tab's foot, on the face that stands off the tube."""
    frame, arm = tab_frame(stand, SIDES[name]), site.port("arm.tube")
    prepared = preparation(stand, frame)
    return Weld(
        f"link.tab.{name}",
        code,
        ("foot",),
        arm.member,
        "groove",
        min(leg_for(site.shop.legs, stand.thick, arm.size["wall"]), prepared.depth),
        care=CARE,
        face="bottom" if foot(stand, frame, 0.0)[1] < stand.thick / 2 else "top",
        stop=0.0,
        order=9,
        groove=prepared,
    )


def joint_bolt(site: Site, stand: TabsPlace) -> Bolt:
    """The joint's bolt, its head inboard."""
    axis = stand.joint.z
    return Bolt(
        id="upper.joint#1",
        at=add(stand.joint.origin, scale(axis, -stand.gap / 2 - stand.thick)),
        along=axis,
        size=site.need("arms.upper_joint_bolt"),
        grade=class_for(site, "upper.joint", site.need("arms.upper_joint_bolt")),
        through=("LT2", site.port("upper.joint").member, "LT1"),
        duty="pivot",
        hole="close",
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Tabs LT1 outboard and LT2 inboard and the bolt ``upper.joint#1``."""
    bolt_square(site, "upper_joint_bolt", "upper joint's bolt", "the link tab")
    stand = stand_of(sizes, site)
    both, half = (("LT1", "out"), ("LT2", "in")), 0.75 * stand.end
    return held(
        Assembly(
            members=tuple(tab(sizes, site, stand, *which) for which in both),
            bolts=(joint_bolt(site, stand),),
            welds=tuple(foot_weld(site, stand, *which) for which in both),
            scribes=tuple(
                Scribe(code, "center", line((0.0, -half), (0.0, half))) for code, _ in both
            ),
        ),
        LINK_TABS,
    )


def mass(grid: Grid, site: Site) -> Number:
    """Two tabs by their boxes, kg."""
    return (
        2
        * (2 * end_radius(site) + IN)
        * (site.q("arms.upper_above") + end_radius(site))
        * grid["plate.t"]
        * STEEL
    )


def swing(grid: Grid, site: Site) -> tuple[Number, Number]:
    """1/8 in against the gap between the joint's housing and the arm's tube."""
    return (
        IN / 8 + 0 * grid["plate.t"],
        site.q("arms.upper_above")
        - site.q("arms.upper_joint_housing") / 2
        - site.port("arm.tube").size["od"] / 2,
    )


def attached(grid: Grid, site: Site) -> Mapping[str, Number]:
    """Length of a foot, and the thickness of its plate."""
    return {"length_mm": 2 * half_foot(end_radius(site), grid["plate.t"]), "t_mm": grid["plate.t"]}


def depth(grid: Grid, site: Site) -> tuple[Number, Number]:
    """How far a tab's outer face stands from the middle of the tube against the tube's radius: a
    foot wholly on it.
    """
    return (
        site.port("upper.joint").size["width"] / 2
        + abs(site.q("arms.upper_inboard"))
        + grid["plate.t"],
        site.port("arm.tube").size["od"] / 2,
    )


FAMILY = Family(
    code="LT",
    title="link tabs",
    where="each side",
    needs=("arm.tube", "upper.joint"),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(0.25 * IN)), WELD),
    rules=(
        edge_rule(
            "link.edge",
            lambda site: site.need("arms.upper_joint_bolt"),
            lambda grid, site: end_radius(site) + 0 * grid["plate.t"],
            "joint bolt keeps its edge distance",
        ),
        room_rule("link.swing", swing, "joint's housing clear of the arm's tube by 1/8 in"),
        room_rule("link.depth", depth, "both faces of a tab stand on the tube"),
        Rule(
            "link.attached",
            attached_length,
            attached,
            "tab's foot short enough for the everyday life of the tube beside it",
        ),
    ),
    mass=mass,
    build=build,
    sheet="radius arm",
    about=ARM_REACH + AXLE_TURNED,
)

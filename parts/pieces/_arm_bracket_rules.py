"""Rules the arm frame bracket is sized by, and its mass."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from ..model.family import Grid, Rule, Site
from ..model.vectors import Number
from ..rules.bolts import bearing_slotted
from ._arm_bracket_place import INSIDE_EXTRA, MARGIN, swing_radius
from ._from_stock import STEEL, bolt_size
from ._lengths import IN
from ._outlines import ear_radius
from ._room_rules import edge_rule, room_rule


def mass(grid: Grid, site: Site) -> Number:
    """Cheeks and bridge, kg."""
    size = bolt_size(site.need("arms.joint_bolt")).d
    end = 1.5 * size + grid["slot"] / 2
    back = site.q("arm.joint.x") - site.port("cross.stub").frame.origin[0]
    width = site.q("arms.joint_width") + INSIDE_EXTRA
    return (2 * (back * 2 * end - end**2) + 2 * end * width) * grid["plate.t"] * STEEL


def bridge_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Reach of the swinging housing with its margin, and what the tube and the bridge leave of the
    way to the tube (mm).
    """
    inside = site.q("arms.joint_width") + INSIDE_EXTRA
    tube, slant = site.port("cross.stub"), abs(site.q("arm.slant"))
    back = site.q("arm.joint.x") - tube.frame.origin[0]
    nearest = (back - inside / 2 * math.sin(slant) - tube.size["od"] / 2) / math.cos(
        slant
    ) - IN / 32
    return swing_radius(site, inside) + MARGIN, nearest - grid["plate.t"]


def end_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """1.5 bolt diameters past the end of the slot, and the end radius there (mm)."""
    across = bolt_size(site.need("arms.joint_bolt")).d
    return 1.5 * across, ear_radius(across, grid["slot"]) - grid["slot"] / 2


def housing_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Half width the swung housing takes between the ears, and half their gap less spacer play
    (mm); 0 if its width was not read.
    """
    radius, most = site.q("arms.joint_housing") / 2, site.q("arms.max_joint_angle")
    wide = (
        site.q("arms.joint_housing_width") / 2 * math.cos(most) + radius * math.sin(most)
        if site.has("arms.joint_housing_width")
        else 0.0
    )
    return wide + 0 * grid["plate.t"], (site.q("arms.joint_width") + INSIDE_EXTRA) / 2


def slide_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Slide with the room a flange socket needs, and the way from the inboard ear to the stub's
    flange (mm).
    """
    tube, slant = site.port("cross.stub"), site.q("arm.slant")
    half = (site.q("arms.joint_width") + INSIDE_EXTRA) / 2 + grid["plate.t"]
    back = site.q("arm.joint.x") - tube.frame.origin[0] + tube.size["od"] / 2
    return (
        IN + 1.5 * IN,
        site.q("arm.joint.y")
        - half * math.cos(slant)
        - back * abs(math.sin(slant))
        - tube.size["low"],
    )


def pull(site: Site) -> float:
    """Largest force at the frame joint over the load cases, N."""
    return float(np.linalg.norm(site.force("joint"), axis=1).max())


def on_cheek(grid: Grid, site: Site) -> Mapping[str, Number]:
    """Half of the pull on one ear, toward the end past the slot."""
    size = bolt_size(site.need("arms.joint_bolt"))
    clear = ear_radius(size.d, grid["slot"]) - grid["slot"] / 2 - size.hole_close / 2
    return {
        "force_N": pull(site) / 2,
        "d_mm": size.d,
        "t_mm": grid["plate.t"],
        "fu_MPa": grid["plate.fu"],
        "clear_mm": clear,
        "slot_mm": grid["slot"],
    }


RULES = (
    Rule(
        "bracket.bearing",
        bearing_slotted,
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
        lambda site: site.need("arms.joint_bolt"),
        lambda grid, site: (
            ear_radius(bolt_size(site.need("arms.joint_bolt")).d, grid["slot"]) - grid["slot"] / 2
        ),
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

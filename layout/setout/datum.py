"""Full-bump datum: where the axle stands at ride height, bump and droop, and the frame height the
wanted look asks for.

One axle center for both sides: it swings about the line of the two frame joints, at the mean of
their heights.
"""

from __future__ import annotations

import math

from ..quantities import Relation
from .relation_rows import each, row

_F = "arms.joint_behind arms.joint_height@L arms.joint_height@R axle.z_bump"


def swing(behind: float, left: float, right: float, z_bump: float, z: float) -> float:
    """x of the axle center at height ``z``, mm, on the circle about the frame-joint line through
    (0, z_bump).

    NaN where the arm cannot reach. mechanics: x0 = F_x + sqrt(rho^2 - (z0 - z_F)^2).
    """
    joint = (left + right) / 2
    rest = behind**2 + (z_bump - joint) ** 2 - (z - joint) ** 2
    return -behind + math.sqrt(rest) if rest >= 0 else math.nan


RELATIONS: tuple[Relation, ...] = (
    row(
        "axle.z_ride",
        "axle.tire_loaded_radius",
        lambda r: r,
        "z0 = loaded tire radius",
        "axle center above the floor at ride height",
    ),
    row(
        "axle.z_bump",
        "axle.z_ride travel.bump",
        lambda z, b: z + b,
        "z_b = z0 + bump",
        "axle center above the floor at full bump",
    ),
    row(
        "axle.z_droop",
        "axle.z_ride travel.droop",
        lambda z, d: z - d,
        "z_d = z0 - droop",
        "axle center above the floor at full droop",
    ),
    row(
        "axle.x_ride",
        f"{_F} axle.z_ride",
        swing,
        "x0 = -X + sqrt(X^2 + (z_b - z_F)^2 - (z0 - z_F)^2), z_F mean of left and right",
        "axle center ahead of the full-bump plumb line at ride height",
    ),
    row(
        "axle.x_bump",
        "",
        lambda: 0.0,
        "0: the plumb line stations are taped from",
        "axle center from the full-bump plumb line at full bump",
    ),
    row(
        "axle.x_droop",
        f"{_F} axle.z_droop",
        swing,
        "x_d = -X + sqrt(X^2 + (z_b - z_F)^2 - (z_d - z_F)^2)",
        "axle center ahead of the full-bump plumb line at full droop, track bar not counted",
    ),
    each(
        "arm.x_ride",
        "arms.joint_behind arms.joint_height axle.z_bump axle.z_ride",
        lambda x, zf, zb, z: swing(x, zf, zf, zb, z),
        "x0 from this side's joint height alone",
        "axle center that this side's arm alone would ask for",
    ),
)

HEIGHT: tuple[Relation, ...] = (
    each(
        "frame.bottom_wanted",
        "axle.z_ride wanted.hub_to_lip frame.lip_to_rail_bottom",
        lambda z, lip, drop: z + lip - drop,
        "z0 + hub to lip - lip to rail bottom",
        "rail bottom above the floor at the hub that the lip height asks for",
    ),
    each(
        "frame.block_miss",
        "frame.bottom_wanted rail.hub.bottom",
        lambda w, b: w - b,
        "rail bottom asked for - taped rail bottom",
        "how much higher the frame is to be blocked (below zero: lower)",
    ),
)

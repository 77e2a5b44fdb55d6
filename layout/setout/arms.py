"""Radius arms: frame joint, center-to-center length, tube on its center line; left and right each
from its own readings.
"""

from __future__ import annotations

import math

from ..quantities import Relation
from .relation_rows import each, on_axle, row

SLANT_ANGLE = each(
    "arm.slant",
    "arms.plan_slant",
    lambda s: s,
    "slant as read",
    "slant of the arm, front end further out +",
    "angle",
)
SLANT_TAPE = each(
    "arm.slant",
    "arms.offset_front arms.offset_rear arms.offset_run",
    lambda f, r, run: math.atan2(f - r, run),
    "atan((front offset - rear offset) / run)",
    SLANT_ANGLE.title,
    "angle",
)


def tube(cc: float, eye: float, shank: float, thread: float, held: float) -> float:
    """Tube on its center line, mm: how long its cope makes it is the part's.

    With the joint at mid-thread: equal adjustment both ways.
    """
    return cc - eye - shank - (thread - held) / 2


RELATIONS: tuple[Relation, ...] = (
    *on_axle("arm.bolt", "axle.lower_mount", "lower bolt of the radius arm", sided=True),
    each(
        "arm.joint.x",
        "arms.joint_behind",
        lambda x: -x,
        "-X",
        "frame joint, from the full-bump plumb line",
    ),
    each(
        "arm.joint.z",
        "arms.joint_height",
        lambda z: z,
        "height as chosen",
        "frame joint, above the floor",
    ),
    each(
        "arm.run",
        "arm.bolt.x arm.bolt.z arm.joint.x arm.joint.z",
        lambda ax, az, fx, fz: math.hypot(ax - fx, az - fz),
        "D = hypot(bolt - joint) in side view",
        "radius arm, bolt to joint in side view",
    ),
    each(
        "arm.joint.y",
        "axle.lower_mount.y arm.run arm.slant",
        lambda y, d, s: y - d * math.tan(s),
        "y_A - D tan(slant)",
        "frame joint, from the center line",
    ),
    each(
        "arm.cc",
        "arm.run arm.slant",
        lambda d, s: d / math.cos(s),
        "L = D / cos(slant)",
        "radius arm, center to center",
    ),
    each(
        "arm.tube",
        "arm.cc arms.eye_to_tube arms.joint_shank_min arms.joint_thread arms.joint_engagement",
        tube,
        "L - eye - (shank + (thread - engagement)/2)",
        "radius-arm tube on its center line, shell to joint end, joint at mid-thread",
    ),
    each(
        "arm.elevation",
        "arm.bolt.z arm.joint.z arm.cc",
        lambda az, fz, cc: math.asin((az - fz) / cc) if abs(az - fz) <= cc else math.nan,
        "asin((z_A - z_F) / L)",
        "radius arm, rising forward +",
        "angle",
    ),
    row(
        "joint.spacing",
        "arm.joint.y@L arm.joint.y@R",
        lambda a, b: a + b,
        "y left + y right",
        "spacing of the frame joints",
    ),
    each(
        "load.wheel",
        "spring.axle_load",
        lambda w: w / 2,
        "axle load / 2",
        "static load on one front wheel",
        "force",
    ),
)

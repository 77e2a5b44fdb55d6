"""What a conflict of the layout is about, in the codes of its diagnosis: a family that stands on
one of these is not cut while there is such a conflict.
"""

from __future__ import annotations

AXLE_TURNED = (
    "pinion_aside",
    "pinion_working",
    "pinion_caster",
    "caster_given",
    "working_given",
    "joints_unequal",
    "shaft_angle",
)
"""How the axle is turned: all that stands on it goes with it."""
ARM_REACH = ("arm_reach",)
FRAME_JOINTS = ("joint_outside", "joints_overlap")
THREAD_OF_ARM = ("thread_used:arm",)
THREAD_OF_UPPER = ("thread_used:upper",)
"""A conflict with a colon is about a family only where its first quantity begins so."""
BAR = ("bar_short", "bar_long", "link_parallel")
COIL_ROOM = ("bump_room", "coil_binds", "coil_loose")
SEAT = ("seat_angle",)

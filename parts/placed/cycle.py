"""Everything about the travel of one truck, and which of it is shown first."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from ...layout.travel import Travel
    from ...layout.travel.limits import Limit
    from ...layout.travel.spin import Spin
    from ...layout.travel.sure import Sure
    from .gap import Gap

MAIN = {
    "caster": "caster",
    "pinion.up": "pinion, nose up",
    "lateral": "axle sideways, left +",
    "fore_aft": "axle forward",
    "wheel.heading": "wheel heading, left +",
    "toe_in": "toe-in",
    "coil.length": "coil length",
    "coil.seat": "coil seats, angle",
    "slip": "shaft longer",
    "pinion.joint": "pinion joint",
    "transfer.joint": "transfer-case joint",
    "frame_joint": "frame joint",
    "upper.radial": "upper bushing squeezed",
    "lower.cone": "lower bushing cone",
    "bar.angle": "track bar, rising",
    "drag.angle": "drag link, rising",
    "roll_center": "roll center above the ground",
    "anti_dive": "anti-dive, %",
    "anti_dive.low": "anti-dive at least, %",
    "anti_dive.high": "anti-dive at most, %",
}
"""Outputs of the tables and what they are called there."""

POSITIONS = (
    "full bump",
    "ride height",
    "full droop",
    "roll, left up",
    "roll, right up",
    "left on its stop",
    "right on its stop",
)
"""Positions of the tables and of the gaps, in their order."""


class Cycle(NamedTuple):
    """Everything about the travel of one truck."""

    travel: Travel
    limits: tuple[Limit, ...]
    gaps: tuple[Gap, ...]
    trims: tuple[str, ...]
    spins: tuple[Spin, ...]
    sure: Sure
    two: Mapping[str, str] = {}
    assumed: tuple[str, ...] = ()

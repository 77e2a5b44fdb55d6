"""The line of the frame joints: not a given but one of the job's main decisions.

Every line and height in reach, solved and ranked with reasons.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .. import units
from ..graph import Graph
from ..job.load import Job
from ..quantities import SIDES, Key
from ..setout import diagnoses, solve
from . import Place, Travel, study
from .outputs import TravelOutputs

IN = units.IN
SPAN, HEIGHTS = 8, (-1.0, 0.0, 1.0)
HOLE = 0.5 * IN
WHOLE = 100.0
"""Anti-dive above which the front rises under braking, per cent."""


class Line(NamedTuple):
    """One candidate.

    ``behind`` of the full-bump plumb line and ``height`` above the floor, mm; ``caster`` change rad
    per mm of heave; ``dive`` per cent (middle of its bracket); ``slip`` in and out, mm; ``joint``
    largest shaft-joint angle, rad; ``shaft`` room of the shaft over the joint line at droop, mm;
    ``ahead`` of the shaft's output joint, mm; ``mount`` distance to the transmission mount, mm;
    ``below`` the rail bottom, mm; ``holes`` how many existing crossmember holes lie within 1/2 in
    of the line; ``conflicts``: codes of what does not fit.
    """

    behind: float
    height: float
    arm: float
    spacing: float
    caster: float
    dive: float
    slip: tuple[float, float]
    joint: float
    shaft: float
    ahead: float
    mount: float
    below: float
    holes: int
    conflicts: tuple[str, ...]

    @property
    def reasons(self) -> tuple[str, ...]:
        """For and against, in words; empty where there is nothing to say.

        Conflicts with what is on the truck, anti-dive above 100 per cent, shaft on the joint line
        at droop, holes that are there already.
        """
        said = [f"does not fit: {conflict.replace('_', ' ')}" for conflict in self.conflicts]
        if self.dive > WHOLE:
            said.append(
                f"anti-dive {self.dive:.0f} per cent, above 100 the front rises under braking"
            )
        if self.shaft < IN / 2:
            said.append("the shaft comes down on the joint line at droop")
        if self.holes:
            said.append(f"meets {self.holes} existing holes")
        return tuple(said)

    @property
    def rank(self) -> tuple[float, ...]:
        """Least first: conflicts, shaft in the way, anti-dive above 100 per cent, holes met, caster
        swing.
        """
        return (
            len(self.conflicts),
            float(self.shaft < IN / 2),
            round(max(self.dive - WHOLE, 0) / 5),
            -self.holes,
            abs(self.caster),
        )


def candidates(job: Job, solved: Graph) -> tuple[Line, ...]:
    """Lines by the inch up to 8 in either way of the one chosen, an inch up and down, best first.

    Empty where the layout waits.
    """
    values = solved.values
    behind = values.get(Key("arms.joint_behind", "C"))
    heights = [values[key] for side in SIDES if (key := Key("arms.joint_height", side)) in values]
    if behind is None or len(heights) < len(SIDES) or study(job, solved).pose is None:
        return ()
    rows = []
    for higher in HEIGHTS:
        for step in range(-SPAN, SPAN + 1):
            line = _line(job, behind + step * IN, [height + higher * IN for height in heights])
            if line is not None:
                rows.append(line)
    return tuple(
        sorted(
            rows,
            key=lambda row: (*row.rank, abs(row.behind - behind), abs(row.height - heights[0])),
        )
    )


def _line(job: Job, behind: float, heights: Sequence[float]) -> Line | None:
    """The job with its frame joints on another line, solved and judged; None where the axle does
    not come to rest from full droop to full bump.
    """
    other = _with_joints(job, behind, heights)
    solved = solve(other)
    values = solved.values
    droop, bump = -values[Key("travel.droop", "C")], values[Key("travel.bump", "C")]
    travel = study(
        other,
        solved,
        [
            Place("full droop", droop, 0.0),
            Place("ride height", 0.0, 0.0),
            Place("full bump", bump, 0.0),
        ],
    )
    if travel.pose is None or not travel.pose.settled.all():
        return None
    found = travel.found
    unread = np.full(3, math.nan)
    caster = found.get(Key("caster", "L"), unread)
    slip = found.get(Key("slip", "C"), unread)
    joints = np.maximum(
        found.get(Key("pinion.joint", "C"), unread), found.get(Key("transfer.joint", "C"), unread)
    )
    height = sum(heights) / 2
    return Line(
        behind=behind,
        height=height,
        arm=values[Key("arm.cc", "L")],
        spacing=values[Key("joint.spacing", "C")],
        caster=float((caster[2] - caster[0]) / (bump - droop)),
        dive=_dive(found),
        slip=(float(-slip.min()), float(slip.max())),
        joint=float(joints.max()),
        shaft=_shaft_room(travel, values, behind, height),
        ahead=-behind - values.get(Key("driveline.output.x", "C"), math.nan),
        mount=abs(-behind - values.get(Key("driveline.mount.x", "C"), math.nan)),
        below=_rail_bottom(values) - height,
        holes=_holes_met(job, values, behind),
        conflicts=tuple(
            dict.fromkeys(
                row.code for row in diagnoses.diagnose(other, solved) if row.severity == "conflict"
            )
        ),
    )


def _with_joints(job: Job, behind: float, heights: Sequence[float]) -> Job:
    """The job as if its frame joints had been chosen ``behind`` the plumb line at ``heights``, left
    and right, mm.
    """
    readings = dict(job.readings)
    chosen = {Key("arms.joint_behind", "C"): behind} | {
        Key("arms.joint_height", side): height for side, height in zip(SIDES, heights, strict=True)
    }
    for key, value in chosen.items():
        readings[key] = readings[key]._replace(value=value)
    return job._replace(readings=readings)


def _dive(found: TravelOutputs) -> float:
    """Anti-dive at ride height, per cent: the middle of its bracket where it has one, NaN where it
    waits.
    """
    if Key("anti_dive", "C") in found:
        return float(found[Key("anti_dive", "C")][1])
    unread = np.full(3, math.nan)
    low, high = (found.get(Key(f"anti_dive.{end}", "C"), unread) for end in ("low", "high"))
    return float((low[1] + high[1]) / 2)


def _shaft_room(travel: Travel, values: Mapping[Key, float], behind: float, height: float) -> float:
    """Room of the shaft over the joint line at full droop, mm: infinite where the shaft does not
    cross the line, NaN without a shaft.
    """
    shaft = travel.gear.shaft
    if shaft is None or travel.linkage is None or travel.pose is None:
        return math.nan
    center, turned = travel.pose.p[0], travel.pose.d[0]
    pinion = center + turned @ (shaft.pinion - travel.linkage.center)
    output = shaft.output
    part = (-behind - output[0]) / (pinion[0] - output[0])
    if not 0 <= part <= 1:
        return math.inf
    radius = values.get(Key("driveline.shaft_od", "C"), 0.0) / 2
    return float(output[2] + part * (pinion[2] - output[2]) - height - radius)


def _holes_met(job: Job, values: Mapping[Key, float], behind: float) -> int:
    """Existing crossmember holes of the frame within ``HOLE`` of the line."""
    return sum(
        1
        for n in range(1, job.counts.get("frame.hole", 0) + 1)
        if job.words.get(f"frame.hole.{n}.use") == "crossmember"
        and abs(values.get(Key(f"frame.hole.{n}.x", "C"), math.inf) + behind) <= HOLE
    )


def _rail_bottom(values: Mapping[Key, float]) -> float:
    """The lower of both rails' bottoms at the first station, mm above the floor; NaN where not
    read.
    """
    keys = [Key("frame.station.1.bottom", side) for side in SIDES]
    return min((values[key] for key in keys if key in values), default=math.nan)

"""The line of the frame joints: not a given but one of the job's main decisions.

Every line and height in reach, solved and ranked with reasons.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from .. import units
from ..graph import Graph
from ..job.load import Job
from ..quantities import Key, Side
from ..setout import diagnoses, solve
from . import Place, study
from .turning import Array

IN = units.IN
SPAN, HEIGHTS = 8, (-1.0, 0.0, 1.0)
SIDES: tuple[Side, ...] = ("L", "R")
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
        """For and against, in words."""
        said = [f"does not fit: {c.replace('_', ' ')}" for c in self.conflicts]
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
    v = solved.values
    x0 = v.get(Key("arms.joint_behind", "C"))
    heights = [v[k] for s in SIDES if (k := Key("arms.joint_height", s)) in v]
    if x0 is None or len(heights) < len(SIDES) or study(job, solved).pose is None:
        return ()
    rows = []
    for dz in HEIGHTS:
        for n in range(-SPAN, SPAN + 1):
            line = _line(job, x0 + n * IN, [h + dz * IN for h in heights])
            if line is not None:
                rows.append(line)
    return tuple(
        sorted(rows, key=lambda r: (*r.rank, abs(r.behind - x0), abs(r.height - heights[0])))
    )


def _line(job: Job, behind: float, heights: Sequence[float]) -> Line | None:
    readings = dict(job.readings)
    readings[Key("arms.joint_behind", "C")] = readings[Key("arms.joint_behind", "C")]._replace(
        value=behind
    )
    for s, h in zip(SIDES, heights, strict=True):
        readings[Key("arms.joint_height", s)] = readings[Key("arms.joint_height", s)]._replace(
            value=h
        )
    other = job._replace(readings=readings)
    g = solve(other)
    v = g.values
    droop, bump = -v[Key("travel.droop", "C")], v[Key("travel.bump", "C")]
    t = study(
        other,
        g,
        [
            Place("full droop", droop, 0.0),
            Place("ride height", 0.0, 0.0),
            Place("full bump", bump, 0.0),
        ],
    )
    if t.pose is None or not t.pose.settled.all():
        return None

    def f(name: str, side: Side = "C") -> Array:
        return t.found.get(Key(name, side), np.full(3, math.nan))

    c = f("caster", "L")
    dive = (
        f("anti_dive")[1]
        if Key("anti_dive", "C") in t.found
        else (f("anti_dive.low")[1] + f("anti_dive.high")[1]) / 2
    )
    slip, joints = f("slip"), np.maximum(f("pinion.joint"), f("transfer.joint"))
    out = t.gear.shaft
    shaft = math.nan
    z = sum(heights) / 2
    if out is not None and t.linkage is not None:
        a, b = t.pose.p[0] + t.pose.d[0] @ (out.pinion - t.linkage.centre), out.output
        k = (-behind - b[0]) / (a[0] - b[0])
        shaft = (
            float(b[2] + k * (a[2] - b[2]) - z - v.get(Key("driveline.shaft_od", "C"), 0.0) / 2)
            if 0 <= k <= 1
            else math.inf
        )
    holes = sum(
        1
        for n in range(1, job.counts.get("frame.hole", 0) + 1)
        if job.words.get(f"frame.hole.{n}.use") == "crossmember"
        and abs(v.get(Key(f"frame.hole.{n}.x", "C"), math.inf) + behind) <= HOLE
    )
    found = tuple(
        dict.fromkeys(d.code for d in diagnoses.diagnose(other, g) if d.severity == "conflict")
    )
    bottom = min(
        (v[k2] for s in SIDES if (k2 := Key("frame.station.1.bottom", s)) in v), default=math.nan
    )
    return Line(
        behind,
        z,
        v[Key("arm.cc", "L")],
        v[Key("joint.spacing", "C")],
        float((c[2] - c[0]) / (bump - droop)),
        float(dive),
        (float(-slip.min()), float(slip.max())),
        float(joints.max()),
        shaft,
        -behind - v.get(Key("driveline.output.x", "C"), math.nan),
        abs(-behind - v.get(Key("driveline.mount.x", "C"), math.nan)),
        bottom - z,
        holes,
        found,
    )

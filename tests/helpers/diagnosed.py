"""The demo with readings that do not fit, one case for every diagnosis of the layout, and the
numbers of their sentences.
"""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

from soapstone.layout.job.load import Job
from soapstone.layout.quantities import Key, Reading
from soapstone.layout.setout import solve
from soapstone.layout.setout.diagnoses import diagnose
from soapstone.layout.setout.diagnosis import Diagnosis

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))
IN, DEG = 25.4, 0.017453292519943295
COIL = {
    "spring.wire": 0.72 * IN,
    "spring.total_coils": 8.75,
    "spring.bind_margin": 0.75 * IN,
    "spring.max_seat_angle": 10 * DEG,
}
BAR = {
    "track_bar.frame_y_low": 14 * IN,
    "track_bar.frame_y_high": 18.5 * IN,
    "track_bar.max_error": 1.5 * DEG,
}
JOINT = {"arms.joint_width": 2.0 * IN}


def changed(job: Job, words: dict[str, str] | None = None, **values: object) -> Job:
    """``axle__kpi=..`` sets a reading on every side it is read on; a pair sets left, right; None
    takes it away.
    """
    rows = dict(job.readings)
    for word, value in values.items():
        name = word.replace("__", ".")
        keys = [q for q in rows if q.name == name] or (
            [Key(name, "C")] if not isinstance(value, tuple) else [Key(name, "L"), Key(name, "R")]
        )
        for q in keys:
            x = value[q.side == "R"] if isinstance(value, tuple) else value
            old = rows.pop(q, Reading(q, (), 0.0, IN / 16))
            if x is not None:
                rows[q] = old._replace(value=float(x))
    return job._replace(readings=rows, words={**job.words, **(words or {})})


def extra(more: dict[str, float]) -> dict[str, object]:
    return {n.replace(".", "__"): v for n, v in more.items()}


def found(job: Job, fixed: dict[Key, Reading] | None = None) -> dict[str, Diagnosis]:
    return {d.code: d for d in diagnose(job, solve(job, fixed))}


CASES: list[tuple[str, dict[str, object], dict[str, str]]] = [
    (
        "arm_reach",
        {"arms__joint_height": 42 * IN, "arms__joint_behind": 15 * IN, "travel__bump": 12 * IN},
        {},
    ),
    ("pinion_aside", {"axle__pinion_joint__y": 8 * IN}, {}),
    ("pinion_working_low", {"wanted__pinion_working": 0.0, "wanted__band_low": 0.65 * DEG}, {}),
    ("pinion_caster", {"wanted__caster_low": 6.5 * DEG, "wanted__caster_high": 8 * DEG}, {}),
    ("bar_short", {"track_bar__length": 30 * IN, **extra(BAR)}, {}),
    ("bar_long", {"track_bar__length": 40 * IN, **extra(BAR)}, {}),
    (
        "bar_level",
        {"steering__pitman_ball__z": 23 * IN, **extra(BAR)},
        {"track_bar.mode": "parallel"},
    ),
    (
        "link_parallel",
        {"steering__pitman_ball__z": 23 * IN, **extra(BAR)},
        {"track_bar.mode": "level"},
    ),
    ("joint_outside", {"arms__plan_slant": (4 * DEG, 6 * DEG), **extra(JOINT)}, {}),
    (
        "joints_overlap",
        {"arms__plan_slant": 20 * DEG, "axle__lower_mount__y": 15 * IN, **extra(JOINT)},
        {},
    ),
    ("thread_used", {"arms__joint_thread": 1.25 * IN}, {}),
    ("bump_room", {"travel__bump": 8 * IN}, {}),
    ("coil_binds", {"travel__bump": 5.9 * IN, **extra(COIL)}, {"spring.ends": "not ground"}),
    ("coil_loose", {"travel__droop": 8 * IN, **extra(COIL)}, {}),
    ("seat_angle", {"spring__pad_wedge": -1 * DEG, **extra(COIL)}, {}),
    (
        "shaft_angle",
        {"driveline__output_axis_down": 3.5 * DEG, "driveline__max_transfer_joint": 0.5 * DEG},
        {},
    ),
    ("sides_differ", {"arms__joint_height": (17.5 * IN, 15.5 * IN)}, {}),
    ("beyond_stations", {"frame__station__2__x": 5 * IN}, {}),
    (
        "block_height",
        {"wanted__hub_to_lip": (24 * IN, 24 * IN), "frame__lip_to_rail_bottom": (15 * IN, 15 * IN)},
        {},
    ),
    (
        "plane_warp",
        {
            f"frame__notch__plane_{n}": (v * IN, v * IN)
            for n, v in (
                ("front_low", 17.5),
                ("front_high", 17.875),
                ("rear_low", 17.5),
                ("rear_high", 17.5),
            )
        },
        {},
    ),
]


def number(text: str, pattern: str) -> float:
    """mm or rad of the number that ``pattern`` catches in a sentence."""
    caught = re.search(pattern, text)
    assert caught, text
    unit = IN if caught[2].startswith("in") else DEG
    return unit * sum(
        float(p.partition("/")[0]) / float(p.partition("/")[2] or 1) for p in caught[1].split()
    )


N = r"([\d./]+(?: \d+/\d+)?) (in|deg)"

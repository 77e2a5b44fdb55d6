"""Layout of a chassis by other means, sharing no code with the tool: own reading of the job file,
vectors, matrices, bisection.

Inches, degrees, pounds-force throughout. Relations: plane and vector geometry; Hooke's law. Left
and right are separate; the right is worked with y outward. Run it on a job file to print its
values: python tests/oracles/independent_setout.py job.toml
"""

from __future__ import annotations

import math
import re
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

Y = np.array([0.0, 1.0, 0.0])


def number(typed: Any) -> float:
    """Inches, degrees or pounds of what is typed: 3, "2 7/8", "17-1/2\\"", "2' 1 1/4\\"", "444.5
    mm".
    """
    if isinstance(typed, dict):
        return number(typed["value"])
    if isinstance(typed, (int, float)):
        return float(typed)
    text = typed.strip()
    scale = 1 / 25.4 if text.endswith("mm") else 1.0
    text = re.sub(r"(mm|in|deg|lbf/in|lbf|\")$", "", text).strip()
    feet, mark, rest = text.partition("'")
    if mark:
        return 12 * float(feet) + (number(rest) if rest.strip() else 0.0)
    sign = -1.0 if text.startswith("-") else 1.0
    return sign * scale * sum(_term(p) for p in re.split(r"[ -]+", text.lstrip("-")) if p)


def _term(text: str) -> float:
    top, _, bottom = text.partition("/")
    return float(top) / float(bottom or 1)


class Read:
    """The job file; ``r("axle.kpi")`` or ``r("arms.plan_slant", "left")``."""

    def __init__(self, path: Path) -> None:
        self.table = tomllib.loads(path.read_text())

    def find(self, name: str) -> Any:
        at: Any = self.table
        for word in name.split("."):
            at = at[word]
        return at

    def __call__(self, name: str, side: str = "") -> float:
        at = self.find(name)
        return number(at["both"] if side and "both" in at else at[side] if side else at)

    def has(self, name: str) -> bool:
        try:
            self.find(name)
        except KeyError:
            return False
        return True


def bisect(f: Callable[[float], float], a: float, b: float) -> float:
    """Root of f between a and b."""
    fa = f(a)
    assert fa * f(b) <= 0, "no change of sign"
    for _ in range(200):
        c = (a + b) / 2
        if f(c) * fa > 0:
            a = c
        else:
            b = c
    return (a + b) / 2


def nose_up(deg: float) -> np.ndarray:
    """Rotation about y that lifts the pinion (behind the axle) by ``deg``."""
    c, s = math.cos(math.radians(deg)), math.sin(math.radians(deg))
    return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])


def angle(a: np.ndarray, b: np.ndarray) -> float:
    """Angle between two vectors, degrees."""
    return math.degrees(math.atan2(np.linalg.norm(np.cross(a, b)), float(a @ b)))


def point(r: Read, name: str, side: str = "") -> np.ndarray:
    """x, y, z of a point."""
    return np.array([r(f"{name}.{a}", side) for a in "xyz"])


def heading(v: np.ndarray) -> float:
    """Elevation of a rearward vector in side view, degrees."""
    return math.degrees(math.atan2(v[2], -v[0]))


def places(r: Read) -> dict[str, np.ndarray]:
    """Axle center at ride, bump and droop, by bisection on the arm's length, and the joint line."""
    z0 = r("axle.tire_loaded_radius")
    joint = np.array(
        [
            -r("arms.joint_behind"),
            0,
            (r("arms.joint_height", "left") + r("arms.joint_height", "right")) / 2,
        ]
    )
    bump = np.array([0.0, 0, z0 + r("travel.bump")])
    radius = np.linalg.norm(bump - joint)

    def center(z: float) -> np.ndarray:
        x = bisect(
            lambda x: np.linalg.norm(np.array([x, 0, z]) - joint) - radius,
            joint[0],
            joint[0] + 3 * radius,
        )
        return np.array([x, 0, z])

    ride, droop = center(z0), center(z0 - r("travel.droop"))
    return {"joint": joint, "ride": ride, "droop": droop, "bump": bump}


def axle(r: Read) -> dict[str, Any]:
    """Axle center at ride, bump, droop; pinion at each; all by bisection on distances."""
    at = places(r)
    joint, ride = at["joint"], at["ride"]
    local, output = point(r, "axle.pinion_joint"), point(r, "driveline.output")

    def shaft(up: float) -> np.ndarray:
        return output - ride - nose_up(up) @ local

    def axis(up: float) -> np.ndarray:
        return nose_up(up) @ np.array([-1.0, 0, 0])

    def at_aim(aim: float) -> float:
        return bisect(lambda up: heading(axis(up)) - heading(shaft(up)) - aim, -30, 40)

    up = at_aim(r("wanted.pinion_working"))
    level = r("axle.caster_at_level_pinion")
    up = min(max(up, level - r("wanted.caster_high")), level - r("wanted.caster_low"))
    if angle(axis(up), shaft(up)) > r("wanted.band_high"):
        inline = at_aim(0.0)
        up = bisect(
            lambda u: angle(axis(u), shaft(u)) - r("wanted.band_high"),
            inline,
            inline + math.copysign(10, up - inline),
        )

    def turned(to: np.ndarray) -> float:
        return up - math.degrees(
            math.atan2(to[2] - joint[2], to[0] - joint[0])
            - math.atan2(ride[2] - joint[2], ride[0] - joint[0])
        )

    return {
        **at,
        "up": up,
        "up_bump": turned(at["bump"]),
        "up_droop": turned(at["droop"]),
        "shaft": shaft(up),
        "working": angle(axis(up), shaft(up)),
        "floor": angle(axis(at_aim(0.0)), shaft(at_aim(0.0))),
        "caster": level - up,
    }


def slant_of(r: Read, side: str) -> float:
    """Slant of an arm in plan, degrees, as read or from two offsets and their run."""
    if r.has("arms.plan_slant"):
        return r("arms.plan_slant", side)
    ends = r("arms.offset_front", side) - r("arms.offset_rear", side)
    return math.degrees(math.atan2(ends, r("arms.offset_run", side)))


def arm(r: Read, a: dict[str, Any], side: str) -> dict[str, float]:
    """Radius arm and upper arm of one side."""
    bolt = a["ride"] + nose_up(a["up"]) @ point(r, "axle.lower_mount", side)
    flat = np.array([-r("arms.joint_behind") - bolt[0], 0, r("arms.joint_height", side) - bolt[2]])
    run = float(np.linalg.norm(flat))
    slant = slant_of(r, side)
    far = bolt + flat - Y * run * math.tan(math.radians(slant))
    cc = float(np.linalg.norm(far - bolt))
    e1 = (far - bolt) / cc
    e3 = np.cross(Y, e1) / np.linalg.norm(np.cross(Y, e1))
    e2 = np.cross(e3, e1)
    joint = bolt + np.column_stack([e1, e3, e2]) @ [
        r("arms.upper_back"),
        r("arms.upper_above"),
        r("arms.upper_inboard"),
    ]
    mount = a["ride"] + nose_up(a["up"]) @ point(r, "axle.upper_mount", side)
    reach = np.linalg.norm(mount - joint)
    u = (mount - joint) / reach
    square = Y - (Y @ u) * u
    square /= np.linalg.norm(square)
    h = 1e-4
    longer = [np.linalg.norm(bolt + nose_up(s * h) @ (mount - bolt) - joint) for s in (1, -1)]
    spare, upper_spare = (
        r(f"arms.{p}_thread") - r(f"arms.{p}_engagement") for p in ("joint", "upper_joint")
    )
    return {
        "arm.slant": slant,
        "arm.run": run,
        "arm.cc": cc,
        "arm.joint.y": far[1],
        "arm.joint.z": far[2],
        "arm.bolt.x": bolt[0],
        "arm.bolt.z": bolt[2],
        "arm.tube": cc - r("arms.eye_to_tube") - r("arms.joint_shank_min") - spare / 2,
        "arm.elevation": math.degrees(math.asin((bolt - far)[2] / cc)),
        "upper.joint.x": joint[0],
        "upper.joint.y": joint[1],
        "upper.joint.z": joint[2],
        "upper.cc": float(reach),
        "upper.tube": (
            float(reach)
            - r("arms.upper_eye_to_tube")
            - r("arms.upper_joint_shank_min")
            - upper_spare / 2
        ),
        "upper.twist": math.degrees(math.atan((square @ e1) / (square @ e2))),
        "upper.lean": 90 - angle(square, e3),
        "upper.pinion_rate": 2 * h / (longer[0] - longer[1]),
    }


def rail(r: Read, x: float, what: str, side: str) -> float:
    """Rail reading at x by a straight line through the two stations about it; the end segments go
    on.
    """
    rows = sorted(
        (number(s["x"]), number(s[what].get("both", s[what].get(side))))
        for s in r.find("frame.station")
    )
    i = max(i for i in range(len(rows) - 1) if i == 0 or rows[i][0] <= x)
    (x0, v0), (x1, v1) = rows[i], rows[i + 1]
    return v0 + (v1 - v0) * (x - x0) / (x1 - x0)


def coil(r: Read, a: dict[str, Any], side: str) -> dict[str, float]:
    """Coil, seats and bump stop of one side."""
    local = point(r, "axle.spring_seat", side)
    low = a["ride"] + nose_up(a["up"]) @ local
    ratio = float(np.cross(Y, low - a["joint"])[2] / np.cross(Y, a["ride"] - a["joint"])[2])
    load = (r("spring.axle_load") - r("spring.unsprung")) / 2 / ratio
    length = r("spring.free_length") - load / r("spring.rate")
    top = low + np.array([0, 0, length])
    ends = [
        float(np.linalg.norm(top - a[p] - nose_up(a[f"up_{p}"]) @ local)) for p in ("bump", "droop")
    ]
    bottom = rail(r, float(top[0]), "bottom", side)
    return {
        "seat.lower.x": low[0],
        "seat.lower.z": low[2],
        "spring.ratio": ratio,
        "spring.load": load,
        "spring.loaded": length,
        "seat.upper.z": top[2],
        "seat.above_rail": top[2] - bottom - rail(r, float(top[0]), "height", side),
        "spring.at_bump": ends[0],
        "spring.at_droop": ends[1],
        # both trucks carry the stop inside the coil: it stands from seat to seat
        "stop.spacer": ends[0] - r("travel.stop_compressed"),
        "rail.coil.outer": rail(r, float(top[0]), "outer", side),
        "rail.coil.bottom": bottom,
        "rail.cross.outer": rail(r, -r("arms.joint_behind") - 3.5, "outer", side),
        "rail.cross.bottom": rail(r, -r("arms.joint_behind") - 3.5, "bottom", side),
    }


def bar(r: Read, a: dict[str, Any]) -> dict[str, float]:
    """Track bar along the drag link's direction, or level."""
    turn = nose_up(a["up"])
    ball, mount = (
        a["ride"] + turn @ point(r, "axle.drag_link_ball"),
        a["ride"] + turn @ point(r, "axle.track_bar_mount"),
    )
    link = point(r, "steering.pitman_ball") - ball
    along = link * (
        [1, 1, 0] if r.has("track_bar.mode") and r.find("track_bar.mode") == "level" else [1, 1, 1]
    )
    share = bisect(lambda t: (mount + t * along)[1] - r("track_bar.frame_mount_y"), -5, 5)
    end = mount + share * along
    return {
        "drag.length": float(np.linalg.norm(link)),
        "drag.slope": 90 - angle(link, np.array([0, 0, 1.0])),
        "bar.length": float(np.linalg.norm(end - mount)),
        "bar.frame.x": end[0],
        "bar.frame.y": end[1],
        "bar.frame.z": end[2],
        "bar.slope": 90 - angle(end - mount, np.array([0, 0, 1.0])),
        "bar.pitman_drop": link[2],
    }


def setout(path: Path) -> dict[tuple[str, str], float]:
    """Every value by (name, side), side "" for the center."""
    r = Read(path)
    a = axle(r)
    found = {
        (n, ""): float(v)
        for n, v in {
            "axle.x_ride": a["ride"][0],
            "axle.z_bump": a["bump"][2],
            "axle.x_droop": a["droop"][0],
            "pinion.up": a["up"],
            "pinion.working": a["working"],
            "pinion.floor": a["floor"],
            "caster.ride": a["caster"],
            "shaft.length": np.linalg.norm(a["shaft"]),
            "shaft.slope": heading(a["shaft"]),
            "shaft.transfer": angle(
                nose_up(r("driveline.output_axis_down")) @ np.array([1.0, 0, 0]), -a["shaft"]
            ),
            "pinion.up_at_bump": a["up_bump"],
            "pinion.up_at_droop": a["up_droop"],
            **bar(r, a),
        }.items()
    }
    for side in ("left", "right"):
        found |= {(n, side): float(v) for n, v in {**arm(r, a, side), **coil(r, a, side)}.items()}
    found["joint.spacing", ""] = found["arm.joint.y", "left"] + found["arm.joint.y", "right"]
    return found


if __name__ == "__main__":
    for (name, side), value in setout(Path(sys.argv[1])).items():
        print(f"{name + ('.' + side if side else ''):24} {value:12.6f}")

"""Upper arms: joint on the radius arm, length, tube, twist and lean of its tabs, what a turn of
thread does to the pinion.

Each side is worked as if it were the left: y outward. Triad on the arm: e1 from the lower bolt to
the frame joint, e3 = unit(y x e1) up, e2 = e3 x e1 inboard.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..quantities import Relation
from .arms import tube
from .relation_rows import each, on_axle


class Vec(NamedTuple):
    """A vector in mm or none.

    x forward, y outward, z up: see the room's head. Plain numbers, so that a relation's function
    works on single values.
    """

    x: float
    y: float
    z: float


def dot(a: Vec, b: Vec) -> float:
    """Scalar product of two vectors, in the product of their units.

    >>> dot(Vec(1.0, 2.0, 3.0), Vec(4.0, 5.0, 6.0))
    32.0
    """
    return a.x * b.x + a.y * b.y + a.z * b.z


def cross(a: Vec, b: Vec) -> Vec:
    """Vector product a x b, in the product of their units; right-handed.

    >>> cross(Vec(1.0, 0.0, 0.0), Vec(0.0, 1.0, 0.0))
    Vec(x=0.0, y=0.0, z=1.0)
    """
    return Vec(a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x)


def unit(a: Vec) -> Vec:
    """Direction of ``a``, without unit; ZeroDivisionError if it has no length.

    >>> unit(Vec(0.0, 0.0, 5.0))
    Vec(x=0.0, y=0.0, z=1.0)
    """
    n = math.sqrt(dot(a, a))
    return Vec(a.x / n, a.y / n, a.z / n)


def triad(ax: float, ay: float, az: float, fx: float, fy: float, fz: float) -> tuple[Vec, Vec, Vec]:
    """Triad on the radius arm: e1 along it, e2 inboard, e3 up, unit vectors, worked as if it were
    the left arm.

    Parameters
    ----------
    ax, ay, az : float
        Lower bolt A, mm.
    fx, fy, fz : float
        Frame joint F, mm.

    Raises
    ------
    ZeroDivisionError
        A and F are one.
    """
    e1 = unit(Vec(fx - ax, fy - ay, fz - az))
    e3 = unit(cross(Vec(0.0, 1.0, 0.0), e1))
    return e1, cross(e3, e1), e3


def joint(axis: int, back: float, above: float, inboard: float, *af: float) -> float:
    """Coordinate ``axis`` (0 x, 1 y, 2 z) of U = A + b e1 + c e3 + i e2, mm.

    ``back``, ``above``, ``inboard``: b, c, i, mm along the arm's triad; ``af``: A, then F, three
    coordinates each.
    """
    e1, e2, e3 = triad(*af)
    return af[axis] + back * e1[axis] + above * e3[axis] + inboard * e2[axis]


def _bolt(*p: float) -> tuple[Vec, Vec, Vec]:
    e1, e2, e3 = triad(*p[:6])
    u = unit(Vec(p[9] - p[6], p[10] - p[7], p[11] - p[8]))
    n = unit(Vec(-u.y * u.x, 1.0 - u.y * u.y, -u.y * u.z))
    return Vec(dot(n, e1), dot(n, e2), dot(n, e3)), u, e1


def twist(*p: float) -> float:
    """Twist of the tabs, rad, about the arm's up axis, for no misalignment of the upper joint at
    ride height: -atan((n.e1)/(-n.e2)).

    n = unit(y - (y.u) u) is the bolt square to the upper arm u. ``p``: A, F, U, V.
    """
    n, _, _ = _bolt(*p)
    return -math.atan2(n.x, -n.y)


def lean(*p: float) -> float:
    """Lean of the tabs off the arm's up axis, rad: asin(n.e3).

    n is the bolt square to the upper arm, as for ``twist``; ``p``: A, F, U, V, three coordinates
    each, mm.
    """
    n, _, _ = _bolt(*p)
    return math.asin(n.z)


def pinion_rate(
    ax: float, az: float, ux: float, uy: float, uz: float, vx: float, vy: float, vz: float
) -> float:
    """Pinion turn per length of upper arm, rad/mm: the axle turns about the lower bolt, nose up as
    the arm gets longer is +.

    a the lower bolt, u the joint on the radius arm, v the bolt at the axle, x, y, z of each in mm.
    It is one over the arm's distance from the lower bolt in side view.
    """
    u = unit(Vec(vx - ux, vy - uy, vz - uz))
    return 1.0 / (u.x * (vz - az) - u.z * (vx - ax))


_A = "arm.bolt.x arm.bolt.y arm.bolt.z"
_F = "arm.joint.x arm.joint.y arm.joint.z"
_U = "upper.joint.x upper.joint.y upper.joint.z"
_V = "upper.mount.x upper.mount.y upper.mount.z"
_SET = f"arms.upper_back arms.upper_above arms.upper_inboard {_A} {_F}"

RELATIONS: tuple[Relation, ...] = (
    *on_axle("upper.mount", "axle.upper_mount", "upper-arm bolt at the axle", sided=True),
    each(
        "upper.joint.x",
        _SET,
        lambda *p: joint(0, *p),
        "A + b e1 + c e3 + i e2",
        "upper joint on the radius arm, from the full-bump plumb line",
    ),
    each(
        "upper.joint.y",
        _SET,
        lambda *p: joint(1, *p),
        "A + b e1 + c e3 + i e2",
        "upper joint on the radius arm, from the center line",
    ),
    each(
        "upper.joint.z",
        _SET,
        lambda *p: joint(2, *p),
        "A + b e1 + c e3 + i e2",
        "upper joint on the radius arm, above the floor",
    ),
    each(
        "upper.cc",
        f"{_U} {_V}",
        lambda ux, uy, uz, vx, vy, vz: math.hypot(vx - ux, vy - uy, vz - uz),
        "|U - V|",
        "upper arm, center to center",
    ),
    each(
        "upper.tube",
        "upper.cc arms.upper_eye_to_tube arms.upper_joint_shank_min arms.upper_joint_thread"
        " arms.upper_joint_engagement",
        tube,
        "L - eye - (shank + (thread - engagement)/2)",
        "upper-arm tube on its center line, shell to joint end, joint at mid-thread",
    ),
    each(
        "upper.twist",
        f"{_A} {_F} {_U} {_V}",
        twist,
        "-atan((n.e1)/(-n.e2)), n = unit(y - (y.u) u)",
        "twist of the upper-arm tabs on the arm",
        "angle",
    ),
    each(
        "upper.lean",
        f"{_A} {_F} {_U} {_V}",
        lean,
        "asin(n.e3)",
        "lean of the upper-arm tabs on the arm",
        "angle",
    ),
    each(
        "upper.pinion_rate",
        f"arm.bolt.x arm.bolt.z {_U} {_V}",
        pinion_rate,
        "1 / |u x (V - A)|",
        "pinion turn per length of upper arm",
        "angle per length",
    ),
    each(
        "upper.pinion_turn",
        "upper.pinion_rate arms.upper_joint_tpi",
        lambda r, tpi: r * 25.4 / tpi,
        "rate / threads per inch",
        "pinion turn per turn of the upper joint",
        "angle",
    ),
)

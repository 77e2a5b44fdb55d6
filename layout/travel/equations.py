"""The constrained energy of a linkage at a pose: unknowns, closed-form start, gradient, Hessian and
constraints.

Unknowns: axle position and turn, turns of both radius arms and both upper arms (18); constraints:
track-bar length, axle height, elevation of the axle line. Their multipliers are forces: bar tension
N, jacking force N, roll moment N mm.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..arrays import Array
from . import turning
from .bushing import Frames, curve, derivatives
from .linkage import Linkage, along, lengths
from .turning import about, apply, cross, dot

SIDE = [np.r_[0:6, 6:9, 12:15], np.r_[0:6, 9:12, 15:18]]
Z = np.array((0.0, 0.0, 1.0))


class Start(NamedTuple):
    """Where Newton starts: a neighbouring pose of N positions.

    ``p``: axle center (N, 3), mm; ``d``: turn of the axle (N, 3, 3); ``m``, ``g``: turns of the
    radius arms and of the upper arms (N, 2, 3, 3), left then right, all from ride height;
    ``force``: multipliers (N, 3), bar tension N, jacking force N, roll moment N mm.
    """

    p: Array
    d: Array
    m: Array
    g: Array
    force: Array


def frames(links: Linkage) -> Frames:
    """Fixed facts of the four bushings from the linkage as built, every array (..., 4, ...).

    Rows as in ``Linkage.rates``: lower left, lower right, upper left, upper right. mm; the
    bushings stand free of load at ride height.
    """
    arm, link = links.bolt - links.joint, links.mount - links.upper
    longer = links.arm_more[..., None] * along(arm)
    arm, hang, link = (
        arm + longer,
        links.upper - links.joint + longer,
        link + links.upper_more[..., None] * along(link),
    )
    at = np.concatenate((links.bolt, links.mount), axis=-2)
    axis = np.concatenate((links.axis_lower, links.axis_upper), axis=-2)
    axis = axis / np.linalg.norm(axis, axis=-1, keepdims=True)
    level = about(1, links.up)[..., None, :, :] @ np.eye(3)
    b0 = turning.least(np.broadcast_to((0.0, 1.0, 0.0), axis.shape), axis) @ level
    joint = np.concatenate((links.joint + links.joint_off,) * 2, axis=-2)
    return Frames(
        arm_a=at - links.center[..., None, :],
        n0=axis,
        joint=joint,
        arm_m=np.concatenate((arm, hang), axis=-2),
        arm_g=np.concatenate((np.zeros_like(link), link), axis=-2),
        b0=b0,
        rates=links.rates,
    )


def guess(links: Linkage, heave: Array, roll: Array) -> Start:
    """Closed-form start: the axle on the circle about the joint line, rolled, shifted on the track
    bar's arc.
    """
    joint = links.joint.mean(axis=-2)
    back, low = links.center[..., 0] - joint[..., 0], links.center[..., 2] - joint[..., 2]
    reach2 = back**2 + low**2
    ahead = np.sqrt(np.maximum(reach2 - (low + heave) ** 2, 0.01 * reach2))
    pitch = np.arctan2(low, back) - np.arctan2(low + heave, ahead)
    d = about(0, roll) @ about(1, pitch)
    p = np.stack(
        (joint[..., 0] + ahead, np.zeros_like(ahead), links.center[..., 2] + heave), axis=-1
    )
    span = p + apply(d, links.bar_axle - links.center) - links.bar_frame - links.bar_off
    across = np.sign(links.bar_axle[..., 1] - links.bar_frame[..., 1])
    rest = lengths(links) ** 2 - span[..., 0] ** 2 - span[..., 2] ** 2
    p[..., 1] += across * np.sqrt(np.maximum(rest, 0.0)) - span[..., 1]
    arm = links.bolt - links.joint
    m = turning.least(
        arm, p[:, None] + apply(d[:, None], links.bolt - links.center[:, None]) - links.joint
    )
    on_arm = links.joint + apply(m, links.upper - links.joint)
    g = turning.least(
        links.mount - links.upper,
        p[:, None] + apply(d[:, None], links.mount - links.center[:, None]) - on_arm,
    )
    return Start(p, d, m, g, np.zeros((len(p), 3)))


def kkt(links: Linkage, f: Frames, s: Start, heave: Array, roll: Array) -> tuple[Array, Array]:
    """KKT matrix (N, 21, 21) and residual (N, 21) at poses ``s``.

    Rows 0 to 17: gradient of the energy in the small motions of axle, arms and upper arms; 18 to
    20: what track-bar length, axle height and elevation of the axle line miss. ``heave`` mm and
    ``roll`` rad, (N,), are what the constraints ask for; mm, N, radians throughout.
    Nocedal and Wright, Numerical Optimization, 2nd ed., chapter 18.
    """
    many = len(s.p)
    grad, hess = derivatives(f, s.p, s.d, s.m, s.g)
    matrix, residual = np.zeros((many, 21, 21)), np.zeros((many, 21))
    for number, rows in enumerate(SIDE):
        matrix[:, rows[:, None], rows] += hess[:, number]
        residual[:, rows] += grad[:, number]
    long = lengths(links)
    arm = apply(s.d, links.bar_axle - links.center)
    span = s.p + arm - links.bar_frame - links.bar_off
    jac = np.concatenate((span, cross(arm, span)), axis=-1) / long[:, None]
    line = s.d[..., 1]
    matrix[:, 18, :6] = jac
    matrix[:, 19, 2] = 1.0
    matrix[:, 20, 3:6] = cross(line, np.broadcast_to(Z, line.shape))
    matrix[:, :18, 18:] = np.swapaxes(matrix[:, 18:, :18], 1, 2)
    residual[:, 18] = (dot(span, span) / long - long) / 2
    residual[:, 19] = s.p[:, 2] - links.center[..., 2] - heave
    residual[:, 20] = line[:, 2] - np.sin(roll)
    bar, lift = (s.force[:, number, None, None] for number in (0, 2))
    pull = bar / long[:, None, None]
    sweep = turning.hat(arm)
    matrix[:, :3, :3] += pull * np.eye(3)
    matrix[:, :3, 3:6] -= pull * sweep
    matrix[:, 3:6, :3] += pull * sweep
    matrix[:, 3:6, 3:6] += pull * (curve(span, arm) - sweep @ sweep) + lift * curve(
        np.broadcast_to(Z, line.shape), line
    )
    return matrix, residual


def moved_by(s: Start, motions: Array) -> Start:
    """The poses after small ``motions`` (N, 21).

    Columns: axle shift mm, then five turns rad (axle, arms, upper arms), put on from the left so
    that rotations stay rotations; the last three are the new multipliers, not added.
    """
    turns = turning.turn(motions[:, 3:18].reshape(len(motions), 5, 3))
    return Start(
        s.p + motions[:, :3],
        turns[:, 0] @ s.d,
        turns[:, 1:3] @ s.m,
        turns[:, 3:5] @ s.g,
        motions[:, 18:],
    )

"""The constrained energy of a linkage at a pose: unknowns, closed-form start, gradient, Hessian and
constraints.

Unknowns: axle position and turn, turns of both radius arms and both upper arms (18); constraints:
track-bar length, axle height, elevation of the axle line. Their multipliers are forces: bar tension
N, jacking force N, roll moment N mm.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from . import turning
from .bushing import Frames, curve, derivatives
from .linkage import Linkage, along, lengths
from .turning import Array, about, apply, cross, dot

SIDE = [np.r_[0:6, 6:9, 12:15], np.r_[0:6, 9:12, 15:18]]
Z = np.array((0.0, 0.0, 1.0))


class Start(NamedTuple):
    """Where Newton starts: a neighbouring pose's ``p``, ``d``, ``m``, ``g``, ``force``."""

    p: Array
    d: Array
    m: Array
    g: Array
    force: Array


def frames(lk: Linkage) -> Frames:
    """Fixed facts of the bushings, every array (..., 4, ...)."""
    arm, link = lk.bolt - lk.joint, lk.mount - lk.upper
    longer = lk.arm_more[..., None] * along(arm)
    arm, hang, link = (
        arm + longer,
        lk.upper - lk.joint + longer,
        link + lk.upper_more[..., None] * along(link),
    )
    at = np.concatenate((lk.bolt, lk.mount), axis=-2)
    axis = np.concatenate((lk.axis_lower, lk.axis_upper), axis=-2)
    axis = axis / np.linalg.norm(axis, axis=-1, keepdims=True)
    level = about(1, lk.up)[..., None, :, :] @ np.eye(3)
    b0 = turning.least(np.broadcast_to((0.0, 1.0, 0.0), axis.shape), axis) @ level
    joint = np.concatenate((lk.joint + lk.joint_off,) * 2, axis=-2)
    return Frames(
        at - lk.centre[..., None, :],
        axis,
        joint,
        np.concatenate((arm, hang), axis=-2),
        np.concatenate((np.zeros_like(link), link), axis=-2),
        b0,
        lk.rates,
    )


def guess(lk: Linkage, heave: Array, roll: Array) -> Start:
    """Closed-form start: the axle on the circle about the joint line, rolled, shifted on the track
    bar's arc.
    """
    joint = lk.joint.mean(axis=-2)
    back, low = lk.centre[..., 0] - joint[..., 0], lk.centre[..., 2] - joint[..., 2]
    reach2 = back**2 + low**2
    x = np.sqrt(np.maximum(reach2 - (low + heave) ** 2, 0.01 * reach2))
    pitch = np.arctan2(low, back) - np.arctan2(low + heave, x)
    d = about(0, roll) @ about(1, pitch)
    p = np.stack((joint[..., 0] + x, np.zeros_like(x), lk.centre[..., 2] + heave), axis=-1)
    span = p + apply(d, lk.bar_axle - lk.centre) - lk.bar_frame - lk.bar_off
    across = np.sign(lk.bar_axle[..., 1] - lk.bar_frame[..., 1])
    rest = lengths(lk) ** 2 - span[..., 0] ** 2 - span[..., 2] ** 2
    p[..., 1] += across * np.sqrt(np.maximum(rest, 0.0)) - span[..., 1]
    arm = lk.bolt - lk.joint
    m = turning.least(arm, p[:, None] + apply(d[:, None], lk.bolt - lk.centre[:, None]) - lk.joint)
    on_arm = lk.joint + apply(m, lk.upper - lk.joint)
    g = turning.least(
        lk.mount - lk.upper, p[:, None] + apply(d[:, None], lk.mount - lk.centre[:, None]) - on_arm
    )
    return Start(p, d, m, g, np.zeros((len(p), 3)))


def kkt(lk: Linkage, f: Frames, s: Start, heave: Array, roll: Array) -> tuple[Array, Array]:
    """KKT matrix (N, 21, 21) and residual (N, 21): gradient of the energy, then the constraints."""
    n = len(s.p)
    grad, hess = derivatives(f, s.p, s.d, s.m, s.g)
    k, r = np.zeros((n, 21, 21)), np.zeros((n, 21))
    for i, rows in enumerate(SIDE):
        k[:, rows[:, None], rows] += hess[:, i]
        r[:, rows] += grad[:, i]
    long = lengths(lk)[:, None]
    arm = apply(s.d, lk.bar_axle - lk.centre)
    t = s.p + arm - lk.bar_frame - lk.bar_off
    jac = np.concatenate((t, cross(arm, t)), axis=-1) / long
    line = s.d[..., 1]
    k[:, 18, :6] = jac
    k[:, 19, 2] = 1.0
    k[:, 20, 3:6] = cross(line, np.broadcast_to(Z, line.shape))
    k[:, :18, 18:] = np.swapaxes(k[:, 18:, :18], 1, 2)
    r[:, 18] = (dot(t, t) / long[:, 0] - long[:, 0]) / 2
    r[:, 19] = s.p[:, 2] - lk.centre[..., 2] - heave
    r[:, 20] = line[:, 2] - np.sin(roll)
    bar, lift = (s.force[:, i, None, None] for i in (0, 2))
    pull = bar / long[..., None]
    sweep = turning.hat(arm)
    k[:, :3, :3] += pull * np.eye(3)
    k[:, :3, 3:6] -= pull * sweep
    k[:, 3:6, :3] += pull * sweep
    k[:, 3:6, 3:6] += pull * (curve(t, arm) - sweep @ sweep) + lift * curve(
        np.broadcast_to(Z, line.shape), line
    )
    return k, r


def moved_by(s: Start, dx: Array) -> Start:
    """A pose after small motions ``dx`` (N, 21); the last three are the new multipliers."""
    turns = turning.turn(dx[:, 3:18].reshape(len(dx), 5, 3))
    return Start(
        s.p + dx[:, :3], turns[:, 0] @ s.d, turns[:, 1:3] @ s.m, turns[:, 3:5] @ s.g, dx[:, 18:]
    )

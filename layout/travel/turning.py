"""Rotations in batches: matrices (..., 3, 3), vectors (..., 3), angles in radians."""

from __future__ import annotations

import numpy as np

from ..arrays import Array

SERIES = 1e-4
"""Angle under which sine and cosine over the angle are taken from their series, rad."""
NO_ANGLE = 1e-15
"""Sine of an angle between directions that are one."""


def hat(v: Array) -> Array:
    """Matrix of the vector product: hat(v) w = v x w.

    ``v`` (..., 3) gives (..., 3, 3), skew, in the unit of ``v``.

    >>> (hat(np.array((1.0, 0.0, 0.0))) @ np.array((0.0, 1.0, 0.0))).tolist()
    [0.0, 0.0, 1.0]
    """
    out = np.zeros((*v.shape[:-1], 3, 3))
    out[..., 0, 1], out[..., 0, 2], out[..., 1, 2] = -v[..., 2], v[..., 1], -v[..., 0]
    out[..., 1, 0], out[..., 2, 0], out[..., 2, 1] = v[..., 2], -v[..., 1], v[..., 0]
    return out


def cross(a: Array, b: Array) -> Array:
    """Vector product a x b over the last axis, broadcast.

    ``a``, ``b`` (..., 3) give (..., 3), in the product of their units. Several times faster than
    numpy's own on small batches.
    """
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    return np.stack((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx), axis=-1)


def dot(a: Array, b: Array) -> Array:
    """Scalar product over the last axis, broadcast.

    ``a``, ``b`` (..., 3) give (...), in the product of their units.
    """
    return np.asarray((a * b).sum(-1))


def turn(w: Array) -> Array:
    """Rotation by the vector w: axis w/|w|, angle |w| in radians (Rodrigues' formula).

    ``w`` (..., 3) gives (..., 3, 3). Under ``SERIES`` sine and cosine come from their series, so
    that no turn at all is the identity and nothing is divided by zero.

    >>> turn(np.array((0.0, 0.0, np.pi / 2))).round(9)[:, 0].tolist()
    [0.0, 1.0, 0.0]
    """
    angle2 = dot(w, w)
    angle = np.sqrt(angle2)
    small = angle < SERIES
    safe = np.where(small, 1.0, angle)
    s = np.where(small, 1.0 - angle2 / 6.0, np.sin(safe) / safe)
    c = np.where(small, 0.5 - angle2 / 24.0, (1.0 - np.cos(safe)) / np.where(small, 1.0, angle2))
    k = hat(w)
    return np.asarray(np.eye(3) + s[..., None, None] * k + c[..., None, None] * (k @ k))


def about(axis: int, angle: Array | float) -> Array:
    """Rotation about x (0), y (1) or z (2) by ``angle``, radians, right-handed.

    ``angle`` of any shape (...) gives (..., 3, 3). IndexError for any other axis.

    >>> apply(about(1, np.pi / 2), np.array((1.0, 0.0, 0.0))).round(9).tolist()
    [0.0, 0.0, -1.0]
    """
    a = np.asarray(angle, dtype=float)
    w = np.zeros((*a.shape, 3))
    w[..., axis] = a
    return turn(w)


def apply(r: Array, v: Array) -> Array:
    """The vectors turned: R v, broadcast.

    ``r`` (..., 3, 3) and ``v`` (..., 3) give (..., 3), in the unit of ``v``.
    """
    return np.asarray((r @ v[..., None])[..., 0])


def least(a: Array, b: Array) -> Array:
    """Least rotation that takes direction ``a`` to direction ``b``.

    ``a``, ``b`` (..., 3) of any length but zero give (..., 3, 3). Opposite directions have no
    least rotation: they give the identity.

    >>> least(np.array((2.0, 0.0, 0.0)), np.array((0.0, 0.0, 5.0))).round(9)[:, 0].tolist()
    [0.0, 0.0, 1.0]
    """
    ua, ub = (v / np.linalg.norm(v, axis=-1, keepdims=True) for v in (a, b))
    w = cross(ua, ub)
    s, c = np.linalg.norm(w, axis=-1, keepdims=True), dot(ua, ub)[..., None]
    return turn(w / np.where(s < NO_ANGLE, 1.0, s) * np.arctan2(s, c))


def between(a: Array, b: Array) -> Array:
    """Angle between directions, 0 to pi, exact near 0 where an arc cosine is not.

    ``a``, ``b`` (..., 3) of any length give (...), radians; 0 where one has no length.

    >>> round(float(between(np.array((1.0, 0.0, 0.0)), np.array((3.0, 3.0, 0.0)))), 6)
    0.785398
    """
    return np.asarray(np.arctan2(np.linalg.norm(cross(a, b), axis=-1), dot(a, b)))


def angles(turned: Array) -> tuple[Array, Array, Array]:
    """(a, b, c) of Q = Ry(a) Rx(b) Rz(c): wind-up about the bolt, then the two cone angles; |b| <
    pi/2.
    """
    cone = np.arcsin(np.clip(-turned[..., 1, 2], -1.0, 1.0))
    return (
        np.arctan2(turned[..., 0, 2], turned[..., 2, 2]),
        cone,
        np.arctan2(turned[..., 1, 0], turned[..., 1, 1]),
    )

"""Energy of the four bushings with exact gradient and Hessian in the axle's and the bodies' small
motions.

A bushing's frame is fixed in the axle, y along its bolt. Displacement d = B'(x_body - x_axle),
rotation Q = B' R_body B0 = Ry(a) Rx(b) Rz(c). E = 1/2 [k_rad (dx^2 + dz^2) + k_ax dy^2 + k_t a^2 +
k_c (b^2 + c^2)]. Linear rates about the bolt, a textbook bushing.

Small motions are left-multiplied turns, R <- exp(w) R. Local order of unknowns: axle shift, axle
turn, arm turn, upper-arm turn (12).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..arrays import Array
from .turning import angles, apply, cross, dot, hat

P, A, M, G = slice(0, 3), slice(3, 6), slice(6, 9), slice(9, 12)
EYE = np.eye(3)


class Frames(NamedTuple):
    """Fixed facts of the four bushings, (..., 4, ...): in the axle ``arm_a`` and bolt axis ``n0``;
    on the arm ``arm_m`` and the upper arm ``arm_g`` from the joints; frame joint ``joint``; bushing
    frame ``b0``; ``rates`` (..., 4, 4).
    """

    arm_a: Array
    n0: Array
    joint: Array
    arm_m: Array
    arm_g: Array
    b0: Array
    rates: Array


class Strain(NamedTuple):
    """Deformation of the four bushings, (..., 4): ``radial``, ``axial`` mm (axial signed),
    ``wind``, ``b``, ``c`` rad; vector ``e`` truck axes.
    """

    radial: Array
    axial: Array
    wind: Array
    b: Array
    c: Array
    e: Array


def outer(a: Array, b: Array) -> Array:
    """Outer product over the last axis: (..., 3) and (..., 3) to (..., 3, 3).

    In the product of the units of ``a`` and ``b``.
    """
    return np.asarray(a[..., :, None] * b[..., None, :])


def curve(g: Array, s: Array) -> Array:
    """Hessian of g . (exp(w) s) in the small turn w at 0: (g s' + s g')/2 - (g.s) I.

    ``g``, ``s`` (..., 3) give (..., 3, 3); from exp(w) s = s + w x s + w x (w x s)/2 + ...
    """
    gs = outer(g, s)
    return np.asarray((gs + np.swapaxes(gs, -1, -2)) / 2 - dot(g, s)[..., None, None] * EYE)


def body(m: Array, g: Array) -> Array:
    """Rotation of the body each bushing holds: arms (lower), then upper arms (upper).

    ``m``, ``g`` (..., 2, 3, 3), left then right, give (..., 4, 3, 3).
    """
    return np.concatenate((m, g), axis=-3)


def strain(f: Frames, p: Array, d: Array, m: Array, g: Array) -> Strain:
    """Deformation of the four bushings at a pose.

    ``p``: axle center (..., 3), mm; ``d``: turn of the axle (..., 3, 3); ``m``, ``g``: turns of
    arms and upper arms (..., 2, 3, 3). ``radial`` is never negative, ``axial`` is signed.
    """
    d4 = d[..., None, :, :]
    both = np.concatenate((m, m), axis=-3)
    upper = np.concatenate((np.zeros_like(g), g), axis=-3)
    e = (
        f.joint
        + apply(both, f.arm_m)
        + apply(upper, f.arm_g)
        - p[..., None, :]
        - apply(d4, f.arm_a)
    )
    axial = dot(apply(d4, f.n0), e)
    radial = np.sqrt(np.maximum(dot(e, e) - axial**2, 0.0))
    frame = d4 @ f.b0
    a, b, c = angles(np.swapaxes(frame, -1, -2) @ body(m, g) @ f.b0)
    return Strain(radial, axial, a, b, c, e)


def energy(f: Frames, s: Strain) -> Array:
    """Energy of each bushing, N mm, (..., 4): half of rate times deformation squared.

    Linear rates about the bolt, a textbook bushing; the formula opens this file.
    """
    k = f.rates
    return np.asarray(
        (
            k[..., 0] * s.radial**2
            + k[..., 1] * s.axial**2
            + k[..., 2] * s.wind**2
            + k[..., 3] * (s.b**2 + s.c**2)
        )
        / 2
    )


def derivatives(f: Frames, p: Array, d: Array, m: Array, g: Array) -> tuple[Array, Array]:
    """Gradient (N, 2, 12) and Hessian (N, 2, 12, 12) of each side's energy, lower and upper bushing
    summed.
    """
    d4 = d[:, None]
    both = np.concatenate((m, m), axis=1)
    upper = np.concatenate((np.zeros_like(g), g), axis=1)
    s_a, s_m, s_g, n = (
        apply(d4, f.arm_a),
        apply(both, f.arm_m),
        apply(upper, f.arm_g),
        apply(d4, f.n0),
    )
    x = f.joint + s_m + s_g - p[:, None]
    e = x - s_a
    q = dot(n, e)
    kr, kq = f.rates[..., 0], f.rates[..., 1] - f.rates[..., 0]

    je = np.empty((*e.shape, 12))
    je[..., P], je[..., A], je[..., M], je[..., G] = -EYE, hat(s_a), -hat(s_m), -hat(s_g)
    jq = np.concatenate((-n, cross(n, x), cross(s_m, n), cross(s_g, n)), axis=-1)
    grad = (
        kr[..., None] * (np.swapaxes(je, -1, -2) @ e[..., None])[..., 0] + (kq * q)[..., None] * jq
    )
    hess = kr[..., None, None] * (np.swapaxes(je, -1, -2) @ je) + kq[..., None, None] * outer(
        jq, jq
    )

    fe, fn = kr[..., None] * e, (kq * q)[..., None] * n
    w = fe + fn
    hess[..., M, M] += curve(w, s_m)
    hess[..., G, G] += curve(w, s_g)
    hess[..., A, A] += curve((kq * q)[..., None] * x, n) - curve(fe, s_a)
    for part, s in ((M, s_m), (G, s_g)):
        mixed = dot(fn, s)[..., None, None] * EYE - outer(s, fn)
        hess[..., A, part] += mixed
        hess[..., part, A] += np.swapaxes(mixed, -1, -2)
    hn = hat(fn)
    hess[..., A, P] -= hn
    hess[..., P, A] += hn
    _turning(f, d4 @ f.b0, body(m, g), grad, hess)
    sides = (len(p), 2, 2)
    return grad.reshape(*sides, 12).sum(1), hess.reshape(*sides, 12, 12).sum(1)


def _turning(f: Frames, frame: Array, turned: Array, grad: Array, hess: Array) -> None:
    """Adds wind-up and cone: E(exp(v) Q) expanded in v, with v = B'(beta - alpha) - B'alpha x
    B'beta / 2 of the two bodies' turns.
    """
    bt = np.swapaxes(frame, -1, -2)
    a, b, c = angles(bt @ turned @ f.b0)
    ca, sa, cb, tb, zero = np.cos(a), np.sin(a), np.cos(b), np.tan(b), np.zeros_like(a)
    lb = np.stack((ca, zero, -sa), axis=-1)
    lq = np.stack((sa, zero, ca), axis=-1)
    lc = lq / cb[..., None]
    la = np.array((0.0, 1.0, 0.0)) + tb[..., None] * lq
    kt, kc = f.rates[..., 2], f.rates[..., 3]
    g = (kt * a)[..., None] * la + (kc * b)[..., None] * lb + (kc * c)[..., None] * lc
    ab, cb2, ac = outer(la, lb), outer(lc, lb), outer(la, lc)
    h = (
        (kt * a * tb + kc * c / cb)[..., None, None] * ab
        + (kt * a / cb + kc * c * tb)[..., None, None] * cb2
        - (kc * b * cb)[..., None, None] * ac
    )
    h = (
        (h + np.swapaxes(h, -1, -2)) / 2
        + kt[..., None, None] * outer(la, la)
        + kc[..., None, None] * (outer(lb, lb) + outer(lc, lc))
    )
    gw, hw = apply(frame, g), frame @ h @ bt
    mixed = -hw + hat(gw) / 2
    for part, rows in ((M, slice(0, 2)), (G, slice(2, 4))):
        grad[:, rows, part] += gw[:, rows]
        hess[:, rows, part, part] += hw[:, rows]
        hess[:, rows, A, part] += mixed[:, rows]
        hess[:, rows, part, A] += np.swapaxes(mixed[:, rows], -1, -2)
    grad[..., A] -= gw
    hess[..., A, A] += hw

"""Rests found by going down in energy, many positions at once: for what plain Newton steps cannot
be trusted with.

Every step keeps the constraints and lowers the energy: the Hessian on the constraints' free
directions is taken apart into its own directions, negative ones are turned round, steps are capped
and halved until the energy has fallen enough (Nocedal and Wright, Numerical Optimization, 2nd ed.,
chapters 3 and 18). A rest is a state with no slope and a positive Hessian on the free directions.
Starts: the closed form, the way from ride height in small steps, and the arms spun either way about
their own axes, which is how an arm flips.
"""

from __future__ import annotations

from typing import NamedTuple, TypeVar

import numpy as np

from . import turning
from .bushing import Frames, energy, strain
from .equations import Start, Z, guess, kkt, moved_by
from .linkage import Linkage, along, lengths
from .turning import Array, Index, Mask, apply, cross, dot

SCALE = np.array([1.0] * 3 + [1 / 500] * 15)
STEPS, HALVINGS, TIGHT, CAP = 80, 14, 1e-7, 0.2
WAY, SPUN = 6, (-0.6, 0.0, 0.6)
APART = 0.05
"""Turn of a body by which two rests are two, rad."""
FLAT, MET = 1e-3, 1e-6
"""Slope of a saddle, and what constraints that are met may miss, scaled, mm."""
Rows = TypeVar("Rows", Linkage, Frames, Start)


class Rests(NamedTuple):
    """The rest of least energy at each position: pose ``at``, ``energy`` N mm, ``found`` whether
    there is one, ``other`` the energy of the next rest the starts led to, NaN if all led to one.
    """

    at: Start
    energy: Array
    found: Mask
    other: Array


def cut(a: Rows, rows: Index | Mask | slice) -> Rows:
    """Some rows of a stack."""
    return type(a)(*(x[rows] for x in a))


def total(f: Frames, s: Start) -> Array:
    """Energy of all four bushings, N mm, (N,)."""
    return np.asarray(energy(f, strain(f, s.p, s.d, s.m, s.g)).sum(-1))


def positive(k: Array) -> Mask:
    """Whether each KKT matrix's Hessian is positive on the constraints' free directions, (N,).

    A direction without any stiffness counts as positive.
    """
    jac, hess = k[:, 18:, :18] * SCALE, k[:, :18, :18] * SCALE * SCALE[:, None]
    size = np.abs(hess).max(axis=(1, 2))
    walled = hess + 1e3 * size[:, None, None] * (np.swapaxes(jac, 1, 2) @ jac)
    try:
        np.linalg.cholesky(walled)
        return np.ones(len(k), dtype=bool)
    except np.linalg.LinAlgError:
        return np.asarray(_free(k)[1][:, 0] > 0.0)


def _free(k: Array) -> tuple[Array, Array]:
    """Directions (N, 18, 15) that keep the constraints, each an eigenvector of the Hessian, and
    their eigenvalues (N, 15), least first; scaled to mm, and lifted by what arithmetic leaves of
    the largest.
    """
    jac, hess = k[:, 18:, :18] * SCALE, k[:, :18, :18] * SCALE * SCALE[:, None]
    free = np.linalg.qr(np.swapaxes(jac, 1, 2), mode="complete")[0][:, :, 3:]
    value, own = np.linalg.eigh(np.swapaxes(free, 1, 2) @ hess @ free)
    return free @ own, value + 1e-12 * np.abs(value).max(axis=1, keepdims=True)


def _kept(lk: Linkage, s: Start, heave: Array, roll: Array, times: int) -> tuple[Start, Array]:
    """The pose moved by the least that meets the constraints again, and what is left of them
    (N,).
    """
    long, force = lengths(lk), s.force
    miss = np.zeros((len(s.p), 3))
    for n in range(times + 1):
        arm, line = apply(s.d, lk.bar_axle - lk.centre), s.d[..., 1]
        t = s.p + arm - lk.bar_frame - lk.bar_off
        miss = np.stack(
            (
                (dot(t, t) / long - long) / 2,
                s.p[:, 2] - lk.centre[..., 2] - heave,
                (line[:, 2] - np.sin(roll)) / SCALE[3],
            ),
            axis=-1,
        )
        if n == times:
            break
        jac = np.zeros((len(s.p), 3, 6))
        jac[:, 0] = np.concatenate((t, cross(arm, t)), axis=-1) / long[:, None] * SCALE[:6]
        jac[:, 1, 2] = 1.0
        jac[:, 2, 3:] = cross(line, np.broadcast_to(Z, line.shape))
        back = np.swapaxes(jac, 1, 2)
        grip = jac @ back + 1e-9 * np.eye(3)
        dx = np.zeros((len(s.p), 21))
        dx[:, :6] = -(back @ np.linalg.solve(grip, miss[..., None]))[..., 0] * SCALE[:6]
        s = moved_by(s, dx)._replace(force=force)
    return s, np.abs(miss).max(axis=1)


def _downhill(k: Array, r: Array, jac: Array, force: Array) -> tuple[Array, Array, Mask]:
    """Scaled step (N, 18), slope of the energy along it (N,), and whether the state is a rest."""
    way, value = _free(k)
    g = r[:, :18] * SCALE + (np.swapaxes(jac, 1, 2) @ force[..., None])[..., 0]
    pull = (np.swapaxes(way, 1, 2) @ g[..., None])[..., 0]
    least = 1e-9 * np.abs(value).max(axis=1, keepdims=True)
    y = -pull / np.maximum(np.abs(value), least)
    rest = (np.abs(y).max(axis=1) < TIGHT) & (value[:, 0] > 0)
    saddle = (np.abs(y).max(axis=1) < FLAT) & (value[:, 0] < 0)
    y[saddle, 0] = np.where(y[saddle, 0] < 0, -1.0, 1.0)
    x = (way @ y[..., None])[..., 0]
    x *= np.minimum(1.0, CAP / SCALE[3] / np.maximum(np.abs(x[:, 3:]).max(axis=1), 1e-30))[:, None]
    return x, (x * g).sum(axis=1), rest


def _lower(
    lk: Linkage, f: Frames, s: Start, at: tuple[Array, Array], go: tuple[Array, Array, Array]
) -> tuple[Start, Array]:
    """The pose after each step, halved until the energy has fallen; where it never falls, the pose
    it was.
    """
    (heave, roll), (x, slope, was) = at, go
    part, now, left = np.ones(len(was)), was.copy(), np.arange(len(was))
    new = Start(*(np.copy(a) for a in s))
    for _ in range(HALVINGS):
        if not left.size:
            break
        dx = np.zeros((len(left), 21))
        dx[:, :18] = x[left] * part[left, None] * SCALE
        t, _ = _kept(
            cut(lk, left),
            moved_by(cut(s, left), dx)._replace(force=s.force[left]),
            heave[left],
            roll[left],
            2,
        )
        e = total(cut(f, left), t)
        ok = e <= was[left] + 1e-4 * part[left] * slope[left] + 1e-11 * (1 + np.abs(was[left]))
        for a, b in zip(new, t, strict=True):
            a[left[ok]] = b[ok]
        now[left[ok]] = e[ok]
        left = left[~ok]
        part[left] /= 2
    return new, now


def descend(
    lk: Linkage, f: Frames, heave: Array, roll: Array, s: Start, steps: int = STEPS
) -> tuple[Start, Array, Mask]:
    """From starts ``s`` down to rests: pose, energy, and whether each came to one.

    Never raises for geometry.
    """
    s, miss = _kept(lk, s, heave, roll, 8)
    s = Start(*(np.copy(a) for a in s))
    e = total(f, s)
    rest = np.zeros(len(heave), dtype=bool)
    at = np.flatnonzero(np.isfinite(e) & (miss < MET))
    for _ in range(steps):
        if not at.size:
            break
        l_, f_, s_ = cut(lk, at), cut(f, at), cut(s, at)
        place = (heave[at], roll[at])
        k, r = kkt(l_, f_, s_._replace(force=np.zeros((len(at), 3))), *place)
        jac = k[:, 18:, :18] * SCALE
        push = jac @ (r[:, :18] * SCALE)[..., None]
        force = -np.linalg.solve(jac @ np.swapaxes(jac, 1, 2), push)[..., 0]
        s_ = s_._replace(force=force)
        k, r = kkt(l_, f_, s_, *place)
        x, slope, still = _downhill(k, r, jac, force)
        s_, e[at] = _lower(l_, f_, s_, place, (x, slope, e[at]))
        for a, b in zip(s, s_, strict=True):
            a[at] = b
        rest[at] = still
        at = at[~still]
    return s, e, rest


def spun(lk: Linkage, s: Start, left: float, right: float) -> Start:
    """Both arms turned about their own axes, upper arms hung on them again. Radians."""
    m = turning.turn(along(apply(s.m, lk.bolt - lk.joint)) * np.array((left, right))[:, None]) @ s.m
    on_arm = lk.joint + apply(m, lk.upper - lk.joint)
    to = s.p[:, None] + apply(s.d[:, None], lk.mount - lk.centre[:, None]) - on_arm
    return Start(s.p, s.d, m, turning.least(lk.mount - lk.upper, to), s.force)


def from_ride(lk: Linkage, f: Frames, heave: Array, roll: Array) -> Start:
    """The pose reached from ride height in small steps, each going down in energy from the one
    before.
    """
    s = guess(lk, 0 * heave, 0 * roll)
    for part in np.linspace(0.0, 1.0, WAY + 1)[:-1]:
        s, _, _ = descend(lk, f, part * heave, part * roll, s, 12)
    return s


def settle_again(lk: Linkage, f: Frames, heave: Array, roll: Array, near: Start | None) -> Rests:
    """The rest that the closed form and a solved neighbour ``near`` (without one, the way from ride
    height) both lead to; where they part, all starts.
    """
    n, first = len(heave), guess(lk, heave, roll)
    near = from_ride(lk, f, heave, roll) if near is None else near
    two = np.tile(np.arange(n), 2)
    s, e, ok = descend(
        cut(lk, two),
        cut(f, two),
        heave[two],
        roll[two],
        Start(*(np.concatenate(a) for a in zip(first, near, strict=True))),
    )
    split = _apart(s, np.zeros(n, dtype=int), 2, n)[1] > APART
    both = Rests(cut(s, slice(0, n)), e[:n], ok[:n].copy(), np.full(n, np.nan))
    rows = np.flatnonzero(split | ~ok[:n] | ~ok[n:])
    if rows.size:
        full = rests(cut(lk, rows), cut(f, rows), heave[rows], roll[rows])
        for a, b in zip((*both.at, *both[1:]), (*full.at, *full[1:]), strict=True):
            a[rows] = b
    return both


def rests(lk: Linkage, f: Frames, heave: Array, roll: Array) -> Rests:
    """The least of the rests that all starts lead to, and the next above it.

    ``lk``, ``f`` stacked, N of each.
    """
    n, first = len(heave), guess(lk, heave, roll)
    starts = [first, from_ride(lk, f, heave, roll)]
    starts += [spun(lk, first, a, b) for a in SPUN for b in SPUN if (a, b) != (0.0, 0.0)]
    many = len(starts)
    rows = np.tile(np.arange(n), many)
    s, e, ok = descend(
        cut(lk, rows),
        cut(f, rows),
        heave[rows],
        roll[rows],
        Start(*(np.concatenate(a) for a in zip(*starts, strict=True))),
    )
    e = np.where(ok, e, np.inf).reshape(many, n)
    low = e.min(axis=0)
    best = np.argmax(e <= low + 1e-6 * (1 + np.abs(low)), axis=0)
    apart = _apart(s, best, many, n) > APART
    other = np.where(apart & np.isfinite(e), e, np.inf).min(axis=0)
    pick = best * n + np.arange(n)
    return Rests(cut(s, pick), low, np.isfinite(low), np.where(np.isfinite(other), other, np.nan))


def _apart(s: Start, best: Index, many: int, n: int) -> Array:
    """Largest turn of any body between each state and the best of its position, rad, (many, n)."""
    turns = np.concatenate((s.d[:, None], s.m, s.g), axis=1).reshape(many, n, 5, 3, 3)
    to = turns[best, np.arange(n)]
    trace = (turns * to).sum(axis=(-1, -2))
    return np.asarray(np.arccos(np.clip((trace - 1) / 2, -1, 1)).max(axis=-1))

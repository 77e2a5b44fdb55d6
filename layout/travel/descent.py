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

from ..arrays import Array, Index, Mask
from . import turning
from .bushing import Frames, energy, strain
from .equations import Start, Z, guess, kkt, moved_by
from .linkage import Linkage, along, lengths
from .turning import apply, cross, dot

SCALE = np.array([1.0] * 3 + [1 / 500] * 15)
STEPS, HALVINGS, TIGHT, CAP = 80, 14, 1e-7, 0.2
WAY, SPUN = 6, (-0.6, 0.0, 0.6)
APART = 0.05
"""Turn of a body by which two rests are two, rad."""
FLAT, MET = 1e-3, 1e-6
"""Slope of a saddle, and what constraints that are met may miss, scaled, mm."""
Stack = TypeVar("Stack", Linkage, Frames, Start)


class Rests(NamedTuple):
    """The rest of least energy at each position: pose ``at``, ``energy`` N mm, ``found`` whether
    there is one, ``other`` the energy of the next rest the starts led to, NaN if all led to one.
    """

    at: Start
    energy: Array
    found: Mask
    other: Array


def cut(stack: Stack, rows: Index | Mask | slice) -> Stack:
    """Some rows of a stack: every array of ``stack`` (N, ...) at ``rows``.

    ``rows``: numbers, truths (N,) or a slice; the order of the numbers is kept.
    """
    return type(stack)(*(array[rows] for array in stack))


def total(f: Frames, s: Start) -> Array:
    """Energy of all four bushings at N poses, N mm, (N,).

    ``f`` and ``s`` are rows of the same N positions.
    """
    return np.asarray(energy(f, strain(f, s.p, s.d, s.m, s.g)).sum(-1))


def positive(matrices: Array) -> Mask:
    """Whether each KKT matrix's Hessian is positive on the constraints' free directions, (N,).

    A direction without any stiffness counts as positive.
    """
    jac, hess = matrices[:, 18:, :18] * SCALE, matrices[:, :18, :18] * SCALE * SCALE[:, None]
    size = np.abs(hess).max(axis=(1, 2))
    walled = hess + 1e3 * size[:, None, None] * (np.swapaxes(jac, 1, 2) @ jac)
    try:
        np.linalg.cholesky(walled)
        return np.ones(len(matrices), dtype=bool)
    except np.linalg.LinAlgError:
        return np.asarray(_free(matrices)[1][:, 0] > 0.0)


def _free(matrices: Array) -> tuple[Array, Array]:
    """Directions (N, 18, 15) that keep the constraints, each an eigenvector of the Hessian, and
    their eigenvalues (N, 15), least first; scaled to mm, and lifted by what arithmetic leaves of
    the largest.
    """
    jac, hess = matrices[:, 18:, :18] * SCALE, matrices[:, :18, :18] * SCALE * SCALE[:, None]
    free = np.linalg.qr(np.swapaxes(jac, 1, 2), mode="complete")[0][:, :, 3:]
    value, own = np.linalg.eigh(np.swapaxes(free, 1, 2) @ hess @ free)
    return free @ own, value + 1e-12 * np.abs(value).max(axis=1, keepdims=True)


def _kept(links: Linkage, s: Start, heave: Array, roll: Array, times: int) -> tuple[Start, Array]:
    """The pose moved by the least that meets the constraints again, and what is left of them
    (N,).
    """
    long, force = lengths(links), s.force
    miss = np.zeros((len(s.p), 3))
    for done in range(times + 1):
        arm, line = apply(s.d, links.bar_axle - links.center), s.d[..., 1]
        span = s.p + arm - links.bar_frame - links.bar_off
        miss = np.stack(
            (
                (dot(span, span) / long - long) / 2,
                s.p[:, 2] - links.center[..., 2] - heave,
                (line[:, 2] - np.sin(roll)) / SCALE[3],
            ),
            axis=-1,
        )
        if done == times:
            break
        jac = np.zeros((len(s.p), 3, 6))
        jac[:, 0] = np.concatenate((span, cross(arm, span)), axis=-1) / long[:, None] * SCALE[:6]
        jac[:, 1, 2] = 1.0
        jac[:, 2, 3:] = cross(line, np.broadcast_to(Z, line.shape))
        back = np.swapaxes(jac, 1, 2)
        grip = jac @ back + 1e-9 * np.eye(3)
        motions = np.zeros((len(s.p), 21))
        motions[:, :6] = -(back @ np.linalg.solve(grip, miss[..., None]))[..., 0] * SCALE[:6]
        s = moved_by(s, motions)._replace(force=force)
    return s, np.abs(miss).max(axis=1)


def _downhill(
    matrices: Array, residual: Array, jac: Array, force: Array
) -> tuple[Array, Array, Mask]:
    """Scaled step (N, 18), slope of the energy along it (N,), and whether the state is a rest."""
    way, value = _free(matrices)
    slope = residual[:, :18] * SCALE + (np.swapaxes(jac, 1, 2) @ force[..., None])[..., 0]
    pull = (np.swapaxes(way, 1, 2) @ slope[..., None])[..., 0]
    least = 1e-9 * np.abs(value).max(axis=1, keepdims=True)
    own_step = -pull / np.maximum(np.abs(value), least)
    rest = (np.abs(own_step).max(axis=1) < TIGHT) & (value[:, 0] > 0)
    saddle = (np.abs(own_step).max(axis=1) < FLAT) & (value[:, 0] < 0)
    own_step[saddle, 0] = np.where(own_step[saddle, 0] < 0, -1.0, 1.0)
    step = (way @ own_step[..., None])[..., 0]
    step *= np.minimum(1.0, CAP / SCALE[3] / np.maximum(np.abs(step[:, 3:]).max(axis=1), 1e-30))[
        :, None
    ]
    return step, (step * slope).sum(axis=1), rest


def _lower(
    links: Linkage, f: Frames, s: Start, at: tuple[Array, Array], go: tuple[Array, Array, Array]
) -> tuple[Start, Array]:
    """The pose after each step, halved until the energy has fallen; where it never falls, the pose
    it was.
    """
    (heave, roll), (step, slope, was) = at, go
    part, now, left = np.ones(len(was)), was.copy(), np.arange(len(was))
    new = Start(*(np.copy(array) for array in s))
    for _ in range(HALVINGS):
        if not left.size:
            break
        motions = np.zeros((len(left), 21))
        motions[:, :18] = step[left] * part[left, None] * SCALE
        trial, _ = _kept(
            cut(links, left),
            moved_by(cut(s, left), motions)._replace(force=s.force[left]),
            heave[left],
            roll[left],
            2,
        )
        stored = total(cut(f, left), trial)
        fallen = stored <= was[left] + 1e-4 * part[left] * slope[left] + 1e-11 * (
            1 + np.abs(was[left])
        )
        for whole, better in zip(new, trial, strict=True):
            whole[left[fallen]] = better[fallen]
        now[left[fallen]] = stored[fallen]
        left = left[~fallen]
        part[left] /= 2
    return new, now


def descend(
    links: Linkage, f: Frames, heave: Array, roll: Array, s: Start, steps: int = STEPS
) -> tuple[Start, Array, Mask]:
    """From starts ``s`` down to rests: pose, energy, and whether each came to one.

    Never raises for geometry.
    """
    s, miss = _kept(links, s, heave, roll, 8)
    s = Start(*(np.copy(array) for array in s))
    stored = total(f, s)
    rest = np.zeros(len(heave), dtype=bool)
    at = np.flatnonzero(np.isfinite(stored) & (miss < MET))
    for _ in range(steps):
        if not at.size:
            break
        their_links, their_frames, here = cut(links, at), cut(f, at), cut(s, at)
        place = (heave[at], roll[at])
        matrices, residual = kkt(
            their_links, their_frames, here._replace(force=np.zeros((len(at), 3))), *place
        )
        jac = matrices[:, 18:, :18] * SCALE
        push = jac @ (residual[:, :18] * SCALE)[..., None]
        force = -np.linalg.solve(jac @ np.swapaxes(jac, 1, 2), push)[..., 0]
        here = here._replace(force=force)
        matrices, residual = kkt(their_links, their_frames, here, *place)
        step, slope, still = _downhill(matrices, residual, jac, force)
        here, stored[at] = _lower(their_links, their_frames, here, place, (step, slope, stored[at]))
        for whole, moved in zip(s, here, strict=True):
            whole[at] = moved
        rest[at] = still
        at = at[~still]
    return s, stored, rest


def spun(links: Linkage, s: Start, left: float, right: float) -> Start:
    """A start with both arms turned about their own axes and the upper arms hung on them again.

    ``left``, ``right``: turns of the two arms, radians; the axle stays where it is in ``s``, each
    upper arm points from its joint on the arm to its mount on the axle.
    """
    arms = (
        turning.turn(along(apply(s.m, links.bolt - links.joint)) * np.array((left, right))[:, None])
        @ s.m
    )
    on_arm = links.joint + apply(arms, links.upper - links.joint)
    reach = s.p[:, None] + apply(s.d[:, None], links.mount - links.center[:, None]) - on_arm
    return Start(s.p, s.d, arms, turning.least(links.mount - links.upper, reach), s.force)


def from_ride(links: Linkage, f: Frames, heave: Array, roll: Array) -> Start:
    """The pose reached from ride height in small steps, each going down in energy from the one
    before.
    """
    s = guess(links, 0 * heave, 0 * roll)
    for part in np.linspace(0.0, 1.0, WAY + 1)[:-1]:
        s, _, _ = descend(links, f, part * heave, part * roll, s, 12)
    return s


def settle_again(links: Linkage, f: Frames, heave: Array, roll: Array, near: Start | None) -> Rests:
    """The rest that the closed form and a solved neighbour ``near`` (without one, the way from ride
    height) both lead to; where they part, all starts.
    """
    many, first = len(heave), guess(links, heave, roll)
    near = from_ride(links, f, heave, roll) if near is None else near
    two = np.tile(np.arange(many), 2)
    s, stored, found = descend(
        cut(links, two),
        cut(f, two),
        heave[two],
        roll[two],
        Start(*(np.concatenate(pair) for pair in zip(first, near, strict=True))),
    )
    split = _apart(s, np.zeros(many, dtype=int), 2, many)[1] > APART
    both = Rests(cut(s, slice(0, many)), stored[:many], found[:many].copy(), np.full(many, np.nan))
    rows = np.flatnonzero(split | ~found[:many] | ~found[many:])
    if rows.size:
        full = rests(cut(links, rows), cut(f, rows), heave[rows], roll[rows])
        for whole, again in zip((*both.at, *both[1:]), (*full.at, *full[1:]), strict=True):
            whole[rows] = again
    return both


def rests(links: Linkage, f: Frames, heave: Array, roll: Array) -> Rests:
    """The least of the rests that all starts lead to, and the next above it.

    ``links``, ``f`` stacked, N of each.
    """
    places, first = len(heave), guess(links, heave, roll)
    starts = [first, from_ride(links, f, heave, roll)]
    starts += [
        spun(links, first, left, right)
        for left in SPUN
        for right in SPUN
        if (left, right) != (0.0, 0.0)
    ]
    many = len(starts)
    rows = np.tile(np.arange(places), many)
    s, stored, found = descend(
        cut(links, rows),
        cut(f, rows),
        heave[rows],
        roll[rows],
        Start(*(np.concatenate(every) for every in zip(*starts, strict=True))),
    )
    stored = np.where(found, stored, np.inf).reshape(many, places)
    low = stored.min(axis=0)
    best = np.argmax(stored <= low + 1e-6 * (1 + np.abs(low)), axis=0)
    apart = _apart(s, best, many, places) > APART
    other = np.where(apart & np.isfinite(stored), stored, np.inf).min(axis=0)
    pick = best * places + np.arange(places)
    return Rests(cut(s, pick), low, np.isfinite(low), np.where(np.isfinite(other), other, np.nan))


def _apart(s: Start, best: Index, many: int, places: int) -> Array:
    """Largest turn of any body between each state and the best of its position, rad, (many, n)."""
    turns = np.concatenate((s.d[:, None], s.m, s.g), axis=1).reshape(many, places, 5, 3, 3)
    best_turns = turns[best, np.arange(places)]
    trace = (turns * best_turns).sum(axis=(-1, -2))
    return np.asarray(np.arccos(np.clip((trace - 1) / 2, -1, 1)).max(axis=-1))

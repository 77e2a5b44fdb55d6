"""The pose of axle and arms at a given heave and roll: least bushing energy under the constraints,
all positions in one call.

Exact Newton steps from the closed-form start (or a neighbour's pose) first. Where they do not
settle, settle on a state that is no minimum, or wander so far that they may have passed into
another valley, the position is looked at again by going down in energy from several starts
(``descent``), and the least rest is taken.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .. import units
from ..arrays import Array, Index, Mask
from .bushing import Frames, strain
from .descent import cut, positive, rests, settle_again, total
from .equations import Start, frames, guess, kkt, moved_by
from .linkage import Linkage, spread

STEPS, TIGHT = 25, 1e-6
TAME = 0.4
TORN = units.IN
"""Radial pull of a bushing that is no longer in its eye, mm (judgment, no source)."""
STRAIGHT = 0.01
"""Angle gone through that leads to no other valley, rad."""


class Pose(NamedTuple):
    """Poses at ``heave`` (mm, bump +) and ``roll`` (rad, left wheel up +), each (N,).

    ``p`` axle center (N, 3); ``d`` its turn from ride height (N, 3, 3); ``m``, ``g`` turns of arms
    and upper arms (N, 2, 3, 3); ``force`` (N, 3) bar tension N, jacking force N, roll moment N mm;
    ``v_heave``, ``v_roll`` axle shift and turn per mm of heave and per rad of roll (N, 6);
    ``settled`` (N,) whether it is a rest: no slope, Hessian positive, the least energy of all that
    was found, no bushing pulled more than an inch out of its eye; ``steps`` how many Newton took;
    ``energy`` (N,) N mm; ``other`` (N,) energy of a second rest, NaN where there is none or none
    was looked for.
    """

    heave: Array
    roll: Array
    p: Array
    d: Array
    m: Array
    g: Array
    force: Array
    v_heave: Array
    v_roll: Array
    settled: Mask
    steps: int
    energy: Array
    other: Array


class _Newton(NamedTuple):
    """Where Newton ended: pose, tangents (N, 21, 2), settled on a minimum, the largest angle gone
    through, steps taken.
    """

    at: Start
    v: Array
    settled: Mask
    gone: Array
    steps: int


def _newton(
    links: Linkage, bushes: Frames, at: Start, heave: Array, roll: Array, push: Array | None = None
) -> _Newton:
    many = len(heave)
    scale = np.array([1.0] * 3 + [1000.0] * 15)
    settled, gone, steps = np.zeros(many, dtype=bool), np.zeros(many), 0
    matrix, solved = np.zeros((many, 21, 21)), np.zeros((many, 21, 3))
    while steps < STEPS:
        steps += 1
        matrix, left = kkt(links, bushes, at, heave, roll)
        left[:, :6] -= 0.0 if push is None else push
        rhs = np.zeros((many, 21, 3))
        rhs[..., 0], rhs[:, 19, 1], rhs[:, 20, 2] = -left, 1.0, np.cos(roll)
        solved = _solve(matrix, rhs)
        motions = solved[..., 0].copy()
        wide = np.abs(motions[:, 3:18]).max(axis=1)
        motions[:, :18] *= np.minimum(1.0, 0.5 / np.maximum(wide, 1e-30))[:, None]
        gone += np.minimum(wide, 0.5)
        settled = np.abs(motions[:, :18] * scale).max(axis=1) < TIGHT
        at = moved_by(at, motions)
        if settled.all() or not (gone < TAME)[~settled].any():
            break
    settled = settled.copy()
    rows = np.flatnonzero(settled & np.isfinite(matrix).all(axis=(1, 2)))
    settled[:] = False
    settled[rows] = positive(matrix[rows])
    return _Newton(at, solved[..., 1:], settled, gone, steps)


def pose(
    links: Linkage,
    heave: Array,
    roll: Array,
    start: Start | None = None,
    push: Array | None = None,
    everywhere: bool = False,
) -> Pose:
    """Solve N positions.

    ``links`` single (used for all) or stacked with N variants; ``heave`` mm, ``roll`` rad, (N,).
    ``everywhere``: look for a second rest at every position, not only where Newton is not to be
    trusted. ``push``: force N and moment N mm about the axle center held on the axle, truck axes,
    (N, 6); heave and roll forces then count it, and only Newton's own rest is taken, from
    ``start``.

    Never raises for geometry: a position that does not come to rest has ``settled`` False and its
    last pose.
    """
    heave, roll = (np.atleast_1d(np.asarray(given, dtype=float)) for given in (heave, roll))
    many = links if links.variants else Linkage(*(array[None] for array in links))
    if many.variants == 1 and len(heave) > 1:
        many = spread(many, len(heave))
    bushes = frames(many)
    other = np.full(len(heave), np.nan)
    with np.errstate(all="ignore"):
        got = _newton(many, bushes, start or guess(many, heave, roll), heave, roll, push)
        again = ~(got.settled & (got.gone < TAME))
        rows = np.arange(len(heave)) if everywhere else np.flatnonzero(again)
        if rows.size and push is None:
            got, other[rows] = _again(many, bushes, got, heave, roll, rows, everywhere)
        at = got.at
        eyes = strain(bushes, at.p, at.d, at.m, at.g).radial.max(axis=-1)
        stored = total(bushes, at)
    return Pose(
        heave=heave,
        roll=roll,
        p=at.p,
        d=at.d,
        m=at.m,
        g=at.g,
        force=at.force,
        v_heave=got.v[:, :6, 0],
        v_roll=got.v[:, :6, 1],
        settled=got.settled & (eyes < TORN),
        steps=got.steps,
        energy=stored,
        other=other,
    )


def _neighbour(got: _Newton, heave: Array, roll: Array, rows: Index) -> Start | None:
    """For each of ``rows`` the pose of the nearest position that Newton settled without wandering,
    an inch counted like a degree; None without any.
    """
    good = np.flatnonzero(got.settled & (got.gone < TAME))
    if not good.size:
        return None
    at = np.stack((heave / units.IN, roll / units.DEG), axis=-1)
    apart = np.abs(at[rows, None] - at[good]).sum(axis=-1)
    return cut(got.at, good[np.argmin(apart, axis=1)])


def _again(
    links: Linkage,
    bushes: Frames,
    got: _Newton,
    heave: Array,
    roll: Array,
    rows: Index,
    everywhere: bool,
) -> tuple[_Newton, Array]:
    """The positions ``rows`` looked at again from several starts; the least rest takes the place of
    what Newton found unless that is as low.
    """
    these, their = cut(links, rows), cut(bushes, rows)
    if everywhere:
        low = rests(these, their, heave[rows], roll[rows])
    else:
        low = settle_again(
            these, their, heave[rows], roll[rows], _neighbour(got, heave, roll, rows)
        )
    was = np.where(got.settled[rows], total(their, cut(got.at, rows)), np.inf)
    lower = low.found & (low.energy < was - 1e-6 * (1 + np.abs(low.energy)))
    new = np.flatnonzero(lower)
    if new.size:
        fine = _newton(
            cut(these, new), cut(their, new), cut(low.at, new), heave[rows][new], roll[rows][new]
        )
        at = rows[new]
        kept = Start(*(np.copy(array) for array in got.at))
        for whole, better in zip(kept, fine.at, strict=True):
            whole[at] = better
        tangents, settled = got.v.copy(), got.settled.copy()
        tangents[at], settled[at] = fine.v, fine.settled & (fine.gone < STRAIGHT)
        got = got._replace(at=kept, v=tangents, settled=settled)
    return got, low.other


def cut_pose(rest: Pose, rows: slice) -> Pose:
    """Some positions of a pose: every array of it at ``rows`` of its first axis.

    What is said of the solving as a whole (``steps``) stays.
    """
    whole = {
        field: values[rows]
        for field, values in rest._asdict().items()
        if isinstance(values, np.ndarray)
    }
    return Pose(**whole, steps=rest.steps)


def _solve(matrices: Array, rhs: Array) -> Array:
    try:
        return np.asarray(np.linalg.solve(matrices, rhs))
    except np.linalg.LinAlgError:
        out = np.full(rhs.shape, np.nan)
        for number in range(len(matrices)):
            try:
                out[number] = np.linalg.solve(matrices[number], rhs[number])
            except np.linalg.LinAlgError:
                continue
        return out


__all__ = ["Pose", "Start", "cut_pose", "frames", "pose"]

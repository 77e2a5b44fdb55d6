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
from .bushing import Frames, strain
from .descent import cut, positive, rests, settle_again, total
from .equations import Start, frames, guess, kkt, moved_by
from .linkage import Linkage, spread
from .turning import Array, Index, Mask

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
    lk: Linkage, f: Frames, s: Start, heave: Array, roll: Array, push: Array | None = None
) -> _Newton:
    n = len(heave)
    scale = np.array([1.0] * 3 + [1000.0] * 15)
    settled, gone, steps = np.zeros(n, dtype=bool), np.zeros(n), 0
    k, v = np.zeros((n, 21, 21)), np.zeros((n, 21, 3))
    while steps < STEPS:
        steps += 1
        k, r = kkt(lk, f, s, heave, roll)
        r[:, :6] -= 0.0 if push is None else push
        rhs = np.zeros((n, 21, 3))
        rhs[..., 0], rhs[:, 19, 1], rhs[:, 20, 2] = -r, 1.0, np.cos(roll)
        v = _solve(k, rhs)
        dx = v[..., 0].copy()
        wide = np.abs(dx[:, 3:18]).max(axis=1)
        dx[:, :18] *= np.minimum(1.0, 0.5 / np.maximum(wide, 1e-30))[:, None]
        gone += np.minimum(wide, 0.5)
        settled = np.abs(dx[:, :18] * scale).max(axis=1) < TIGHT
        s = moved_by(s, dx)
        if settled.all() or not (gone < TAME)[~settled].any():
            break
    settled = settled.copy()
    rows = np.flatnonzero(settled & np.isfinite(k).all(axis=(1, 2)))
    settled[:] = False
    settled[rows] = positive(k[rows])
    return _Newton(s, v[..., 1:], settled, gone, steps)


def pose(
    lk: Linkage,
    heave: Array,
    roll: Array,
    start: Start | None = None,
    push: Array | None = None,
    everywhere: bool = False,
) -> Pose:
    """Solve N positions.

    ``lk`` single (used for all) or stacked with N variants; ``heave`` mm, ``roll`` rad, (N,).
    ``everywhere``: look for a second rest at every position, not only where Newton is not to be
    trusted. ``push``: force N and moment N mm about the axle center held on the axle, truck axes,
    (N, 6); heave and roll forces then count it, and only Newton's own rest is taken, from
    ``start``.

    Never raises for geometry: a position that does not come to rest has ``settled`` False and its
    last pose.
    """
    heave, roll = (np.atleast_1d(np.asarray(v, dtype=float)) for v in (heave, roll))
    many = lk if lk.variants else Linkage(*(a[None] for a in lk))
    if many.variants == 1 and len(heave) > 1:
        many = spread(many, len(heave))
    f = frames(many)
    other = np.full(len(heave), np.nan)
    with np.errstate(all="ignore"):
        got = _newton(many, f, start or guess(many, heave, roll), heave, roll, push)
        again = ~(got.settled & (got.gone < TAME))
        rows = np.arange(len(heave)) if everywhere else np.flatnonzero(again)
        if rows.size and push is None:
            got, other[rows] = _again(many, f, got, heave, roll, rows, everywhere)
        s = got.at
        eyes = strain(f, s.p, s.d, s.m, s.g).radial.max(axis=-1)
        e = total(f, s)
    return Pose(
        heave,
        roll,
        s.p,
        s.d,
        s.m,
        s.g,
        s.force,
        got.v[:, :6, 0],
        got.v[:, :6, 1],
        got.settled & (eyes < TORN),
        got.steps,
        e,
        other,
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
    lk: Linkage,
    f: Frames,
    got: _Newton,
    heave: Array,
    roll: Array,
    rows: Index,
    everywhere: bool,
) -> tuple[_Newton, Array]:
    """The positions ``rows`` looked at again from several starts; the least rest takes the place of
    what Newton found unless that is as low.
    """
    l_, f_ = cut(lk, rows), cut(f, rows)
    if everywhere:
        low = rests(l_, f_, heave[rows], roll[rows])
    else:
        low = settle_again(l_, f_, heave[rows], roll[rows], _neighbour(got, heave, roll, rows))
    was = np.where(got.settled[rows], total(f_, cut(got.at, rows)), np.inf)
    lower = low.found & (low.energy < was - 1e-6 * (1 + np.abs(low.energy)))
    new = np.flatnonzero(lower)
    if new.size:
        fine = _newton(
            cut(l_, new), cut(f_, new), cut(low.at, new), heave[rows][new], roll[rows][new]
        )
        at = rows[new]
        kept = Start(*(np.copy(a) for a in got.at))
        for a, b in zip(kept, fine.at, strict=True):
            a[at] = b
        v, settled = got.v.copy(), got.settled.copy()
        v[at], settled[at] = fine.v, fine.settled & (fine.gone < STRAIGHT)
        got = got._replace(at=kept, v=v, settled=settled)
    return got, low.other


def cut_pose(q: Pose, rows: slice) -> Pose:
    """Some positions of a pose."""
    whole = {f: a[rows] for f, a in q._asdict().items() if isinstance(a, np.ndarray)}
    return Pose(**whole, steps=q.steps)


def _solve(k: Array, rhs: Array) -> Array:
    try:
        return np.asarray(np.linalg.solve(k, rhs))
    except np.linalg.LinAlgError:
        out = np.full(rhs.shape, np.nan)
        for i in range(len(k)):
            try:
                out[i] = np.linalg.solve(k[i], rhs[i])
            except np.linalg.LinAlgError:
                continue
        return out


__all__ = ["Pose", "Start", "cut_pose", "frames", "pose"]

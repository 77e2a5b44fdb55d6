"""The least gap between two solids, to a few hundredths of a millimeter.

Of two bodies with flat faces the closest points always lie on an edge of one of them, so the edges
of each are held against the other's exact distance. A distance changes by no more than the way
gone, so a piece of edge whose middle is d away cannot be nearer than d less half its length: pieces
that could still be the nearest are halved again until that is settled (branch and bound; R. E.
Moore, Methods and Applications of Interval Analysis, 1979).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from ..model.vectors import Frame, Vec3
from .solid import Pipe, Points

FINE, KEPT = 0.05, 512


class Edges(NamedTuple):
    """Short straight pieces: ``a`` to ``b``, (n, 3)."""

    a: Points
    b: Points

    def moved(self, turn: Points, shift: Points) -> Edges:
        """Turned and shifted: x goes to R x + shift."""
        return Edges(self.a @ turn.T + shift, self.b @ turn.T + shift)

    def within(self, low: Points, high: Points) -> Edges:
        """Those that reach into a box."""
        least, most = np.minimum(self.a, self.b), np.maximum(self.a, self.b)
        keep = ((most > low) & (least < high)).all(axis=1)
        return Edges(self.a[keep], self.b[keep])


def pieces(a: Points, b: Points, pitch: float) -> Edges:
    """Lines cut into pieces ``pitch`` long at most."""
    n = np.maximum(1, np.ceil(np.linalg.norm(b - a, axis=1) / pitch).astype(int))
    row = np.repeat(np.arange(len(n)), n)
    k = (np.arange(len(row)) - np.repeat(np.cumsum(n) - n, n))[:, None]
    step = ((b - a) / n[:, None])[row]
    return Edges(a[row] + k * step, a[row] + (k + 1) * step)


def nearest(
    e: Edges, signed: Callable[[Points], Points], least: float = math.inf
) -> tuple[float, Points]:
    """Least of a signed distance over the pieces, and where, if it is under ``least``; else
    ``least`` and not a place. Never more than ``FINE`` mm too great, unless more than ``KEPT``
    pieces are equally near.
    """
    best, at = least, np.full(3, math.nan)
    a, b = e
    while len(a):
        mid = (a + b) / 2
        half = np.linalg.norm(b - a, axis=1) / 2
        d = signed(mid)
        j = int(np.argmin(d))
        if d[j] < best:
            best, at = float(d[j]), mid[j]
        bound = d - half
        open_ = np.flatnonzero(bound < best - FINE)
        if len(open_) > KEPT:
            open_ = open_[np.argsort(bound[open_], kind="stable")[:KEPT]]
        a, b = (np.concatenate((x[open_], y[open_])) for x, y in ((a, mid), (mid, b)))
    return best, at


class Round(NamedTuple):
    """A round bar between two points at one position; ``flat`` True: with square ends, as a tire or
    a coil; else with round ones.
    """

    name: str
    title: str
    a: Points
    b: Points
    radius: float
    flat: bool = False


def _vector(values: Points) -> Vec3:
    x, y, z = map(float, values)
    return x, y, z


def drum(r: Round) -> Pipe:
    """A round bar with square ends as the solid it is."""
    along = r.b - r.a
    across = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
    place = Frame.of(_vector(r.a), _vector(along), _vector(across))
    return Pipe(place, float(np.linalg.norm(along)), 2 * r.radius, 0.0)


def from_round(p: Points, r: Round) -> Points:
    """Distance of points (n, 3) from a round bar (round ends) or from a disc (flat ends); below
    zero inside.
    """
    if r.flat:
        return np.asarray(drum(r).signed(p))
    along = r.b - r.a
    k = np.clip((p - r.a) @ along / float(along @ along), 0.0, 1.0)[:, None]
    return np.asarray(np.linalg.norm(p - r.a - k * along, axis=1) - r.radius)


def from_axis(
    r: Round, signed: Callable[[Points], Points], pitch: float = 10.0, least: float = math.inf
) -> tuple[float, Points]:
    """Least distance from a round bar with round ends to a solid given by its distance function,
    and the point of its axis.
    """
    axis = pieces(r.a[None], r.b[None], pitch)
    gap, at = nearest(axis, signed, least + r.radius)
    return (gap - r.radius if np.isfinite(at).all() else least), at


def segments(a: Points, b: Points, c: Points, d: Points) -> tuple[float, Points]:
    """Least distance between segments ab and cd, exact, and the point of ab it is at."""
    u, v, w = b - a, d - c, a - c
    uu, vv, uv, uw, vw = float(u @ u), float(v @ v), float(u @ v), float(u @ w), float(v @ w)
    det = uu * vv - uv * uv
    tries = []
    if det > 1e-12 * uu * vv:
        s, t = (uv * vw - vv * uw) / det, (uu * vw - uv * uw) / det
        if 0 <= s <= 1 and 0 <= t <= 1:
            tries.append((s, t))
    for s in (0.0, 1.0):
        tries.append((s, min(max((vw + s * uv) / vv, 0.0), 1.0)))
    for t in (0.0, 1.0):
        tries.append((min(max((t * uv - uw) / uu, 0.0), 1.0), t))
    best = min(tries, key=lambda x: float(np.sum((w + x[0] * u - x[1] * v) ** 2)))
    return float(np.linalg.norm(w + best[0] * u - best[1] * v)), a + best[0] * u

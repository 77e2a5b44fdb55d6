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
from .pipe import Pipe
from .prism import Points

FINE, KEPT = 0.05, 512


class Edges(NamedTuple):
    """Short straight pieces from ``a`` to ``b``: two arrays (n, 3), mm."""

    a: Points
    b: Points

    def moved(self, turn: Points, shift: Points) -> Edges:
        """Turned and shifted: a point x goes to R x + shift, R (3, 3) and shift (3,)."""
        return Edges(self.a @ turn.T + shift, self.b @ turn.T + shift)

    def within(self, low: Points, high: Points) -> Edges:
        """Those that reach into the box from ``low`` to ``high``, each (3,), mm."""
        least, most = np.minimum(self.a, self.b), np.maximum(self.a, self.b)
        keep = ((most > low) & (least < high)).all(axis=1)
        return Edges(self.a[keep], self.b[keep])


def pieces(starts: Points, ends: Points, pitch: float) -> Edges:
    """Lines from ``starts`` to ``ends``, each (n, 3), cut into pieces ``pitch`` mm long at most.
    The shorter they begin, the fewer halvings ``nearest`` needs.
    """
    counts = np.maximum(1, np.ceil(np.linalg.norm(ends - starts, axis=1) / pitch).astype(int))
    row = np.repeat(np.arange(len(counts)), counts)
    place = (np.arange(len(row)) - np.repeat(np.cumsum(counts) - counts, counts))[:, None]
    step = ((ends - starts) / counts[:, None])[row]
    return Edges(starts[row] + place * step, starts[row] + (place + 1) * step)


def nearest(
    edges: Edges, signed: Callable[[Points], Points], least: float = math.inf
) -> tuple[float, Points]:
    """Least of a signed distance over the pieces, by branch and bound.

    Parameters
    ----------
    signed : function
        Distance (n,) of points (n, 3) from the other body, mm. It must not change faster than the
        point moves, which every true distance keeps.
    least : float
        Already known, mm: pieces that cannot be nearer are dropped at once.

    Returns
    -------
    gap : float
        mm; never more than ``FINE`` too great, unless more than ``KEPT`` pieces are equally near.
    place : array (3,)
        Where on the pieces; not a number where nothing was under ``least``, which is then the gap.

    A line 3 mm above a ball of radius 2 about the origin:

    >>> line = pieces(np.array([[-9.0, 0.0, 5.0]]), np.array([[9.0, 0.0, 5.0]]), 4.0)
    >>> gap, _ = nearest(line, lambda points: np.linalg.norm(points, axis=1) - 2.0)
    >>> abs(gap - 3.0) < FINE
    True
    """
    best, place = least, np.full(3, math.nan)
    starts, ends = edges
    while len(starts):
        mid = (starts + ends) / 2
        half = np.linalg.norm(ends - starts, axis=1) / 2
        away = signed(mid)
        least_of = int(np.argmin(away))
        if away[least_of] < best:
            best, place = float(away[least_of]), mid[least_of]
        bound = away - half
        open_ = np.flatnonzero(bound < best - FINE)
        # a plate flat on a plate leaves every piece open for ever: the likeliest are gone on with
        if len(open_) > KEPT:
            open_ = open_[np.argsort(bound[open_], kind="stable")[:KEPT]]
        starts, ends = (
            np.concatenate((x[open_], y[open_])) for x, y in ((starts, mid), (mid, ends))
        )
    return best, place


class RoundBar(NamedTuple):
    """A round bar between two points at one position of the axle.

    Attributes
    ----------
    name, title : str
        Which body, and how a person calls it.
    a, b : array (3,)
        Ends of its axis in truck axes, mm.
    radius : float
        mm.
    flat : bool
        With square ends, as a tire or a coil; else with round ones.
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


def drum(bar: RoundBar) -> Pipe:
    """A round bar with square ends as the solid it is."""
    along = bar.b - bar.a
    across = np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))])
    place = Frame.of(_vector(bar.a), _vector(along), _vector(across))
    return Pipe(place, float(np.linalg.norm(along)), 2 * bar.radius, 0.0)


def from_round(points: Points, bar: RoundBar) -> Points:
    """Distance of points (n, 3) from a round bar, its ends as it has them: (n,), mm, below zero
    inside.
    """
    if bar.flat:
        return np.asarray(drum(bar).signed(points))
    along = bar.b - bar.a
    share = np.clip((points - bar.a) @ along / float(along @ along), 0.0, 1.0)[:, None]
    return np.asarray(np.linalg.norm(points - bar.a - share * along, axis=1) - bar.radius)


def from_axis(
    bar: RoundBar, signed: Callable[[Points], Points], pitch: float = 10.0, least: float = math.inf
) -> tuple[float, Points]:
    """Least distance from a round bar with round ends to a solid.

    Parameters
    ----------
    signed : function
        Distance (n,) of points (n, 3) from the solid, mm.
    pitch : float
        Pieces its axis is looked at in, mm.
    least : float
        Already known, mm: what is not nearer is not looked for.

    Returns
    -------
    gap : float
        mm, or ``least`` where nothing is nearer.
    place : array (3,)
        The point of its axis.
    """
    axis = pieces(bar.a[None], bar.b[None], pitch)
    gap, place = nearest(axis, signed, least + bar.radius)
    return (gap - bar.radius if np.isfinite(place).all() else least), place


def segments(
    start: Points, end: Points, other_start: Points, other_end: Points
) -> tuple[float, Points]:
    """Least distance between two straight segments, exact.

    Parameters
    ----------
    start, end, other_start, other_end : array (3,)
        mm.

    Returns
    -------
    gap : float
        mm.
    place : array (3,)
        The point of the first segment it is at.

    Notes
    -----
    Where the common square of both lines falls off a segment, the least lies at one of four ends.
    """
    along, other_along, between = end - start, other_end - other_start, start - other_start
    uu, vv, uv, uw, vw = (
        float(along @ along),
        float(other_along @ other_along),
        float(along @ other_along),
        float(along @ between),
        float(other_along @ between),
    )
    det = uu * vv - uv * uv
    tries = []
    if det > 1e-12 * uu * vv:
        share, other_share = (uv * vw - vv * uw) / det, (uu * vw - uv * uw) / det
        if 0 <= share <= 1 and 0 <= other_share <= 1:
            tries.append((share, other_share))
    for share in (0.0, 1.0):
        tries.append((share, min(max((vw + share * uv) / vv, 0.0), 1.0)))
    for other_share in (0.0, 1.0):
        tries.append((min(max((other_share * uv - uw) / uu, 0.0), 1.0), other_share))
    best = min(
        tries, key=lambda x: float(np.sum((between + x[0] * along - x[1] * other_along) ** 2))
    )
    return float(np.linalg.norm(between + best[0] * along - best[1] * other_along)), start + best[
        0
    ] * along

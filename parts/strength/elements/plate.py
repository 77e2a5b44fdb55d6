"""Plates in finite elements: membrane and bending, held along welds, tied to each other, lying
against what stands behind them.

For plates whose outline or load no hand rule covers. Stress is reported at a stated distance from
welds, loads and holes: what peaks on them is never reported. mm, N, MPa.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ....layout.arrays import Array
from ...design.site import Refused
from .contact import Contact, factored, settled
from .mesh import Mesh, dense, near
from .sparse import Sparse
from .triangles import bending_strain, elastic, membrane, plate

PER_NODE = 5
"""In the plane x, y; out of it; turns about x and y (w,y and -w,x)."""
FLAT, BENT = (0, 1), (2, 3, 4)
CORNERS = ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
AROUND = 16
"""Points about each point of a line at which stress is read."""
PATCH = 8
"""Points about each over which stress is averaged: a patch half as wide as its distance from the
line, so that the answer hangs neither on the mesh nor on one point between two welds.
"""
NEIGHBORS, INSIDE = (3, 12), 1e-9
"""Triangles looked through for a point, then for one in none of those, and by what share it may lie
outside one.
"""


class Solved(NamedTuple):
    """``u`` (n, 5): in-plane x, y, out of plane, turns about x and y.

    ``flat``, ``skin`` (n, 3): stress xx, yy, xy at the nodes, in the middle of the thickness and
    what bending adds on a face, MPa. ``reaction`` (n, 5): force of what holds, ties and presses;
    ``pressed``: which places of a
    contact press.
    """

    mesh: Mesh
    u: Array
    flat: Array
    skin: Array
    reaction: Array
    pressed: NDArray[np.bool_] = np.zeros(0, dtype=bool)

    @property
    def stress(self) -> Array:
        """Larger von Mises of both faces at the nodes, (n,)."""
        return faces(self.flat, self.skin)


def solve(m: Mesh, t: float | Array, held: NDArray[np.bool_], load: Array) -> Solved:
    """One plate under load.

    Parameters
    ----------
    m : Mesh
    t : float or (m,) array
        Thickness, mm.
    held : (n, 5) bool array
        Which movements of each node are none: in the plane x and y, out of it, turns about x, y.
    load : (n, 5) array
        Forces, N, and moments about x and y, N mm, on each node.

    Raises
    ------
    Refused
        The plate is not held enough.
    """
    from scipy.sparse import identity

    every = identity(load.size, format="csc")
    free = np.flatnonzero(~held.ravel())
    s = solve_tied(m, t, every[:, free], load.ravel()[free], None)
    return s._replace(reaction=s.reaction - load)


def solve_tied(
    m: Mesh, t: float | Array, ties: Sparse, load: Array, contact: Contact | None
) -> Solved:
    """Plates some of whose movements follow from others.

    Parameters
    ----------
    m, t
        As ``solve`` takes them, every plate in one mesh.
    ties : (5 n, free) sparse matrix
        All movements from the free ones.
    load : (free,) array
        Forces and moments on the free ones, N and N mm.
    contact : Contact, optional
        Places that may press and lift, by all movements.

    Raises
    ------
    Refused
        The plates are not held enough, or what touches does not settle.
    """
    whole = stiffness(m, t)
    own = (ties.T @ whole @ ties).tocsc()
    if contact is None:
        free, pressed = factored(own).solve(load), np.zeros(0, dtype=bool)
    else:
        free, pressed = settled(own, load, contact._replace(gap=contact.gap @ ties))
    u = ties @ free
    if not np.isfinite(u).all():
        raise Refused("the plate is not held enough to be worked out")
    pushed = whole @ u
    return Solved(
        m, u.reshape(-1, 5), *_stress(m, t, u), np.asarray(pushed.reshape(-1, 5)), pressed
    )


def unknowns(m: Mesh, kinds: Sequence[int]) -> NDArray[np.int64]:
    """Numbers of a triangle's movements among all: (m, 3 * kinds), those of one corner together.

    ``kinds``: which of the five of a node, ``FLAT`` or ``BENT``.
    """
    return np.concatenate(
        [PER_NODE * m.tris[:, [corner]] + np.array(kinds) for corner in range(3)], axis=1
    )


def stiffness(m: Mesh, t: float | Array) -> Sparse:
    """Stiffness of all movements of all nodes, (5 n, 5 n) sparse, N and mm; ``t``: thickness, mm,
    one or one a triangle.
    """
    from scipy.sparse import coo_matrix

    xy = m.nodes[m.tris]
    rows, cols, values = [], [], []
    for ids, k in ((unknowns(m, FLAT), membrane(xy, t)[1]), (unknowns(m, BENT), plate(xy, t))):
        many = ids.shape[1]
        rows.append(np.repeat(ids, many, axis=1).ravel())
        cols.append(np.tile(ids, (1, many)).ravel())
        values.append(k.ravel())
    size = PER_NODE * len(m.nodes)
    where = (np.concatenate(rows), np.concatenate(cols))
    found: Sparse = coo_matrix((np.concatenate(values), where), shape=(size, size)).tocsc()
    return found


def _stress(m: Mesh, t: float | Array, u: Array) -> tuple[Array, Array]:
    """Stress at the nodes from the triangles about each, by their areas."""
    xy, areas, law = m.nodes[m.tris], m.areas, elastic()
    flat = np.einsum("mjk,mk->mj", membrane(xy, t)[0], u[unknowns(m, FLAT)]) @ law.T
    half = np.broadcast_to(np.asarray(t, dtype=float), areas.shape)[:, None] / 2
    bent = u[unknowns(m, BENT)]
    total = np.zeros((len(m.nodes), 6))
    share = np.zeros(len(m.nodes))
    for corner, place in enumerate(CORNERS):
        skin = np.einsum("mij,mj->mi", bending_strain(xy, *place), bent) @ law.T * half
        both = np.concatenate((flat, skin), axis=1) * areas[:, None]
        np.add.at(total, m.tris[:, corner], both)
        np.add.at(share, m.tris[:, corner], areas)
    total /= share[:, None]
    return total[:, :3], total[:, 3:]


def faces(flat: Array, skin: Array) -> Array:
    """The larger von Mises stress of a plate's two faces, (n,) MPa; ``flat``, ``skin`` (n, 3):
    stress xx, yy, xy in the middle of the thickness, and what bending adds on a face and takes on
    the other.
    """
    return np.maximum(von_mises(flat + skin), von_mises(flat - skin))


def von_mises(s: Array) -> Array:
    """Equivalent stress, MPa, of plane stress (..., 3): xx, yy, xy.

    >>> von_mises(np.array([(100.0, 0.0, 0.0), (0.0, 0.0, 100.0)])).round(1).tolist()
    [100.0, 173.2]
    """
    return np.asarray(
        np.sqrt(s[..., 0] ** 2 - s[..., 0] * s[..., 1] + s[..., 1] ** 2 + 3 * s[..., 2] ** 2)
    )


class Peak(NamedTuple):
    """Largest stress, MPa, and where in the plate."""

    stress: float
    at: Array


def fair(s: Solved, lines: Sequence[Array], away: float) -> float:
    """Largest stress at ``away`` mm from every line (k, 2) and beyond, MPa, as ``peak`` reads
    it.
    """
    return peak(s, lines, away).stress


def peak(s: Solved, lines: Sequence[Array], away: float) -> Peak:
    """Largest stress from a stated distance on, so that it does not hang on the mesh.

    Parameters
    ----------
    s : Solved
    lines : arrays (k, 2)
        Welds, loads and holes, mm, at which elastic stress peaks without an end.
    away : float
        Nothing nearer to any of them is read, mm; read exactly there, over a patch half as wide.

    Returns
    -------
    Peak
        MPa and where; 0 at the first node if all of the plate is nearer.
    """
    nodes = s.mesh.nodes
    turn = np.linspace(0.0, math.tau, AROUND, endpoint=False)
    ring = away * np.column_stack((np.cos(turn), np.sin(turn)))
    spots = [nodes]
    for line in lines:
        spots += [(dense(line, away / 2)[:, None] + ring).reshape(-1, 2)]
    points = np.vstack(spots)
    for line in lines:
        points = points[~near(points, line, away * 0.999)]
    if not len(points):
        return Peak(0.0, nodes[0])
    turn = np.linspace(0.0, math.tau, PATCH, endpoint=False)
    patch = away / 4 * np.column_stack((np.cos(turn), np.sin(turn)))
    every = _between(s, (points[:, None] + np.vstack((patch, (0.0, 0.0)))).reshape(-1, 2))
    with np.errstate(invalid="ignore"):
        there = ~np.isnan(every.reshape(len(points), PATCH + 1, 6))
        total = np.where(there, every.reshape(there.shape), 0.0).sum(axis=1)
        read = total / there.sum(axis=1)
    found = np.nan_to_num(faces(read[:, :3], read[:, 3:]))
    most = int(np.argmax(found))
    return Peak(float(found[most]), points[most])


def _between(s: Solved, points: Array) -> Array:
    """Stress in the triangle that each point (n, 2) lies in, (n, 6); nothing outside the plate."""
    from scipy.spatial import cKDTree

    corners = s.mesh.nodes[s.mesh.tris]
    tree = cKDTree(corners.mean(axis=1))
    at_nodes = np.hstack((s.flat, s.skin))
    found = np.full((len(points), 6), np.nan)
    first, two, three = corners[:, 0], corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = two[:, 0] * three[:, 1] - two[:, 1] * three[:, 0]
    rest = np.arange(len(points))
    for many in NEIGHBORS:
        _, nearest = tree.query(points[rest], k=list(range(1, min(many, len(corners)) + 1)))
        for at in range(nearest.shape[1]):
            which = nearest[:, at]
            to = points[rest] - first[which]
            b = (to[:, 0] * three[which, 1] - to[:, 1] * three[which, 0]) / area[which]
            c = (two[which, 0] * to[:, 1] - two[which, 1] * to[:, 0]) / area[which]
            shares = np.column_stack((1 - b - c, b, c))
            hit = (shares > -INSIDE).all(axis=1)
            tris = s.mesh.tris[which[hit]]
            found[rest[hit]] = np.einsum("pk,pkj->pj", shares[hit], at_nodes[tris])
            rest, nearest = rest[~hit], nearest[~hit]
    return found

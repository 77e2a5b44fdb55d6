"""The real outline of one plate in finite elements: membrane (constant-strain triangles) and plate
bending (discrete Kirchhoff triangles, Batoz 1980).

For plates whose outline or load no hand rule covers: held along its welds, loaded by what is welded
on it. Stress is reported one plate thickness away from welds and loads and outside holes' edges by
as much: singular peaks are never reported. mm, N, MPa.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...design.site import Refused
from ...geometry import outline
from ...model.body import Loop

Array = NDArray[np.float64]
E, NU = 200_000.0, 0.3
LIFTED = 1e-9
"""Movement inward that counts as pressing on what lies behind, mm."""
ROUNDS = 12
"""Times that what touches is looked for again."""
GAUSS = ((0.5, 0.0), (0.5, 0.5), (0.0, 0.5))


class Mesh(NamedTuple):
    """Nodes (n, 2) and triangles (m, 3), counter-clockwise."""

    nodes: Array
    tris: NDArray[np.int64]


class Solved(NamedTuple):
    """``u`` (n, 5): in-plane x, y, out of plane, turns about x and y.

    ``stress`` (m,): largest von Mises of both faces at the middle of each triangle, MPa.
    """

    mesh: Mesh
    u: Array
    stress: Array
    reaction: Array


def mesh(outer: Loop, inner: tuple[Loop, ...], size: float) -> Mesh:
    """Triangles of about ``size`` mm, finer at openings.

    Refused if the outline cannot be meshed.
    """
    from scipy.spatial import Delaunay

    rings = [_ring(outer, size)] + [
        _ring(o, min(size, max(1.0, math.sqrt(outline.area(o)) / 6))) for o in inner
    ]
    x0, y0, x1, y1 = outline.bbox(outer)
    step = size * math.sqrt(3) / 2
    rows = [
        np.column_stack(
            (
                np.arange(x0 + (size / 2 if i % 2 else 0), x1, size),
                np.full(len(np.arange(x0 + (size / 2 if i % 2 else 0), x1, size)), y),
            )
        )
        for i, y in enumerate(np.arange(y0, y1, step))
    ]
    grid = np.vstack(rows)
    keep = _inside(grid, outer, inner)
    for ring in rings:
        gap = float(np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).mean())
        keep[keep] = np.array(
            [np.min(np.hypot(*(ring - p).T)) > 0.6 * max(gap, 0.6 * size) for p in grid[keep]]
        )
    nodes = np.vstack([*rings, grid[keep]])
    tris = Delaunay(nodes).simplices
    mid = nodes[tris].mean(axis=1)
    tris = tris[_inside(mid, outer, inner)]
    a, b, c = (nodes[tris[:, i]] for i in range(3))
    area = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2
    tris = np.where(area[:, None] > 0, tris, tris[:, [0, 2, 1]])
    tris = tris[np.abs(area) > 1e-4 * size**2]
    want = abs(outline.signed_area(outer)) - sum(abs(outline.signed_area(o)) for o in inner)
    got = float(np.abs(area).sum())
    if abs(got - want) > 0.02 * want:
        raise Refused(f"the outline does not mesh: {got:.0f} of {want:.0f} mm2")
    used = np.unique(tris)
    back = np.full(len(nodes), -1)
    back[used] = np.arange(len(used))
    return Mesh(nodes[used], back[tris])


def _ring(loop: Loop, size: float) -> Array:
    """Points along a loop at most ``size`` apart."""
    pts = np.array(outline.flatten(loop, 0.1))
    out = []
    for a, b in zip(pts, np.roll(pts, -1, axis=0), strict=True):
        n = max(1, math.ceil(math.dist(a, b) / size))
        out.append(a + (b - a) * (np.arange(n) / n)[:, None])
    ring = np.vstack(out)
    keep = [0]
    for i in range(1, len(ring)):
        if (
            math.dist(ring[i], ring[keep[-1]]) > 0.35 * size
            and math.dist(ring[i], ring[0]) > 0.2 * size
        ):
            keep.append(i)
    return np.asarray(ring[keep])


def _inside(p: Array, outer: Loop, inner: tuple[Loop, ...]) -> NDArray[np.bool_]:
    from ...geometry.solid import Flat

    found = Flat(outer, 0.1).inside(p)
    for o in inner:
        found &= ~Flat(o, 0.1).inside(p)
    return found


def membrane(xy: Array, t: float | Array) -> tuple[Array, Array]:
    """Strain matrices (m, 3, 6) and stiffness (m, 6, 6) of constant-strain triangles in plane
    stress.
    """
    x, y = xy[..., 0], xy[..., 1]
    b = np.stack((y[:, 1] - y[:, 2], y[:, 2] - y[:, 0], y[:, 0] - y[:, 1]), axis=1)
    c = np.stack((x[:, 2] - x[:, 1], x[:, 0] - x[:, 2], x[:, 1] - x[:, 0]), axis=1)
    two = b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0]
    m = np.zeros((len(xy), 3, 6))
    m[:, 0, 0::2] = b
    m[:, 1, 1::2] = c
    m[:, 2, 0::2], m[:, 2, 1::2] = c, b
    m /= two[:, None, None]
    d = elastic()
    return m, (t * two / 2)[:, None, None] * np.einsum("mij,ik,mkl->mjl", m, d, m)


def elastic() -> Array:
    """Plane-stress matrix, MPa."""
    return E / (1 - NU**2) * np.array(((1.0, NU, 0.0), (NU, 1.0, 0.0), (0.0, 0.0, (1 - NU) / 2)))


class Sides(NamedTuple):
    """What the sides of the triangles give the curvature (Batoz 1980): ``p``, ``t``, ``q`` and
    ``r``, each (3, m), of the sides opposite the first, second and third corner: the paper's
    sides 4, 5 and 6.
    """

    p: Array
    t: Array
    q: Array
    r: Array


def _sides(x: Array, y: Array) -> Sides:
    """``x``, ``y`` (m, 3): the corners."""
    ends = ((1, 2), (2, 0), (0, 1))
    dx, dy = (np.stack([at[:, i] - at[:, j] for i, j in ends]) for at in (x, y))
    square = dx**2 + dy**2
    return Sides(-6 * dx / square, -6 * dy / square, 3 * dx * dy / square, 3 * dy**2 / square)


def _turn_along_xi(sides: Sides, xi: float, eta: float) -> tuple[Array, Array]:
    """Change along xi of the turns of the normal in x and in y (both (m, 9)), at a point of the
    triangles (Batoz 1980, derivatives of Hx and Hy).
    """
    (p4, p5, p6), (t4, t5, t6), (q4, q5, q6), (r4, r5, r6) = sides
    left = 1 - 2 * xi
    in_x = (
        p6 * left + (p5 - p6) * eta,
        q6 * left - (q5 + q6) * eta,
        -4 + 6 * (xi + eta) + r6 * left - eta * (r5 + r6),
        -p6 * left + eta * (p4 + p6),
        q6 * left - eta * (q6 - q4),
        -2 + 6 * xi + r6 * left + eta * (r4 - r6),
        -eta * (p5 + p4),
        eta * (q4 - q5),
        -eta * (r5 - r4),
    )
    in_y = (
        t6 * left + eta * (t5 - t6),
        1 + r6 * left - eta * (r5 + r6),
        -q6 * left + eta * (q5 + q6),
        -t6 * left + eta * (t4 + t6),
        -1 + r6 * left + eta * (r4 - r6),
        -q6 * left - eta * (q4 - q6),
        -eta * (t4 + t5),
        eta * (r4 - r5),
        -eta * (q4 - q5),
    )
    return np.stack(in_x, axis=1), np.stack(in_y, axis=1)


def _turn_along_eta(sides: Sides, xi: float, eta: float) -> tuple[Array, Array]:
    """Change along eta of the turns of the normal, as ``_turn_along_xi``."""
    (p4, p5, p6), (t4, t5, t6), (q4, q5, q6), (r4, r5, r6) = sides
    left = 1 - 2 * eta
    in_x = (
        -p5 * left - xi * (p6 - p5),
        q5 * left - xi * (q5 + q6),
        -4 + 6 * (xi + eta) + r5 * left - xi * (r5 + r6),
        xi * (p4 + p6),
        xi * (q4 - q6),
        -xi * (r6 - r4),
        p5 * left - xi * (p4 + p5),
        q5 * left + xi * (q4 - q5),
        -2 + 6 * eta + r5 * left + xi * (r4 - r5),
    )
    in_y = (
        -t5 * left - xi * (t6 - t5),
        1 + r5 * left - xi * (r5 + r6),
        -q5 * left + xi * (q5 + q6),
        xi * (t4 + t6),
        xi * (r4 - r6),
        -xi * (q4 - q6),
        t5 * left - xi * (t4 + t5),
        -1 + r5 * left + xi * (r4 - r5),
        -q5 * left - xi * (q4 - q5),
    )
    return np.stack(in_x, axis=1), np.stack(in_y, axis=1)


def bending_strain(xy: Array, xi: float, eta: float) -> Array:
    """Curvature matrices (m, 3, 9) at a point of the triangles; unknowns w, turn about x (w,y),
    turn about y (-w,x) at each corner.
    """
    x, y = xy[..., 0], xy[..., 1]
    sides = _sides(x, y)
    x_xi, y_xi = _turn_along_xi(sides, xi, eta)
    x_eta, y_eta = _turn_along_eta(sides, xi, eta)
    x31, x12 = (x[:, [2]] - x[:, [0]], x[:, [0]] - x[:, [1]])
    y31, y12 = (y[:, [2]] - y[:, [0]], y[:, [0]] - y[:, [1]])
    rows = (
        y31 * x_xi + y12 * x_eta,
        -x31 * y_xi - x12 * y_eta,
        -x31 * x_xi - x12 * x_eta + y31 * y_xi + y12 * y_eta,
    )
    two_areas = x31 * y12 - x12 * y31
    return np.asarray(np.stack(rows, axis=1) / two_areas[:, None])


def plate(xy: Array, t: float | Array) -> Array:
    """Bending stiffness (m, 9, 9), three points; ``t`` one thickness or one a triangle."""
    x, y = xy[..., 0], xy[..., 1]
    area = (
        (x[:, 1] - x[:, 0]) * (y[:, 2] - y[:, 0]) - (x[:, 2] - x[:, 0]) * (y[:, 1] - y[:, 0])
    ) / 2
    d = elastic() / 12
    k = np.zeros((len(xy), 9, 9))
    for xi, eta in GAUSS:
        b = bending_strain(xy, xi, eta)
        k += (area * t**3 / 3)[:, None, None] * np.einsum("mij,ik,mkl->mjl", b, d, b)
    return k


def solve(
    mesh: Mesh,
    thick: float | Array,
    held: NDArray[np.bool_],
    load: Array,
    backed: NDArray[np.bool_] | None = None,
) -> Solved:
    """The plate's movement, stress and reactions.

    ``thick``: one thickness or one a triangle, mm. ``held`` (n, 5) which unknowns are zero;
    ``load`` (n, 5) forces and moments; ``backed`` (n,) nodes that lie against something and cannot
    move inward (below zero), but can lift off. Refused if it is not held enough.
    """
    xy = mesh.nodes[mesh.tris]
    strain, flat_stiffness = membrane(xy, thick)
    flat, bend = _unknowns(mesh, (0, 1)), _unknowns(mesh, (2, 3, 4))
    whole = _assembled(5 * len(mesh.nodes), [(flat, flat_stiffness), (bend, plate(xy, thick))])
    if backed is None:
        moved, back = _moved(whole, held, load)
    else:
        moved, back = _moved_against(whole, held, load, backed)
    if not np.isfinite(moved).all():
        raise Refused("the plate is not held enough to be worked out")
    flat_stress = np.einsum("ij,mjk,mk->mi", elastic(), strain, moved[flat])
    curve = np.einsum("mij,mj->mi", bending_strain(xy, 1 / 3, 1 / 3), moved[bend])
    skin = curve @ elastic().T * (np.broadcast_to(thick, len(mesh.tris))[:, None] / 2)
    both = np.stack([von_mises(flat_stress + face * skin) for face in (-1, 1)])
    return Solved(mesh, moved.reshape(-1, 5), both.max(axis=0), np.asarray(back.reshape(-1, 5)))


def _unknowns(mesh: Mesh, which: tuple[int, ...]) -> NDArray[np.int64]:
    """Places (m, 3 x len(which)) of the triangles' unknowns among those of all nodes."""
    return np.concatenate([5 * mesh.tris[:, [i]] + np.array(which) for i in range(3)], axis=1)


def _assembled(size: int, parts: Sequence[tuple[NDArray[np.int64], Array]]) -> Any:
    """Stiffness of the plate, sparse: triangles' stiffness each at the places of its unknowns."""
    from scipy.sparse import coo_matrix

    rows, columns, values = list[Any](), list[Any](), list[Any]()
    for places, stiffness in parts:
        count = places.shape[1]
        rows.append(np.repeat(places, count, axis=1).ravel())
        columns.append(np.tile(places, (1, count)).ravel())
        values.append(stiffness.ravel())
    at = (np.concatenate(rows), np.concatenate(columns))
    return coo_matrix((np.concatenate(values), at), shape=(size, size)).tocsc()


def _moved(whole: Any, held: NDArray[np.bool_], load: Array) -> tuple[Array, Array]:
    """Movement and reaction of every unknown, held where ``held``."""
    from scipy.sparse.linalg import factorized

    free = np.flatnonzero(~held.ravel())
    moved = np.zeros(held.size)
    moved[free] = factorized(whole[free][:, free])(load.ravel()[free])
    return moved, whole @ moved - load.ravel()


def _moved_against(
    whole: Any, held: NDArray[np.bool_], load: Array, backed: NDArray[np.bool_]
) -> tuple[Array, Array]:
    """As ``_moved``, with nodes held against what lies behind them while they press on it: which
    those are is found in at most ``ROUNDS`` rounds.
    """
    touching = np.zeros(len(backed), dtype=bool)
    moved, back = np.zeros(held.size), np.zeros(held.size)
    for _ in range(ROUNDS):
        fixed = held.copy()
        fixed[touching, 2] = True
        moved, back = _moved(whole, fixed, load)
        lies = (moved[2::5] < -LIFTED) & backed & ~held[:, 2]
        now = np.where(touching, back[2::5] > 0, lies)
        if (now == touching).all():
            break
        touching = now
    return moved, back


def von_mises(s: Any) -> Array:
    """Equivalent stress of plane stress (..., 3)."""
    return np.asarray(
        np.sqrt(s[..., 0] ** 2 - s[..., 0] * s[..., 1] + s[..., 1] ** 2 + 3 * s[..., 2] ** 2)
    )


def near(m: Mesh, line: Array, within: float) -> NDArray[np.bool_]:
    """Nodes within a distance of a polyline's points' segments."""
    found = np.zeros(len(m.nodes), dtype=bool)
    for a, b in itertools.pairwise(line):
        d = b - a
        k = np.clip((m.nodes - a) @ d / max(float(d @ d), 1e-12), 0, 1)
        found |= np.hypot(*(m.nodes - a - k[:, None] * d).T) < within
    return found


def fair(s: Solved, lines: list[Array], away: float) -> float:
    """Largest stress of the triangles that lie at least ``away`` from every line, MPa: no singular
    peak is reported.
    """
    mid = s.mesh.nodes[s.mesh.tris].mean(axis=1)
    probe = Mesh(mid, s.mesh.tris[:0])
    keep = np.ones(len(mid), dtype=bool)
    for line in lines:
        keep &= ~near(probe, line, away)
    return float(s.stress[keep].max(initial=0.0))

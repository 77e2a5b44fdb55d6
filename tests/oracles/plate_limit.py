"""How much a flat plate carries before it collapses, from below: a moment field in equilibrium
that nowhere passes yield (lower bound theorem of plasticity, any text), the largest by linear
programming (SciPy's HiGHS). It knows no pattern of yield lines.

Moments are constant in every triangle; those across an edge go on into the next one and the corner
forces of their twist balance the loads at the corners (the equilibrium side of Morley's plate
element). Yield is Tresca's, looked at in so many directions that what lies between is safe too.
Units as given: loads and moments per length in one system.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix, csr_matrix, hstack, vstack
from scipy.spatial import Delaunay

DIRECTIONS = 12
"""Directions of a half turn in which a moment is looked at."""


class Plate(NamedTuple):
    """Corners (n, 2) and triangles (m, 3), counter-clockwise."""

    nodes: np.ndarray
    triangles: np.ndarray


def plate(points: np.ndarray) -> Plate:
    """A convex plate through these points."""
    found = Delaunay(points)
    corners = found.simplices
    area = _area(points[corners])
    keep = np.abs(area) > 1e-6 * np.abs(area).mean()
    corners = np.where((area > 0)[:, None], corners, corners[:, ::-1])[keep]
    return Plate(points, corners)


def square(long: float, deep: float, many: int, deeply: int) -> Plate:
    """A rectangle in squares, each with its middle."""
    return grid(np.linspace(0.0, long, many + 1), np.linspace(0.0, deep, deeply + 1))


def grid(xs: np.ndarray, ys: np.ndarray) -> Plate:
    """A rectangle cut at these places, each cell in four by its diagonals."""
    corners = np.array([(x, y) for x in xs for y in ys])
    middles = np.array([(x, y) for x in (xs[1:] + xs[:-1]) / 2 for y in (ys[1:] + ys[:-1]) / 2])
    at, found = len(ys), []
    for i in range(len(xs) - 1):
        for j in range(at - 1):
            round_ = (i * at + j, (i + 1) * at + j, (i + 1) * at + j + 1, i * at + j + 1)
            middle = len(corners) + i * (at - 1) + j
            found += [(round_[n], round_[(n + 1) % 4], middle) for n in range(4)]
    return Plate(np.vstack((corners, middles)), np.array(found))


def disk(radius: float, rings: int, lines: Sequence[float] = ()) -> Plate:
    """A round plate in rings; ``lines``: heights at which corners lie in a row."""
    points = [(0.0, 0.0)]
    for n in range(1, rings + 1):
        many, r = 6 * n, radius * n / rings
        turn = 2 * np.pi * (np.arange(many) + 0.5 * (n % 2)) / many
        points += list(zip(r * np.cos(turn), r * np.sin(turn), strict=True))
    found = np.array(points)
    step = radius / rings
    for y in lines:
        half = np.sqrt(radius**2 - y**2)
        found = found[
            (np.abs(found[:, 1] - y) > 0.4 * step) | (np.hypot(*found.T) > 0.999 * radius)
        ]
        xs = np.linspace(-half, half, 2 * rings + 1)[1:-1]
        found = np.vstack((found, np.column_stack((xs, np.full(len(xs), y)))))
    return plate(found)


def _area(corners: np.ndarray) -> np.ndarray:
    one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return (one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]) / 2


def spread(made: Plate, at: np.ndarray, load: float) -> np.ndarray:
    """A load shared evenly by places (k, 2) of a plate, put on the corners about each so that its
    moments stay: (n,).
    """
    corners = made.nodes[made.triangles]
    found = np.zeros(len(made.nodes))
    whole = _area(corners)
    for place in at:
        part = np.stack(
            [
                _area(np.stack((np.broadcast_to(place, corners[:, 0].shape), *pair), axis=1))
                for pair in (
                    (corners[:, 1], corners[:, 2]),
                    (corners[:, 2], corners[:, 0]),
                    (corners[:, 0], corners[:, 1]),
                )
            ],
            axis=1,
        )
        inside = int(np.argmax((part / whole[:, None]).min(axis=1)))
        share = part[inside] / whole[inside]
        assert share.min() > -1e-3, "a load stands beside the plate"
        found[made.triangles[inside]] += share * load / len(at)
    return found


def collapse(
    made: Plate,
    held: np.ndarray,
    load: np.ndarray,
    moment: float,
    level: Sequence[np.ndarray] = (),
    stiff: np.ndarray | None = None,
) -> float:
    """Times ``load`` (n,) that the plate carries at least; ``held`` (n,): corners that cannot sink;
    ``moment``: plastic, a unit of length; ``level``: of each set of corners (n,) the edges between
    two do not turn (held fast, or where a half mirrors the other); ``stiff`` (n,): corners of a
    part that sinks whole and level, with all load on it.
    """
    stiff = np.zeros(len(made.nodes), dtype=bool) if stiff is None else stiff
    balance = _equilibrium(made, (*level, stiff))
    slopes = balance.shape[0] - len(made.nodes)
    free = np.concatenate((~held & ~stiff, np.ones(slopes, dtype=bool)))
    loads = np.concatenate((load, np.zeros(slopes)))[free]
    rows = balance[free]
    if stiff.any():
        rows = vstack((rows, csr_matrix(balance[: len(stiff)][stiff].sum(axis=0))), format="csr")
        loads = np.append(loads, load[stiff].sum())
    equal = hstack((rows, csr_matrix(-loads[:, None])), format="csr")
    yields = _yield(len(made.triangles))
    yields = hstack((yields, csr_matrix((yields.shape[0], 1))), format="csr")
    limit = np.full(yields.shape[0], moment * np.cos(np.pi / DIRECTIONS))
    aim = np.zeros(equal.shape[1])
    aim[-1] = -1.0
    found = linprog(
        aim,
        A_ub=vstack((yields, -yields), format="csr"),
        b_ub=np.concatenate((limit, limit)),
        A_eq=equal,
        b_eq=np.zeros(equal.shape[0]),
        bounds=[(None, None)] * equal.shape[1],
        method="highs-ipm",
    )
    assert found.success, found.message
    return float(found.x[-1])


def _equilibrium(made: Plate, level: Sequence[np.ndarray]) -> csr_matrix:
    """Corner forces and unbalanced edge moments of every moment field: rows corners, then edges
    that may turn; columns mx, my, mxy of each triangle.
    """
    numbers: dict[tuple[int, int], int] = {}
    for triangle in made.triangles:
        for n in range(3):
            pair = tuple(sorted((int(triangle[n]), int(triangle[(n + 1) % 3]))))
            numbers.setdefault(pair, len(numbers))
    fixed = {pair for pair in numbers for each in level if each[list(pair)].all()}
    entries: list[tuple[int, int, float]] = []
    for t, triangle in enumerate(made.triangles):
        for n in range(3):
            i, j = int(triangle[n]), int(triangle[(n + 1) % 3])
            along = made.nodes[j] - made.nodes[i]
            length = float(np.hypot(*along))
            s = along / length
            out = np.array([s[1], -s[0]])
            across = np.array([out[0] ** 2, out[1] ** 2, 2 * out[0] * out[1]]) * length
            twist = np.array([out[0] * s[0], out[1] * s[1], out[0] * s[1] + out[1] * s[0]])
            pair = (min(i, j), max(i, j))
            if pair not in fixed:
                row = len(made.nodes) + numbers[pair]
                sign = 1.0 if i < j else -1.0
                entries += [(row, 3 * t + k, sign * float(across[k])) for k in range(3)]
            entries += [(j, 3 * t + k, float(twist[k])) for k in range(3)]
            entries += [(i, 3 * t + k, -float(twist[k])) for k in range(3)]
    rows, columns, values = zip(*entries, strict=True)
    shape = (len(made.nodes) + len(numbers), 3 * len(made.triangles))
    return coo_matrix((values, (rows, columns)), shape=shape).tocsr()


def _yield(triangles: int) -> csr_matrix:
    """Moments across every direction, and their difference from those at a right angle to it."""
    turn = np.pi * np.arange(DIRECTIONS) / DIRECTIONS
    c, s = np.cos(turn), np.sin(turn)
    across = np.column_stack((c * c, s * s, 2 * c * s))
    half = slice(0, DIRECTIONS // 2)
    apart = np.column_stack((c * c - s * s, s * s - c * c, 4 * c * s))[half]
    each = np.vstack((across, apart))
    rows, columns = np.nonzero(np.ones_like(each))
    values = each.ravel()
    whole = np.arange(triangles)
    return coo_matrix(
        (
            np.tile(values, triangles),
            (
                (whole[:, None] * len(each) + rows[None, :]).ravel(),
                (whole[:, None] * 3 + columns[None, :]).ravel(),
            ),
        ),
        shape=(triangles * len(each), 3 * triangles),
    ).tocsr()

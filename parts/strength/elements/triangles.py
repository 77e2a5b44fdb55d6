"""Matrices of one triangle: membrane of constant strain, and plate bending of discrete Kirchhoff
triangles (Batoz 1980). mm, N, MPa.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ....layout.arrays import Array

E, NU = 200_000.0, 0.3
GAUSS = ((0.5, 0.0), (0.5, 0.5), (0.0, 0.5))


def membrane(xy: Array, t: float | Array) -> tuple[Array, Array]:
    """Strain and stiffness of constant-strain triangles in plane stress.

    Parameters
    ----------
    xy : (m, 3, 2) array
        Corners, counter-clockwise, mm.
    t : float or (m,) array
        Thickness, mm.

    Returns
    -------
    (m, 3, 6) array
        Strains xx, yy, xy from the movements x, y of each corner in turn, 1/mm.
    (m, 6, 6) array
        Stiffness, N/mm.
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
    return m, (t * two / 2)[:, None, None] * (m.transpose(0, 2, 1) @ (d @ m))


def elastic() -> Array:
    """Stress from strain in plane stress: (3, 3), MPa; xx, yy and the whole angle xy.

    >>> elastic().round(-2).tolist()
    [[219800.0, 65900.0, 0.0], [65900.0, 219800.0, 0.0], [0.0, 0.0, 76900.0]]
    """
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
    """Curvatures of discrete Kirchhoff triangles at a point of each.

    Parameters
    ----------
    xy : (m, 3, 2) array
        Corners, counter-clockwise, mm.
    xi, eta : float
        The point: 0, 0 is the first corner, 1, 0 the second, 0, 1 the third.

    Returns
    -------
    (m, 3, 9) array
        xx, yy and twice xy from w (mm), turn about x (w,y) and turn about y (-w,x), both rad, of
        each corner in turn. Times half the thickness it is the strain of a face (Batoz 1980).
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
    """Bending stiffness of discrete Kirchhoff triangles, (m, 9, 9), N and mm: three points of each,
    unknowns as ``bending_strain`` takes them (Batoz 1980).

    ``xy`` (m, 3, 2): corners, counter-clockwise, mm; ``t``: thickness, mm, one or one a triangle
    (m,).
    """
    x, y = xy[..., 0], xy[..., 1]
    area = (
        (x[:, 1] - x[:, 0]) * (y[:, 2] - y[:, 0]) - (x[:, 2] - x[:, 0]) * (y[:, 1] - y[:, 0])
    ) / 2
    d = elastic() / 12
    k = np.zeros((len(xy), 9, 9))
    for xi, eta in GAUSS:
        b = bending_strain(xy, xi, eta)
        k += (area * t**3 / 3)[:, None, None] * (b.transpose(0, 2, 1) @ (d @ b))
    return k

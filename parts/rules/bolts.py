"""Bolts and pins: edges, spacing, shear, bearing. Lengths mm, forces N, stresses MPa."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from ...layout.arrays import Array
from ...layout.units import IN
from ..model.vectors import Flag, Number
from .clause import clause

OMEGA = 2.0
EDGE_IN = (
    (0.5, 0.75),
    (0.625, 0.875),
    (0.75, 1.0),
    (0.875, 1.125),
    (1.0, 1.25),
    (1.125, 1.5),
    (1.25, 1.625),
)
EDGE_MM = (
    (16.0, 22.0),
    (20.0, 26.0),
    (22.0, 28.0),
    (24.0, 30.0),
    (27.0, 34.0),
    (30.0, 38.0),
    (36.0, 46.0),
)


def stress_area(d_mm: Number, pitch_mm: Number, metric: Flag = False) -> Number:
    """Tensile stress area of a thread, elementwise: pi/4 (d - 0.9743 P)^2 inch [ASME B1.1], 0.9382
    metric [ISO 898-1; constant from memory].

    ``d_mm``, ``pitch_mm``: nominal diameter and pitch, floats or arrays, mm; ``metric``: which of
    the two constants, one for all or one each. Mm2, in the shape they broadcast to.
    """
    return np.pi / 4 * (d_mm - np.where(metric, 0.9382, 0.9743) * pitch_mm) ** 2


def table_edge(d_mm: Number) -> Number:
    """Minimum edge distance from a hole's center, elementwise: AISC 360-16 Tables J3.4 and J3.4M by
    the size at or above, 1.25 d beyond; below 1/2 in 1.5 d (the table's own ratio).

    ``d_mm``: bolt diameters, a float or an array, mm; an array of the same shape, mm.

    >>> [float(table_edge(d)) for d in (8.0, 16.0, 40.0)]
    [12.0, 22.0, 50.0]
    """
    rows = sorted([(size * IN, edge * IN) for size, edge in EDGE_IN] + list(EDGE_MM))
    sizes, edges = (np.array([row[column] for row in rows]) for column in (0, 1))
    at = np.minimum(np.searchsorted(sizes, np.asarray(d_mm, dtype=float) - 0.05), len(sizes) - 1)
    return np.where(
        np.asarray(d_mm) > sizes[-1] + 0.05,
        1.25 * np.asarray(d_mm),
        np.where(np.asarray(d_mm) < sizes[0] - 0.05, 1.5 * np.asarray(d_mm), edges[at]),
    )


@clause(
    "AISC 360 J3.4 Table J3.4",
    edition="2016",
    formula="e >= em",
    also={"least_edge_mm": lambda of: float(table_edge(of["d_mm"]))},
)
def edge_distance(*, d_mm: Number, edge_mm: Number) -> tuple[Number, Number]:
    """Least distance from a hole's center to an edge, against what there is.

    ``d_mm``: bolt diameter, mm; ``edge_mm``: hole's center to the nearest edge, mm. Demand: the
    table's distance (``table_edge``), mm; capacity: the one there. For standard round holes: what
    the standard adds for oversized and slotted ones (Table J3.5) is not asked, and whether the edge
    tears out is ``bearing``.

    >>> need, have = edge_distance(d_mm=16.0, edge_mm=25.0)
    >>> float(need), have
    (22.0, 25.0)
    """
    return table_edge(d_mm), edge_mm


@clause("AISC 360 J3.3", edition="2016", formula="s >= 8/3 d")
def spacing(*, d_mm: Number, spacing_mm: Number) -> tuple[Number, Number]:
    """Least spacing of bolts.

    ``d_mm``: bolt diameter, mm; ``spacing_mm``: center to center, mm. Demand: 8/3 d, mm; capacity:
    the spacing there. The 3 d the standard prefers is not asked, nor its largest spacing (J3.5).
    """
    return 8 / 3 * d_mm, spacing_mm


@clause("AISC 360 J3.6", edition="2016", formula="F <= Fnv Ab n / 2.00; Ab = pi d^2 / 4", unit="N")
def bolt_shear(
    *, force_N: Number, fnv_MPa: Number, d_mm: Number, planes: Number
) -> tuple[Number, Number]:
    """Shear of one bolt in so many planes on its body's area, allowable strength.

    ``force_N``: on the bolt, square to its axis, N; ``fnv_MPa``: nominal shear strength (Table
    J3.2), MPa, the lower one where a plane lies in the threads; ``d_mm``: nominal diameter, mm;
    ``planes`` n: how many are sheared, each taken to carry alike. Demand: the force, N; capacity:
    Fnv Ab n / 2.00, N. Pull at the same time is ``bolt_combined``, the hole ``bearing``; long
    joints and fillers (J5.2) are not covered.
    """
    return force_N, fnv_MPa * np.pi / 4 * d_mm**2 * planes / OMEGA


@clause("AISC 360 J3.10", edition="2016", formula="F <= min(2.4 d, 1.2 lc) t Fu / 2.00", unit="N")
def bearing(
    *, force_N: Number, d_mm: Number, t_mm: Number, fu_MPa: Number, clear_mm: Number
) -> tuple[Number, Number]:
    """Bearing and tear-out of one bolt where the hole's growth matters, allowable strength.

    ``force_N``: of the bolt on the hole, N; ``d_mm``: nominal diameter, mm; ``t_mm``: plate, mm;
    ``fu_MPa``: its tensile strength, MPa; ``clear_mm``: hole edge to the next edge along the force,
    mm. Demand: the force, N; capacity: N. Standard round holes; a slot is ``bearing_slotted``, a
    group that tears out together ``block_shear_uneven``.
    """
    return force_N, np.minimum(2.4 * d_mm, 1.2 * clear_mm) * t_mm * fu_MPa / OMEGA


@clause(
    "AISC 360 J3.10 (J3-6a, c)",
    edition="2016",
    formula="F <= k t Fu / 2.00; k = min(2.4 d, 1.2 lc) if sl <= 0 else min(2 d, lc)",
    unit="N",
)
def bearing_slotted(
    *,
    force_N: Number,
    d_mm: Number,
    t_mm: Number,
    fu_MPa: Number,
    clear_mm: Number,
    slot_mm: Number,
) -> tuple[Number, Number]:
    """Bearing and tear-out of one bolt in a round hole, or in a long slot that the force pushes
    across, allowable.

    ``slot_mm``: how far the bolt may move in its slot, mm, 0 for a round hole; ``clear_mm``: hole
    edge to the next edge along the force, mm; the rest, demand and capacity as in ``bearing``.
    """
    round_ = np.minimum(2.4 * d_mm, 1.2 * clear_mm)
    slotted = np.minimum(2.0 * d_mm, clear_mm)
    return force_N, np.where(np.asarray(slot_mm) <= 0, round_, slotted) * t_mm * fu_MPa / OMEGA


@clause("AISC 360 J3.6", edition="2016", formula="F <= Fnt Ab / 2.00; Ab = pi d^2 / 4", unit="N")
def bolt_tension(*, force_N: Number, fnt_MPa: Number, d_mm: Number) -> tuple[Number, Number]:
    """Pull of one bolt on its body's area, allowable.

    ``force_N``: pull of the bolt, N; ``fnt_MPa``: nominal tensile strength (Table J3.2), MPa, 0.75
    Fu, which allows for the threads; ``d_mm``: nominal diameter, mm. Demand: the pull, N; capacity:
    Fnt Ab / 2.00, N. What prying adds is not in it (``prying``), nor fatigue of the threads.
    """
    return force_N, fnt_MPa * np.pi / 4 * d_mm**2 / OMEGA


@clause(
    "AISC 360 J3.7 (J3-3b)",
    edition="2016",
    formula=(
        "F <= max(0, min(1.3 Fnt - 2.00 Fnt frv / Fnv, Fnt)) Ab / 2.00; frv = V / Ab;"
        " Ab = pi d^2 / 4"
    ),
    unit="N",
)
def bolt_combined(
    *, force_N: Number, shear_N: Number, fnt_MPa: Number, fnv_MPa: Number, d_mm: Number
) -> tuple[Number, Number]:
    """Pull of one bolt that is sheared too, allowable.

    ``force_N``: pull, N; ``shear_N``: shear of the same bolt in one plane, N; ``fnt_MPa``,
    ``fnv_MPa``: nominal strengths alone, MPa; ``d_mm``: nominal diameter, mm. Demand: the pull, N;
    capacity: what the shear leaves of it, N, never more than without shear, never below 0. The
    shear itself is judged by ``bolt_shear``.

    >>> both = {"force_N": 0.0, "fnt_MPa": 620.0, "fnv_MPa": 457.0, "d_mm": 16.0}
    >>> [round(float(bolt_combined(shear_N=s, **both)[1]) / 1000, 1) for s in (0.0, 20e3, 60e3)]
    [62.3, 53.9, 0.0]
    """
    body = np.pi / 4 * d_mm**2
    left = 1.3 * fnt_MPa - OMEGA * fnt_MPa / fnv_MPa * shear_N / body
    return force_N, np.clip(left, 0.0, fnt_MPa) * body / OMEGA


@clause(
    "AISC Manual part 9, prying",
    formula=(
        "t >= sqrt(4 1.67 F b' / (p Fu (1 + delta alpha)));"
        " alpha = 1 if beta >= 1 else min(max(beta, 0) / (1 - beta) / delta, 1);"
        " beta = (B/F - 1) / rho; delta = 1 - (d + h) / p; rho = b'/a';"
        " a' = min(a, 1.25 b) + d/2; b' = max(b - d/2, 0)"
    ),
    tag="memory",
    letters={"edge_mm": "a"},
    also={"wider_mm": IN / 16},
)
def prying(
    *,
    force_N: Number,
    bolt_N: Number,
    lever_mm: Number,
    edge_mm: Number,
    tributary_mm: Number,
    d_mm: Number,
    fu_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a plate pulled by its bolts, the bolts' spare strength used up by prying.

    ``bolt_N``: a bolt's own allowable pull; ``lever_mm`` b: bolt's center to the weld or web that
    pulls; ``edge_mm`` a: to the free edge; ``tributary_mm`` p: plate a bolt has. The Manual's b'
    and a' (here b, a) run from the bolt's near side and to its far side.
    """
    b, a = np.maximum(lever_mm - d_mm / 2, 0.0), np.minimum(edge_mm, 1.25 * lever_mm) + d_mm / 2
    rho, delta = b / a, 1 - (d_mm + IN / 16) / tributary_mm
    beta = (bolt_N / np.maximum(force_N, 1e-9) - 1) / np.maximum(rho, 1e-9)
    alpha = np.where(
        beta >= 1,
        1.0,
        np.clip(np.maximum(beta, 0.0) / np.maximum(1 - beta, 1e-9) / delta, 0.0, 1.0),
    )
    return np.sqrt(4 * 1.67 * force_N * b / (tributary_mm * fu_MPa * (1 + delta * alpha))), t_mm


@clause(
    "EN 1993-1-8 table 3.10, pin bending",
    edition="2005",
    formula="F (b + 4 c + 2 a) / 8 <= 1.5 W Fy / 1.5; W = pi d^3 / 32",
    unit="N mm",
)
def pin_bending(
    *,
    force_N: Number,
    inner_mm: Number,
    gap_mm: Number,
    outer_mm: Number,
    d_mm: Number,
    fy_MPa: Number,
) -> tuple[Number, Number]:
    """A pin in double shear bent between its ears: inner part b, gap c, ear a.

    ``force_N``: on the pin, N; ``inner_mm``, ``gap_mm``, ``outer_mm``: those b, c and a, mm;
    ``d_mm``: of the pin, mm; ``fy_MPa``: yield strength, MPa. Demand: the moment, N mm; capacity:
    1.5 W Fy, over 1.5 so that everyday forces stand on one scale (judgment), N mm. Shear of the pin
    and bearing on it are not covered here.
    """
    return (
        force_N * (inner_mm + 4 * gap_mm + 2 * outer_mm) / 8,
        1.5 * np.pi / 32 * d_mm**3 * fy_MPa / 1.5,
    )


def shares(points: ArrayLike, weights: ArrayLike, force: ArrayLike, at: ArrayLike) -> Array:
    """Force on every fastener or piece of weld of a rigid group: elastic vector method in space.

    ``points``: (n, 3), mm; ``weights``: (n,), stiffness of each over any one unit; ``force``: (3,),
    N, at the place ``at``, (3,), mm. Forces, (n, 3), N: they sum to ``force`` with its moment,
    as far as the group can take one (points on one line take none about it).

    >>> row = [[-50.0, 0.0, 0.0], [50.0, 0.0, 0.0]]
    >>> shares(row, [1.0, 1.0], [0.0, 0.0, 100.0], [100.0, 0.0, 0.0])[:, 2].round(6).tolist()
    [-50.0, 150.0]
    """
    return np.asarray(weights, dtype=float)[:, None] * moved(points, weights, force, at, points)


def moved(
    points: ArrayLike, weights: ArrayLike, force: ArrayLike, at: ArrayLike, where: ArrayLike
) -> Array:
    """How far a rigid group moves at the places ``where``, (m, 3): what a fastener of one unit of
    stiffness takes there, (m, 3) N; the rest as in ``shares``. Of several forces at once, (3, k),
    (m, 3, k).
    """
    places, stiffness = np.asarray(points, dtype=float), np.asarray(weights, dtype=float)
    middle = (stiffness[:, None] * places).sum(0) / stiffness.sum()
    ways = _ways(places - middle)
    group = np.einsum("n,nij,nik->jk", stiffness, ways, ways)
    pushed = np.asarray(force, dtype=float)
    x, y, z = np.asarray(at, dtype=float) - middle
    turned = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]]) @ pushed
    load = np.concatenate((pushed, turned))
    motion = np.linalg.pinv(group, rcond=1e-12) @ load
    found: Array = _ways(np.asarray(where, dtype=float) - middle) @ motion
    return found


def _ways(arms: Array) -> Array:
    """What the six motions of a body move at arms (n, 3) from its middle, (n, 3, 6)."""
    turn = np.zeros((len(arms), 3, 3))
    turn[:, 0, 1], turn[:, 0, 2], turn[:, 1, 2] = arms[:, 2], -arms[:, 1], arms[:, 0]
    turn -= np.swapaxes(turn, 1, 2)
    return np.concatenate((np.broadcast_to(np.eye(3), turn.shape), turn), axis=2)


FRICTION = {"dry": 0.20, "oiled": 0.15, "anti-seize": 0.12}
"""Torque coefficient by the state of the thread (published tables, read)."""
SHARE = 0.75
"""Preload over proof load of a joint that is taken apart again (machine-design texts, read)."""


def tightening(*, d_mm: Number, area_mm2: Number, proof_MPa: Number, k: Number) -> Number:
    """Torque for three quarters of proof load, elementwise: T = K F d (any machine-design text).

    ``d_mm``: nominal diameter, mm; ``area_mm2``: stress area, mm2; ``proof_MPa``: proof stress,
    MPa; ``k`` K: torque coefficient (``FRICTION``). Floats or arrays that broadcast; N mm.
    """
    return k * SHARE * proof_MPa * area_mm2 * d_mm

"""What cutting and bending allow. Lengths mm, angles rad."""

from __future__ import annotations

from typing import cast

import numpy as np

from ...layout.units import IN
from ..model.vectors import Number
from .clause import clause
from .tubes import BUCKLED, E, critical

MILD = 260.0
"""Yield strength to which a steel bends as A36, MPa (judgment, no source)."""
STOUT = 0.748
"""Slenderness to which a plate with a free edge yields before it buckles: EN 1993-1-5 4.4."""
STOCKY = 25.0
"""KL/r to which a plate is pushed to yield: J4.4."""


def least_radius(t_mm: Number, fy_MPa: Number) -> Number:
    """Least inside radius of a bend across the grain, elementwise.

    ``t_mm``: plate, mm; ``fy_MPa``: yield strength, MPa, to ``MILD`` bends as A36; floats or arrays
    that broadcast. Radii, mm.

    A36 (to 36 ksi): 1 t to 1/4 in, 1.5 t to 1/2, 2 t beyond; grade 50: 1.5 t to 0.187, 2 t to
    0.229, 2.5 t beyond: judgment, no source.
    """
    t = np.asarray(t_mm, dtype=float)
    mild = np.where(t <= 6.35 + 1e-6, 1.0, np.where(t <= 12.7 + 1e-6, 1.5, 2.0))
    hard = np.where(t <= 0.1875 * IN + 1e-6, 1.5, np.where(t <= 0.229 * IN + 1e-6, 2.0, 2.5))
    return cast(Number, np.where(np.asarray(fy_MPa) <= MILD, mild, hard) * t)


@clause(
    "bending across the grain: judgment, no source",
    formula="R >= k t",
    also={"ratio": lambda of: float(least_radius(of["t_mm"], of["fy_MPa"])) / of["t_mm"]},
)
def bend_radius(*, t_mm: Number, fy_MPa: Number, radius_mm: Number) -> tuple[Number, Number]:
    """Least inside radius of a bend.

    ``t_mm``: plate, mm; ``fy_MPa``: its yield strength, MPa; ``radius_mm``: inside radius made, mm.
    Demand: ``least_radius``, mm; capacity: the radius there. A bend along the grain wants more and
    is not covered.
    """
    return least_radius(t_mm, fy_MPa), radius_mm


@clause(
    "AISC 360 J4.3 (J4-5), tension uneven",
    edition="2016",
    formula="F <= (min(0.6 Fu Anv, 0.6 Fy Agv) + 0.5 Fu Ant) / 2.00",
    tag="memory",
    unit="N",
)
def block_shear_uneven(
    *,
    force_N: Number,
    gross_shear_mm2: Number,
    net_shear_mm2: Number,
    net_tension_mm2: Number,
    fy_MPa: Number,
    fu_MPa: Number,
) -> tuple[Number, Number]:
    """Block shear where the force passes beside the bolts, so that the tension is uneven (Ubs 0.5),
    allowable.

    ``force_N``: on the group, N; ``gross_shear_mm2`` Agv and ``net_shear_mm2`` Anv: area along the
    force, holes in and out, mm2; ``net_tension_mm2`` Ant: area across it, holes out, mm2;
    ``fy_MPa``, ``fu_MPa``: of the plate, MPa. Demand: the force, N; capacity: of this one block, N,
    the pulled area counted half. The caller finds the block that tears first.
    """
    sheared = np.minimum(0.6 * fu_MPa * net_shear_mm2, 0.6 * fy_MPa * gross_shear_mm2)
    return force_N, (sheared + 0.5 * fu_MPa * net_tension_mm2) / 2.0


@clause(
    "EN 1993-1-5 4.4, plate with a free edge, table 4.2",
    edition="2006",
    formula=(
        "S <= q Fy / 1.67; q = 1 if Lp <= 0.748 else (Lp - 0.188) / Lp^2;"
        " Lp = c / t / (28.4 sqrt(235 u / Fy) sqrt(0.43))"
    ),
    also={"unit_MPa": 1.0},
    tag="memory",
    unit="MPa",
)
def edge_buckling(
    *, stress_MPa: Number, outstand_mm: Number, t_mm: Number, fy_MPa: Number
) -> tuple[Number, Number]:
    """A plate pushed along its free edge, ``outstand_mm`` from the weld that holds it: what is left
    of yield where it buckles first, allowable.

    ``stress_MPa``: largest push along the edge, MPa; ``outstand_mm``, ``t_mm``: mm; ``fy_MPa``:
    yield strength, MPa. Demand: the stress, MPa; capacity: MPa. The stress counts as even over the
    outstand (k 0.43), on the safe side where it falls off toward the weld.
    """
    slender = outstand_mm / np.asarray(t_mm) / (28.4 * np.sqrt(235.0 / fy_MPa) * np.sqrt(0.43))
    left = np.where(slender <= STOUT, 1.0, (slender - 0.188) / np.maximum(slender, 1e-9) ** 2)
    return stress_MPa, left * fy_MPa / 1.67


@clause(
    "AISC 360 J4.2 (J4-3)",
    edition="2016",
    formula="F <= 0.6 Fy A / 1.5",
    tag="memory",
    unit="N",
)
def plate_sheared(*, force_N: Number, area_mm2: Number, fy_MPa: Number) -> tuple[Number, Number]:
    """A plate sheared in its own plane, yield of its gross section, allowable.

    ``force_N``: N; ``area_mm2``: gross section along the force, mm2; ``fy_MPa``: yield strength,
    MPa. Demand: the force, N; capacity: 0.6 Fy A / 1.50, N. Rupture past holes (J4-4) and buckling
    of a thin plate in shear are not covered.
    """
    return force_N, 0.6 * fy_MPa * area_mm2 / 1.5


@clause(
    "AISC Manual part 9, plate under moment, pull and shear",
    formula=(
        "|M|/Mp + |Mw|/Mpw + (|P|/Py)^2 + (|V|/Vp)^4 <= 1; Mp = Fy t b^2 / 4 / 1.67;"
        " Mpw = Fy b t^2 / 4 / 1.67; Py = Fy b t / 1.67; Vp = 0.6 Fy b t / 1.67"
    ),
    tag="memory",
    unit="ratio",
)
def plate_root(
    *,
    moment_Nmm: Number,
    sideways_Nmm: Number,
    pull_N: Number,
    shear_N: Number,
    width_mm: Number,
    t_mm: Number,
    fy_MPa: Number,
) -> tuple[Number, Number]:
    """An ear or tab at the line it is welded on: bent in its plane and sideways, pulled and sheared
    at once, plastic, allowable.

    Mp and Py: ``width_mm`` by ``t_mm`` plastic in bending and pulled to yield; Mpw: bent over its
    thickness; Vp: sheared at 0.6 Fy.
    """
    mp, mpw = fy_MPa * t_mm * width_mm**2 / 4 / 1.67, fy_MPa * width_mm * t_mm**2 / 4 / 1.67
    py, vp = fy_MPa * width_mm * t_mm / 1.67, 0.6 * fy_MPa * width_mm * t_mm / 1.67
    return (
        np.abs(moment_Nmm) / mp
        + np.abs(sideways_Nmm) / mpw
        + (np.abs(pull_N) / py) ** 2
        + (np.abs(shear_N) / vp) ** 4,
        1.0,
    )


@clause(
    "slip along a circular arc by virtual work, shear yield as AISC 360 J4.2",
    edition="2016",
    formula="M <= 0.6 Fy t R^2 beta / 1.67",
    letters={"radius_mm": "R"},
    tag="memory",
    unit="N mm",
)
def arc_slip(
    *, moment_Nmm: Number, radius_mm: Number, arc_rad: Number, t_mm: Number, fy_MPa: Number
) -> tuple[Number, Number]:
    """An ear on a round that turns about the round's middle: its foot sheared to yield along the
    whole arc, an upper bound of what it carries; ``moment_Nmm`` about that middle.

    ``radius_mm``: of the round, mm; ``arc_rad``: what of it the foot covers, rad; ``t_mm``: the
    ear, mm; ``fy_MPa``: yield strength, MPa. Demand: the moment, N mm; capacity: N mm. The weld
    along the arc is judged by itself (``welds.weld_line``).
    """
    return moment_Nmm, 0.6 * fy_MPa * t_mm * np.square(radius_mm) * arc_rad / 1.67


@clause(
    "finite elements of the outline, yield over 1.67 as AISC 360 F",
    edition="2016",
    formula="S <= Fy / 1.67",
    tag="fitted",
    unit="MPa",
)
def bent(*, stress_MPa: Number, fy_MPa: Number) -> tuple[Number, Number]:
    """A plate's largest stress one thickness off its welds, from the project's own elements: the
    plate is worked alone.

    ``stress_MPa``: von Mises stress, MPa; ``fy_MPa``: yield strength, MPa. Demand: the stress, MPa;
    capacity: Fy / 1.67, MPa.
    """
    return stress_MPa, fy_MPa / 1.67


@clause(
    "AISC 360 J4.4 (J4-6), E3",
    edition="2016",
    formula=(
        f"P <= Fc t b / 1.67; Fc = Fy if Lr <= 25 else Fcr; {BUCKLED}; Lr = K h / (t / sqrt(12))"
    ),
    unit="N",
    also={"modulus_MPa": E},
)
def plate_push(
    *, push_N: Number, width_mm: Number, t_mm: Number, tall_mm: Number, k: Number, fy_MPa: Number
) -> tuple[Number, Number]:
    """An ear or tab pushed toward its weld, allowable.

    ``push_N``: N; ``width_mm``, ``t_mm``: of the foot, mm; ``tall_mm``: weld to bolt, mm; ``k``:
    how its top is held, no unit; ``fy_MPa``: yield strength, MPa. Demand: the push, N; capacity:
    yield to a slenderness of 25, ``tubes.critical`` beyond, times t b / 1.67, N. Bending at the
    same time is ``plate_root``.
    """
    slender = k * tall_mm / (np.asarray(t_mm) / np.sqrt(12.0))
    stress = np.where(slender <= STOCKY, fy_MPa, critical(fy_MPa, slender))
    return push_N, stress * t_mm * width_mm / 1.67

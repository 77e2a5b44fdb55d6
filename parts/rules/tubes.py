"""Round tubes and links: push, bending, torsion, together.

Lengths mm, forces N, moments N mm, stresses MPa.
"""

from __future__ import annotations

import numpy as np

from ..model.vectors import Number
from .clause import clause

E = 200_000.0
OMEGA = 1.67
ELASTIC = 2.25
"""Fy / Fe from which a column buckles elastically: E3."""
LITTLE_PUSH = 0.2
"""Share of the push allowed from which H1-1a holds, under it H1-1b."""


def area(od_mm: Number, wall_mm: Number) -> Number:
    """Steel of a round tube, elementwise: pi (D - t) t, exact.

    ``od_mm`` D, ``wall_mm`` t: floats or arrays that broadcast, mm; mm2.
    """
    return np.pi * (od_mm - wall_mm) * wall_mm


def inertia(od_mm: Number, wall_mm: Number) -> Number:
    """Second moment of a round tube's area about any diameter, elementwise; exact.

    ``od_mm``, ``wall_mm``: floats or arrays that broadcast, mm; mm4. Twice it is the torsion
    constant J.
    """
    return np.pi / 64 * (od_mm**4 - (od_mm - 2 * wall_mm) ** 4)


def plastic(od_mm: Number, wall_mm: Number) -> Number:
    """Plastic section modulus Z of a round tube, elementwise; exact.

    ``od_mm``, ``wall_mm``: floats or arrays that broadcast, mm; mm3.
    """
    return (od_mm**3 - (od_mm - 2 * wall_mm) ** 3) / 6


def critical(fy_MPa: Number, slender: Number) -> Number:
    """Stress at which a column buckles, elementwise: Fcr of AISC 360-16 E3.

    ``fy_MPa``: yield strength, MPa; ``slender``: K L / r, no unit. Floats or arrays that broadcast;
    an array, MPa, before any factor of safety.

    >>> [round(float(critical(250.0, slender)), 1) for slender in (0.0, 100.0, 200.0)]
    [250.0, 147.1, 43.3]
    """
    euler = np.pi**2 * E / np.maximum(slender, 1e-9) ** 2
    return np.where(
        np.asarray(fy_MPa) / euler <= ELASTIC, 0.658 ** (fy_MPa / euler) * fy_MPa, 0.877 * euler
    )


BUCKLED = "Fcr = 0.658^(Fy/Fe) Fy if Fy/Fe <= 2.25 else 0.877 Fe; Fe = pi^2 E / Lr^2"
"""``critical`` as it is printed."""


@clause(
    "AISC 360 E3",
    edition="2016",
    formula=f"F <= Fcr A / 1.67; {BUCKLED}",
    unit="N",
    also={"modulus_MPa": E},
)
def column(
    *, force_N: Number, area_mm2: Number, slender: Number, fy_MPa: Number
) -> tuple[Number, Number]:
    """A link pushed, pinned at both ends, allowable.

    ``force_N``: push, N; ``area_mm2``: of its steel, mm2; ``slender``: K L / r, no unit;
    ``fy_MPa``: yield strength, MPa. Demand: the push, N; capacity: Fcr A / 1.67, N, with
    ``critical``. A wall so thin that it buckles by itself (E7) and bending at the same time
    (``combined``) are not covered.
    """
    return force_N, critical(fy_MPa, slender) * area_mm2 / OMEGA


@clause("AISC 360 J4.1, D2", edition="2016", formula="F <= Fy A / 1.67", tag="memory", unit="N")
def tension(*, force_N: Number, area_mm2: Number, fy_MPa: Number) -> tuple[Number, Number]:
    """A link or plate pulled, yield of its gross section, allowable.

    ``force_N``: pull, N; ``area_mm2``: gross section, mm2; ``fy_MPa``: yield strength, MPa. Demand:
    the pull, N; capacity: Fy A / 1.67, N. Rupture of a net section, at a hole or a thread, is not
    covered, nor the weld that brings the pull in.
    """
    return force_N, fy_MPa * area_mm2 / OMEGA


@clause(
    "AISC 360 H1.1 (H1-1a, b), F8, E3",
    edition="2016",
    formula="k <= 1; k = F/Fc + 8/9 M/Mc if F/Fc >= 0.2 else F/(2 Fc) + M/Mc",
    unit="ratio",
)
def combined(
    *, force_N: Number, capacity_N: Number, moment_Nmm: Number, capacity_Nmm: Number
) -> tuple[Number, Number]:
    """Push or pull with bending; capacities are allowable.

    ``force_N``: push or pull of either sign, N, with its ``capacity_N``, N; ``moment_Nmm``: N mm,
    with its ``capacity_Nmm``, N mm: of ``column`` or ``tension``, and of ``bending``. Demand: the
    sum of (H1-1a) from a fifth of the force's capacity, of (H1-1b) below it, no unit; capacity: 1.
    What a push adds to the moment as the link bows must be in ``moment_Nmm`` already; shear and
    torque are ``bent_and_twisted``.

    >>> given = {"capacity_N": 100.0, "moment_Nmm": 45.0, "capacity_Nmm": 90.0}
    >>> [round(float(combined(force_N=force, **given)[0]), 3) for force in (0.0, 10.0, -20.0)]
    [0.5, 0.55, 0.644]
    """
    axial, bent = np.abs(force_N) / capacity_N, np.abs(moment_Nmm) / capacity_Nmm
    return np.where(axial >= LITTLE_PUSH, axial + 8 / 9 * bent, axial / 2 + bent), 1.0


@clause(
    "AISC 360 H3.2 (H3-6), H3.1, F8",
    edition="2016",
    formula="|M|/Mc + (|V|/Vc + |T|/Tc)^2 <= 1",
    letters={"bending_Nmm": "Mc", "torsion_Nmm": "Tc"},
    tag="memory",
    unit="ratio",
)
def bent_and_twisted(
    *,
    moment_Nmm: Number,
    bending_Nmm: Number,
    shear_N: Number,
    sheared_N: Number,
    torque_Nmm: Number,
    torsion_Nmm: Number,
) -> tuple[Number, Number]:
    """A tube bent, sheared and twisted; capacities are allowable.

    ``moment_Nmm``, ``torque_Nmm``: N mm, and ``shear_N``: N, of either sign; ``bending_Nmm``,
    ``torsion_Nmm``, ``sheared_N``: what each may be alone, of ``bending``, ``torsion``,
    ``shearing``. Demand: (H3-6) without its term for push or pull, no unit; capacity: 1. The
    standard may forget a torque below a fifth of its capacity; here it always counts.
    """
    round_it = np.abs(shear_N) / sheared_N + np.abs(torque_Nmm) / torsion_Nmm
    return np.abs(moment_Nmm) / bending_Nmm + round_it**2, 1.0


def bending(od_mm: Number, wall_mm: Number, fy_MPa: Number) -> Number:
    """Allowable moment of a compact round tube, elementwise: Fy Z / 1.67 (AISC 360-16 F8).

    ``od_mm``, ``wall_mm``: mm; ``fy_MPa``: yield strength, MPa. Floats or arrays that broadcast;
    N mm.
    """
    return fy_MPa * plastic(od_mm, wall_mm) / OMEGA


def shearing(od_mm: Number, wall_mm: Number, fy_MPa: Number) -> Number:
    """Allowable shear of a round tube too stout to buckle, elementwise: 0.6 Fy A / 2 / 1.67 (AISC
    360-16 G5).

    ``od_mm``, ``wall_mm``: mm; ``fy_MPa``: yield strength, MPa. Floats or arrays that broadcast; N.
    """
    return 0.6 * fy_MPa * area(od_mm, wall_mm) / 2 / OMEGA


def torsion(od_mm: Number, wall_mm: Number, fy_MPa: Number) -> Number:
    """Allowable torque of a round tube, elementwise: 0.6 Fy J / (D/2) / 1.67 (AISC 360-16 H3.1).

    ``od_mm``, ``wall_mm``: mm; ``fy_MPa``: yield strength, MPa. Floats or arrays that broadcast;
    N mm.
    """
    return 0.6 * fy_MPa * 2 * inertia(od_mm, wall_mm) / (od_mm / 2) / OMEGA


@clause(
    "elastic stability of a strut on springs", formula="F <= Pcr / 1.67", tag="fitted", unit="N"
)
def arm_spin(*, force_N: Number, critical_N: Number) -> tuple[Number, Number]:
    """Push in an upper arm against the push that flips the radius arm about its own axis (closed
    form of the travel model, held against a numeric buckling).

    ``force_N``: the push, N; ``critical_N``: the one that flips it, N. Demand: the push, N;
    capacity: the other over 1.67, N. The strength of the upper arm is ``column``.
    """
    return force_N, critical_N / OMEGA


@clause(
    "AISC 360 F8",
    edition="2016",
    formula="M <= Fy Z / 1.67; Z = (D^3 - (D - 2 tw)^3) / 6",
    unit="N mm",
)
def bent_tube(
    *, moment_Nmm: Number, od_mm: Number, wall_mm: Number, fy_MPa: Number
) -> tuple[Number, Number]:
    """A compact round tube bent, allowable.

    ``moment_Nmm``: N mm; ``od_mm``, ``wall_mm``: outside diameter and wall, mm; ``fy_MPa``: yield
    strength, MPa. Demand: the moment, N mm; capacity: ``bending``, N mm. A wall too thin to be
    compact (Table B4.1b) is not covered, nor push or pull (``combined``).
    """
    return moment_Nmm, bending(od_mm, wall_mm, fy_MPa)

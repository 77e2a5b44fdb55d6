"""Frame rails: holes and plates on them, from makers' body-builder guides and codes of practice.

Lengths mm.
"""

from __future__ import annotations

import numpy as np

from ...layout.units import IN
from ..model.vectors import Number
from .clause import clause


@clause(
    "frame drilling: judgment, no source",
    formula="x - tw - dh/2 >= c",
    must=False,
    also={"least_steel_mm": 1.5 * IN},
)
def web_hole(*, hole_mm: Number, from_flange_mm: Number, wall_mm: Number) -> tuple[Number, Number]:
    """Steel between a side-wall hole and the inside of the flange.

    ``hole_mm``: its diameter, mm; ``from_flange_mm``: hole's center to the rail's top or bottom,
    mm; ``wall_mm``: of the flange, mm. Demand: 1.5 in, mm; capacity: the steel there, mm. A warning
    at most.
    """
    return 1.5 * IN, from_flange_mm - wall_mm - hole_mm / 2


@clause(
    "frame drilling: judgment, no source",
    formula="dh <= dm",
    must=False,
    also={"largest_mm": 0.75 * IN},
)
def hole_most(*, hole_mm: Number) -> tuple[Number, Number]:
    """Largest hole drilled in a rail.

    ``hole_mm``: its diameter, mm. Demand: the hole, mm; capacity: 3/4 in, mm. A warning at most.
    Where it stands is judged by ``web_hole`` and ``hole_spacing``.
    """
    return hole_mm, 0.75 * IN


@clause(
    "frame drilling: judgment, no source",
    formula="s - dh >= c if dh <= ds else 1.5 dh",
    also={"least_steel_mm": IN, "small_hole_mm": 0.625 * IN},
)
def hole_spacing(*, hole_mm: Number, spacing_mm: Number) -> tuple[Number, Number]:
    """Steel between two holes in a rail, edge to edge.

    ``hole_mm``: diameter of both, mm; ``spacing_mm``: center to center, mm. Demand: 1 in to a 5/8
    in hole, 1.5 diameters beyond, mm; capacity: the steel between, mm.

    >>> [float(hole_spacing(hole_mm=hole, spacing_mm=60.0)[0]) for hole in (12.0, 18.0)]
    [25.4, 27.0]
    """
    return (
        np.where(np.asarray(hole_mm) <= 0.625 * IN + 1e-6, IN, 1.5 * np.asarray(hole_mm)),
        spacing_mm - hole_mm,
    )


@clause("VSB 6 Section H clause 5", edition="2022-12", formula="t <= tw", must=False)
def reinforcement(*, t_mm: Number, wall_mm: Number) -> tuple[Number, Number]:
    """A reinforcement no thicker than the rail there.

    Written for heavy vehicles: a warning here.
    """
    return t_mm, wall_mm


@clause("plate against wall: judgment, no source", formula="t <= 1.5 tw")
def reinforcement_most(*, t_mm: Number, wall_mm: Number) -> tuple[Number, Number]:
    """A reinforcement at most half as thick again as the rail: past that it cracks at the ends.

    ``t_mm``: the reinforcement, mm; ``wall_mm``: of the rail under it, mm. Demand: the
    reinforcement, mm; capacity: 1.5 walls, mm. The stress at its end is not worked here
    (``plate_end``).
    """
    return t_mm, 1.5 * wall_mm


@clause(
    "unsymmetric bending and Bredt's cell of the measured section",
    formula="k >= 1",
    unit="ratio",
)
def restored(*, ratio: Number) -> tuple[Number, Number]:
    """The plated rail against the rail as measured.

    ``ratio``: a property of the plated section over the same one before the cut, no unit. Demand:
    1; capacity: the ratio. It compares sections only: what a rail is loaded with, where the plate
    ends and the weld that carries it (``plate_end``, ``shear_flow``) are other clauses.
    """
    return 1.0, ratio


THICKNESS = (0.7, 1.0, 1.5, 2.0)
"""Plate over wall at which the plane model was worked."""
END_STRESS = (0.63, 0.64, 0.66, 0.68)
"""Hot-spot stress at a half-round plate end on a rail's side in bending over the rail's edge
stress, at ``THICKNESS``: bonded plane model of the project, not published.
"""


def end_stress(t_mm: Number, wall_mm: Number) -> Number:
    """Hot-spot stress at a half-round plate end over the rail's own edge stress, elementwise:
    ``END_STRESS`` between its ``THICKNESS``.

    ``t_mm``: the plate; ``wall_mm``: of the rail; floats or arrays that broadcast, mm.
    """
    return np.interp(np.asarray(t_mm) / wall_mm, THICKNESS, END_STRESS)


@clause(
    "plane model of a plate bonded on a rail's side",
    formula="k <= 1",
    also={"ratio": lambda of: float(end_stress(of["t_mm"], of["wall_mm"]))},
    tag="fitted",
    unit="ratio",
    must=False,
)
def plate_end(*, t_mm: Number, wall_mm: Number) -> tuple[Number, Number]:
    """A half-round plate end with its tip at mid-depth: the rail must not be stressed more there
    than at its own edge.

    ``t_mm``: the plate, mm; ``wall_mm``: of the rail, mm. Demand: ``end_stress``, no unit;
    capacity: 1. Bending of the rail only, and static: a warning at most, and no word on fatigue
    there.
    """
    return end_stress(t_mm, wall_mm), 1.0


@clause(
    "VQ/I + T/(2 Am), thin-walled box (any text)",
    formula="|V| Q / I + |T| / (2 Am) <= 0.60 FEXX 0.70711 w / 2.00",
    unit="N/mm",
)
def shear_flow(
    *,
    shear_N: Number,
    torque_Nmm: Number,
    first_mm3: Number,
    inertia_mm4: Number,
    cell_mm2: Number,
    leg_mm: Number,
    fexx_MPa: Number,
) -> tuple[Number, Number]:
    """Weld along a plate's edge that closes a cell again: shear flow of the rail's shear and
    torque, allowable.

    ``shear_N``: of the rail, N, and ``torque_Nmm``: N mm, of either sign; ``first_mm3`` Q: first
    moment of the part beyond the weld, mm3; ``inertia_mm4`` I: of the whole section, mm4;
    ``cell_mm2`` Am: inside its middle line, mm2; ``leg_mm``: mm; ``fexx_MPa``: of the filler, MPa.
    Demand: the flow, N/mm; capacity: of the throat over 2.00, N/mm. For an open section, which has
    no cell, the torque is 0.
    """
    return (
        np.abs(shear_N) * first_mm3 / inertia_mm4 + np.abs(torque_Nmm) / (2 * cell_mm2),
        0.6 * fexx_MPa * 0.70711 * leg_mm / 2.0,
    )

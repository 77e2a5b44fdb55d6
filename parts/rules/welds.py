"""Fillets, plugs and slots. Lengths mm, forces N, stresses MPa, angles rad."""

from __future__ import annotations

import functools
from typing import overload

import numpy as np

from ...layout import units
from ...layout.reader import metric
from ...layout.units import IN
from ..model.vectors import Flag, Number
from .clause import clause

OMEGA = 2.0
WHOLE = 1e-6
"""Share of a sixteenth by which a leg may miss it: rounding."""
BRIDGED = 3 * IN / 64
"""Root gap that one fillet bridges, mm: AWS D1.1 allows 1/16 in without a larger leg (from memory);
a shop is held to less.
"""


INCH_LEGS = tuple(n * IN / 16 for n in (2, 3, 4, 5, 6, 8))
MM_LEGS = (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)
"""Legs a weld is made with, mm: what a gauge set holds (common practice, no source).

A shop's own list is a setting.
"""
Legs = tuple[float, ...]
USUAL = 0.75
"""Share of the thinnest part up to which a leg is chosen where no load asks for more (practice)."""


class Largest(tuple[float, ...]):
    """A shop's legs, of which the largest is taken that an edge carries: where the load asks.

    Lengths, mm, smallest first, as any list of legs; only the choice differs.
    """

    __slots__ = ()


def least_leg(t_mm: Number, cyclic: Flag = True, most_mm: Number = np.inf) -> Number:
    """Smallest fillet for the thinner part, elementwise, by which a leg is both drawn and checked:
    AISC 360-16 Table J2.4, 3/16 in at least where the load cycles (AWS D1.1), never more than the
    part, nor than the largest leg of the shop's list that the part carries.

    ``t_mm``: the thinner part, a float or an array, mm; ``cyclic``: whether the load cycles, one
    for all or one each; ``most_mm``: the largest leg the part carries. Legs, mm, in the shape they
    broadcast to.
    """
    base = IN / 16 * (2 + (t_mm > 6.35 + 1e-6) + (t_mm > 12.7 + 1e-6) + (t_mm > 19.05 + 1e-6))
    table = np.where(cyclic, np.maximum(base, 3 * IN / 16), base)
    return np.minimum(np.minimum(table, t_mm), most_mm)


def carried_leg(legs: Legs, t_mm: Number) -> Number:
    """Largest leg of the list that the edge of a part carries, elementwise.

    ``legs``: a shop's legs, mm, smallest first; ``t_mm``: the thinner part, a float or an array,
    mm. Mm, in its shape; the list's smallest where none is small enough.
    """
    return leg_within(legs, most_leg(t_mm))


@overload
def leg_within(legs: Legs, most_mm: float) -> float: ...
@overload
def leg_within(legs: Legs, most_mm: Number) -> Number: ...
def leg_within(legs: Legs, most_mm: Number) -> Number:
    """Largest leg of the list no larger than ``most_mm``, elementwise.

    ``legs``: a shop's legs, mm, smallest first; ``most_mm``: a length, or an array of them. A float
    for a float, an array of the same shape for an array, mm; the list's smallest where none is
    small enough (``fillet_wall`` then fails the weld).

    >>> leg_within((3.0, 5.0, 8.0), 6.0), leg_within((3.0, 5.0, 8.0), 2.0)
    (5.0, 3.0)
    """
    table = np.asarray(legs, dtype=float)
    fitting = (table <= np.asarray(most_mm, dtype=float)[..., None] + 1e-6).sum(axis=-1)
    found = table[np.maximum(fitting - 1, 0)]
    return float(found) if found.ndim == 0 else found


def thinnest(thicknesses: tuple[Number, ...]) -> Number:
    """The thinnest of the parts that meet, elementwise.

    ``thicknesses``: one or more, floats or arrays that broadcast, mm; the least of them in the
    shape they broadcast to, mm. TypeError where there is none.
    """
    return functools.reduce(np.minimum, thicknesses)


def smallest_leg(legs: Legs, t_mm: Number) -> Number:
    """Smallest leg of the list no smaller than ``least_leg``, elementwise.

    ``legs``: a shop's legs, mm, smallest first; ``t_mm``: the thinner part, a float or an array,
    mm. Mm, in its shape; the list's largest where none is large enough.
    """
    table = np.asarray(legs, dtype=float)
    want = np.asarray(least_leg(t_mm, most_mm=carried_leg(legs, t_mm)), dtype=float)
    found: Number = table[np.minimum((table < want[..., None] - 1e-6).sum(axis=-1), len(table) - 1)]
    return found


@overload
def leg_for(legs: Legs, *thicknesses: float) -> float: ...
@overload
def leg_for(legs: Legs, *thicknesses: Number) -> Number: ...
def leg_for(legs: Legs, *thicknesses: Number) -> Number:
    """The leg of the list for these parts, elementwise: the largest that the edge of the thinnest
    carries, up to ``USUAL`` of it or ``least_leg``, whichever is more; of ``Largest`` legs the
    largest without that.

    ``legs``: a shop's legs, mm, smallest first; ``thicknesses``: of the parts that meet, floats or
    arrays that broadcast, mm. Mm: a float for floats, else an array. TypeError without a thickness.

    >>> leg_for((3.0, 4.0, 5.0, 6.0, 8.0), 9.5, 6.0), leg_for(Largest((3.0, 5.0, 6.0)), 9.5, 6.0)
    (5.0, 6.0)
    """
    t = thinnest(thicknesses)
    carried = carried_leg(legs, t)
    if isinstance(legs, Largest):
        return carried
    usual = np.maximum(smallest_leg(legs, t), USUAL * np.asarray(t))
    return leg_within(legs, np.minimum(carried, usual))


@overload
def full_leg(legs: Legs, *thicknesses: float) -> float: ...
@overload
def full_leg(legs: Legs, *thicknesses: Number) -> Number: ...
def full_leg(legs: Legs, *thicknesses: Number) -> Number:
    """The largest leg of the list for a plate that stands on another, elementwise: up to the
    thinner wall, since no edge runs beside it.

    ``legs``: a shop's legs, mm, smallest first; ``thicknesses``: of the parts that meet, floats or
    arrays that broadcast, mm. Mm: a float for floats, else an array. TypeError without a thickness.
    """
    return leg_within(legs, thinnest(thicknesses))


def leg_text(leg: float) -> str:
    """A leg (mm) as a welder reads it, exactly what was checked: sixteenths where it is sixteenths,
    else mm; in mm for a shop in mm.
    """
    if metric():
        return f"{round(leg, 2):g} mm"
    sixteenths = leg / IN * 16
    whole = abs(sixteenths - round(sixteenths)) < WHOLE
    return units.fraction(leg) if whole else f"{leg:g} mm"


def most_leg(t_mm: Number) -> Number:
    """Largest fillet along an edge, elementwise: the thickness under 1/4 in, 1/16 in less from
    there (AISC 360-16 J2.2b).

    ``t_mm``: the part whose edge it runs along, a float or an array, mm; the leg, mm, likewise.
    """
    return np.where(np.asarray(t_mm) < 6.35 - 1e-6, t_mm, np.asarray(t_mm) - IN / 16)


@clause(
    "AISC 360 Table J2.4; AWS D1.1:2025 Table 7.7 note c",
    edition="2016",
    formula="w >= min(wt, wm)",
    also={"table_mm": lambda of: float(least_leg(of["t_mm"], bool(of["cyclic"])))},
)
def fillet_least(
    *, t_mm: Number, leg_mm: Number, cyclic: Flag, most_mm: Number = np.inf
) -> tuple[Number, Number]:
    """Smallest fillet for the thinner part joined.

    ``t_mm``: that part, mm; ``leg_mm``: mm; ``cyclic``: whether the load cycles; ``most_mm``: the
    largest leg of the shop's list that the thinner part carries, mm. Demand: ``least_leg``, mm;
    capacity: the leg, mm. It says that a weld fuses, not that it holds (``fillet_strength``,
    ``weld_line``).
    """
    return least_leg(t_mm, cyclic, most_mm), leg_mm


@clause("common practice, no source", edition="", formula="w <= t", tag="practice")
def fillet_wall(*, t_mm: Number, leg_mm: Number) -> tuple[Number, Number]:
    """No fillet larger than the thinner wall.

    ``t_mm``: the thinner part, mm; ``leg_mm``: mm. Demand: the leg, mm; capacity: the wall, mm. A
    larger leg burns a thin wall and gains nothing: the wall beside it gives first
    (``wall_beside``).
    """
    return leg_mm, t_mm


@clause(
    "AISC 360 J2.2b",
    edition="2016",
    formula="w <= wm",
    also={"most_mm": lambda of: float(most_leg(of["t_mm"]))},
)
def fillet_most(*, t_mm: Number, leg_mm: Number) -> tuple[Number, Number]:
    """Largest fillet along an edge.

    ``t_mm``: the part along whose edge it runs, mm; ``leg_mm``: mm. Demand: the leg, mm; capacity:
    ``most_leg``, mm. The larger weld that the standard allows where a drawing has it built out to
    the full throat is not allowed here.
    """
    return leg_mm, most_leg(t_mm)


@clause(
    "AISC 360 J2.2b",
    edition="2016",
    formula="L >= max(4 w, Ls)",
    also={"stitch_mm": lambda of: 1.5 * IN if of["stitched"] else 0.0},
)
def fillet_length(*, leg_mm: Number, length_mm: Number, stitched: Flag) -> tuple[Number, Number]:
    """Least length of a fillet.

    ``leg_mm``: mm; ``length_mm``: of one run, mm; ``stitched``: whether the runs are spaced.
    Demand: 4 legs, at least 1.5 in for a stitch, mm; capacity: the run there. The standard's way
    out, a short weld counted with a quarter of its length as leg, is not taken; what it takes off a
    very long weld pulled at its end is not covered.

    >>> run = {"leg_mm": 6.0, "length_mm": 30.0}
    >>> [round(float(fillet_length(stitched=each, **run)[0]), 1) for each in (False, True)]
    [24.0, 38.1]
    """
    return np.where(stitched, np.maximum(4 * leg_mm, 1.5 * IN), 4 * leg_mm), length_mm


@clause(
    "AISC 360 J2.4",
    edition="2016",
    formula="F <= 0.60 FEXX (1 + 0.5 sin(theta)^1.5) 0.70711 w L / 2.00",
    unit="N",
)
def fillet_strength(
    *, force_N: Number, leg_mm: Number, length_mm: Number, fexx_MPa: Number, angle_rad: Number = 0.0
) -> tuple[Number, Number]:
    """Strength of a fillet whose load makes an angle with it, allowable.

    ``force_N``: through the middle of the weld, N; ``leg_mm``, ``length_mm``: mm; ``fexx_MPa``:
    tensile strength of the filler, MPa; ``angle_rad``: between force and weld, 0 to pi/2, rad, 0
    along it. Demand: the force, N; capacity: N. The steel beside it is ``wall_beside``; a force
    past the middle, ``weld_line``.

    >>> weld = {"force_N": 0.0, "leg_mm": 6.0, "length_mm": 50.0, "fexx_MPa": 483.0}
    >>> along, across = (fillet_strength(angle_rad=angle, **weld)[1] for angle in (0.0, np.pi / 2))
    >>> round(float(across / along), 3)
    1.5
    """
    return (
        force_N,
        0.6
        * fexx_MPa
        * (1 + 0.5 * np.sin(angle_rad) ** 1.5)
        * 0.70711
        * leg_mm
        * length_mm
        / OMEGA,
    )


@clause(
    "AISC 360 J2.4, elastic weld vectors",
    edition="2016",
    formula="f <= 0.60 FEXX 0.70711 w / 2.00",
    unit="N/mm",
)
def weld_line(*, force_N_mm: Number, leg_mm: Number, fexx_MPa: Number) -> tuple[Number, Number]:
    """Force on each millimeter of a weld group, no credit for its direction, allowable.

    ``force_N_mm``: the largest on a millimeter of the group, all directions together, N/mm
    (``bolts.shares`` over its length); ``leg_mm``: mm; ``fexx_MPa``: tensile strength of the
    filler, MPa. Demand: that force, N/mm; capacity: of a throat 0.70711 w, N/mm. On the safe side
    by up to half for a force across the weld (``fillet_strength``).
    """
    return force_N_mm, 0.6 * fexx_MPa * 0.70711 * leg_mm / OMEGA


@clause(
    "AISC 360 J4.2, shear rupture beside a weld",
    edition="2016",
    formula="f <= 0.60 Fu t / 2.00",
    tag="memory",
    unit="N/mm",
)
def wall_beside(*, force_N_mm: Number, t_mm: Number, fu_MPa: Number) -> tuple[Number, Number]:
    """The thinner wall beside a weld, per millimeter, allowable.

    ``force_N_mm``: as in ``weld_line``, N/mm; ``t_mm``: the thinner part, mm; ``fu_MPa``: its
    tensile strength, MPa. Demand: the force, N/mm; capacity: 0.60 Fu t / 2.00, N/mm. Yield of the
    wall in shear (J4-3) and its bending are not covered.
    """
    return force_N_mm, 0.6 * fu_MPa * t_mm / OMEGA

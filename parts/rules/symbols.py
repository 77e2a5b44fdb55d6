"""The letters formulas are written in, each with what it stands for.

A formula is "this <= that" or "this >= that", then definitions after semicolons, each in letters
known or defined after it. Numbers and
letters side by side are multiplied, ``^`` is a power, ``|x|`` the size of x without its sign, min,
max, sqrt, sin as everywhere, "a if b else c" is a where b holds, otherwise c. One system of units
throughout: kip, in, ksi, or N, mm, MPa.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ..model.clause import Clause

SYMBOLS: Mapping[str, tuple[str, str]] = {
    "angle_rad": ("theta", "angle of the load with the weld"),
    "arc_rad": ("beta", "angle the arc runs through"),
    "area_mm2": ("A", "area of the section"),
    "attached_limit_mm": ("La", "longest that is welded on along the pull"),
    "at_mm": ("e", "back plate to the middle of the rings"),
    "bending_Nmm": ("Mc", "allowable moment, Fy Z / 1.67"),
    "beside_blade_mm": ("W", "plate each side of the blade that the weld holds"),
    "beside_mm": ("s", "from a rib to the weld beside it"),
    "bolt_N": ("B", "a bolt's own allowable pull beside its shear"),
    "capacity_N": ("Fc", "allowable push or pull"),
    "capacity_Nmm": ("Mc", "allowable moment, Fy Z / 1.67"),
    "cell_mm2": ("Am", "area inside the middle line of the closed section"),
    "chord_mm": ("x", "from the middle to the line it stands out from"),
    "clear_mm": ("lc", "from the hole's edge to the next edge"),
    "coil_N": ("Fc", "coil's force"),
    "coil_radius_mm": ("rc", "radius of the coil's ring"),
    "coil_sinks": ("uc", "mean way the coil's ring sinks, the meeting point sinking 1"),
    "critical_N": ("Pcr", "push at which it flips"),
    "d_mm": ("d", "diameter of the bolt"),
    "deep_mm": ("D", "back plate to the free edge"),
    "edge_mm": ("e", "from the hole's center to the edge"),
    "edges_held": ("n", "1 for edges that turn freely, 2 for edges that bend with the wall"),
    "edges_mm": ("B", "from one long edge of the wall to the other"),
    "fexx_MPa": ("FEXX", "tensile strength of the filler"),
    "first_mm3": ("Q", "first moment of the part beyond the weld"),
    "fnt_MPa": ("Fnt", "pull strength of the bolt, 0.75 Fu"),
    "fnv_MPa": ("Fnv", "shear strength of the bolt, 0.563 Fu, 0.45 Fu with threads in the plane"),
    "fold_mm": ("yf", "from the middle to a line of the stop"),
    "foot_mm": ("d", "foot of the bent triangle on the held edge, at the worst"),
    "force_N": ("F", "force"),
    "force_N_mm": ("f", "force on a length of weld"),
    "from_flange_mm": ("x", "from the hole's center to the rail's top or bottom"),
    "fu_MPa": ("Fu", "tensile strength"),
    "fy_MPa": ("Fy", "yield strength"),
    "gap_mm": ("c", "gap between ear and inner part"),
    "gross_shear_mm2": ("Agv", "area sheared, holes in"),
    "have_mm": ("have", "what there is"),
    "held_mm": ("c", "from there to the weld that holds the plate down"),
    "hole_mm": ("dh", "diameter of the hole"),
    "hole_radius_mm": ("ah", "radius of the hole in the middle"),
    "inertia_mm4": ("I", "second moment of the section"),
    "inner_mm": ("b", "inner part between the ears"),
    "k": ("K", "effective length: 1.2 for a pair held by its sleeve, 2.1 alone"),
    "largest_mm": ("dm", "largest hole"),
    "least_edge_mm": ("em", "least edge distance by the table for d"),
    "least_steel_mm": ("c", "least steel"),
    "leg_mm": ("w", "leg of the fillet"),
    "length_mm": ("L", "length of the weld"),
    "lever_mm": ("b", "from the bolt's center to the weld that pulls"),
    "lifted_mm": ("h", "from the near end of what lifts to where it tilts about"),
    "line_mm": ("y", "from the middle to the near side of what carries it"),
    "line_sinks": ("ul", "mean way the coil's ring sinks, the fold sinking 1"),
    "meet_mm": ("a", "back plate to where the yield lines meet, at the worst"),
    "modulus_MPa": ("E", "modulus of elasticity"),
    "moment_Nmm": ("M", "bending moment"),
    "most_mm": ("wm", "largest leg that the part carries"),
    "need_mm": ("need", "what must be there"),
    "net_shear_mm2": ("Anv", "area sheared, holes out"),
    "net_tension_mm2": ("Ant", "area pulled, holes out"),
    "od_mm": ("D", "outside diameter of the tube"),
    "outer_mm": ("a", "thickness of an ear"),
    "outstand_mm": ("c", "from the weld to the free edge"),
    "past_lever_mm": ("u", "from that line to the middle of that share"),
    "past_mm": ("x", "from the middle to the far side of what carries it"),
    "past_share": ("q", "share of the push past that line"),
    "patch_across_mm": ("bp", "width of what pushes or pulls, from edge to edge"),
    "patch_along_mm": ("lp", "length of what pushes or pulls, along the edges"),
    "planes": ("n", "planes it is sheared in"),
    "pull_N": ("P", "pull or push along the ear"),
    "push_N": ("P", "push"),
    "radius_mm": ("R", "inside radius of the bend, radius of the arc"),
    "range_MPa": ("S", "range of stress between two states"),
    "ratio": ("k", "ratio"),
    "ribs_mm": ("B", "from rib to rib"),
    "rim_mm": ("R", "radius of the round plate"),
    "ring_lever_mm": ("v", "lever of the coil's ring past one side"),
    "ring_mm": ("R", "radius of the ring it stands on"),
    "shear_N": ("V", "shear"),
    "sheared_N": ("Vc", "allowable shear, 0.6 Fy A / 2 / 1.67"),
    "sideways_Nmm": ("Mw", "moment over the plate's thickness"),
    "slender": ("Lr", "K L / r"),
    "slot_mm": ("sl", "how far the bolt may move in its slot"),
    "small_hole_mm": ("ds", "largest hole for which c holds"),
    "spacing_mm": ("s", "center to center"),
    "span_mm": ("L", "between the gussets"),
    "stitch_mm": ("Ls", "least length of a stitch"),
    "stop_N": ("Fs", "bump stop's force"),
    "stop_radius_mm": ("rs", "radius of the stop's ring"),
    "stop_sinks": ("us", "mean way the stop's ring sinks, the meeting point sinking 1"),
    "stress_MPa": ("S", "stress"),
    "strip_mm": ("b", "width of the strip"),
    "t_mm": ("t", "thickness"),
    "table_mm": ("wt", "least leg by the table for t, 3/16 in where the load cycles"),
    "tall_mm": ("h", "from the weld to the bolt"),
    "torque_Nmm": ("T", "torque"),
    "torsion_Nmm": ("Tc", "allowable torque, 0.6 Fy J / (D/2) / 1.67"),
    "tributary_mm": ("p", "length of plate a bolt has"),
    "unit_MPa": ("u", "the unit the constants are in"),
    "wall_mm": ("tw", "wall"),
    "wider_mm": ("h", "by how much a hole counts wider than its bolt"),
    "width_mm": ("b", "width of the foot or of the section"),
}
"""Argument of a clause -> its letter and what it is, but what one clause alone explains in its own
``letters``.
"""
WORDS = ("cyclic", "stitched")
"""Arguments that choose a row of a table: no numbers of their own."""
UNITS = {
    "_N_mm": "N/mm",
    "_Nmm": "N mm",
    "_mm2": "mm2",
    "_mm3": "mm3",
    "_mm4": "mm4",
    "_MPa": "MPa",
    "_mm": "mm",
    "_rad": "rad",
    "_N": "N",
}
"""End of an argument's name -> its unit inside, longest ends first where one ends another."""


class Put(NamedTuple):
    """A number put into a formula: its letter, what it is, its value and unit inside.

    ``letter``: as the formula has it; ``says``: in words, for the list under it; ``value``: in
    ``unit``, which is one of ``UNITS`` or empty for a bare number.
    """

    letter: str
    says: str
    value: float
    unit: str


def unit_inside(name: str) -> str:
    """Unit of an argument by the end of its name, empty for a bare number.

    The longest end of ``UNITS`` counts, so that N/mm is not read as mm.

    >>> unit_inside("force_N_mm"), unit_inside("moment_Nmm"), unit_inside("slender")
    ('N/mm', 'N mm', '')
    """
    return next((unit for end, unit in UNITS.items() if name.endswith(end)), "")


def put_into(clause: Clause, given: Mapping[str, float]) -> tuple[Put, ...]:
    """The numbers of a clause's formula by letter: those given, then those of tables and fixed
    sizes. KeyError for an argument nobody gave a letter.
    """
    more = {name: found(given) if callable(found) else found for name, found in clause.also.items()}
    known = {name: value for name, value in given.items() if name not in WORDS}
    return tuple(_put(clause, name, value) for name, value in {**known, **more}.items())


def constants(clause: Clause) -> tuple[Put, ...]:
    """What a clause's formula needs that no row changes.

    The fixed sizes of ``also``, not those looked up in a table by the numbers of a row. KeyError
    for one nobody gave a letter.

    >>> from soapstone.parts.rules.plates import edge_buckling
    >>> [(put.letter, put.value, put.unit) for put in constants(edge_buckling)]
    [('u', 1.0, 'MPa')]
    """
    return tuple(
        _put(clause, name, value) for name, value in clause.also.items() if not callable(value)
    )


def _put(clause: Clause, name: str, value: float) -> Put:
    own = clause.letters.get(name)
    letter, says = own if isinstance(own, tuple) else SYMBOLS[name]
    return Put(own if isinstance(own, str) else letter, says, float(value), unit_inside(name))

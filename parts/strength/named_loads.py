"""The loads a family may name in its holds, and where each comes from: the linkage's forces, or a
case of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from ...layout.arrays import Array
from ...layout.loads.cases import Case
from ...layout.loads.forces import Forces
from ...layout.units import IN

GEARBOX = 3.0
"""Times the transmission's weight on its pad, as the wheels in bump (judgment, no source)."""

AXLE_RATIO = 3.0
"""Turns of the drive shaft for one of the wheels, the least in common use: torque at the
transmission is the tires' grip (the truck's weight at the tires' radius) over it (judgment).
"""
ENGINE_MOUNTS = 24 * IN
"""From one of the engine's mounts to the other. The transmission's rubber takes its share of the
torque by the square of its bolts' distance against theirs, the rubbers alike (judgment).
"""

VECTORS: Mapping[str, Callable[[Forces, int], Array]] = {
    "arm.joint": lambda forces, side: forces.joint[side],
    "bracket": lambda forces, side: forces.jack[side] - forces.joint[side],
    "arm.lower": lambda forces, side: forces.lower[side],
    "arm.lower.couple": lambda forces, side: forces.couple[side],
    "upper": lambda forces, side: forces.upper_vec[side],
    "tab": lambda forces, side: -forces.upper_vec[side],
    "far.bracket": lambda forces, side: forces.jack[1 - side] - forces.joint[1 - side],
}
"""Forces with a direction of their own, truck axes, N."""

AMOUNTS: Mapping[str, Callable[[Forces, int], float]] = {
    "arm.axial": lambda forces, side: forces.axial[side],
    "arm.bend": lambda forces, side: forces.bend[side],
    "upper.push": lambda forces, side: forces.upper[side],
    "bar": lambda forces, side: forces.bar,
    "coil": lambda forces, side: forces.seat[side],
    "coil.stop": lambda forces, side: forces.seat_stop[side],
    "stop": lambda forces, side: forces.stop[side],
    "strap": lambda forces, side: forces.strap[side],
}
"""Loads that act along something: pulled or pushed as ``Forces`` has it, N (a moment N mm)."""

UPRIGHT: Mapping[str, tuple[str, float]] = {
    "coil.up": ("coil", 1.0),
    "coil.down": ("coil", -1.0),
    "stop.up": ("stop", 1.0),
    "stop.down": ("stop", -1.0),
    "transmission": ("transmission", -1.0),
}
"""Loads that stand upright: whose amount, and up or down."""

OWN: Mapping[str, Case] = {
    "shock": Case(
        "shock at one wheel's load",
        "often",
        1.0,
        "a shock pushes or pulls with the standing load of one wheel",
        "judgment, no source",
    ),
    "transmission": Case(
        "transmission 3 x",
        "often",
        GEARBOX,
        "three times the transmission's weight on its pad, and its mount's share of the torque at"
        " which the tires slip",
        "as the wheels in bump: judgment; torque: the tires' grip, axle ratio 3, engine mounts 24"
        " in apart: judgment",
    ),
}
"""Loads that come with a case of their own; tacks and life count standing load only."""


def case_of(forces: Forces) -> str:
    """A case as a row names it, with the bushings where nobody read their rates.

    >>> from types import SimpleNamespace
    >>> twist = SimpleNamespace(name="twist", hand="L", level="often")
    >>> case_of(SimpleNamespace(case=twist, bushings="hard bushings"))
    'twist, left wheel, hard bushings (often)'
    """
    wheel = {"L": ", left wheel", "R": ", right wheel"}.get(forces.case.hand, "")
    bushings = f", {forces.bushings}" if forces.bushings else ""
    return f"{forces.case.name}{wheel}{bushings} ({forces.case.level})"

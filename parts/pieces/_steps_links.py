"""Where the numbers of tubes' rows come from: arms, brace, spacer, stub, center tube."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from ...layout.arrays import Array
from ..model.hold import Step, Steps, TubeSize, UnderLoad
from ..model.vectors import Number
from ..rules import tubes

PUT = dict[str, tuple[Number, str]]
AREA = "pi (D - tw) tw"
INERTIA = "pi (D^4 - (D - 2 tw)^4) / 64"
BENDING = "Fy (D^3 - (D - 2 tw)^3) / 6 / 1.67"
SHEARED = f"0.6 Fy A / 2 / 1.67; A = {AREA}"
TORSION = f"0.6 Fy 2 I / (D/2) / 1.67; I = {INERTIA}"
TABLE = "of the tables of forces"


def _sizes(tube: TubeSize) -> PUT:
    return {"D": (tube.od, "mm"), "tw": (tube.wall, "mm")}


def xyz(force: Array, letter: str = "F", unit: str = "N") -> PUT:
    """The parts of a vector a case, (cases, 3), each by its letter."""
    return {f"{letter}{axis}": (force[:, n], unit) for n, axis in enumerate("xyz")}


def _force(seen: UnderLoad, load: str, formula: str) -> Step:
    return Step("F", formula, {"N": (seen.amount(load), "N")}, TABLE)


def strut(
    code: str,
    load: str,
    length: Callable[[UnderLoad], float],
    *,
    k: float = 1.0,
    formula: str = "|N|",
) -> Steps:
    """A tube pushed: ``length`` between its ends, mm; ``k``: its effective length; ``formula``: its
    push from the load N.
    """

    def steps(seen: UnderLoad) -> Sequence[Step]:
        sizes = _sizes(seen.tube(code))
        slender = f"{k:g} L / sqrt(I / A); I = {INERTIA}; A = {AREA}"
        return (
            _force(seen, load, formula),
            Step("A", AREA, sizes, "the tube"),
            Step("Lr", slender, {"L": (length(seen), "mm"), **sizes}, "L between its ends"),
        )

    return steps


def tie(code: str, load: str, formula: str = "|N|") -> Steps:
    """A tube pulled; ``formula``: its pull from the load N."""

    def steps(seen: UnderLoad) -> Sequence[Step]:
        area = Step("A", AREA, _sizes(seen.tube(code)), "the tube")
        return (_force(seen, load, formula), area)

    return steps


def of_values(name: str) -> Callable[[UnderLoad], float]:
    """A length of the layout."""
    return lambda seen: seen.q(name)


def own_length(code: str) -> Callable[[UnderLoad], float]:
    """A tube's own length."""
    return lambda seen: seen.length(code)


def arm_bent(seen: UnderLoad) -> Sequence[Step]:
    """The arm's push or pull with what it may be, its moment at the upper joint."""
    tube, joint = seen.tube("AR1"), seen.point("arm.joint")
    arm = joint - seen.point("arm.bolt")
    along = arm / np.linalg.norm(arm)
    moment = np.cross(joint - seen.point("upper.joint"), seen.force("arm.joint"))
    across = moment - (moment @ along)[:, None] * along
    steel: PUT = {"Fy": (tube.fy, "MPa"), **_sizes(tube)}
    allowed = (
        f"Fy A / 1.67 if N > 0 else Fcr A / 1.67; {tubes.BUCKLED}; Lr = L / sqrt(I / A);"
        f" I = {INERTIA}; A = {AREA}"
    )
    both: PUT = {
        "N": (seen.amount("arm.axial"), "N"),
        "L": (seen.q("arm.cc"), "mm"),
        "E": (tubes.E, "MPa"),
        **steel,
    }
    says = "at the upper joint, across the arm: frame joint less upper joint, x the joint's force"
    return (
        Step("F", "|N|", {"N": both["N"]}, TABLE),
        Step("Fc", allowed, both, "L from bolt to joint"),
        Step("M", "sqrt(Mx^2 + My^2 + Mz^2)", xyz(across, "M", "N mm"), says),
        Step("Mc", BENDING, steel, ""),
    )


def stub(seen: UnderLoad) -> Sequence[Step]:
    """Moment and torque of the stub from the frame joint's force, and what it may carry."""
    tube, at = seen.tube("XT1"), seen.point("arm.joint")
    axis, start = seen.axis("XT1"), seen.origin("XT1")
    foot = start + axis * float((at - start) @ axis)
    force = seen.force("bracket")
    across = force - (force @ axis)[:, None] * axis
    arm = abs(float((seen.origin("XS1") - foot) @ axis))
    lever = at - foot
    steel: PUT = {"Fy": (tube.fy, "MPa"), **_sizes(tube)}
    twist: PUT = {**xyz(force), "x": (float(lever[0]), "mm"), "z": (float(lever[2]), "mm")}
    says = "force on the bracket across the stub, l from the side plate to the joint along it"
    return (
        Step(
            "M",
            "sqrt(Fx^2 + Fy^2 + Fz^2) l",
            {**xyz(across), "l": (arm, "mm")},
            says,
        ),
        Step("Mc", BENDING, steel, ""),
        Step("V", "sqrt(Fx^2 + Fy^2 + Fz^2)", xyz(across), ""),
        Step("Vc", SHEARED, steel, ""),
        Step("T", "|z Fx - x Fz|", twist, "joint from the stub's axis"),
        Step("Tc", TORSION, steel, ""),
    )


def center(seen: UnderLoad) -> Sequence[Step]:
    """Moment of the center tube under the transmission's weight."""
    place = seen.q("driveline.mount.y")
    left, right = (float(seen.origin(f"XS1.{side}")[1]) for side in "LR")
    put: PUT = {
        "F": (seen.amount("transmission"), "N"),
        "a": (left - place, "mm"),
        "b": (place - right, "mm"),
    }
    return (
        Step("M", "F a b / (a + b)", put, "three times the weight, from it to the side plates"),
    )

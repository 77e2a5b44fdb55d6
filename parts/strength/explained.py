"""Where the numbers of a pivot's rows come from: parts of its force along and across, and levers.

Nothing is worked where nobody reads it (``Work.explains``).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...layout.arrays import Array
from ..model.hold import Step
from ..model.vectors import Number
from .recorded import Meshed, Pieces, Root
from .view import SideUnderLoad

WHAT = "the force or its share in this case, x ahead, y left, z up"
ROOT = (
    "of its share of the force along the weld line, across the plate and along the plate to the"
    " bolt; bolt above the line and beside its middle"
)


def size(force: Array, seen: SideUnderLoad) -> Sequence[Step]:
    """F from its three parts; ``force``: (cases, 3), N."""
    if not seen.work.explains:
        return ()
    parts: dict[str, tuple[Number, str]] = {
        f"F{axis}": (force[:, n], "N") for n, axis in enumerate("xyz")
    }
    return (Step("F", "sqrt(Fx^2 + Fy^2 + Fz^2)", parts, WHAT),)


def ring(force: Array, across: float, seen: SideUnderLoad) -> Sequence[Step]:
    """f of a ring of weld so wide, mm, that carries all of a force, (cases,) N."""
    if not seen.work.explains:
        return ()
    put: dict[str, tuple[Number, str]] = {"F": (force, "N"), "D": (across, "mm")}
    return (Step("f", "F / (pi D)", put, "its share of the force, across the washer"),)


def root(found: Root, force: Array, portal: float, seen: SideUnderLoad) -> Sequence[Step]:
    """Moments, pull and shear of an ear at its weld line; ``force``: its share, (cases, 3), N."""
    if not seen.work.explains:
        return ()
    along, out, up = (np.abs(force @ way) for way in (found.run, found.out, found.up))
    height = abs(float(found.lever @ found.up))
    beside = abs(float(found.lever @ found.run))
    put: dict[str, tuple[Number, str]] = {
        "Fr": (along, "N"),
        "Fu": (up, "N"),
        "h": (height, "mm"),
        "o": (beside, "mm"),
    }
    portals = portal if found.share > 1 else 1.0
    return (
        Step("M", "Fr h + Fu o", put, ROOT),
        Step("Mw", f"Fo h / {portals:g}", {"Fo": (out, "N"), "h": (height, "mm")}, ""),
        Step("P", "Fu", {"Fu": (up, "N")}, ""),
        Step("V", "Fr", {"Fr": (along, "N")}, ""),
    )


def pushed(found: Root, force: Array, seen: SideUnderLoad) -> Sequence[Step]:
    """Push of an ear toward its weld line; ``force``: its share, (cases, 3), N."""
    if not seen.work.explains:
        return ()
    parts: dict[str, tuple[Number, str]] = {
        f"F{axis}": (force[:, n], "N") for n, axis in enumerate("xyz")
    }
    down = found.up if float(found.lever @ found.up) < 0 else -found.up
    ways: dict[str, tuple[Number, str]] = {
        f"d{axis}": (float(down[n]), "ratio") for n, axis in enumerate("xyz")
    }
    says = f"{WHAT}; d the way from the bolt to the weld"
    return (Step("P", "max(0, Fx dx + Fy dy + Fz dz)", {**parts, **ways}, says),)


def throat(lines: Array, pieces: Pieces, end: int) -> Sequence[Step]:
    """Range of stress at the throat of a weld at an end of a piece, by its place among
    ``Pieces.corners``; ``lines``: the force on a millimeter there in both states, (2, 3) N/mm.
    """
    put: dict[str, tuple[Number, str]] = {
        **{f"A{axis}": (float(lines[0][n]), "N/mm") for n, axis in enumerate("xyz")},
        **{f"B{axis}": (float(lines[1][n]), "N/mm") for n, axis in enumerate("xyz")},
        "w": (float(pieces.corner_legs[end]), "mm"),
        **{axis: (float(pieces.corners[end][n]), "mm") for n, axis in enumerate("xyz")},
    }
    formula = "sqrt((Ax - Bx)^2 + (Ay - By)^2 + (Az - Bz)^2) / (0.70711 w)"
    says = "A and B the force on a length of the weld, at x, y, z of its group, in both states"
    return (Step("S", formula, put, says),)


def skin(found: Root, change: Array, portal: float) -> Sequence[Step]:
    """Range of stress at the corner of an ear's foot; ``change``: of its share of the force between
    both states, (3,) N.
    """
    turn = np.cross(found.lever, change)
    put: dict[str, tuple[Number, str]] = {
        "P": (abs(float(change @ found.up)), "N"),
        "M": (abs(float(turn @ found.out)), "N mm"),
        "Mw": (abs(float(turn @ found.run)) / (portal if found.share > 1 else 1.0), "N mm"),
        "b": (found.width, "mm"),
        "t": (found.thick, "mm"),
    }
    says = "changes of pull along the plate, of moment in it and over it between both states"
    return (Step("S", "P / (b t) + 6 M / (t b^2) + 6 Mw / (b t^2)", put, says),)


def pushed_plate(found: Meshed, pushes: Sequence[float]) -> Sequence[Step]:
    """Range of stress of a plate in elements; ``pushes``: on it in both states, N."""
    put: dict[str, tuple[Number, str]] = {
        "Sp": (found.seat.per_newton * found.most, "MPa"),
        "Fp": (found.most, "N"),
        "A": (pushes[0], "N"),
        "B": (pushes[1], "N"),
    }
    says = "Sp the stress of its picture at the force Fp; A and B the coil's load in both states"
    return (Step("S", "Sp |A - B| / Fp", put, says),)

"""Where the numbers of a pivot's rows come from: parts of its force along and across, and levers.

Nothing is worked where nobody reads it (``Work.explains``).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..model.hold import Step
from ..model.vectors import Array, Number
from .recorded import Root
from .view import Seen

WHAT = "the force or its share in this case, x ahead, y left, z up"
ROOT = (
    "of its share of the force along the weld line, across the plate and along the plate to the"
    " bolt; bolt above the line and beside its middle"
)


def size(force: Array, seen: Seen) -> Sequence[Step]:
    """F from its three parts; ``force``: (cases, 3), N."""
    if not seen.work.explains:
        return ()
    parts: dict[str, tuple[Number, str]] = {
        f"F{axis}": (force[:, n], "N") for n, axis in enumerate("xyz")
    }
    return (Step("F", "sqrt(Fx^2 + Fy^2 + Fz^2)", parts, WHAT),)


def ring(force: Array, across: float, seen: Seen) -> Sequence[Step]:
    """f of a ring of weld so wide, mm, that carries all of a force, (cases,) N."""
    if not seen.work.explains:
        return ()
    put: dict[str, tuple[Number, str]] = {"F": (force, "N"), "D": (across, "mm")}
    return (Step("f", "F / (pi D)", put, "its share of the force, across the washer"),)


def root(found: Root, force: Array, portal: float, seen: Seen) -> Sequence[Step]:
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


def pushed(found: Root, force: Array, seen: Seen) -> Sequence[Step]:
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

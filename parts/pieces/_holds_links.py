"""What arms, upper arms and the tabs and brackets at their bolts are held against."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from ..model.hold import Hold, HoldKind, NotHeld, Pulls, UnderLoad, Whose
from ..model.vectors import Array
from ..rules import tubes

PIVOT, WELDS, ROW = HoldKind.PIVOT, HoldKind.WELDS, HoldKind.ROW


def _slender(seen: UnderLoad, code: str, length: str) -> tuple[float, float, float]:
    """Section, mm2, L / r between its bolts and yield strength, MPa, of a link."""
    tube = seen.tube(code)
    section = float(tubes.area(tube.od, tube.wall))
    radius = math.sqrt(float(tubes.inertia(tube.od, tube.wall)) / section)
    return section, seen.q(length) / radius, tube.fy


def arm_bent(seen: UnderLoad) -> Mapping[str, Any]:
    """Radius arm bent at the upper joint, pushed or pulled."""
    tube = seen.tube("AR1")
    section, slender, fy = _slender(seen, "AR1", "arm.cc")
    push = float(tubes.column(force_N=0.0, area_mm2=section, slender=slender, fy_MPa=fy)[1])
    pull = float(tubes.tension(force_N=0.0, area_mm2=section, fy_MPa=fy)[1])
    axial = seen.amount("arm.axial")
    return {
        "force_N": np.abs(axial),
        "capacity_N": np.where(axial < 0, push, pull),
        "moment_Nmm": seen.amount("arm.bend"),
        "capacity_Nmm": float(tubes.bending(tube.od, tube.wall, fy)),
    }


def upper_pushed(seen: UnderLoad) -> Mapping[str, Any]:
    """Upper arm as a column between its bolts."""
    section, slender, fy = _slender(seen, "UA1", "upper.cc")
    push = np.maximum(seen.amount("upper.push"), 0.0)
    return {"force_N": push, "area_mm2": section, "slender": slender, "fy_MPa": fy}


def upper_spin(seen: UnderLoad) -> Mapping[str, Any] | None:
    """Upper arm against the push that flips the radius arm; None where none does."""
    limit = seen.flips_at()
    can = np.isfinite(limit)
    if not can.any():
        return None
    push = np.maximum(seen.amount("upper.push"), 0.0)
    return {"force_N": np.where(can, push, 0.0), "critical_N": np.where(can, limit, 1.0)}


def upper_pulled(seen: UnderLoad) -> Mapping[str, Any]:
    """Upper arm in tension."""
    section, _, fy = _slender(seen, "UA1", "upper.cc")
    return {
        "force_N": np.maximum(-seen.amount("upper.push"), 0.0),
        "area_mm2": section,
        "fy_MPa": fy,
    }


def _at_bolt(bolt: str, load: str) -> Pulls:
    """A load at a bolt's middle."""

    def pulls(seen: UnderLoad) -> tuple[tuple[Array, Array, Array | None], ...]:
        return ((seen.bolt_at(bolt), seen.force(load), None),) if seen.there(bolt) else ()

    return pulls


def _shell(seen: UnderLoad) -> tuple[tuple[Array, Array, Array | None], ...]:
    """The lower bolt's force with the couple its bushing carries."""
    return ((seen.bolt_at("arm.bolt#1"), seen.force("arm.lower"), seen.force("arm.lower.couple")),)


ARMS = (
    Hold(
        "arm.bent",
        ROW,
        "arm tube bent at the upper joint, with push or pull",
        "arm.bend",
        members=("AR1",),
        clause=tubes.combined,
        numbers=arm_bent,
    ),
    Hold("arm.bolt", PIVOT, "lower arm bolt at the axle", "arm.lower", bolts=("arm.bolt#1",)),
    Hold(
        "arm.insert",
        WELDS,
        "weld of the arm's threaded insert under the frame joint's force",
        "arm.joint",
        welds=("arm.insert",),
        at="arm.joint",
    ),
    Hold(
        "arm.shell",
        WELDS,
        "weld of the arm's tube to its bushing shell under the lower bolt's force",
        "arm.lower",
        welds=("arm.shell",),
        pulls=_shell,
    ),
)

UPPER_ARMS = (
    Hold(
        "upper.push",
        ROW,
        "upper-arm tube pushed",
        "upper.push",
        members=("UA1",),
        clause=tubes.column,
        numbers=upper_pushed,
    ),
    Hold(
        "upper.spin",
        ROW,
        "upper arm's push against the push that flips the radius arm about its own axis",
        "upper.push",
        members=("UA1",),
        clause=tubes.arm_spin,
        numbers=upper_spin,
    ),
    Hold(
        "upper.pull",
        ROW,
        "upper-arm tube pulled",
        "upper.push",
        members=("UA1",),
        clause=tubes.tension,
        numbers=upper_pulled,
    ),
    Hold(
        "upper.insert",
        WELDS,
        "weld of the upper arm's threaded insert under its push or pull",
        "upper",
        welds=("upper.insert",),
        pulls=_at_bolt("upper.joint#1", "upper"),
    ),
    Hold(
        "upper.shell",
        WELDS,
        "weld of the upper arm's tube to its bushing shell under its push or pull",
        "upper",
        welds=("upper.shell",),
        pulls=_at_bolt("upper.mount#1", "upper"),
    ),
)

AXLE_UPPER = (
    Hold(
        "upper.mount",
        PIVOT,
        "upper-arm bolt at the axle",
        "upper",
        members=("AP1", "AP2"),
        bolts=("upper.mount#1",),
        welds=("axle.upper.out", "axle.upper.in"),
    ),
)

LINK_TABS = (
    Hold(
        "upper.joint",
        PIVOT,
        "upper joint's bolt",
        "upper",
        members=("LT1", "LT2"),
        bolts=("upper.joint#1",),
        welds=("link.tab.out", "link.tab.in"),
    ),
)

ARM_BRACKET = (
    Hold(
        "arm.joint",
        PIVOT,
        "frame joint's bolt",
        "arm.joint",
        members=("AB1", "AB2"),
        bolts=("arm.joint#1",),
        welds=("bracket.foot.out", "bracket.foot.in"),
    ),
)

BRIDGE = (
    NotHeld(
        ("AB3", "bracket.bridge.out", "bracket.bridge.in"),
        "bridge between the ears: the ears and their own welds are held for all of it without it",
        Whose.SPARE,
    ),
)

WASHERS_REST = (
    NotHeld(
        tuple(
            f"{pivot}#washer.{end}"
            for pivot in ("arm.joint", "upper.mount")
            for end in ("out", "in")
        ),
        "hole of the pivot's bolt, which is held with the ear",
        Whose.NO_LOAD,
    ),
)

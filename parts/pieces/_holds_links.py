"""What arms, upper arms and the tabs and brackets at their bolts are held against."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ...layout.arrays import Array
from ..model.hold import Hold, HoldKind, NotHeld, UnderLoad, Whose
from ..model.vectors import Number
from ..rules import life, tubes
from . import _steps_links as steps
from ._holding import Pulled, Reasoned, at_bolt, pivot, row, section, weld_group


def _slender(seen: UnderLoad, code: str, length: str) -> tuple[float, float, float]:
    """Section, mm2, L / r between its bolts and yield strength, MPa, of a link."""
    tube = seen.tube(code)
    area, radius = section(tube)
    return area, seen.q(length) / radius, tube.fy


def arm_bent(seen: UnderLoad) -> Mapping[str, Number]:
    """Radius arm bent at the upper joint, pushed or pulled."""
    tube = seen.tube("AR1")
    area, slender, fy = _slender(seen, "AR1", "arm.cc")
    push = float(tubes.column(force_N=0.0, area_mm2=area, slender=slender, fy_MPa=fy)[1])
    pull = float(tubes.tension(force_N=0.0, area_mm2=area, fy_MPa=fy)[1])
    axial = seen.amount("arm.axial")
    return {
        "force_N": np.abs(axial),
        "capacity_N": np.where(axial < 0, push, pull),
        "moment_Nmm": seen.amount("arm.bend"),
        "capacity_Nmm": float(tubes.bending(tube.od, tube.wall, fy)),
    }


TABS = ("LT1", "LT2")


def feet(seen: UnderLoad) -> Array:
    """Both ends of both faces of every tab's foot on the radius arm, (n, 3) in truck axes."""
    found = []
    for code in (code for code in TABS if seen.there(code)):
        lines = seen.ends(code, "foot")
        corner, x, y = (seen.out(code, at) for at in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)))
        across = seen.plate(code).thick * np.cross(x - corner, y - corner)
        for at in (lines[lines[:, 0].argmin()], lines[lines[:, 0].argmax()]):
            place = seen.out(code, (float(at[0]), float(at[1])))
            found += [place, place + across]
    return np.array(found).reshape(-1, 3)


def arm_stress(seen: UnderLoad) -> Mapping[str, Number] | None:
    """Elastic stress of the arm's tube where the welds of the upper joint's tabs end, (cases, n)
    MPa: bent and pulled by the frame joint, ahead of the tabs by the upper arm too; None without
    tabs.
    """
    places = feet(seen)
    if not len(places):
        return None
    tube, joint, upper = seen.tube("AR1"), seen.point("arm.joint"), seen.point("upper.joint")
    arm = joint - seen.point("arm.bolt")
    along = arm / np.linalg.norm(arm)
    middle = joint + ((places - joint) @ along)[:, None] * along
    out = places - middle
    out *= tube.od / 2 / np.linalg.norm(out, axis=1)[:, None]
    ahead = (middle - upper) @ along < 0
    stress = np.zeros((seen.cases, len(places)))
    for at, load, counts in ((joint, "arm.joint", np.ones(len(places))), (upper, "tab", ahead)):
        force = seen.force(load)
        moment = np.cross(at - middle, force[:, None, :])
        bent = np.einsum("cni,ni->cn", moment, np.cross(out, along))
        stress += counts * bent / float(tubes.inertia(tube.od, tube.wall))
        pull = (force @ along)[:, None] / float(tubes.area(tube.od, tube.wall))
        stress -= counts * pull
    return {"stress_MPa": stress}


def upper_stress(seen: UnderLoad) -> Mapping[str, Number]:
    """Push or pull over the upper arm's section, (cases, 1) MPa."""
    tube = seen.tube("UA1")
    return {
        "stress_MPa": seen.amount("upper.push")[:, None] / float(tubes.area(tube.od, tube.wall))
    }


def upper_pushed(seen: UnderLoad) -> Mapping[str, Number]:
    """Upper arm as a column between its bolts."""
    area, slender, fy = _slender(seen, "UA1", "upper.cc")
    push = np.maximum(seen.amount("upper.push"), 0.0)
    return {"force_N": push, "area_mm2": area, "slender": slender, "fy_MPa": fy}


def upper_spin(seen: UnderLoad) -> Mapping[str, Number] | None:
    """Upper arm against the push that flips the radius arm; None where none does."""
    limit = seen.flips_at()
    can = np.isfinite(limit)
    if not can.any():
        return None
    push = np.maximum(seen.amount("upper.push"), 0.0)
    return {"force_N": np.where(can, push, 0.0), "critical_N": np.where(can, limit, 1.0)}


def upper_pulled(seen: UnderLoad) -> Mapping[str, Number]:
    """Upper arm in tension."""
    area, _, fy = _slender(seen, "UA1", "upper.cc")
    return {
        "force_N": np.maximum(-seen.amount("upper.push"), 0.0),
        "area_mm2": area,
        "fy_MPa": fy,
    }


def _shell(seen: UnderLoad) -> Pulled:
    """The lower bolt's force with the couple its bushing carries."""
    return ((seen.bolt_at("arm.bolt#1"), seen.force("arm.lower"), seen.force("arm.lower.couple")),)


ARMS = (
    row(
        "arm.bent",
        "arm tube bent at the upper joint, with push or pull",
        "arm.bend",
        tubes.combined,
        Reasoned(arm_bent, steps.arm_bent),
        members=("AR1",),
    ),
    pivot("arm.bolt", "lower arm bolt at the axle", "arm.lower"),
    weld_group(
        "arm.insert",
        "weld of the arm's threaded insert under the frame joint's force",
        "arm.joint",
        ("arm.insert",),
        at="arm.joint",
    ),
    weld_group(
        "arm.shell",
        "weld of the arm's tube to its bushing shell under the lower bolt's force",
        "arm.lower",
        ("arm.shell",),
        pulls=_shell,
    ),
    Hold(
        "arm.life",
        HoldKind.RANGE,
        "arm tube where the welds of the upper joint's tabs end",
        "arm.bend",
        members=("AR1",),
        clause=life.life_attached,
        numbers=arm_stress,
    ),
)

UPPER_ARMS = (
    row(
        "upper.push",
        "upper-arm tube pushed",
        "upper.push",
        tubes.column,
        Reasoned(
            upper_pushed,
            steps.strut("UA1", "upper.push", steps.of_values("upper.cc"), formula="max(N, 0)"),
        ),
        members=("UA1",),
    ),
    row(
        "upper.spin",
        "upper arm's push against the push that flips the radius arm about its own axis",
        "upper.push",
        tubes.arm_spin,
        upper_spin,
        members=("UA1",),
    ),
    row(
        "upper.pull",
        "upper-arm tube pulled",
        "upper.push",
        tubes.tension,
        Reasoned(upper_pulled, steps.tie("UA1", "upper.push", "max(-N, 0)")),
        members=("UA1",),
    ),
    weld_group(
        "upper.insert",
        "weld of the upper arm's threaded insert under its push or pull",
        "upper",
        ("upper.insert",),
        pulls=at_bolt("upper.joint#1", "upper"),
    ),
    weld_group(
        "upper.shell",
        "weld of the upper arm's tube to its bushing shell under its push or pull",
        "upper",
        ("upper.shell",),
        pulls=at_bolt("upper.mount#1", "upper"),
    ),
    Hold(
        "upper.life",
        HoldKind.RANGE,
        "upper-arm tube at the welds of its ends",
        "upper.push",
        members=("UA1",),
        numbers=upper_stress,
    ),
)

AXLE_UPPER = (
    pivot(
        "upper.mount",
        "upper-arm bolt at the axle",
        "upper",
        ("AP1", "AP2"),
        ("axle.upper.out", "axle.upper.in"),
    ),
)

LINK_TABS = (
    pivot(
        "upper.joint",
        "upper joint's bolt",
        "tab",
        ("LT1", "LT2"),
        ("link.tab.out", "link.tab.in"),
    ),
)

ARM_BRACKET = (
    pivot(
        "arm.joint",
        "frame joint's bolt",
        "bracket",
        ("AB1", "AB2"),
        ("bracket.foot.out", "bracket.foot.in"),
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

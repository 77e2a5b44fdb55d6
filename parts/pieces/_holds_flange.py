"""The joint between stub and center section of the crossmember, and its tubes.

The center section is bent as a beam on both side plates under both frame joints, twisted by the
joints' levers. Upper bound: the side plates hold nothing but force.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..model.hold import UnderLoad
from ..model.vectors import Number
from ..rules import tubes
from ._holds_bolted import TENSION, THREADS_IN, pried

FOUR, TWO = 4, 2
PLATES = ("XS1.L", "XS1.R")


class FlangeLoad(NamedTuple):
    """At a flange joint, each a row a case: bending about x and z and twist about y, N mm; force
    along the truck's y on each bolt, and half of the joints' force across it, N.
    """

    about_x: Array
    about_z: Array
    twist: Array
    along: Array
    across: Array


def joint(seen: UnderLoad) -> FlangeLoad | None:
    """The flange joint of this side; None where a plate, the stub or a bolt is not there."""
    row = seen.bolts("cross.flange")
    if len(row) != FOUR or not all(map(seen.there, (*PLATES, "XT1"))):
        return None
    left, right = (float(seen.origin(code)[1]) for code in PLATES)
    place, center = float(row[0].at[1]), seen.origin("XT1")
    moment = np.zeros((seen.cases, 3))
    turns, total = [], np.zeros((seen.cases, 3))
    for at, force in (
        (seen.point("arm.joint"), seen.force("bracket")),
        (seen.point("arm.joint.far"), seen.force("far.bracket")),
    ):
        there = float(at[1])
        span = (left - max(place, there)) * (min(place, there) - right) / (left - right)
        moment += force * span
        turns.append(np.cross(at - center, force)[:, 1])
        total += force
    return FlangeLoad(
        about_x=moment[:, 2],
        about_z=moment[:, 0],
        twist=np.abs(turns[0] - turns[1]) / 2,
        along=np.abs(seen.force("bracket")[:, 1]) / FOUR,
        across=np.hypot(total[:, 0], total[:, 2]) / FOUR,
    )


def _pull(seen: UnderLoad, got: FlangeLoad) -> Array:
    """Pull of the most loaded of four bolts."""
    center = seen.origin("XT1")
    lever = float(np.mean([abs(bolt.at[0] - center[0]) for bolt in seen.bolts("cross.flange")]))
    return np.asarray((np.abs(got.about_x) + np.abs(got.about_z)) / (FOUR * lever) + got.along)


def flange_pulled(seen: UnderLoad) -> Mapping[str, Number] | None:
    """Flange bolts pulled by bending both ways and the side force."""
    got = joint(seen)
    if got is None:
        return None
    size = seen.bolt(seen.bolts("cross.flange")[0].id)
    return {
        "force_N": _pull(seen, got),
        "fnt_MPa": TENSION * size.fu,
        "d_mm": size.diameter,
    }


def flange_pried(seen: UnderLoad) -> Mapping[str, Number] | None:
    """The stub's flange bent at its bolts."""
    got = joint(seen)
    if got is None:
        return None
    pull = np.repeat(_pull(seen, got)[:, None], FOUR, axis=1)
    return pried(seen, "XT2", seen.bolts("cross.flange"), np.zeros_like(pull), pull)


def dowels_sheared(seen: UnderLoad) -> Mapping[str, Number] | None:
    """Dowels under twist and half of the joints' force."""
    got, row = joint(seen), seen.bolts("cross.dowel")
    if got is None or len(row) != TWO:
        return None
    apart = float(np.linalg.norm(np.array(row[0].at) - np.array(row[1].at)))
    size = seen.bolt(row[0].id)
    return {
        "force_N": got.twist / apart + got.across,
        "fnv_MPa": THREADS_IN * size.fu,
        "d_mm": size.diameter,
        "planes": 1,
    }


def _ring(seen: UnderLoad) -> Array | None:
    """Most force on a millimeter of the ring of weld between a tube and its flange, (cases,) N/mm:
    bending both ways and pull along the tube's axis, twist and force across it round the tube, each
    at its worst place at once (Shigley's weld ring: J = 2 pi r^3, I = pi r^3 a millimeter).
    """
    got = joint(seen)
    if got is None:
        return None
    radius = seen.tube("XT1").od / 2
    bent = np.hypot(got.about_x, got.about_z) / (np.pi * radius**2)
    along = bent + FOUR * got.along / (2 * np.pi * radius)
    round_it = got.twist / (2 * np.pi * radius**2) + TWO * got.across / (np.pi * radius)
    return np.asarray(np.hypot(along, round_it))


def ring_weld(weld: str) -> Callable[[UnderLoad], Mapping[str, Number] | None]:
    """The ring of weld of a flange."""

    def numbers(seen: UnderLoad) -> Mapping[str, Number] | None:
        most = _ring(seen)
        if most is None:
            return None
        return {"force_N_mm": most, "leg_mm": seen.leg(weld), "fexx_MPa": seen.weld_metal}

    return numbers


def ring_wall(code: str) -> Callable[[UnderLoad], Mapping[str, Number] | None]:
    """The tube's wall beside it."""

    def numbers(seen: UnderLoad) -> Mapping[str, Number] | None:
        most = _ring(seen)
        if most is None:
            return None
        tube = seen.tube(code)
        return {"force_N_mm": most, "t_mm": tube.wall, "fu_MPa": tube.fu}

    return numbers


def stub(seen: UnderLoad) -> Mapping[str, Number] | None:
    """Stub between side plate and arm bracket: bent by the joint's force, twisted by its height
    below and behind the tube.
    """
    if not seen.there("XS1"):
        return None
    tube, at = seen.tube("XT1"), seen.point("arm.joint")
    axis, start = seen.axis("XT1"), seen.origin("XT1")
    foot = start + axis * float((at - start) @ axis)
    arm = abs(float((seen.origin("XS1") - foot) @ axis))
    force = seen.force("bracket")
    across = force - (force @ axis)[:, None] * axis
    return {
        "moment_Nmm": np.linalg.norm(across, axis=1) * arm,
        "bending_Nmm": float(tubes.bending(tube.od, tube.wall, tube.fy)),
        "shear_N": np.linalg.norm(across, axis=1),
        "sheared_N": float(tubes.shearing(tube.od, tube.wall, tube.fy)),
        "torque_Nmm": np.abs(np.cross(at - foot, force) @ axis),
        "torsion_Nmm": float(tubes.torsion(tube.od, tube.wall, tube.fy)),
    }


def center_joints(seen: UnderLoad) -> Mapping[str, Number] | None:
    """Center tube at its flange under both frame joints: bent both ways, sheared by half of their
    force, twisted.
    """
    got = joint(seen)
    if got is None:
        return None
    tube = seen.tube("XT3.C")
    return {
        "moment_Nmm": np.hypot(got.about_x, got.about_z),
        "bending_Nmm": float(tubes.bending(tube.od, tube.wall, tube.fy)),
        "shear_N": TWO * got.across,
        "sheared_N": float(tubes.shearing(tube.od, tube.wall, tube.fy)),
        "torque_Nmm": got.twist,
        "torsion_Nmm": float(tubes.torsion(tube.od, tube.wall, tube.fy)),
    }


def center(seen: UnderLoad) -> Mapping[str, Number] | None:
    """Center tube between its side plates under the transmission's weight (its torque is not
    held).
    """
    if not seen.has("driveline.mount.weight", "driveline.mount.y") or not all(
        map(seen.there, PLATES)
    ):
        return None
    tube, place = seen.tube("XT3"), seen.q("driveline.mount.y")
    left, right = (float(seen.origin(code)[1]) for code in PLATES)
    return {
        "moment_Nmm": seen.amount("transmission")
        * (left - place)
        * (place - right)
        / (left - right),
        "od_mm": tube.od,
        "wall_mm": tube.wall,
        "fy_MPa": tube.fy,
    }

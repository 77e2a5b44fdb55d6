"""Bolted groups of the crossmember under its joints: shares, prying, block shear."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..model.hold import BoltAt, HoleAt, UnderLoad
from ..model.vectors import Number
from ..rules import bolts
from ._lengths import IN

THREADS_IN, TENSION = 0.45, 0.75
"""Shear strength with the threads in the plane, tensile strength: over Fu (AISC 360-16 J3.2)."""
ROW_OF = 2
"""Bolts that make a group."""


class Shared(NamedTuple):
    """A rigid bolt group's bolts, each one's force (cases, n, 3), shear and pull (cases, n), N."""

    bolts: tuple[BoltAt, ...]
    force: Array
    shear: Array
    pull: Array

    def of(self, code: str) -> Shared:
        """The bolts that pass a member."""
        own = [n for n, bolt in enumerate(self.bolts) if code in bolt.through]
        return Shared(
            tuple(self.bolts[n] for n in own),
            self.force[:, own],
            self.shear[:, own],
            self.pull[:, own],
        )


def side_bolts(seen: UnderLoad) -> Shared | None:
    """Rail bolts of the side plate with the frame joint's force; None for less than two."""
    row = tuple(seen.bolts("cross.side", "cross.bottom"))
    if len(row) < ROW_OF:
        return None
    points = np.array([bolt.at for bolt in row])
    at = seen.point("arm.joint")
    unit = bolts.moved(points, np.ones(len(row)), np.eye(3), at, points)
    force = np.einsum("nij,cj->cni", unit, seen.force("bracket"))
    pull = np.abs(np.einsum("cni,ni->cn", force, np.array([bolt.along for bolt in row])))
    shear = np.sqrt(np.maximum((force**2).sum(2) - pull**2, 0.0))
    return Shared(row, force, shear, pull)


def sheared(seen: UnderLoad) -> Mapping[str, Number] | None:
    """The most loaded rail bolt."""
    got = side_bolts(seen)
    if got is None:
        return None
    size = seen.bolt(got.bolts[0].id)
    return {
        "force_N": got.shear.max(axis=1),
        "fnv_MPa": THREADS_IN * size.fu,
        "d_mm": size.diameter,
        "planes": 1,
    }


def pulled(seen: UnderLoad) -> Mapping[str, Number] | None:
    """The rail bolt with most pull and shear together."""
    got = side_bolts(seen)
    if got is None:
        return None
    size = seen.bolt(got.bolts[0].id)
    cases, worst = np.arange(seen.cases), np.argmax(got.pull + got.shear, axis=1)
    return {
        "force_N": got.pull[cases, worst],
        "shear_N": got.shear[cases, worst],
        "fnt_MPa": TENSION * size.fu,
        "fnv_MPa": THREADS_IN * size.fu,
        "d_mm": size.diameter,
    }


def rail_wall(seen: UnderLoad) -> Mapping[str, Number] | None:
    """The weaker of rail wall and side plate at the most loaded bolt; clear of edges by 2 d."""
    got = side_bolts(seen)
    if got is None:
        return None
    size = seen.bolt(got.bolts[0].id)
    weak = min(seen.rail, seen.plate("XS1"), key=lambda wall: wall.thick * wall.fu)
    return {
        "force_N": got.shear.max(axis=1),
        "d_mm": size.diameter,
        "t_mm": weak.thick,
        "fu_MPa": weak.fu,
        "clear_mm": 2 * size.diameter,
    }


def pried_side(seen: UnderLoad) -> Mapping[str, Number] | None:
    """The side plate bent at its rail bolts."""
    return _pried_by_rail(seen, "XS1")


def pried_foot(seen: UnderLoad) -> Mapping[str, Number] | None:
    """The foot bent at its rail bolts."""
    return _pried_by_rail(seen, "XS2")


def _pried_by_rail(seen: UnderLoad, code: str) -> Mapping[str, Number] | None:
    got = side_bolts(seen)
    if got is None:
        return None
    own = got.of(f"{code}.{seen.side}")
    return pried(seen, code, own.bolts, own.shear, own.pull)


def pried(
    seen: UnderLoad, code: str, row: Sequence[BoltAt], shear: Array, pull: Array
) -> Mapping[str, Number] | None:
    """A plate bent between its bolts and the nearest weld on it, with the prying that its bolts can
    still take. ``shear``, ``pull``: of each bolt, (cases, n) N.
    """
    made, seams = seen.holes(code), seen.seams(code)
    if len(row) < ROW_OF or not len(seams) or any(bolt.id not in made for bolt in row):
        return None
    holes = [made[bolt.id] for bolt in row]
    levers = np.array(
        [np.linalg.norm(seams - seen.out(code, hole.at), axis=1).min() for hole in holes]
    )
    others = np.array([_nearest(hole, holes) for hole in holes])
    edges = np.array([seen.edge(code, hole) for hole in holes])
    size, plate = seen.bolt(row[0].id), seen.plate(code)
    cases, worst = np.arange(seen.cases), np.argmax(pull * levers, axis=1)
    own = bolts.bolt_combined(
        force_N=pull[cases, worst],
        shear_N=shear[cases, worst],
        fnt_MPa=TENSION * size.fu,
        fnv_MPa=THREADS_IN * size.fu,
        d_mm=size.diameter,
    )[1]
    return {
        "force_N": pull[cases, worst],
        "bolt_N": own,
        "lever_mm": levers[worst],
        "edge_mm": edges[worst],
        "tributary_mm": np.minimum(others[worst], 2 * levers[worst]),
        "d_mm": size.diameter,
        "fu_MPa": plate.fu,
        "t_mm": plate.thick,
    }


def _nearest(hole: HoleAt, holes: Sequence[HoleAt]) -> float:
    """To the next hole of a row, mm."""
    return min(
        float(np.hypot(hole.at[0] - other.at[0], hole.at[1] - other.at[1]))
        for other in holes
        if other is not hole
    )


def torn_out(seen: UnderLoad) -> Mapping[str, Number] | None:
    """The side plate torn out in one block along its row of bolts: sheared from the plate's edge to
    the last bolt, pulled across, all of the force in its plane along the row, which it passes
    beside.
    """
    row = {bolt.id for bolt in seen.bolts("cross.side")}
    holes = [hole for hole in seen.holes("XS1").values() if hole.bolt in row]
    if len(holes) < ROW_OF:
        return None
    first, last = (seen.out("XS1", holes[n].at) for n in (0, -1))
    run = float(np.linalg.norm(last - first))
    plate = seen.plate("XS1")
    edge = min(seen.edge("XS1", hole) for hole in holes)
    wide = holes[0].diameter + IN / 16
    gross = plate.thick * (run + edge)
    return {
        "force_N": np.abs(seen.force("bracket") @ (last - first) / run),
        "gross_shear_mm2": gross,
        "net_shear_mm2": gross - (len(holes) - 0.5) * wide * plate.thick,
        "net_tension_mm2": plate.thick * (edge - wide / 2),
        "fy_MPa": plate.fy,
        "fu_MPa": plate.fu,
    }

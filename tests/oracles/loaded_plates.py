"""Plates of the invented truck as sheets of `sheet_limit` under the forces its rows were worked
with: what lies on something is only pushed by it. Forces N, lengths mm.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from plate_groups import Group, group, hole, span
from plate_limit import Plate, spread
from sheet_limit import Sheet, Stiff, carried
from soapstone.parts.design.site import Refused
from soapstone.parts.design.sizing import Check
from soapstone.parts.geometry.contours import slot
from soapstone.parts.model.body import Loop
from soapstone.parts.placed.fit import weld_line
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.elements.mesh import near
from soapstone.parts.strength.evaluate import rows
from soapstone.parts.strength.recorded import AtWorst
from soapstone.parts.strength.result import Strength, strength
from soapstone.parts.strength.work import Work
from trucks import truck

FINE = 16.0
"""Edges over the root of a group's area."""
BESIDE = 20.0
"""From a weld, mm, where what a plate lies on does not give (judgment)."""
AROUND = np.linspace(0.0, 2 * np.pi, 48, endpoint=False)
RING = np.column_stack((np.cos(AROUND), np.sin(AROUND)))
DISK = np.vstack([RING * np.sqrt((n + 0.5) / 8) for n in range(8)])
"""Places on a circle, and over all of it, each for as much of it, of radius 1."""


class Loaded(NamedTuple):
    """Plates and what pushes them."""

    made: Group
    stiff: tuple[Stiff, ...] = ()


@cache
def worked() -> tuple[Work, Strength]:
    """The invented truck under its loads."""
    made, solved = truck()
    found = strength(made, solved, default_shop())
    work = Work(made, default_shop(), solved.values, found.forces)
    list(rows(work))
    return work, found


def row(part: str, rule: str) -> Check:
    """The row of a part by its clause, in its governing case."""
    return next(each for each in worked()[1].checks if (each.part, each.rule) == (part, rule))


def cut(
    codes: tuple[str, ...],
    holes: Mapping[str, list[Loop]] = {},
    left_out: tuple[str, ...] = (),
    more: Mapping[str, Sequence[np.ndarray]] = {},
    bears: Sequence[str] = (),
    fine: float = FINE,
    step: float = np.inf,
) -> Group:
    """A group, finer until its outlines mesh."""
    work, size = worked()[0], span(worked()[0], codes) / fine
    while True:
        try:
            return group(work, codes, size, holes, left_out, more, bears, step)
        except Refused:
            size *= 0.85


def pulls(says: str) -> AtWorst:
    """The forces of a weld group of the left side, or the middle, in its governing case."""
    return next(each.weld for each in worked()[1].groups if each.says.startswith(says))


def backed(sheet: Sheet, on: np.ndarray, way: float = 1.0) -> Sheet:
    """A sheet with these corners (n,) pushed, up its normal or down, by what it lies on where
    nothing else holds them.
    """
    more = on & ~sheet.up
    return sheet._replace(up=sheet.up | more, backed=way * more)


def beside(sheet: Sheet, under: str = "") -> np.ndarray:
    """Corners near the welds of a plate that lies on what it is welded to: that is as stiff there
    as at the weld itself. Where that is the plate ``under``, near that one's own welds too.
    """
    apart = sheet.nodes[:, None] - sheet.nodes[sheet.up][None]
    found = (np.hypot(*apart.transpose(2, 0, 1)) < BESIDE).any(axis=1)
    work = worked()[0]
    for weld in (each for each in work.welds_of(under) if each.on == under):
        for edge in weld.edges:
            line = weld_line(work.members[under], edge, 0.0, "top", weld.stop) - sheet.origin
            found |= near(sheet.nodes, line @ sheet.turn[:2].T, BESIDE)
    return found


def pushed(sheet: Sheet, at: np.ndarray, force: float) -> Sheet:
    """A sheet with a force up its normal, shared evenly by these places (k, 2) in it."""
    more = spread(Plate(sheet.nodes, sheet.triangles), at, force)
    return sheet._replace(load=more + (sheet.load if len(sheet.load) else 0.0))


def drilled(code: str) -> list[Loop]:
    """Holes of a plate."""
    return [
        slot(each.at, each.length, each.diameter, each.angle)
        if each.length
        else hole(each.at, each.diameter)
        for each in worked()[0].parts[code].holes
    ]


def collapse(of: Loaded) -> float:
    """Times its loads that these plates carry at least."""
    return carried(of.made.sheets, of.stiff, of.made.joints)

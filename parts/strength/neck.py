"""An ear above its weld: where its section asks more than its foot does, and the arc on which a
saddle's foot could slip round what it stands on.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..geometry import outline
from ..model.body import Plate
from ..model.vectors import Number
from ..rules import plates
from .recorded import Root
from .view import SideUnderLoad

LEVELS = 9
"""Sections looked at between weld and hole."""
FLAT = 1.0
"""Rise of a foot, mm, to which it is a straight line."""
OFF_ROUND = 2.0
"""From the circle nearest a foot's points, mm, to which it counts as an arc."""
LEAST_ARC = math.radians(20.0)
"""Half the angle of an arc under which its foot is as good as straight."""


class EarSection(NamedTuple):
    """A section of an ear: from the bolt down to it, its middle beside the bolt, its steel, mm."""

    down: float
    beside: float
    width: float


class EarShape(NamedTuple):
    """An ear seen from its bolt: its outline and its weld's points along the weld line and up to
    the bolt, (n, 2) mm; radius of its hole, mm.
    """

    loop: Array
    weld: Array
    hole: float


def shape(root: Root, bolt: Array, seen: SideUnderLoad) -> EarShape:
    """Of an ear with its bolt at a place, (3,)."""
    member, weld = seen.work.members[root.part], root.weld
    assert isinstance(member.body, Plate)
    ways = np.array([root.run, root.up * math.copysign(1.0, float(root.lever @ root.up))])
    flat = outline.flatten(member.body.outline)
    loop = np.array([member.place.out((x, y, 0.0)) for x, y in flat])
    holes = [
        hole.diameter / 2
        for hole in seen.work.parts[root.part].holes
        if abs(float((np.array(member.place.out((*hole.at, 0.0))) - bolt) @ ways[0])) < FLAT
    ]
    return EarShape((loop - bolt) @ ways.T, (weld - bolt) @ ways.T, max(holes, default=0.0))


def sections(found: EarShape) -> tuple[EarSection, ...]:
    """Sections square to the pull between the highest of the weld and the hole; none where the bolt
    lies beside its foot.
    """
    crown, rise = -float(found.weld[:, 1].max()), float(np.ptp(found.weld[:, 1]))
    last = max(found.hole, crown / 4)
    if crown <= last:
        return ()
    levels = np.linspace(crown, last, LEVELS)
    return tuple(
        cut
        for down in levels[0 if rise > FLAT else 1 :]
        if (cut := _cut(found.loop, float(down))) is not None
    )


def _cut(loop: Array, down: float) -> EarSection | None:
    """The outline cut straight across."""
    start, end = loop, np.roll(loop, -1, axis=0)
    above = start[:, 1] > -down
    through = above != (np.roll(above, -1))
    share = (-down - start[through, 1]) / (end[through, 1] - start[through, 1])
    at = np.sort(start[through, 0] + share * (end[through, 0] - start[through, 0]))
    spans = np.diff(at)[::2]
    if not len(spans) or spans.sum() <= 0:
        return None
    middles = (at[::2] + at[1::2]) / 2
    return EarSection(down, float(spans @ middles / spans.sum()), float(spans.sum()))


def numbers(
    root: Root, cut: EarSection, force: Array, portal: float, fy: float
) -> Mapping[str, Number]:
    """What goes into ``plates.plate_root`` at a section; ``force``: the ear's share, (cases, 3)."""
    along, up = np.abs(force @ root.run), np.abs(force @ root.up)
    return {
        "moment_Nmm": along * cut.down + up * abs(cut.beside),
        "sideways_Nmm": np.abs(force @ root.out) * cut.down / portal,
        "pull_N": up,
        "shear_N": along,
        "width_mm": cut.width,
        "t_mm": root.thick,
        "fy_MPa": fy,
    }


def worst(
    root: Root, found: EarShape, force: Array, portal: float, fy: float
) -> tuple[EarSection | None, Mapping[str, Number]]:
    """The section that asks most, with what goes into ``plates.plate_root`` there."""
    best: tuple[EarSection | None, Mapping[str, Number]] = (None, {})
    most = 0.0
    for cut in sections(found):
        given = numbers(root, cut, force, portal, fy)
        use = float(np.max(plates.plate_root(**given)[0]))
        if use > most:
            best, most = (cut, given), use
    return best


def arc(found: EarShape) -> tuple[float, float, float] | None:
    """Radius of a saddle's foot, the angle it runs through, and how far its middle lies under the
    bolt; None for a straight foot. The circle nearest its points.
    """
    points = found.weld
    if np.ptp(points[:, 1]) <= FLAT:
        return None
    terms = np.column_stack((2 * points, np.ones(len(points))))
    x, y, rest = np.linalg.lstsq(terms, (points**2).sum(1), rcond=None)[0]
    radius = math.sqrt(rest + x * x + y * y)
    if np.abs(np.hypot(points[:, 0] - x, points[:, 1] - y) - radius).max() > OFF_ROUND:
        return None
    turn = np.arctan2(points[:, 0] - x, points[:, 1] - y)
    half = float(np.ptp(turn)) / 2
    if half < LEAST_ARC or y > float(points[:, 1].max()):
        return None
    return radius, 2 * half, -float(y)

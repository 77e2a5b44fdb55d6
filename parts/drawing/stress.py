"""Pictures of plates in finite elements: lines of equal stress, labels clear of each other."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

import numpy as np

from ...layout.arrays import Array
from ...layout.reader import measure, unit, valued
from ..model.vectors import Vec2
from ..strength.ear import Loaded
from ..strength.elements.coil_seat_plate import Seat, contours
from ..strength.elements.mesh import Mesh
from ..strength.elements.plate import Solved
from ..words import names
from ..words import numbers as shown
from .display import Sheet, pdf, width_of
from .entities import LineKind
from .pages import INNER, page
from .sheet import MARGIN

SAY = (
    "Calculations, not an approval: they do not replace the judgment of whoever may sign for the"
    " work; local law decides. Steering and brakes are never passed by a tool."
)
KIND = "Strength"
LETTERS = 7.0
"""Size of a stress on its line, points."""
ROOM, ON = 30.0, 1e-6
"""What is shown about lines of equal stress, mm; rounding."""
Head = tuple[str, str, str, str, str]
"""Chassis, date, kind, subject, line at the foot: what ``page`` takes."""


def cheeks_pdf(
    chassis: str, date: str, found: Mapping[str, Loaded], paper: str = "letter"
) -> bytes:
    """Pictures of cheeks in finite elements: lines of equal stress, the force along their welds."""
    return pdf(
        [
            _cheek((chassis, date, KIND, f"{names.part(part)}, finite elements", SAY), got)
            for part, got in found.items()
        ],
        paper,
    )


def _cheek(head: Head, got: Loaded) -> Sheet:
    sheet = page(*head)
    peak = got.checks[0].demand
    at = _drawn(
        sheet, got.solved, got.lines, [(peak * share, peak * share) for share in (0.25, 0.5, 0.75)]
    )
    for middle, force in got.seams:
        x, y = at(middle)
        sheet.text(x - 14, y - 9, shown.plain(round(valued(force, "rate"), 0)), 6.5)
    for index, check in enumerate(got.checks):
        sheet.text(
            MARGIN + 8,
            150 - 12 * index,
            f"{shown.worded(names.sentence(check.what))}: {shown.ruled(check.demand, check.unit)}"
            f" of {shown.ruled(check.capacity, check.unit)}, {check.utilisation:.2f}, {check.case}",
            7.5,
        )
    sheet.text(
        MARGIN + 8,
        124,
        f"Lines of equal stress in {unit('stress')}; figures along the welds are {unit('rate')},"
        f" each over {shown.room(20)}. Dashed: welds and bolt, about which one thickness is left"
        " out. Peaks are not reported.",
        7.5,
    )
    sheet.text(
        MARGIN + 8,
        112,
        "Elastic: the hand rules let a whole section yield, in a flat bar's own plane half as much"
        " again. A warning, not a verdict.",
        7.5,
    )
    return sheet


def _drawn(
    sheet: Sheet,
    solved: Solved,
    lines: Sequence[Array],
    levels: Sequence[tuple[float, float]],
    *,
    near: bool = False,
) -> Callable[[Sequence[float] | Array], Vec2]:
    """Rim, dashed lines and lines of equal stress of a mesh on a sheet; ``levels``: stress in the
    mesh's own units and as lettered, MPa; ``near``: only about the lines of equal stress. Gives
    where a point of the plate is drawn.
    """
    mesh = solved.mesh
    found = list(contours(solved, [own for own, _ in levels]).values())
    low, high = mesh.nodes.min(axis=0), mesh.nodes.max(axis=0)
    points = np.array([point for rows in found for row in rows for point in row]).reshape(-1, 2)
    if near and len(points):
        low = np.maximum(low, points.min(axis=0) - ROOM)
        high = np.minimum(high, points.max(axis=0) + ROOM)
    scale = min((INNER - 60) / (high[0] - low[0]), 330 / (high[1] - low[1]))

    def at(point: Sequence[float] | Array) -> Vec2:
        return MARGIN + 30 + scale * float(point[0] - low[0]), 170 + scale * float(
            point[1] - low[1]
        )

    def draw(one: Array, other: Array, kind: LineKind) -> None:
        ends = np.array((one, other))[:, :2]
        if np.all(ends >= low - ON) and np.all(ends <= high + ON):
            sheet.line(at(one), at(other), kind=kind)

    for one, two in _rim(mesh):
        draw(mesh.nodes[one], mesh.nodes[two], "wide")
    for start, end in (ends for line in lines for ends in pairwise(line)):
        draw(start, end, "dashed")
    taken: list[Vec2] = []
    for (_, stress), rows in zip(levels, found, strict=True):
        for start, end in rows:
            sheet.line(at(start), at(end))
        if rows:
            _letter(sheet, [at(start) for start, _ in rows], stress, taken)
    return at


def _rim(mesh: Mesh) -> list[tuple[int, int]]:
    """Edges of one triangle alone, each by its two nodes."""
    shared: dict[tuple[int, int], int] = {}
    for first, second, third in mesh.tris:
        for one, two in ((first, second), (second, third), (third, first)):
            edge = (min(one, two), max(one, two))
            shared[edge] = shared.get(edge, 0) + 1
    return [edge for edge, count in shared.items() if count == 1]


def _letter(sheet: Sheet, spots: Sequence[Vec2], stress: float, taken: list[Vec2]) -> None:
    """A stress beside the place of its line that is furthest from every label there is, on white;
    the rightmost where there is none.
    """

    def clear(spot: Vec2) -> float:
        return min(float(np.hypot(spot[0] - x, spot[1] - y)) for x, y in taken)

    x, y = max(spots, key=clear) if taken else max(spots)
    taken.append((x, y))
    told = measure(stress, "stress", 0)
    wide = width_of(told, LETTERS)
    sheet.face(
        [(x + 3, y - 4), (x + 5 + wide, y - 4), (x + 5 + wide, y + 5), (x + 3, y + 5)], edge=False
    )
    sheet.text(x + 4, y - 2, told, LETTERS)


def seat_picture(sheet: Sheet, got: Seat, most: float) -> None:
    """One plate on a page: its mesh's rim, weld lines, lines of equal stress at the largest force
    of the coil's load, N.
    """
    _drawn(
        sheet,
        got.solved,
        got.lines,
        [(got.per_newton * share, got.per_newton * share * most) for share in (0.25, 0.5, 0.75)],
        near=True,
    )
    force = f"{measure(most, 'force')} of the coil's load"
    sheet.text(
        MARGIN + 8,
        140,
        f"At {force}: {measure(got.per_newton * most, 'stress')} one thickness off the welds"
        " (dashed). Lines of equal stress at a quarter, a half and three quarters of it. Peaks at"
        " weld ends are not reported. Shown: the plate about these lines.",
        7.5,
    )
    sheet.text(
        MARGIN + 8,
        128,
        "Held along its welds, lying on the sound wall; the mount's back plate on it is joined at"
        " its welds only and kept straight by gussets and seat. Refined until the answer moved"
        f" {100 * got.moved:.0f} % (less than 3 % asked).",
        7.5,
    )

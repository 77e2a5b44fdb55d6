"""Pictures of plates in finite elements: lines of equal stress, labels clear of each other."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from ...layout.reader import measure, unit, valued
from ..model.vectors import Array, Vec2
from ..strength.ear import Loaded
from ..strength.elements.coil_seat_plate import Seat, contours
from ..strength.elements.plate import Solved
from ..words import names
from ..words import numbers as shown
from .display import Sheet, pdf
from .pages import INNER, page
from .sheet import MARGIN

SAY = (
    "Calculations, not an approval: they do not replace the judgment of whoever may sign for the"
    " work; local law decides. Steering and brakes are never passed by a tool."
)
KIND = "Strength"
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
    sheet: Sheet, solved: Solved, lines: Sequence[Array], levels: Sequence[tuple[float, float]]
) -> Callable[[Sequence[float] | Array], Vec2]:
    """Rim, dashed lines and lines of equal stress of a mesh on a sheet; ``levels``: stress in the
    mesh's own units and as lettered, MPa. Gives where a point of the plate is drawn.
    """
    mesh = solved.mesh
    low, high = mesh.nodes.min(axis=0), mesh.nodes.max(axis=0)
    scale = min((INNER - 60) / (high[0] - low[0]), 330 / (high[1] - low[1]))

    def at(point: Sequence[float] | Array) -> Vec2:
        return MARGIN + 30 + scale * float(point[0] - low[0]), 170 + scale * float(
            point[1] - low[1]
        )

    shared: dict[tuple[int, int], int] = {}
    for first, second, third in mesh.tris:
        for one, two in ((first, second), (second, third), (third, first)):
            edge = (min(one, two), max(one, two))
            shared[edge] = shared.get(edge, 0) + 1
    for (one, two), triangles in shared.items():
        if triangles == 1:
            sheet.line(at(mesh.nodes[one]), at(mesh.nodes[two]), kind="wide")
    for line in lines:
        sheet.poly([at(point) for point in line], "dashed", False)
    taken: list[Vec2] = []
    for (_, stress), rows in zip(
        levels, contours(solved, [own for own, _ in levels]).values(), strict=True
    ):
        for start, end in rows:
            sheet.line(at(start), at(end))
        if rows:
            spot = _clear([at(start) for start, _ in rows], taken)
            taken.append(spot)
            sheet.text(spot[0] + 4, spot[1] - 2, measure(stress, "stress", 0), 6.5)
    return at


def _clear(spots: Sequence[Vec2], taken: Sequence[Vec2]) -> Vec2:
    """Of the places of a line the one furthest from every label there is; the rightmost where there
    is none.
    """
    if not taken:
        return max(spots)
    return max(spots, key=lambda spot: min(np.hypot(spot[0] - x, spot[1] - y) for x, y in taken))


def seat_picture(sheet: Sheet, got: Seat, most: float) -> None:
    """One plate on a page: its mesh's rim, weld lines, lines of equal stress at the largest force
    of coil and stop, N.
    """
    _drawn(
        sheet,
        got.solved,
        got.lines,
        [(got.per_newton * share, got.per_newton * share * most) for share in (0.25, 0.5, 0.75)],
    )
    force = f"{measure(most, 'force')} of coil and stop"
    sheet.text(
        MARGIN + 8,
        140,
        f"At {force}: {measure(got.per_newton * most, 'stress')} one thickness off the welds"
        " (dashed). Lines of equal stress at a quarter, a half and three quarters of it. Peaks at"
        " weld ends are not reported.",
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

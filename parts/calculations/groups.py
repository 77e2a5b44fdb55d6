"""Weld groups: lengths, sums about the centroid, the pull of the case that governs, its lever and
the most loaded place, each beside a small sketch.

Elastic weld vectors in space: f = w (F/A + q x r), J q = M, with the sums of leg times length.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..drawing.display import Sheet, wrap
from ..drawing.pages import INNER
from ..rules.welds import leg_text
from ..strength.recorded import AtWorst, GroupWorked, Pieces
from . import figures
from .paper import LEFT, Paper
from .rows import EQUAL, Wording, mirrored

SMALL = 6.2
"""Size of a card's words, points."""
STEP = 7.6
CARD = INNER / 2 - 12
SKETCH = 84.0
FLAT = 1e-9
STRAIGHT = 1e-3
VIEWS = ((0, 2, "side view"), (1, 2, "front view"), (0, 1, "top view"))
AXES = ("ahead", "left", "up")
SMALLEST = 0.05
"""Of a sketch's size: a lever shorter than that is not drawn."""


class Sums(NamedTuple):
    """Of a weld group: sum of leg times length A, mm2; centroid (3,), mm; sums about it (3, 3),
    mm4.
    """

    area: float
    middle: Array
    second: Array


class GroupTurn(NamedTuple):
    """A pull at a group's centroid: force (3,), N, moment (3,), N mm, and the turn q (3,) of J q =
    M, N/mm3.
    """

    force: Array
    moment: Array
    turn: Array


def sums(group: GroupWorked) -> Sums:
    """Sums of leg times length over the pieces, and of their squared levers."""
    weights = group.pieces.legs * group.pieces.lengths
    area = float(weights.sum())
    middle = (weights[:, None] * group.pieces.middles).sum(axis=0) / area
    arms = group.pieces.middles - middle
    second = np.einsum("n,nij->ij", weights, _squares(arms))
    return Sums(area, middle, second)


def _squares(arms: Array) -> Array:
    square = np.einsum("ni,ni->n", arms, arms)
    return np.asarray(square[:, None, None] * np.eye(3) - np.einsum("ni,nj->nij", arms, arms))


def turned(own: Sums, worst: AtWorst) -> GroupTurn:
    """The pulls of a case at the centroid, and what they turn."""
    force, moment = np.zeros(3), np.zeros(3)
    for at, each, couple in worst.pulls:
        force = force + each
        moment = moment + np.cross(at - own.middle, each) + couple
    return GroupTurn(force, moment, np.linalg.pinv(own.second, rcond=FLAT) @ moment)


class Cards:
    """Weld groups in the order of their cards; of a left and a right one that are equal one card.

    ``of``: each group with whether the other side's is equal.
    """

    def __init__(self, found: Sequence[GroupWorked]) -> None:
        self.of = _merged(found)

    def get(self, part: str, what: str) -> int | None:
        """The card of a row's part and words, None where it is no group's: tacks are another."""
        if what.startswith("tacks"):
            return None
        for number, (group, alike) in enumerate(self.of, start=1):
            for own, says in ((part, what), (mirrored(part), mirrored(what)))[: 1 + alike]:
                if group.part == own and group.says in says:
                    return number
        return None


def write(pages: Paper, found: Cards, say: Wording, numbers: Mapping[str, str]) -> None:
    """Cards of every group, two beside each other; of a left and a right one that are equal one."""
    pages.chapter("weld groups")
    unit = figures.unit_of("mm")[0]
    pages.line(
        "Elastic weld vectors in space, each weld a line of its leg w (a groove's is that of the"
        " fillet with its throat): A = sum of w L, G its centroid, J the sums of w L about G (xx ="
        " sum of w L (y^2 + z^2), xy = minus the sum of w L x y). A pull F at P with a couple C"
        " gives M = (P - G) x F + C, J q = M, and at R the force on a length f = w (F/A + q x"
        f" (R - G)). Lines are worked in pieces about {figures.fixed(10, 'mm', 1)} {unit} long,"
        " curves in shorter ones: sums by whole lines differ by a little. Truck axes, one system of"
        f" units throughout ({unit}, {figures.unit_of('N')[0]}). Sizes of f are the F or f put into"
        " the rows of the same words."
    )
    pages.space()
    cards = [_Card(each, alike, say, numbers) for each, alike in found.of]
    for place in range(0, len(cards), 2):
        pair = cards[place : place + 2]
        high = max(card.high for card in pair)
        sheet, low = pages.sketch(high + 6)
        for index, card in enumerate(pair):
            card.draw(sheet, LEFT + index * (CARD + 10), low + high, place + index + 1)


def _merged(found: Sequence[GroupWorked]) -> list[tuple[GroupWorked, bool]]:
    kept: list[tuple[GroupWorked, bool]] = []
    for group in found:
        twin = next(
            (
                place
                for place, (other, alike) in enumerate(kept)
                if not alike and _equal(other, group)
            ),
            None,
        )
        if twin is None:
            kept.append((group, False))
        else:
            kept[twin] = (kept[twin][0], True)
    return kept


def _equal(one: GroupWorked, other: GroupWorked) -> bool:
    """Whether two groups are each other's mirror image, worked to the same force."""
    if (one.part, one.says) != (mirrored(other.part), mirrored(other.says)):
        return False
    ours, theirs = (
        np.array([sums(each).area, float(np.linalg.norm(each.weld.line))]) for each in (one, other)
    )
    return one.weld.case == mirrored(other.weld.case) and bool(
        np.all(np.abs(ours - theirs) <= EQUAL * np.abs(ours))
    )


class _Card:
    """One group's words, wrapped, with room for its sketch at their left."""

    def __init__(
        self, group: GroupWorked, alike: bool, say: Wording, numbers: Mapping[str, str]
    ) -> None:
        self.group, self.own = group, sums(group)
        both = " (other side equal)" if alike else ""
        self.title = f"{say(group.part)}{both}: {say(group.says)}"
        self.lines = [*self._lengths(numbers), *self._sums(), *self._worst()]
        self.rows = [
            row for line in self.lines for row in _hung(wrap(line, SMALL, CARD - SKETCH - 18))
        ]
        self.heads = wrap(self.title, SMALL + 0.6, CARD - 44, bold=True)
        self.high = max(SKETCH, STEP * len(self.rows)) + STEP * len(self.heads) + 4

    def _lengths(self, numbers: Mapping[str, str]) -> list[str]:
        pieces = self.group.pieces
        told = []
        for place, weld in enumerate(self.group.welds):
            own = pieces.owners == place
            if own.any():
                long = figures.put(float(pieces.lengths[own].sum()), "mm")
                leg = _leg(float(pieces.legs[own][0]))
                told.append(f"{numbers.get(weld, weld)} {long} at w = {leg}: {_runs(pieces, own)}")
        return told

    def _sums(self) -> list[str]:
        second = self.own.second
        unit = figures.unit_of("mm4")[0]
        six = second[(0, 1, 2, 0, 0, 1), (0, 1, 2, 1, 2, 2)]
        told = figures.vector(six, "mm4")
        return [
            f"A = {figures.put(self.own.area, 'mm2')}; G = {_place(self.own.middle)};"
            f" J xx, yy, zz, xy, xz, yz = {told} {unit}"
        ]

    def _worst(self) -> list[str]:
        told = self._at("Weld", self.group.weld)
        wall = self.group.wall
        if wall is None:
            return told
        same = wall.case == self.group.weld.case
        if same and np.array_equal(wall.end, self.group.weld.end):
            return [*told, "Steel beside: the same place and case."]
        return [*told, *self._at("Steel beside", wall)]

    def _at(self, what: str, worst: AtWorst) -> list[str]:
        got = turned(self.own, worst)
        pulls = "; ".join(
            f"P = {_place(at)}, F = {figures.vector(force, 'N')}"
            + (f", C = {figures.vector(couple, 'N mm')}" if np.any(couple) else "")
            for at, force, couple in worst.pulls
        )
        at = worst.end
        leg = figures.put(float(self.group.pieces.legs[worst.piece]), "mm")
        size = figures.result(float(np.linalg.norm(worst.line)), "N/mm")
        return [
            f"{what}, {worst.case}: {pulls}.",
            f"M = {figures.vector(got.moment, 'N mm')}; q = {figures.vector(got.turn, 'N/mm3')};"
            f" R = {_place(at)}, w = {leg}; f ="
            f" {figures.vector(worst.line, 'N/mm')}, size {size}",
        ]

    def draw(self, sheet: Sheet, x: float, top: float, number: int) -> None:
        """Card and sketch, from its upper left corner."""
        y = top - STEP
        for place, row in enumerate(self.heads):
            head = f"Group {number}. {row}" if not place else row
            sheet.text(x, y, head, SMALL + 0.6, bold=True)
            y -= STEP
        _sketch(sheet, self.group, self.own, (x, y - SKETCH + STEP))
        for row in self.rows:
            sheet.text(x + SKETCH + 12, y, row, SMALL)
            y -= STEP


def _leg(leg: float) -> str:
    """A leg as a welder reads it; one that is of no gauge, a groove's, as a number."""
    told = leg_text(leg)
    return figures.put(leg, "mm") if told.endswith("mm") else told


def _place(at: Array) -> str:
    return figures.vector(at, "mm", figures.OF_PLACES)


def _hung(rows: Sequence[str]) -> list[str]:
    return [row if not place else f"  {row}" for place, row in enumerate(rows)]


def _runs(pieces: Pieces, own: Array) -> str:
    """Straight lines of a weld by their ends, curves by their ends and how many pieces."""
    ends = pieces.ends[own]
    runs: list[list[Array]] = []
    for start, end in ends:
        if runs and np.linalg.norm(runs[-1][-1] - start) < 1.0:
            runs[-1].append(end)
        else:
            runs.append([start, end])
    return "; ".join(_run(np.array(run)) for run in runs)


def _run(points: Array) -> str:
    start, end = (figures.vector(point, "mm") for point in (points[0], points[-1]))
    long = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    if np.linalg.norm(points[-1] - points[0]) < STRAIGHT * long:
        across = figures.vector(points[len(points) // 2], "mm")
        return f"ring through {start} and {across}"
    if abs(np.linalg.norm(points[-1] - points[0]) - long) < STRAIGHT * long:
        return f"{start} to {end}"
    return f"{start} by {figures.vector(points[len(points) // 2], 'mm')} to {end}"


def _sketch(sheet: Sheet, group: GroupWorked, own: Sums, corner: tuple[float, float]) -> None:
    """Lines, centroid, where it is pulled with the pull's arrow, and the most loaded place."""
    ends = group.pieces.ends
    points = ends.reshape(-1, 3)
    spread = np.ptp(points, axis=0)
    first, second, says = max(VIEWS, key=lambda view: spread[view[0]] * spread[view[1]])
    force = turned(own, group.weld).force
    pull = group.weld.pulls[0][0] if group.weld.pulls else own.middle
    seen = np.array([*points, own.middle, pull])[:, [first, second]]
    low, wide = seen.min(axis=0), np.ptp(seen, axis=0)
    room = SKETCH - 34
    scale = room / max(float(wide.max()), 1.0)
    left = np.array(corner) + 17 + (room - scale * wide) / 2

    def at(point: Array) -> tuple[float, float]:
        x, y = left + scale * (point[[first, second]] - low)
        return float(x), float(y)

    sheet.box(corner[0], corner[1], SKETCH, SKETCH - 2, kind="narrow")
    for start, end in ends:
        sheet.line(at(start), at(end), kind="wide")
    g, p = at(own.middle), at(pull)
    sheet.line((g[0] - 3, g[1]), (g[0] + 3, g[1]))
    sheet.line((g[0], g[1] - 3), (g[0], g[1] + 3))
    sheet.text(g[0] + 3, g[1] + 2, "G", 6)
    if np.hypot(p[0] - g[0], p[1] - g[1]) > SMALLEST * SKETCH:
        sheet.line(g, p, kind="dashed")
        sheet.text(p[0] - 7, p[1] + 2, "P", 6)
    arrow(sheet, p, (float(force[first]), float(force[second])), 15.0)
    r = at(group.weld.end)
    sheet.box(r[0] - 1.6, r[1] - 1.6, 3.2, 3.2, kind="narrow")
    sheet.text(r[0] - 8, r[1] - 6, "R", 6)
    sheet.text(corner[0] + 2, corner[1] + 2, f"{says}: {AXES[first]} right, {AXES[second]} up", 4.6)


def arrow(
    sheet: Sheet, at: tuple[float, float], way: tuple[float, float], long: float
) -> tuple[float, float]:
    """An arrow from a point along a way, ``long`` points; its tip, the point where it has none."""
    size = float(np.hypot(*way))
    if size < FLAT:
        return at
    x, y = way[0] / size, way[1] / size
    tip = (at[0] + long * x, at[1] + long * y)
    sheet.line(at, tip)
    back = (tip[0] - 4 * x, tip[1] - 4 * y)
    sheet.head(
        (tip, (back[0] - 1.4 * y, back[1] + 1.4 * x), (back[0] + 1.4 * y, back[1] - 1.4 * x))
    )
    return tip

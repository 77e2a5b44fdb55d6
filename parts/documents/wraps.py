"""Wraps of coped tube ends at full size: a strip an end, wrapped round the tube to mark its cut."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import NamedTuple

import numpy as np

from ...layout.reader import unit
from ..drawing.display import Sheet, width_of
from ..drawing.entities import LineKind
from ..geometry.cope import cope
from ..model.assembly import Part
from ..model.body import Tube
from ..model.vectors import Vec2
from ..words import names
from ..words import numbers as shown
from .facts import Facts
from .full_size import PT, FullSize, Lying, fits

STEPS = 144
"""Points round a wrap."""
NEAR = 1e-6
"""Slack of a place on the paper, points."""
BELOW, BAND, ABOVE = 20.0, 90.0, 14.0
"""Paper below the zero line, past the cut to hold the wrap by, and for its words, points."""
LETTERS = 7.5
"""Of a strip's words."""
USE = (
    (
        "Saw the blank square to the cut list's length, line ZERO up with its square end, 0 deg on"
        " the tube's top as it sits on the truck."
    ),
    (
        "Wide line: where the outside ends, for a hole saw or a mill. Dashed line: where the bore"
        " ends; a torch held square to the tube follows it and leaves the groove."
    ),
)


class Strip(NamedTuple):
    """A wrap, or half of one: its words, where outside and bore end, points above the zero line a
    ``step`` apart, and the first of them round the tube.
    """

    words: str
    cuts: tuple[list[float], list[float]]
    step: float
    first: int

    @property
    def run(self) -> float:
        """Length round the tube, points."""
        return self.step * (len(self.cuts[0]) - 1)

    @property
    def top(self) -> float:
        """Its upper edge above the zero line, points."""
        return max(map(max, self.cuts)) + BAND

    def ways(self) -> list[Lying]:
        """Across the paper and up it."""
        long = max(self.run, width_of(self.words, LETTERS))
        high = BELOW + self.top + ABOVE
        return [
            Lying((long, high), partial(_draw, self, turned=False)),
            Lying((high, long), partial(_draw, self, turned=True)),
        ]


def wraps(facts: Facts, part: Part, paper: Vec2) -> Iterator[FullSize]:
    """A strip a coped end, in two halves where it is too long for the paper both ways.

    ``paper``: width and height, points.
    """
    body = part.member.body
    assert isinstance(body, Tube)
    size = facts.shop.tube(body.stock)
    for index, end in enumerate(body.ends):
        if end.kind != "cope":
            continue
        round_it = np.linspace(0.0, math.tau, STEPS + 1)
        outer, bore = (
            [float(x) * PT for x in cope(end, index, size.od, radius, round_it)]
            for radius in (size.od / 2, size.od / 2 - size.wall)
        )
        long = math.pi * size.od
        said = (
            f"{names.made(part)} {part.member.title}, rev {facts.revisions[part.id]}"
            f"{facts.not_for_cutting(part)},"
            f" {names.edges((f'end{index}',))}{{}}: wrap round {shown.fine(size.od)} OD; once round"
            f" is {shown.fine(long)} {unit('length')}"
        )
        step, half = long * PT / STEPS, STEPS // 2
        strip = Strip(said.format(""), (outer, bore), step, 0)
        if any(fits(way, paper) for way in strip.ways()):
            yield FullSize(strip.ways(), USE)
            continue
        for number, first in enumerate((0, half), 1):
            cuts = tuple(line[first : first + half + 1] for line in (outer, bore))
            each = Strip(said.format(f", half {number}"), (cuts[0], cuts[1]), step, first)
            yield FullSize(each.ways(), USE)


def _draw(strip: Strip, sheet: Sheet, corner: Vec2, turned: bool) -> None:
    """One strip: zero line, where the outside and the bore end, quarter marks, words; with
    ``turned`` up the paper.
    """
    run, top = strip.run, strip.top

    def at(around: float, rise: float) -> Vec2:
        if turned:
            return corner[0] + top + ABOVE - rise, corner[1] + around
        return corner[0] + around, corner[1] + BELOW + rise

    turn = 90.0 if turned else 0.0
    kinds: tuple[LineKind, LineKind] = ("wide", "dashed")
    for line, kind in zip(strip.cuts, kinds, strict=True):
        sheet.line(*(at(strip.step * at_, rise) for at_, rise in enumerate(line)), kind=kind)
    sheet.line(at(0.0, 0.0), at(run, 0.0))
    sheet.text(*at(4.0, -9.0), "ZERO: square end of the blank, the tube's long point", 7, turn=turn)
    sheet.line(at(0.0, -BELOW), at(0.0, top), at(run, top), at(run, -BELOW))
    for quarter in range(5):
        quarter_at = (quarter * STEPS / 4 - strip.first) * strip.step
        if -NEAR <= quarter_at <= run + NEAR:
            sheet.line(at(quarter_at, top - 30), at(quarter_at, top))
            last = quarter_at > run - 20
            sheet.text(
                *at(quarter_at - 3 if last else quarter_at + 3, top - 12),
                f"{quarter * 90 % 360} deg",
                7,
                anchor="end" if last else "start",
                turn=turn,
            )
    sheet.text(*at(0.0, top + 4.0), strip.words, LETTERS, turn=turn)

"""Paper at full size: wraps for coped tube ends, patterns of plates that are drilled by hand, each
with scale bars both ways. What is larger than the paper is cut into pages with marks to join them
by.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from ...layout.reader import metric, unit
from ..design import lettering as marks
from ..drawing.display import PAPERS, Sheet
from ..drawing.entities import LineKind
from ..geometry import outline
from ..geometry.cope import cope
from ..model.assembly import Hole, Part
from ..model.body import Plate, Tube
from ..model.vectors import Vec2
from ..stock import IN
from ..words import names
from ..words import numbers as shown
from .engine import Doc, Drawn
from .facts import Facts

PT = 72 / IN
"""Points a millimetre."""
EDGE = 40.0
"""Paper left free round a page, points."""
STEPS = 144
"""Points round a wrap."""
FRAME = (EDGE, EDGE + 115.0)
"""Lower-left corner of what a page shows of a plate, points."""
NEAR = 1e-6
"""Slack of a place on the paper, points."""
LEVEL = 1e-12
"""A run below this is none: the line is along the edge of the box, points."""
BAR_IN, BAR_MM = 4.0 * IN, 100.0
"""Scale bars: one is drawn both ways, in the reader's unit."""


def bars(sheet: Sheet, x: float, y: float, upright: float | None = None) -> None:
    """Scale bars of 4 in or 100 mm along and up, the upright one at ``upright`` if it must stand
    elsewhere.
    """
    long, parts, words = (BAR_MM, 10, "100.0 mm") if metric() else (BAR_IN, 4, "4.000 in")
    step = long / parts * PT
    sheet.line((x, y), (x + long * PT, y), kind="wide")
    for block in range(parts + 1):
        sheet.line((x + block * step, y), (x + block * step, y + 6))
    sheet.text(x + 80, y + 9, words, 8)
    middle = x if upright is None else upright
    sheet.line((middle, y), (middle, y + long * PT), kind="wide")
    for block in range(parts + 1):
        sheet.line((middle, y + block * step), (middle - 6, y + block * step))
    sheet.text(middle - 9, y + long * PT / 2, words, 8, anchor="middle", turn=90)


def wrap_sheets(facts: Facts, part: Part, paper: tuple[float, float]) -> Iterator[Sheet]:
    """A strip a coped end, wrapped round the tube: across the paper, up it where that is too short,
    in two halves where both are.
    """
    body = part.member.body
    assert isinstance(body, Tube)
    size = facts.shop.tube(body.stock)
    for index, end in enumerate(body.ends):
        if end.kind != "cope":
            continue
        round_it = np.linspace(0.0, math.tau, STEPS + 1)
        outer, bore = (
            cope(end, index, size.od, radius, round_it)
            for radius in (size.od / 2, size.od / 2 - size.wall)
        )
        long = math.pi * size.od * PT
        whole = [(0, STEPS)]
        upright = long > paper[0] - 2 * EDGE - 20
        if upright and long > paper[1] - 2 * EDGE - 30:
            upright, whole = False, [(0, STEPS // 2), (STEPS // 2, STEPS)]
        for number, (first, last) in enumerate(whole):
            words = (
                f"{names.made(part)} {part.member.title}, end {'ab'[index]}"
                + (f", half {number + 1}" if len(whole) > 1 else "")
                + f": wrap round {shown.fine(size.od)} OD; once round is {shown.fine(long / PT)}"
                f" {unit('length')}"
            )
            yield _strip(
                words,
                [[float(x) * PT for x in line[first : last + 1]] for line in (outer, bore)],
                long / STEPS,
                first,
                upright,
            )


USE = (
    (
        "Saw the blank square to the cut list's length, line ZERO up with its square end, 0 deg on"
        " the tube's top as it sits on the truck."
    ),
    (
        "Wide line: where the outside ends, for a hole saw or a mill. Dashed line: where the bore"
        " ends; a torch held square to the tube follows it and leaves the groove. Measure the bar."
    ),
)


def _strip(words: str, cuts: list[list[float]], step: float, first: int, upright: bool) -> Sheet:
    """One strip: zero line, where the outside and the bore end, quarter marks, words; with
    ``upright`` turned up the paper.
    """
    cut = cuts[0]
    sheet = Sheet("wrap")
    x0, y0 = (EDGE + 330.0, EDGE + 20.0) if upright else (EDGE, 400.0)

    def at(around: float, rise: float) -> Vec2:
        return (x0 - rise, y0 + around) if upright else (x0 + around, y0 + rise)

    turn = 90.0 if upright else 0.0
    run, top = step * (len(cut) - 1), max(map(max, cuts)) + 90.0
    kinds: tuple[LineKind, LineKind] = ("wide", "dashed")
    for line, kind in zip(cuts, kinds, strict=True):
        sheet.line(*(at(step * index, height) for index, height in enumerate(line)), kind=kind)
    sheet.line(at(0.0, 0.0), at(run, 0.0))
    sheet.text(*at(4.0, -9.0), "ZERO: square end of the blank, the tube's long point", 7, turn=turn)
    sheet.line(at(0.0, -20.0), at(0.0, top), at(run, top), at(run, -20.0))
    for quarter in range(5):
        quarter_at = (quarter * STEPS / 4 - first) * step
        if -NEAR <= quarter_at <= run + NEAR:
            sheet.line(at(quarter_at, top - 30), at(quarter_at, top))
            edge = quarter_at > run - 20
            sheet.text(
                *at(quarter_at - 3 if edge else quarter_at + 3, top - 12),
                f"{quarter * 90 % 360} deg",
                7,
                anchor="end" if edge else "start",
                turn=turn,
            )
    for quarter, row in enumerate((*reversed(USE), words)):
        sheet.text(*at(0.0, top + 10 + 10 * quarter), row, 7.5 if row is words else 6.5, turn=turn)
    bars(sheet, EDGE, 60.0)
    return sheet


class TemplatePages(NamedTuple):
    """A plate laid over sheets of paper: each page shows a box of ``room`` (mm) of it.

    ``low``: lower-left corner of the plate as it lies, mm. ``by``: pages along and up.
    ``turned``: the plate lies a quarter turn to the left, so that it takes fewer pages.
    """

    low: Vec2
    room: Vec2
    by: tuple[int, int]
    turned: bool

    def at(self, point: Vec2, page: tuple[int, int]) -> Vec2:
        """A point of the plate on the paper of a page.

        ``point``: mm, in the plate's own axes; ``page``: its column and row from nought. Gives
        points from the paper's lower-left corner; not held to the page's box.
        """
        x, y = (-point[1], point[0]) if self.turned else point
        return (
            FRAME[0] + (x - (self.low[0] + page[0] * self.room[0])) * PT,
            FRAME[1] + (y - (self.low[1] + page[1] * self.room[1])) * PT,
        )

    @property
    def high(self) -> Vec2:
        """Upper-right corner of the box on the paper; its lower-left is ``FRAME``."""
        return EDGE + self.room[0] * PT, FRAME[1] + self.room[1] * PT

    def shows(self, place: Vec2) -> bool:
        """Whether a place on the paper is within the box."""
        return all(
            low <= value <= high for low, value, high in zip(FRAME, place, self.high, strict=True)
        )


def _laid(body: Plate, paper: tuple[float, float]) -> TemplatePages:
    """The plate over as few pages as it takes, turned where that puts it on a narrower paper."""
    x0, y0, x1, y1 = outline.bbox(body.outline)
    room = ((paper[0] - 2 * EDGE - 40) / PT, (paper[1] - 2 * EDGE - 150) / PT)
    turned = x1 - x0 > room[0] and x1 - x0 <= room[1] and y1 - y0 <= room[0]
    x0, y0, x1, y1 = (-y1, x0, -y0, x1) if turned else (x0, y0, x1, y1)
    count = math.ceil((x1 - x0) / room[0]), math.ceil((y1 - y0) / room[1])
    return TemplatePages((x0, y0), room, count, turned)


def plate_pages(part: Part, paper: tuple[float, float], words: str) -> Iterator[Sheet]:
    """A plate's outline and holes at full size over as many pages as it takes, with crosses where
    pages join.

    ``paper``: width and height, points. ``words``: printed beside the part's number.
    """
    body = part.member.body
    assert isinstance(body, Plate)
    pages = _laid(body, paper)
    across, up = pages.by
    for page in ((column, row) for row in range(up) for column in range(across)):
        sheet = Sheet(f"{part.called} template")
        _draw_outline(sheet, body, pages, page)
        for number, hole in enumerate(part.holes, 1):
            place = pages.at(hole.at, page)
            if pages.shows(place):
                _draw_hole(sheet, f"H{number}", hole, place)
        sheet.text(EDGE + 330, EDGE + 60, f"{names.made(part)} {words}", 9, True)
        joined = across * up > 1
        if joined:
            for y in (FRAME[1], pages.high[1]):
                for x in (FRAME[0], pages.high[0]):
                    _cross(sheet, (x, y), 6)
        which = f"column {page[0] + 1} of {across}, row {page[1] + 1} of {up} from below"
        rows = (
            *((f"{which}; join at the crosses.",) if joined else ()),
            "THIS FACE OUT. Measure both bars before it is used.",
        )
        for row, words_ in enumerate(rows):
            sheet.text(EDGE + 330, EDGE + 46 - 11 * row, words_, 8)
        bars(sheet, EDGE, 40.0, paper[0] - 34)
        yield sheet


def _draw_outline(sheet: Sheet, body: Plate, pages: TemplatePages, page: tuple[int, int]) -> None:
    """What of the outline and the openings a page shows."""
    for loop in (body.outline, *body.openings):
        points = outline.flatten(loop, 0.05)
        for start, end in zip(points, (*points[1:], points[0]), strict=True):
            piece = _clip(pages.at(start, page), pages.at(end, page), FRAME, pages.high)
            if piece:
                sheet.line(*piece, kind="wide")


def _draw_hole(sheet: Sheet, called: str, hole: Hole, place: Vec2) -> None:
    """Drill point, the finished hole round it, its size and the pilot's."""
    x, y = place
    radius = hole.diameter / 2 * PT
    _cross(sheet, place, 9)
    turns = [index * math.tau / 48 for index in range(48)]
    sheet.poly(
        [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns], "narrow"
    )
    pilot = marks.size_text(hole.pilot) if hole.pilot else "-"
    sheet.text(
        x + radius + 4, y + 4, f"{called} {marks.size_text(hole.diameter)}, pilot {pilot}", 7.5
    )


def _cross(sheet: Sheet, place: Vec2, arm: float) -> None:
    """A cross with arms of ``arm`` points."""
    x, y = place
    sheet.line((x - arm, y), (x + arm, y))
    sheet.line((x, y - arm), (x, y + arm))


def _clip(start: Vec2, end: Vec2, low: Vec2, high: Vec2) -> tuple[Vec2, Vec2] | None:
    """Part of a line within a box."""
    enters, leaves = 0.0, 1.0
    way = (end[0] - start[0], end[1] - start[1])
    for axis in (0, 1):
        for rate, room in (
            (-way[axis], start[axis] - low[axis]),
            (way[axis], high[axis] - start[axis]),
        ):
            if abs(rate) < LEVEL:
                if room < 0:
                    return None
                continue
            share = room / rate
            enters, leaves = (
                (max(enters, share), leaves) if rate < 0 else (enters, min(leaves, share))
            )
    return (
        (
            (start[0] + enters * way[0], start[1] + enters * way[1]),
            (start[0] + leaves * way[0], start[1] + leaves * way[1]),
        )
        if enters < leaves
        else None
    )


def docs(facts: Facts) -> list[Doc]:
    """Templates of coped tubes and of drilled plates."""
    paper = PAPERS[facts.shop.paper]
    pages: list[Drawn] = []
    for part in facts.truck.parts:
        if isinstance(part.member.body, Tube):
            pages += [
                Drawn(wrap_sheet, paper, True) for wrap_sheet in wrap_sheets(facts, part, paper)
            ]
        elif part.member.fixed_after == "tool":
            pages += [
                Drawn(plate_page, paper, True)
                for plate_page in plate_pages(part, paper, part.member.title)
            ]
    return (
        [
            Doc(
                "templates",
                "Full-size templates",
                "Stage 2, cut",
                "whoever cuts and drills",
                (),
                pages,
            )
        ]
        if pages
        else []
    )

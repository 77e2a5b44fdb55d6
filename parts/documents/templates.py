"""Patterns of plates that are drilled by hand and wraps of coped tube ends, at full size. A plate
larger than the paper is cut into pages with marks to join them by.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import NamedTuple

from ..design import lettering as marks
from ..drawing.display import PAPERS, Sheet, width_of
from ..geometry import outline
from ..model.assembly import Hole, Part
from ..model.body import Plate, Tube
from ..model.vectors import Vec2
from ..words import names
from .engine import Doc, Drawn
from .facts import Facts
from .full_size import EDGE, MEASURE, PT, FullSize, Lying, bars, fits, packed, upright
from .wraps import wraps

FRAME = (EDGE, EDGE + 115.0)
"""Lower-left corner of what a page shows of a plate that takes several, points."""
LEVEL = 1e-12
"""A run below this is none: the line is along the edge of the box, points."""
ROUND = 1.0
"""mm of paper shown round a plate that is whole on its page."""
ABOVE = 26.0
"""Points above it for its words."""
FACE = "THIS FACE OUT."


class TemplatePages(NamedTuple):
    """A plate laid over paper: each page shows a box of ``room`` (mm) of it.

    ``low``: lower-left corner of what of the plate is shown as it lies, mm. ``by``: pages along and
    up. ``turned``: the plate lies a quarter turn to the left. ``corner``: of the box on the paper,
    points.
    """

    low: Vec2
    room: Vec2
    by: tuple[int, int]
    turned: bool
    corner: Vec2 = FRAME

    def at(self, point: Vec2, page: tuple[int, int]) -> Vec2:
        """A point of the plate on the paper of a page.

        ``point``: mm, in the plate's own axes; ``page``: its column and row from nought. Gives
        points from the paper's lower-left corner; not held to the page's box.
        """
        x, y = (-point[1], point[0]) if self.turned else point
        return (
            self.corner[0] + (x - (self.low[0] + page[0] * self.room[0])) * PT,
            self.corner[1] + (y - (self.low[1] + page[1] * self.room[1])) * PT,
        )

    @property
    def high(self) -> Vec2:
        """Upper-right corner of the box on the paper; its lower-left is ``corner``."""
        return self.corner[0] + self.room[0] * PT, self.corner[1] + self.room[1] * PT

    def shows(self, place: Vec2) -> bool:
        """Whether a place on the paper is within the box."""
        return all(
            low <= value <= high
            for low, value, high in zip(self.corner, place, self.high, strict=True)
        )


def _box(body: Plate, turned: bool) -> tuple[float, float, float, float]:
    """Least and greatest of the plate along and up as it lies, mm."""
    x0, y0, x1, y1 = outline.bbox(body.outline)
    return (-y1, x0, -y0, x1) if turned else (x0, y0, x1, y1)


def whole(part: Part, words: str) -> FullSize:
    """A plate whole on a page, either way round; ``words``: beside its number."""
    body = part.member.body
    assert isinstance(body, Plate)
    called = f"{names.made(part)} {words}"
    ways = []
    for turned in (False, True):
        x0, y0, x1, y1 = _box(body, turned)
        room = (x1 - x0 + 2 * ROUND, y1 - y0 + 2 * ROUND)
        laid = TemplatePages((x0 - ROUND, y0 - ROUND), room, (1, 1), turned)
        wide = max(room[0] * PT, width_of(called, 9, True))
        draw = partial(_draw_whole, part, body, laid, called)
        ways.append(Lying((wide, room[1] * PT + ABOVE), draw))
    return FullSize(ways)


def _draw_whole(
    part: Part, body: Plate, pages: TemplatePages, called: str, sheet: Sheet, corner: Vec2
) -> None:
    """A whole plate with its words above it, its box's lower left corner at ``corner``."""
    laid = pages._replace(corner=corner)
    _draw_outline(sheet, body, laid, (0, 0))
    for number, hole in enumerate(part.holes, 1):
        _draw_hole(sheet, f"H{number}", hole, laid.at(hole.at, (0, 0)))
    left, top = corner[0] + ROUND * PT, laid.high[1]
    sheet.text(left, top + 14, called, 9, True)
    sheet.text(left, top + 3, FACE, 8)


def _laid(body: Plate, paper: Vec2) -> TemplatePages:
    """The plate over as few pages as it takes, as it lies."""
    x0, y0, x1, y1 = _box(body, False)
    room = ((paper[0] - 2 * EDGE - 40) / PT, (paper[1] - 2 * EDGE - 150) / PT)
    count = math.ceil((x1 - x0) / room[0]), math.ceil((y1 - y0) / room[1])
    return TemplatePages((x0, y0), room, count, False)


def plate_pages(part: Part, paper: Vec2, words: str) -> Iterator[Sheet]:
    """A plate's outline and holes at full size over as many pages as it takes, with crosses where
    pages join.

    ``paper``: width and height, points. ``words``: printed beside the part's number.
    """
    body = part.member.body
    assert isinstance(body, Plate)
    pages = _laid(body, paper)
    across, up = pages.by
    for page in ((column, row) for row in range(up) for column in range(across)):
        sheet = Sheet(f"{part.called} template", paper)
        _draw_outline(sheet, body, pages, page)
        for number, hole in enumerate(part.holes, 1):
            place = pages.at(hole.at, page)
            if pages.shows(place):
                _draw_hole(sheet, f"H{number}", hole, place)
        for y in (FRAME[1], pages.high[1]):
            for x in (FRAME[0], pages.high[0]):
                _cross(sheet, (x, y), 6)
        which = f"column {page[0] + 1} of {across}, row {page[1] + 1} of {up} from below"
        sheet.text(EDGE + 330, EDGE + 60, f"{names.made(part)} {words}", 9, True)
        for row, said in enumerate((f"{which}; join at the crosses.", FACE, MEASURE)):
            sheet.text(EDGE + 330, EDGE + 46 - 11 * row, said, 8)
        bars(sheet, EDGE, EDGE, upright(paper))
        yield sheet


def _draw_outline(sheet: Sheet, body: Plate, pages: TemplatePages, page: tuple[int, int]) -> None:
    """What of the outline and the openings a page shows."""
    for loop in (body.outline, *body.openings):
        points = outline.flatten(loop, 0.05)
        for start, end in zip(points, (*points[1:], points[0]), strict=True):
            piece = _clip(pages.at(start, page), pages.at(end, page), pages.corner, pages.high)
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
    """Templates of drilled plates and coped tubes, as many to a page as it takes."""
    paper = PAPERS[facts.shop.paper]
    pieces: list[FullSize] = []
    cut: list[Sheet] = []
    for part in facts.truck.parts:
        if isinstance(part.member.body, Tube):
            pieces += wraps(facts, part, paper)
        elif part.member.fixed_after == "tool":
            words = (
                f"{part.member.title}, rev {facts.revisions[part.id]}{facts.not_for_cutting(part)}"
            )
            each = whole(part, words)
            if any(fits(way, paper) for way in each.ways):
                pieces.append(each)
            else:
                cut += plate_pages(part, paper, words)
    pages = [Drawn(sheet, paper, True) for sheet in (*packed(pieces, paper), *cut)]
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

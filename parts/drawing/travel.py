"""The travel sheets: one page that says how far it goes, what touches first and what to read again;
plots over heave; plan and side view to scale; the close pairs and every plus-minus.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Literal, NamedTuple

import numpy as np

from ...layout.arrays import Array
from ...layout.quantities import Key, Side
from ...layout.reader import measure, metric
from ...layout.travel import Travel
from ...layout.travel.outputs import moved
from ..model.vectors import Vec2, Vec3
from .display import PAGE, Sheet, pdf, width_of, wrap
from .entities import LineKind
from .pages import INNER, listing, page
from .sheet import IN, MARGIN
from .travel_plots import plots

SAY = (
    "Rigid arms, axle and frame, linear bushings. Cycle the truck by hand before anything is"
    " welded. Calculations, not an approval; local law decides."
)


TitledList = tuple[str, Sequence[str]]
"""A heading, and the lines under it."""
NAMED = 6.5
"""Points of lettering of a name in plan."""
TEXT, LINE, HEADED = 7.5, 9.2, 10.5
"""Lettering of the lists, from line to line, from their heading to the first, points."""


class TravelWords(NamedTuple):
    """What the sheets say, made by the command: the table, then lists of lines under headings."""

    table: Sequence[Sequence[str]]
    lists: Sequence[TitledList]
    more: Sequence[TitledList]


def travel_pdf(
    chassis: str,
    date: str,
    travel: Travel,
    values: Mapping[Key, float],
    words: TravelWords,
    paper: str = "letter",
    foot: str = "",
) -> bytes:
    """The sheets of one chassis; what waits is said, not drawn."""
    front, over = _front(chassis, date, words)
    sheets = [front]
    sheets += views(chassis, date, travel, values)
    return pdf(
        [
            *sheets,
            *listing(
                (chassis, date, "Travel", "close pairs, every plus-minus", SAY),
                [*over, *words.more],
            ),
        ],
        paper,
        foot,
    )


def views(chassis: str, date: str, travel: Travel, values: Mapping[Key, float]) -> list[Sheet]:
    """Plots, then plan and side view; none while the linkage waits."""
    if travel.pose is None:
        return []
    say = "over heave, wheels level; left solid, right dashed; limits as thin lines"
    plotted = _page(chassis, date, say)
    plots(plotted, travel, values)
    return [plotted, _views(chassis, date, travel, values)]


def _page(chassis: str, date: str, what: str) -> Sheet:
    return page(chassis, date, "Travel", what, SAY)


def _front(chassis: str, date: str, words: TravelWords) -> tuple[Sheet, list[TitledList]]:
    """The first sheet, and the lists it has no room for: those go whole to the sheets behind."""
    sheet = _page(chassis, date, "how far, what touches, what to read again")
    y = PAGE[1] - MARGIN - 36
    for index, row in enumerate(words.table):
        sheet.text(MARGIN + 8, y, row[0], 7.5, index == 0)
        for column, cell in enumerate(row[1:]):
            sheet.text(MARGIN + 196 + 76 * column, y, cell, 7.5, index == 0, "end")
        y -= 9.6
    y -= 8
    columns = ((MARGIN + 8, INNER / 2 - 16), (MARGIN + INNER / 2 + 4, INNER / 2 - 14))
    tops = [y, y]
    over: list[TitledList] = []
    for head, rows in words.lists:
        if not any(rows):
            continue
        lines = [[*wrap(row, TEXT, min(room for _, room in columns))] for row in rows if row]
        deep = HEADED + LINE * sum(map(len, lines))
        column = int(tops[1] > tops[0])
        if tops[column] - deep < MARGIN + 20:
            over.append((head, [row for row in rows if row]))
            continue
        x, at = columns[column][0], tops[column]
        sheet.text(x, at, head, 8.5, True)
        at -= HEADED
        for row in lines:
            for place, part in enumerate(row):
                sheet.text(x + (6 if place else 0), at, part, TEXT)
                at -= LINE
        tops[column] = at - 6
    return sheet, over


def _views(chassis: str, date: str, travel: Travel, values: Mapping[Key, float]) -> Sheet:
    """Plan and side view at ride height; in the side view full bump and full droop dashed."""
    sheet = _page(
        chassis, date, "plan and side view to scale, ride height; full bump and droop dashed"
    )
    lk = travel.linkage
    assert lk is not None
    shapes = _shapes(travel, values, travel.at("ride height"))
    xs, ys = ([point[axis] for _, pts, *_ in shapes for point in pts] for axis in (0, 1))
    scale = min((INNER - 40) / (max(xs) - min(xs)), 230 / (max(ys) - min(ys)))
    x0, mid, floor = (min(xs) + max(xs)) / 2, 420.0, 90.0

    def plan(point: Vec3) -> Vec2:
        return PAGE[0] / 2 + scale * (point[0] - x0), mid + scale * point[1]

    def side(point: Vec3) -> Vec2:
        return PAGE[0] / 2 + scale * (point[0] - x0), floor + scale * point[2]

    flat = [row for row in shapes if row.only != "side"]
    for _, pts, kind, _ in flat:
        sheet.poly([plan(point) for point in pts], kind, False)
    sheet.line((MARGIN + 12, mid), (PAGE[0] - MARGIN - 12, mid), kind="dashed")
    sheet.text(MARGIN + 12, mid + 3, "center line", 6.5)
    _name(sheet, [(plan(row.points[0]), plan(row.points[1]), row.name) for row in flat if row.name])
    for place in ("ride height", "full bump", "full droop"):
        if place in [each.name for each in travel.places]:
            moving = place != "ride height"
            for _, pts, kind, only in _shapes(travel, values, travel.at(place), lower=moving):
                if only != "plan":
                    sheet.poly([side(point) for point in pts], "dashed" if moving else kind, False)
    sheet.line((MARGIN + 10, floor), (PAGE[0] - MARGIN - 10, floor))
    sheet.text(MARGIN + 12, floor + 3, "floor", 6.5)
    real = 300.0 if metric() else 12 * IN
    bar = real * scale
    sheet.line((MARGIN + 12, 62), (MARGIN + 12 + bar, 62), kind="wide")
    sheet.text(MARGIN + 16 + bar, 59, f"{measure(real, 'length', 0)} on the truck", 7)
    sheet.text(MARGIN + 12, 280, "side view, front to the right", 7.5, True)
    sheet.text(MARGIN + 12, 545, "plan, left side up, front to the right", 7.5, True)
    return sheet


def _name(sheet: Sheet, named: Sequence[tuple[Vec2, Vec2, str]]) -> None:
    """Each line's name beside it, where it stands on no line and no other name."""
    import shapely

    lines = shapely.STRtree([shapely.LineString(line.points) for line in sheet.lines])
    taken: list[shapely.Geometry] = []
    for (left, low), (right, high), words in named:
        wide = width_of(words, NAMED)
        places = []
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            x, y = left + share * (right - left), low + share * (high - low)
            places += [(x + 4, y - 3), (x - wide - 4, y - 3), (x - wide / 2, y + 4)]
            places += [(x - wide / 2, y - 10), (x + 4, y + 4), (x - wide - 4, y + 4)]
        boxes = [shapely.box(x - 1, y - 2, x + wide + 1, y + NAMED) for x, y in places]
        at = next(
            (
                index
                for index, box in enumerate(boxes)
                if not len(lines.query(box, "intersects")) and not any(map(box.intersects, taken))
            ),
            0,
        )
        taken.append(boxes[at])
        sheet.text(*places[at], words, NAMED)


class Track(NamedTuple):
    """A center line of the plan and side view: its name, points, kind of line, and the view it is
    drawn in where that is one only.
    """

    name: str
    points: list[Vec3]
    kind: LineKind
    only: Literal["", "plan", "side"] = ""


def _shapes(
    travel: Travel, values: Mapping[Key, float], index: int, lower: bool = False
) -> list[Track]:
    """Centre lines in truck coordinates at position ``index``; ``lower``: only what moves."""
    linkage, pose, gear = travel.linkage, travel.pose, travel.gear
    assert linkage is not None and pose is not None

    def fixed(point: Array) -> Vec3:
        x, y, z = (float(number) for number in point)
        return x, y, z

    def carried(point: Array) -> Vec3:
        return fixed(moved(linkage, pose, point)[index])

    rows: list[Track] = []
    for end in (0, 1):
        joint, turn = linkage.joint[end], pose.m[index, end]
        hang = joint + turn @ (linkage.upper[end] - joint)
        name = "radius arm" if end == 0 else ""
        rows.append(Track(name, [carried(linkage.bolt[end]), fixed(joint)], "wide"))
        rows.append(Track("", [fixed(hang), carried(linkage.mount[end])], "wide"))
        if gear.coils:
            seats = [carried(gear.coils.lower[end]), fixed(gear.coils.upper[end])]
            rows.append(Track("coil" if end == 0 else "", seats, "narrow"))
    half = values.get(Key("axle.wheel_track", "C"), 60 * IN) / 2
    ends = [carried(linkage.center + np.array((0.0, way * half, 0.0))) for way in (-1, 1)]
    rows.append(Track("axle", ends, "wide"))
    bar = [carried(linkage.bar_axle), fixed(linkage.bar_frame)]
    rows.append(Track("track bar", bar, "wide"))
    if gear.steering:
        link = [carried(gear.steering.ball), fixed(gear.steering.pitman)]
        rows.append(Track("drag link", link, "narrow"))
    if gear.shaft:
        shaft = [fixed(gear.shaft.output), carried(gear.shaft.pinion)]
        rows.append(Track("shaft", shaft, "narrow"))
    radius = values.get(Key("axle.tire_diameter", "C"), 0.0) / 2
    wide = values.get(Key("axle.tire_width", "C"), 0.0)
    if radius:
        rows.append(Track("", _wheel(ends[0], radius), "narrow", "side"))
        rows += [Track("", _tread(hub, radius, wide), "narrow", "plan") for hub in ends]
    return rows if lower else rows + _rails(values)


def _wheel(hub: Vec3, radius: float) -> list[Vec3]:
    """A tire's circle in side view."""
    turns = np.linspace(0, math.tau, 49)
    return [
        (hub[0] + radius * math.cos(turn), hub[1], hub[2] + radius * math.sin(turn))
        for turn in turns
    ]


def _tread(hub: Vec3, radius: float, wide: float) -> list[Vec3]:
    """A tire's rectangle in plan, straight ahead."""
    x, y, z = hub
    corners = ((1, 1), (-1, 1), (-1, -1), (1, -1), (1, 1))
    return [(x + along * radius, y + way * wide / 2, z) for along, way in corners]


def _rails(values: Mapping[Key, float]) -> list[Track]:
    rows: list[Track] = []
    sides: tuple[tuple[Side, int], ...] = (("L", 1), ("R", -1))
    for side, way in sides:

        def read(name: str, side: Side) -> Vec2:
            return (
                values[Key(f"frame.station.1.{name}", side)],
                values[Key(f"frame.station.2.{name}", side)],
            )

        try:
            x1, x2 = read("x", "C")
            (outer_front, outer_rear), (width_front, width_rear) = (
                read("outer", side),
                read("width", side),
            )
            (bottom_front, bottom_rear), (height_front, height_rear) = (
                read("bottom", side),
                read("height", side),
            )
        except KeyError:
            continue
        outer = [
            (x1, way * outer_front, bottom_front),
            (x2, way * outer_rear, bottom_rear),
            (x2, way * outer_rear, bottom_rear + height_rear),
            (x1, way * outer_front, bottom_front + height_front),
            (x1, way * outer_front, bottom_front),
        ]
        rows.append(Track("frame rail" if side == "L" else "", outer, "narrow"))
        inner = [
            (x1, way * (outer_front - width_front), bottom_front),
            (x2, way * (outer_rear - width_rear), bottom_rear),
        ]
        rows.append(Track("", inner, "narrow"))
    return rows


__all__ = ["TravelWords", "travel_pdf"]

"""The lines of one view of a group: its own heavy with hidden ones dashed, what stands there
already thin and cut off a little past it, coils as phantoms.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ...model.assembly import Member
from ...model.body import Bought, Existing, Helix
from ...model.vectors import Vec2
from ..display import Sheet
from ..entities import LineKind
from ..hidden import Solids
from ..placed import PlacedStroke
from .directions import Direction
from .groups import Placed, SheetGroup, box

PAST = 30.0
"""mm that what stands there already is drawn past the group."""
SPECK = 0.1
"""mm of a line that is not drawn."""


class Picture(NamedTuple):
    """One view: lines in mm as seen, the visible lines of each own member, its room, and hulls of
    everything in it.
    """

    direction: Direction
    lines: tuple[PlacedStroke, ...]
    own: dict[str, list[tuple[Vec2, ...]]]
    low: Vec2
    high: Vec2
    hulls: tuple[tuple[Vec2, ...], ...]

    def to(self, point: Sequence[float] | np.ndarray) -> Vec2:
        """A point of the truck as seen, mm."""
        spot, view = np.asarray(point, dtype=float), self.direction.view
        return float(spot @ view.right), float(spot @ view.up)


def scene(placed: Placed, group: SheetGroup) -> Solids:
    """The group and what stands round it, the group's members first; what stands on another sheet
    hides none of them.
    """
    every = (*group.members, *group.near)
    own = len(group.members)
    clear = {
        index for index, member in enumerate(every) if index >= own and placed.sheet_of(member.code)
    }
    return Solids([placed.shapes[member.code] for member in every], own, clear)


def picture(
    placed: Placed,
    group: SheetGroup,
    looked: Solids,
    direction: Direction,
    hidden: bool = True,
    also: Sequence[Member] = (),
) -> Picture:
    """One view of a group; ``hidden``: hidden lines of its own members too; ``also``: what of
    what stands round it is drawn whole.
    """
    low, high = _window(placed, (*group.members, *also), direction)
    count = len(group.members)
    lines: list[tuple[tuple[Vec2, ...], LineKind]] = []
    own: dict[str, list[tuple[Vec2, ...]]] = {each.code: [] for each in group.members}
    for piece in looked.look(direction.view, count if hidden else 0):
        if piece.solid < count:
            if piece.seen:
                lines.append((piece.points, "wide"))
                own[group.members[piece.solid].code].append(piece.points)
            elif hidden:
                lines.append((piece.points, "hidden"))
        elif piece.seen:
            lines += [(points, "narrow") for points in _clipped(piece.points, low, high)]
    for member in (*group.members, *group.near):
        lines += [
            (points, "bend")
            for stroke in _coil(member, direction)
            for points in _clipped(stroke, low, high)
        ]
    every = np.array([point for points, _ in lines for point in points])
    return Picture(
        direction,
        tuple(lines),
        own,
        _pair(every.min(axis=0)),
        _pair(every.max(axis=0)),
        tuple(_hulls(placed, group, direction, (low, high))),
    )


def _pair(point: np.ndarray) -> Vec2:
    return float(point[0]), float(point[1])


def _window(placed: Placed, members: Sequence[Member], direction: Direction) -> tuple[Vec2, Vec2]:
    """What a view shows of what stands there already: the group's box and a little past it."""
    ends = np.array(box(placed, members))
    grid = np.array(
        [
            [ends[across, 0], ends[up_, 1], ends[deep, 2]]
            for across in (0, 1)
            for up_ in (0, 1)
            for deep in (0, 1)
        ]
    )
    seen = np.column_stack((grid @ direction.view.right, grid @ direction.view.up))
    return _pair(seen.min(axis=0) - PAST), _pair(seen.max(axis=0) + PAST)


def _clipped(points: Sequence[Vec2], low: Vec2, high: Vec2) -> list[tuple[Vec2, ...]]:
    """The pieces of a polyline within a box."""
    from shapely import LineString, clip_by_rect, get_parts

    across, up = [point[0] for point in points], [point[1] for point in points]
    if (
        min(across) >= low[0]
        and max(across) <= high[0]
        and min(up) >= low[1]
        and max(up) <= high[1]
    ):
        return [tuple(points)]
    if min(across) > high[0] or max(across) < low[0] or min(up) > high[1] or max(up) < low[1]:
        return []
    found = clip_by_rect(LineString(points), *low, *high)
    return [
        tuple(part.coords)
        for part in get_parts(found)
        if part.geom_type == "LineString" and part.length > SPECK
    ]


def _coil(member: Member, direction: Direction) -> list[tuple[Vec2, ...]]:
    """A coil's outline: a rectangle with its turns as slanting lines, or two circles end on."""
    body = member.body
    if not isinstance(body, (Bought, Existing)) or not isinstance(body.solid, Helix):
        return []
    coil, view = body.solid, direction.view
    radius = (coil.mean_diameter + coil.wire) / 2
    ends = [np.array(member.place.out((x, 0.0, 0.0))) for x in (0.0, coil.length)]
    one, two = ((float(end @ view.right), float(end @ view.up)) for end in ends)
    long = math.dist(one, two)
    if long < 0.2 * coil.length:
        return [
            tuple(
                (
                    one[0] + ring * math.cos(index * math.tau / 48),
                    one[1] + ring * math.sin(index * math.tau / 48),
                )
                for index in range(49)
            )
            for ring in (radius, radius - coil.wire)
        ]
    way = ((two[0] - one[0]) / long, (two[1] - one[1]) / long)

    def at(along: float, across: float) -> Vec2:
        return (
            one[0] + way[0] * along - way[1] * across,
            one[1] + way[1] * along + way[0] * across,
        )

    turns = max(2, round(coil.turns))
    pitch = long / turns
    slants = [
        (at(index * pitch, -radius), at((index + 0.5) * pitch, radius)) for index in range(turns)
    ]
    rim = (at(0, -radius), at(0, radius), at(long, radius), at(long, -radius), at(0, -radius))
    return [rim, *slants]


def _hulls(
    placed: Placed, group: SheetGroup, direction: Direction, window: tuple[Vec2, Vec2]
) -> list[tuple[Vec2, ...]]:
    """A hull round every member as seen, cut to the window."""
    import shapely

    found = []
    frame = shapely.box(*window[0], *window[1])
    for member in (*group.members, *group.near):
        corners = placed.shapes[member.code].corners
        if len(corners):
            flat = np.column_stack((corners @ direction.view.right, corners @ direction.view.up))
            hull = shapely.MultiPoint(flat).convex_hull.intersection(frame)
            if hull.geom_type == "Polygon" and hull.area > 0:
                found.append(tuple(hull.exterior.coords))
    return found


def draw(sheet: Sheet, lines: Sequence[PlacedStroke]) -> None:
    """Strokes of paper on a sheet, thin ones first."""
    order = {"narrow": 0, "bend": 0, "center": 1, "hidden": 2, "wide": 3}
    for points, kind in sorted(lines, key=lambda line: order.get(line[1], 1)):
        sheet.line(*points, kind=kind)

"""Marks on the steel: scribe lines cut back to where steel is, lettering (chassis, part, hand,
revision, stock) and drill sizes, each where there is room for it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Protocol

import numpy as np

from ...layout.reader import metric
from ...layout.units import IN
from ..geometry import outline, strokes
from ..model.assembly import Hole, Mark
from ..model.body import Loop, Plate
from ..model.terms import HowMade

ROOM = 3.0
"""Clear round lettering beside other lines, mm."""
SMALL = 5.0
"""Height of a drill's size, mm."""
BESIDE = 0.5
"""How far past the margin of its hole a size stands, mm."""
LEAST = 0.125 * IN
HEIGHTS = (12.7, 9.525, 7.0, 5.0, 4.0, LEAST)
"""Lettering heights tried, mm: 1/2 in first; 3/8 in and more reads well when scribed, under 1/8 in
nothing does (common practice, no source).
"""
SHORTEST = 3.0
"""Of a scribe line that was cut back, what is kept, mm."""
TRIES = 60
SIXTY_FOURTH = 0.05
"""Share of 1/64 in by which a drill may miss it and still be called by it."""


class Area(Protocol):
    """Part of a plane that may be empty or in pieces, mm: what shapely's polygons are."""

    def difference(self, other: object) -> Area:
        """What is left without another."""

    def buffer(self, distance: float) -> Area:
        """Grown by so much on every side, mm; shrunk where below zero."""

    def covers(self, other: object) -> bool:
        """Whether another lies in it, its edge included."""


def size_text(diameter: float) -> str:
    """A drill's size without its unit, as it is lettered beside the hole.

    A fraction of an inch if it is one to 1/64, else decimals of an inch; mm to 0.1 for a shop in
    mm.

    >>> size_text(19.05), size_text(12.7 + 25.4), size_text(10.0)
    ('3/4', '1 1/2', '0.394')
    """
    if metric():
        return f"{round(diameter, 1):g}"
    parts_of_64 = diameter / IN * 64
    if abs(parts_of_64 - round(parts_of_64)) < SIXTY_FOURTH:
        whole, part = divmod(Fraction(round(parts_of_64), 64), 1)
        return f"{whole} {part}" if whole and part else f"{whole or part}"
    return f"{diameter / IN:.3f}"


def steel(body: Plate, loops: Sequence[Loop], margin: float) -> Area:
    """Where a mark may stand: the plate less its openings and ``loops`` (holes, slots), ``margin``
    mm in from every edge.
    """
    import shapely

    whole = shapely.Polygon(
        outline.flatten(body.outline, 0.05),
        [outline.flatten(loop, 0.05) for loop in body.openings],
    )
    holes = [shapely.Polygon(outline.flatten(loop, 0.05)) for loop in loops]
    left: Area = shapely.difference(whole, shapely.union_all(holes))
    return left.buffer(-margin)


def clipped(mark: Mark, room: Area) -> Mark:
    """A mark's strokes cut back to ``room``; what is left shorter than SHORTEST is dropped."""
    import shapely

    kept = []
    for stroke in mark.strokes:
        found = shapely.intersection(shapely.LineString(stroke), room)
        for piece in getattr(found, "geoms", (found,)):
            if piece.geom_type == "LineString" and piece.length >= SHORTEST:
                kept.append(tuple((float(x), float(y)) for x, y in piece.coords))
    return mark._replace(strokes=tuple(kept))


def drill_sizes(holes: Sequence[Hole], room: Area, margin: float) -> tuple[Mark, ...]:
    """Finished size lettered beside each drill point, on whichever side of it there is ``room``.

    ``room`` is taken to end ``margin`` mm off every finished hole. A size that finds no place is
    left out: the drawing has it in any case.
    """
    import shapely

    found: list[Mark] = []
    free = room
    for hole in holes:
        if hole.how is HowMade.CUT:
            continue
        text, off = size_text(hole.diameter), hole.diameter / 2 + margin + BESIDE
        wide = strokes.width(text, SMALL)
        for right, up in (
            (off, -SMALL / 2),
            (-off - wide, -SMALL / 2),
            (-wide / 2, off),
            (-wide / 2, -off - SMALL),
        ):
            x, y = hole.at[0] + right, hole.at[1] + up
            box = shapely.box(x, y, x + wide, y + SMALL)
            if free.covers(box):
                found.append(Mark("drill", strokes.letter(text, (x, y), SMALL), text))
                free = free.difference(box.buffer(1.0))  # the next hole's size keeps clear of it
                break
    return tuple(found)


def layouts(
    chassis: str, part: str, hand: str, revision: str, stock: str
) -> Iterator[list[tuple[str, ...]]]:
    """What is lettered, best first: all; less the stock; less the chassis too; the part with its
    hand alone. Each in lines or in one.

    >>> [len(group) for group in layouts("T1", "CM1", "LEFT", "REV A", "1/4 A36")]
    [1, 7, 4, 2]
    """
    own = f"{part} {hand}".strip()
    short = f"{part}{hand[:1]}"
    yield [(f"{chassis} {own}", revision, stock)]
    yield [
        (f"{chassis} {own}", revision),
        (chassis, own, revision),
        (f"{chassis} {own} {revision}",),
        (chassis, f"{own} {revision}"),
        (chassis, short, revision),
        (chassis, f"{short} {revision}"),
        (f"{chassis} {short} {revision}",),
    ]
    yield [(own, revision), (f"{own} {revision}",), (short, revision), (f"{short} {revision}",)]
    yield [(own,), (short,)]


def letter_plate(
    body: Plate,
    room: Area,
    wanted: Iterator[list[tuple[str, ...]]],
    drawn: Sequence[Mark] = (),
    kept: Sequence[Mark] = (),
) -> tuple[Mark, ...]:
    """The best lettering that finds room on a plate: one mark, or none.

    Parameters
    ----------
    room : Area
        Steel a mark may stand on, from ``steel``.
    wanted : iterator of layouts
        Best first; each is tried at every height from 1/2 to 1/8 in, level or turned upright.
    drawn : sequence of Mark
        Lines already there: kept clear where there is room without them, crossed where there is
        not.
    kept : sequence of Mark
        Sizes and bends, which are never crossed.
    """
    fields = [_Field(body, room, busy) for busy in ((*drawn, *kept), kept)]
    for group in wanted:
        for field in fields:
            for height in HEIGHTS:
                for rows in group:
                    found = field.place(rows, height)
                    if found:
                        return (Mark("text", found, " ".join(rows)),)
    return ()


class _Field:
    """Free steel of one plate on a grid, and the exact area behind it."""

    def __init__(self, body: Plate, room: Area, busy: Sequence[Mark]) -> None:
        import shapely

        lines = [
            shapely.LineString(line).buffer(ROOM)
            for mark in busy
            for line in mark.strokes
            if len(line) > 1
        ]
        self.area = room.difference(shapely.union_all(lines)) if lines else room
        self.x0, self.y0, x1, y1 = outline.bbox(body.outline)
        self.step = min(4.0, max(1.0, min(x1 - self.x0, y1 - self.y0) / 60))
        grid_x, grid_y = np.meshgrid(
            np.arange(self.x0, x1, self.step), np.arange(self.y0, y1, self.step), indexing="ij"
        )
        shapely.prepare(self.area)
        free = np.asarray(shapely.contains_xy(self.area, grid_x, grid_y))
        self.total = np.zeros((free.shape[0] + 1, free.shape[1] + 1), dtype=int)
        self.total[1:, 1:] = free.cumsum(axis=0).cumsum(axis=1)

    def place(
        self, rows: Sequence[str], height: float
    ) -> tuple[tuple[tuple[float, float], ...], ...]:
        """Strokes of the rows stacked on steel, level if they fit so, else turned to read upwards;
        () if they do not fit.
        """
        import shapely

        long = max(strokes.width(row, height) for row in rows)
        deep = height * (1.6 * len(rows) - 0.6)
        for wide, tall, turn in ((long, deep, False), (deep, long, True)):
            for x, y in self._spots(wide, tall):
                box = shapely.box(x, y, x + wide, y + tall)
                if self.area.covers(box):
                    lines = (
                        stroke
                        for line_number, row in enumerate(rows)
                        for stroke in strokes.letter(
                            row, (0.0, 1.6 * height * (len(rows) - 1 - line_number)), height
                        )
                    )
                    return tuple(
                        tuple(
                            (x + deep - rise, y + run) if turn else (x + run, y + rise)
                            for run, rise in line
                        )
                        for line in lines
                    )
        return ()

    def _spots(self, wide: float, tall: float) -> list[tuple[float, float]]:
        """Lower-left corners of boxes whose grid points are all free, spread over all there are."""
        across, up = (max(1, math.floor(size / self.step)) for size in (wide, tall))
        total = self.total
        if across >= total.shape[0] or up >= total.shape[1]:
            return []
        whole = (
            total[across:, up:]
            - total[:-across, up:]
            - total[across:, :-up]
            + total[:-across, :-up]
            == across * up
        )
        spots = np.argwhere(whole)
        picked = spots[:: max(1, len(spots) // TRIES)]
        return [(self.x0 + i * self.step, self.y0 + row * self.step) for i, row in picked.tolist()]

"""Marks on the steel: scribe lines cut back to where steel is, lettering (chassis, part, hand,
revision, stock) and drill sizes, each where there is room for it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any

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


def size_text(d: float) -> str:
    """A drill's size without its unit: a fraction of an inch if it is one to 1/64, else decimals of
    an inch; mm to 0.1 for a shop in mm.
    """
    if metric():
        return f"{round(d, 1):g}"
    n = d / IN * 64
    if abs(n - round(n)) < SIXTY_FOURTH:
        whole, part = divmod(Fraction(round(n), 64), 1)
        return f"{whole} {part}" if whole and part else f"{whole or part}"
    return f"{d / IN:.3f}"


def steel(body: Plate, loops: Sequence[Loop], margin: float) -> Any:
    """Where a mark may stand: the plate less its openings and ``loops`` (holes, slots), ``margin``
    in from every edge. A shapely area.
    """
    import shapely

    whole = shapely.Polygon(
        outline.flatten(body.outline, 0.05),
        [outline.flatten(o, 0.05) for o in body.openings],
    )
    holes = [shapely.Polygon(outline.flatten(o, 0.05)) for o in loops]
    return shapely.difference(whole, shapely.union_all(holes)).buffer(-margin)


def clipped(mark: Mark, room: Any) -> Mark:
    """A mark's strokes cut back to ``room``; what is left shorter than SHORTEST is dropped."""
    import shapely

    kept = []
    for stroke in mark.strokes:
        found = shapely.intersection(shapely.LineString(stroke), room)
        for piece in getattr(found, "geoms", (found,)):
            if piece.geom_type == "LineString" and piece.length >= SHORTEST:
                kept.append(tuple((float(x), float(y)) for x, y in piece.coords))
    return mark._replace(strokes=tuple(kept))


def drill_sizes(holes: Sequence[Hole], room: Any, margin: float) -> tuple[Mark, ...]:
    """Finished size lettered beside each drill point, on whichever side of it there is ``room``,
    which ends ``margin`` off every finished hole; the drawing has it in any case.
    """
    import shapely

    found: list[Mark] = []
    free = room
    for h in holes:
        if h.how is HowMade.CUT:
            continue
        text, r = size_text(h.diameter), h.diameter / 2 + margin + BESIDE
        w = strokes.width(text, SMALL)
        for dx, dy in ((r, -SMALL / 2), (-r - w, -SMALL / 2), (-w / 2, r), (-w / 2, -r - SMALL)):
            x, y = h.at[0] + dx, h.at[1] + dy
            box = shapely.box(x, y, x + w, y + SMALL)
            if free.covers(box):
                found.append(Mark("drill", strokes.letter(text, (x, y), SMALL), text))
                free = free.difference(box.buffer(1.0))
                break
    return tuple(found)


def layouts(
    chassis: str, part: str, hand: str, revision: str, stock: str
) -> Iterator[list[tuple[str, ...]]]:
    """What is lettered, best first: all; less the stock; less the chassis too; the part with its
    hand alone. Each in lines or in one.
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
    room: Any,
    wanted: Iterator[list[tuple[str, ...]]],
    drawn: Sequence[Mark] = (),
    kept: Sequence[Mark] = (),
) -> tuple[Mark, ...]:
    """The first of the ``wanted`` layouts that fits in ``room`` at any height from 1/2 to 1/8 in,
    level or turned upright, largest first; else nothing. Lines ``drawn`` already are kept clear
    where there is room without them, crossed where there is not; what is ``kept`` (sizes, bends)
    never is.
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

    def __init__(self, body: Plate, room: Any, busy: Sequence[Mark]) -> None:
        import shapely

        lines = [
            shapely.LineString(line).buffer(ROOM)
            for m in busy
            for line in m.strokes
            if len(line) > 1
        ]
        self.area = room.difference(shapely.union_all(lines)) if lines else room
        self.x0, self.y0, x1, y1 = outline.bbox(body.outline)
        self.step = min(4.0, max(1.0, min(x1 - self.x0, y1 - self.y0) / 60))
        px, py = np.meshgrid(
            np.arange(self.x0, x1, self.step), np.arange(self.y0, y1, self.step), indexing="ij"
        )
        shapely.prepare(self.area)
        free = np.asarray(shapely.contains_xy(self.area, px, py))
        self.total = np.zeros((free.shape[0] + 1, free.shape[1] + 1), dtype=int)
        self.total[1:, 1:] = free.cumsum(axis=0).cumsum(axis=1)

    def place(
        self, rows: Sequence[str], height: float
    ) -> tuple[tuple[tuple[float, float], ...], ...]:
        """Strokes of the rows stacked on steel, level if they fit so, else turned to read upwards;
        () if they do not fit.
        """
        import shapely

        long = max(strokes.width(r, height) for r in rows)
        deep = height * (1.6 * len(rows) - 0.6)
        for wide, tall, turn in ((long, deep, False), (deep, long, True)):
            for x, y in self._spots(wide, tall):
                box = shapely.box(x, y, x + wide, y + tall)
                if self.area.covers(box):
                    lines = (
                        stroke
                        for k, r in enumerate(rows)
                        for stroke in strokes.letter(
                            r, (0.0, 1.6 * height * (len(rows) - 1 - k)), height
                        )
                    )
                    return tuple(
                        tuple((x + deep - v, y + u) if turn else (x + u, y + v) for u, v in line)
                        for line in lines
                    )
        return ()

    def _spots(self, wide: float, tall: float) -> list[tuple[float, float]]:
        """Lower-left corners of boxes whose grid points are all free, spread over all there are."""
        nx, ny = (max(1, math.floor(v / self.step)) for v in (wide, tall))
        t = self.total
        if nx >= t.shape[0] or ny >= t.shape[1]:
            return []
        whole = t[nx:, ny:] - t[:-nx, ny:] - t[nx:, :-ny] + t[:-nx, :-ny] == nx * ny
        spots = np.argwhere(whole)
        picked = spots[:: max(1, len(spots) // TRIES)]
        return [(self.x0 + i * self.step, self.y0 + j * self.step) for i, j in picked.tolist()]

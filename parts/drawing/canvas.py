"""One attempt at a view: what is drawn and placed so far, and the room that is left."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..model.body import Loop
from ..model.vectors import Vec2
from .entities import LineKind
from .field import Box
from .filling import Filling
from .leaders import ArrowPlace, Wanted, fan, find
from .lettering import HEIGHT, Anchor, letters
from .placed import Measured, PlacedDimension, What, arrow

if TYPE_CHECKING:
    from shapely.geometry import Polygon

POINTS = 72 / 25.4
"""Points a millimeter of paper."""


class InView(NamedTuple):
    """What a view shows, in the datum's axes, mm.

    Attributes
    ----------
    lines : tuple of (points, kind)
        As drawn, arcs flattened.
    steel : tuple of points
        The plate as loops of points, outline first.
    exact : tuple of Loop
        The same loops with true arcs; the first of ``lines`` show them, and a DXF is written of
        these.
    """

    lines: tuple[tuple[tuple[Vec2, ...], LineKind], ...]
    steel: tuple[tuple[Vec2, ...], ...]
    exact: tuple[Loop, ...]


class Canvas(Filling):
    """One attempt at a view: its field, and what is placed so far."""

    def __init__(
        self, scale: float, origin: Vec2, area: Box, shown: InView, steel: Polygon
    ) -> None:
        import shapely

        self.scale, self.origin, self.steel = scale, origin, steel
        super().__init__(area)
        for points, kind in shown.lines:
            self.add(tuple(map(self.to, points)), kind)
        x, y = self.field.middles()
        own = shapely.transform(steel, lambda points: points * scale + np.array(origin))
        left, low, right, high = own.bounds
        near = (x > left) & (x < right) & (y > low) & (y < high)
        inside = np.zeros(self.field.shape, dtype=bool)
        inside[near] = shapely.contains_xy(own, x[near], y[near])
        self.field.fill(inside)

    def to(self, point: Vec2) -> Vec2:
        """A point of the part on the sheet."""
        return self.origin[0] + self.scale * point[0], self.origin[1] + self.scale * point[1]

    def open_way(self, tip: Vec2, normal: float) -> float:
        """The direction along a normal that leads off the steel, of a point in part axes."""
        import shapely

        step = 1.0
        x, y = tip[0] + step * math.cos(normal), tip[1] + step * math.sin(normal)
        return normal + math.pi if shapely.contains_xy(self.steel, x, y) else normal

    def edge_starts(self, points: Sequence[Vec2], half: float = 0.9) -> tuple[ArrowPlace, ...]:
        """Where an arrow may stand on an edge, leaving it on its open side."""
        found: list[ArrowPlace] = []
        lengths = np.hypot(*np.diff(np.array(points), axis=0).T)
        total = float(lengths.sum())
        for share in (0.5, 0.3, 0.7, 0.15, 0.85):
            tip, way = along(points, lengths, share * total)
            found += fan(self.to(tip), self.open_way(tip, way - math.pi / 2), half)
        return tuple(found)

    def lead(
        self,
        what: What,
        size: float,
        words: str,
        wanted: Wanted,
        of: Sequence[Vec2] | Mapping[Vec2, Vec2] = (),
    ) -> bool:
        """Places a leader with a line of lettering; ``of``: points of what it measures, on the
        sheet, its tip comes after them, or the one that belongs to each tip.
        """
        found = find(self.field, wanted)
        if found is None:
            return False
        right = found.end[0] >= found.knee[0]
        anchor: Anchor = "start" if right else "end"
        x = found.box.left if right else found.box.right
        text = letters(
            (x, found.box.low + (found.box.high - found.box.low - HEIGHT) / 2), words, anchor
        )
        points = (of[found.tip], found.tip) if isinstance(of, Mapping) else (*of, found.tip)
        self.take(
            PlacedDimension(
                Measured(what, size, points, words),
                (((found.tip, found.knee, found.end), "narrow"),),
                (arrow(found.tip, found.knee),),
                (text,),
            ),
            True,
        )
        return True


def along(points: Sequence[Vec2], lengths: Array, at: float) -> tuple[Vec2, float]:
    """The point so far along a polyline, and its direction there.

    ``points``: n of them; ``lengths``: (n - 1,), of the pieces between; ``at``: how far, all in one
    unit. Gives the point and rad from right, left turning +.
    """
    for (start, end), length in zip(itertools.pairwise(points), lengths, strict=True):
        if at <= length or end == points[-1]:
            share = min(1.0, at / max(float(length), 1e-9))
            tip = (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
            return tip, math.atan2(end[1] - start[1], end[0] - start[0])
        at -= float(length)
    raise AssertionError("a polyline has a point")


def steel_of(shown: InView) -> Polygon:
    """The plate's steel as a polygon, mm."""
    from shapely.geometry import Polygon

    return Polygon(shown.steel[0], shown.steel[1:])

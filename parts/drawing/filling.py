"""An area of a sheet being filled: the lines in it, what is placed round them, the room left."""

from __future__ import annotations

from ..model.vectors import Vec2
from .entities import LineKind
from .field import Box, DrawingArea
from .lettering import box_of
from .placed import PlacedDimension, PlacedStroke


class Filling:
    """Lines drawn and things placed so far in an area, and the field that knows what is free."""

    def __init__(self, area: Box) -> None:
        self.field = DrawingArea(area)
        self.placed: list[PlacedDimension] = []
        self.lines: list[PlacedStroke] = []

    def add(self, points: tuple[Vec2, ...], kind: LineKind) -> None:
        """Draws a line of the view."""
        self.lines.append((points, kind))
        self.field.line(points)

    def take(self, placed: PlacedDimension, leader: bool = False) -> None:
        """Keeps what was placed, and its room."""
        self.placed.append(placed)
        for points, _ in placed.lines:
            self.field.line(points, leader)
        for text in placed.texts:
            self.field.box(box_of(text))

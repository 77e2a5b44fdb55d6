"""A view as it stands on its sheet, with its dimensions."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from ..model.body import Loop
from ..model.vectors import Vec2
from .field import Box
from .placed import PlacedDimension, PlacedStroke

if TYPE_CHECKING:
    pass


class PlacedView(NamedTuple):
    """A view as it stands on its sheet.

    Attributes
    ----------
    scale : float
        Points a mm.
    origin : Vec2
        Where the datum is on the sheet, points.
    area : Box
        Its room.
    exact : tuple of Loop
        Its loops with true arcs, mm; the first of ``lines`` show them.
    lines, placed : tuple
        What is drawn, and its dimensions.
    """

    scale: float
    origin: Vec2
    area: Box
    exact: tuple[Loop, ...]
    lines: tuple[PlacedStroke, ...]
    placed: tuple[PlacedDimension, ...]

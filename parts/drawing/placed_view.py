"""A view as it stands on its sheet, with its dimensions."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from ..model.body import Loop
from ..model.vectors import Vec2
from .field import Box
from .placed import PlacedDimension, Stroke

if TYPE_CHECKING:
    pass


class PlacedView(NamedTuple):
    """A placed view: points a mm, where the datum is on the sheet, its room; its loops with true
    arcs (mm, the first of the lines show them), lines and dimensions.
    """

    scale: float
    origin: Vec2
    area: Box
    exact: tuple[Loop, ...]
    lines: tuple[Stroke, ...]
    placed: tuple[PlacedDimension, ...]

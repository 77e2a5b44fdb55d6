"""What is drawn of one dimension: its lines, arrowheads and lettering on the sheet, in points."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from ..model.vectors import Vec2
from .entities import LineKind, Text

ARROW = 8.0
"""Length of an arrowhead, points: about the height of the lettering (ISO 129-1)."""
SLIM = 0.17
"""Half its width over its length."""
PlacedStroke = tuple[tuple[Vec2, ...], LineKind]
"""A polyline and its kind."""
What = Literal["x", "y", "linear", "radius", "diameter", "angle", "note", "weld"]


class Measured(NamedTuple):
    """What a dimension measures, for a file that holds dimensions as such: points on the sheet and
    the exact size (mm or rad).

    Of an ordinate the feature and the end of its line, and what it is counted from where that is
    not the view's origin; of a radius or diameter the center and the
    point the arrow is on; of a linear dimension its two ends and a point of its line; of an angle
    the ends of its edge; of a note the tip of its leader.
    """

    what: What
    size: float
    points: tuple[Vec2, ...]
    words: str


class PlacedDimension(NamedTuple):
    """One dimension as drawn, points of the sheet.

    Attributes
    ----------
    measured : Measured
        What it says of what: read back by tests and by the DXF.
    lines, arrows, texts : tuple
        Its lines, filled arrowheads and lettering.
    """

    measured: Measured
    lines: tuple[PlacedStroke, ...]
    arrows: tuple[tuple[Vec2, ...], ...]
    texts: tuple[Text, ...]


def arrow(tip: Vec2, tail: Vec2, length: float = ARROW) -> tuple[Vec2, ...]:
    """A filled arrowhead at ``tip`` on a line that comes from ``tail``."""
    away = math.atan2(tail[1] - tip[1], tail[0] - tip[0])
    cos, sin = math.cos(away), math.sin(away)
    x, y = tip[0] + length * cos, tip[1] + length * sin
    half = SLIM * length
    return tip, (x - half * sin, y + half * cos), (x + half * sin, y - half * cos)

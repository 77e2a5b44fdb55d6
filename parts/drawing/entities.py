"""What a sheet is made of: lines of a kind and texts, in points."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple

from ..model.vectors import Vec2

if TYPE_CHECKING:
    pass


LineKind = Literal["wide", "narrow", "dashed", "center", "hidden", "bend"]


WIDTHS: dict[LineKind, float] = {
    "wide": 1.4,
    "narrow": 0.5,
    "dashed": 0.5,
    "center": 0.5,
    "hidden": 0.7,
    "bend": 0.5,
}


DASHES: dict[LineKind, tuple[int, ...]] = {
    "dashed": (5, 3),
    "center": (14, 3, 3, 3),
    "hidden": (6, 3),
    "bend": (14, 3, 3, 3, 3, 3),
}
"""Points drawn and left out, by turns."""


class Polyline(NamedTuple):
    """A polyline; ``closed`` joins the last point to the first; ``white`` hides what was drawn
    before within it, which a DXF cannot, so it is left out there; ``solid``: filled, an arrowhead.
    """

    points: tuple[Vec2, ...]
    kind: LineKind
    closed: bool = False
    white: bool = False
    edge: bool = True
    solid: bool = False


class Text(NamedTuple):
    """One line of lettering.

    ``anchor``: start, middle or end. ``turn`` in degrees. ``narrow``: width of its letters over the
    face's own.
    """

    at: Vec2
    words: str
    size: float
    bold: bool = False
    anchor: Literal["start", "middle", "end"] = "start"
    turn: float = 0.0
    narrow: float = 1.0

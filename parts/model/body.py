"""Bodies: what a member is made of, in its own frame - a plate, a tube, a bought piece, something
that is on the truck already.

Lengths in mm, angles in rad.
"""

from __future__ import annotations

from typing import NamedTuple

from .terms import EndKind, There
from .vectors import Vec2


class Edge(NamedTuple):
    """One edge of a closed loop: from ``start`` to the next edge's start.

    ``bulge`` = tan(angle/4), + counter-clockwise.
    """

    name: str
    start: Vec2
    bulge: float = 0.0


Loop = tuple[Edge, ...]


class Bend(NamedTuple):
    """A bend line on the flat, from ``start`` to ``end``.

    The material on its left folds by ``angle`` toward +z (up, away from what the plate lies on) if
    positive. ``radius`` is inside. The line is the middle of the bend zone.
    """

    name: str
    start: Vec2
    end: Vec2
    angle: float
    radius: float


class Plate(NamedTuple):
    """Flat stock cut to ``outline`` (counter-clockwise) less ``openings``.

    Fills 0 <= w <= t in its frame; w = 0 is the face against what it is welded to, w = t the top
    face. Bolt holes are NOT here: ``finish`` adds them. With bends the frame places the flat's
    plane left where it was; the folded part leaves it.
    """

    stock: str
    outline: Loop
    openings: tuple[Loop, ...] = ()
    bends: tuple[Bend, ...] = ()


class TubeEnd(NamedTuple):
    """How a tube ends. "square"; "cope" onto a round of ``onto`` mm diameter whose axis makes
    ``angle`` with the tube's own and passes ``offset`` beside it; "insert": square, with a threaded
    insert sunk ``depth``. ``clock`` turns the end about the tube, from local z.
    """

    kind: EndKind = "square"
    onto: float = 0.0
    angle: float = 0.0
    offset: float = 0.0
    depth: float = 0.0
    clock: float = 0.0
    item: str = ""


class Tube(NamedTuple):
    """Tube along local x from 0 to ``length`` (long point to long point).

    ``stock`` names shape, size and wall.
    """

    stock: str
    length: float
    ends: tuple[TubeEnd, TubeEnd]


class Rod(NamedTuple):
    """Simple body along local x from 0 to ``length``: cylinder, hollow if ``bore``; ``domed``: half
    a ball beyond each end.
    """

    length: float
    diameter: float
    bore: float = 0.0
    domed: bool = False


class Bar(NamedTuple):
    """Simple body: loop in local x-y extruded along local z from 0 to ``length``."""

    length: float
    outline: Loop
    openings: tuple[Loop, ...] = ()


class Helix(NamedTuple):
    """A coil spring about local x from 0 to ``length``."""

    length: float
    mean_diameter: float
    wire: float
    turns: float


SimpleSolid = Rod | Bar | Helix


class Bought(NamedTuple):
    """A bought thing (joint, bushing, sleeve stock, coil): catalogue words and a simple body."""

    item: str
    solid: SimpleSolid


class Existing(NamedTuple):
    """On the truck already: drilled, welded to, drawn and scheduled, never made.

    ``surface``: which of the truck's own bodies it is part of.
    """

    surface: There
    solid: SimpleSolid


Body = Plate | Tube | Bought | Existing

"""Bent plates: the flat cut into panels at its bend lines, each panel with its own place once it is
folded.

A bend of angle a and inside radius R takes BA = a (R + K t) of the flat; its line is the middle of
that zone. The panel on the line's left turns about the bend's center, which lies R off the top face
(angle > 0) or off the face below (angle < 0). Source: bend allowance as in any sheet-metal
handbook; K is a shop setting.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..model.body import Bend, Edge, Loop, Plate
from ..model.vectors import Frame, Vec2
from . import outline
from .outline import NO_EDGE, ROUNDING, OutlineError

K_FACTOR = 0.44
"""Neutral line from the inside face, in thicknesses: air bending of mild steel (published worked
example of a 90 degree bend).
"""


class Panel(NamedTuple):
    """One flat of a bent plate.

    Attributes
    ----------
    outline : Loop
        Still in the flat's coordinates, mm; where a bend cut it the edge is called "bend".
    openings : tuple of Loop
        Those that lie in this panel, likewise.
    place : Frame
        Puts flat coordinates on the folded part, in the coordinates of the member's own frame.
    """

    outline: Loop
    openings: tuple[Loop, ...]
    place: Frame


class Fold(NamedTuple):
    """One bend zone.

    Attributes
    ----------
    bend : Bend
        As the family asked for it.
    allowance : float
        Flat it takes up, mm, half on either side of its line.
    start, end : Vec2
        Ends of its line in the flat, mm.
    place : Frame
        Of the panel it starts from, which lies on the line's right.
    """

    bend: Bend
    allowance: float
    start: Vec2
    end: Vec2
    place: Frame


BASE = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def allowance(angle: float, radius: float, thickness: float) -> float:
    """Length of flat a bend takes, mm: |angle| (R + K t).

    Parameters
    ----------
    angle : float
        What the metal turns through, rad; its sign does not matter here.
    radius : float
        Inside, mm.
    thickness : float
        mm.

    A right angle of 3 mm inside radius in plate 6 mm thick:

    >>> round(allowance(math.pi / 2, 3.0, 6.0), 3)
    8.859
    """
    return abs(angle) * (radius + K_FACTOR * thickness)


def clip(loop: Loop, point: Vec2, along: Vec2, keep: float) -> Loop:
    """The part of a loop on one side of a line.

    Parameters
    ----------
    point, along : Vec2
        The line: through a point, in a unit direction.
    keep : float
        +1 keeps what lies left of it, -1 what lies right.

    Raises
    ------
    OutlineError
        The line crosses an arc, which a brake would kink, or leaves too few edges.
    """

    def off(end: Vec2) -> float:
        return keep * (along[0] * (end[1] - point[1]) - along[1] * (end[0] - point[0]))

    found: list[Edge] = []
    for edge, end in outline.spans(loop):
        here, there = off(edge.start), off(end)
        if edge.bulge and any(
            off(between) * here < -ROUNDING
            for between in (*outline.edge_points(edge, end, 0.02), end)
        ):
            raise OutlineError(
                "its bend line crosses a round edge: it may cross straight edges only"
            )
        if here >= 0:
            found.append(edge)
        if (here < 0) != (there < 0):
            share = here / (here - there)
            crossing = (
                edge.start[0] + share * (end[0] - edge.start[0]),
                edge.start[1] + share * (end[1] - edge.start[1]),
            )
            found.append(Edge(edge.name if here < 0 else "bend", crossing))
    return outline.check(
        tuple(
            edge
            for edge, following in zip(found, [*found[1:], *found[:1]], strict=True)
            if math.dist(edge.start, following.start) > NO_EDGE
        )
    )


def _turned(bend: Bend, taken: float, thickness: float, base: Frame) -> Frame:
    """Frame of the panel left of a bend, for points in flat coordinates."""
    length = math.dist(bend.start, bend.end)
    line_x, line_y = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    across_x, across_y = -line_y, line_x
    cosine, sine = math.cos(bend.angle), math.sin(bend.angle)
    center_up = thickness + bend.radius if bend.angle > 0 else -bend.radius

    def at(x: float, y: float, above: float) -> tuple[float, float, float]:
        along = (x - bend.start[0]) * line_x + (y - bend.start[1]) * line_y
        across = (x - bend.start[0]) * across_x + (y - bend.start[1]) * across_y - taken / 2
        out, up = (
            -taken / 2 + across * cosine - (above - center_up) * sine,
            center_up + across * sine + (above - center_up) * cosine,
        )
        return base.out(
            (
                bend.start[0] + along * line_x + out * across_x,
                bend.start[1] + along * line_y + out * across_y,
                up,
            )
        )

    origin, x, z = at(0.0, 0.0, 0.0), at(1.0, 0.0, 0.0), at(0.0, 0.0, 1.0)
    return Frame.of(
        origin,
        (x[0] - origin[0], x[1] - origin[1], x[2] - origin[2]),
        (z[0] - origin[0], z[1] - origin[1], z[2] - origin[2]),
    )


def fold(body: Plate, thickness: float) -> tuple[tuple[Panel, ...], tuple[Fold, ...]]:
    """Panels and bend zones of a plate; one panel, its own outline, if it is flat.

    Bends are taken in order, each on the panel its line lies in.

    Parameters
    ----------
    body : Plate
        Outline, openings and bends in the flat's coordinates, mm.
    thickness : float
        mm.

    Raises
    ------
    OutlineError
        A bend outside the plate, across an arc, or through an opening: openings stay whole.

    Examples
    --------
    A strip 100 mm long, folded up square at its middle: the far panel's outline stays in the flat,
    its frame stands it upright.

    >>> from soapstone.parts.geometry.contours import rectangle
    >>> line = Bend("fold", (50.0, 0.0), (50.0, 40.0), -math.pi / 2, 3.0)
    >>> strip = Plate("1/4 A36", rectangle(0.0, 0.0, 100.0, 40.0), bends=(line,))
    >>> panels, folds = fold(strip, 6.0)
    >>> len(panels), len(folds), round(folds[0].allowance, 3)
    (2, 1, 8.859)
    >>> [tuple(round(v) + 0 for v in panel.place.x) for panel in panels]
    [(1, 0, 0), (0, 0, 1)]
    """
    panels, folds = [Panel(body.outline, body.openings, BASE)], []
    for line in body.bends:
        middle = ((line.start[0] + line.end[0]) / 2, (line.start[1] + line.end[1]) / 2)
        lying = next(
            (i for i, panel in enumerate(panels) if outline.contains(panel.outline, middle)), None
        )
        if lying is None:
            raise OutlineError("a bend of it lies outside the plate")
        taken = allowance(line.angle, line.radius, thickness)
        folds.append(Fold(line, taken, line.start, line.end, panels[lying].place))
        panels[lying : lying + 1] = _parted(panels[lying], folds[-1], thickness)
    return tuple(panels), tuple(folds)


def _parted(panel: Panel, zone: Fold, thickness: float) -> tuple[Panel, Panel]:
    """What stays and what turns where a bend parts a panel; between them its zone is left out."""
    start, end = zone.start, zone.end
    length = math.dist(start, end)
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    low, high = (
        (
            middle[0] - way * zone.allowance / 2 * along[1],
            middle[1] + way * zone.allowance / 2 * along[0],
        )
        for way in (-1.0, 1.0)
    )
    here, there = clip(panel.outline, low, along, -1.0), clip(panel.outline, high, along, 1.0)
    stay, move = (
        tuple(
            opening
            for opening in panel.openings
            if outline.contains(side, outline.centroid(opening))
        )
        for side in (here, there)
    )
    if len(stay) + len(move) != len(panel.openings):
        raise OutlineError("an opening lies on its bend")
    turned = _turned(zone.bend, zone.allowance, thickness, panel.place)
    return Panel(here, stay, panel.place), Panel(there, move, turned)


class BendSector(NamedTuple):
    """The steel of a bend zone.

    Attributes
    ----------
    outline : Loop
        A ring sector in its own x-y plane, mm: what is seen at the end of the bend.
    length : float
        Of the bend, along its own z, mm.
    place : Frame
        In the member's own frame.
    """

    outline: Loop
    length: float
    place: Frame


def round_of(zone: Fold, body: Plate, thickness: float) -> BendSector:
    """Sector of a bend about its center, as wide as the plate of ``body`` is at its line;
    ``thickness`` in mm.
    """
    length = math.dist(zone.start, zone.end)
    along = ((zone.end[0] - zone.start[0]) / length, (zone.end[1] - zone.start[1]) / length)
    across = (-along[1], along[0])
    ends = _crossings(body, zone, along, across)
    x0, y0 = (zone.start[i] - zone.allowance / 2 * across[i] + min(ends) * along[i] for i in (0, 1))
    center_up = thickness + zone.bend.radius if zone.bend.angle > 0 else -zone.bend.radius
    turn = math.tan(zone.bend.angle / 4)
    low, high = (
        (
            (center_up - up) * math.sin(zone.bend.angle),
            center_up + (up - center_up) * math.cos(zone.bend.angle),
        )
        for up in (0.0, thickness)
    )
    sector = (
        Edge("", (0.0, 0.0), turn),
        Edge("", low),
        Edge("", high, -turn),
        Edge("", (0.0, thickness)),
    )
    place = joined(zone.place, Frame((x0, y0, 0.0), (*across, 0.0), (*along, 0.0)))
    return BendSector(sector, max(ends) - min(ends), place)


def _crossings(body: Plate, zone: Fold, along: Vec2, across: Vec2) -> list[float]:
    """Where along a bend's line, from its start, the plate's edges cross it."""
    found = []
    for edge, end in outline.spans(body.outline):
        before, after = (
            ((point[0] - zone.start[0]) * across[0] + (point[1] - zone.start[1]) * across[1])
            for point in (edge.start, end)
        )
        if (before < 0) != (after < 0):
            share = before / (before - after)
            point = (
                edge.start[0] + share * (end[0] - edge.start[0]),
                edge.start[1] + share * (end[1] - edge.start[1]),
            )
            found.append(
                (point[0] - zone.start[0]) * along[0] + (point[1] - zone.start[1]) * along[1]
            )
    return found


def panel_of(panels: tuple[Panel, ...], point: Vec2) -> Panel:
    """The panel a point of the flat lies on; of a point in a bend zone, the nearest."""
    for panel in panels:
        if outline.contains(panel.outline, point):
            return panel
    return min(panels, key=lambda panel: outline.distance(panel.outline, point))


def joined(outer: Frame, inner: Frame) -> Frame:
    """One frame for two: ``inner`` is given in the coordinates of ``outer``, as a panel's place is
    in its member's.
    """
    return Frame(outer.out(inner.origin), outer.turn(inner.x), outer.turn(inner.z))

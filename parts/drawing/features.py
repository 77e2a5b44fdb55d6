"""What a plate has that must be dimensioned, in the axes of its datum: loops of corners and arcs,
round and slotted holes, bends.

Pure geometry, mm and rad; the same for every family.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..geometry import contours, outline
from ..model.assembly import Part
from ..model.body import Bend, Edge, Loop, Plate
from ..model.vectors import Vec2
from .datum import Datum, datum_of

LEVEL = 1e-4
"""mm an edge may rise and still be level or upright."""
STRAIGHT = 1e-6
"""tan(sweep / 4) below which an edge is no arc."""
SLOT_EDGES = 4
FULL_END = 1e-6
"""How far the bulge of a slot's end may be from half a turn."""


class RoundHole(NamedTuple):
    """A round hole or opening, in the axes of the datum.

    Attributes
    ----------
    at, diameter : Vec2, float
        mm.
    how : str
        How it is made.
    pilot : float
        Drill to start with, mm; 0 where it is cut.
    """

    at: Vec2
    diameter: float
    how: str
    pilot: float = 0.0


class Slot(NamedTuple):
    """A slot with round ends, in the axes of the datum.

    Attributes
    ----------
    at, width, length : Vec2, float, float
        Its middle, and its sizes over all, mm.
    angle : float
        Direction of its length, rad from x.
    """

    at: Vec2
    width: float
    length: float
    angle: float


class RoundEdge(NamedTuple):
    """A round edge, in the axes of the datum.

    Attributes
    ----------
    center, radius, start, end : Vec2, float
        mm.
    angle, sweep : float
        To the start, and turned through, rad; counter-clockwise +.
    fillet : bool
        It touches two edges along the axes, so that its ends follow from them and its radius: they
        need no dimension of their own.
    opening : bool
        Of an opening, not of the outline.
    """

    center: Vec2
    radius: float
    start: Vec2
    end: Vec2
    angle: float
    sweep: float
    fillet: bool
    opening: bool

    @property
    def hollow(self) -> bool:
        """Whether the open side of the edge is that of its center."""
        return (self.sweep < 0) != self.opening

    def at(self, share: float) -> Vec2:
        """The point that share of the way from start to end."""
        angle = self.angle + share * self.sweep
        x, y = self.center
        return x + self.radius * math.cos(angle), y + self.radius * math.sin(angle)


class Slope(NamedTuple):
    """A straight edge that lies along neither axis: ends, and its angle to the x axis, 0 to pi."""

    name: str
    start: Vec2
    end: Vec2
    angle: float


class Features(NamedTuple):
    """Everything of one plate that must be dimensioned, each thing once.

    Attributes
    ----------
    datum : Datum
        In whose axes all the rest stands.
    loops : tuple of Loop
        Outline first; round openings and slots are not among them.
    arcs, slopes : tuple
        Round edges, and straight ones along neither axis.
    rounds, slots, bends : tuple
        Holes, slots, bend lines.
    disc : RoundHole, optional
        The outline itself where it is one circle.
    """

    datum: Datum
    loops: tuple[Loop, ...]
    arcs: tuple[RoundEdge, ...]
    slopes: tuple[Slope, ...]
    rounds: tuple[RoundHole, ...]
    slots: tuple[Slot, ...]
    bends: tuple[Bend, ...]
    disc: RoundHole | None


def features(part: Part) -> Features:
    """Features of a plate part, in the axes of its datum."""
    body = part.member.body
    assert isinstance(body, Plate)
    datum = datum_of(body, part.holes, part.member.datum)
    disc = contours.is_circle(body.outline)
    openings = (*body.openings, *part.slots)
    rounds = [
        RoundHole(datum.into(circle[0]), circle[1], "cut")
        for circle in map(contours.is_circle, openings)
        if circle
    ]
    rounds += [
        RoundHole(datum.into(hole.at), hole.diameter, hole.how, hole.pilot)
        for hole in part.holes
        if hole.length <= hole.diameter
    ]
    slots = [
        Slot(datum.into(hole.at), hole.diameter, hole.length, hole.angle - datum.turn)
        for hole in part.holes
        if hole.length > hole.diameter
    ]
    loops = [] if disc else [_moved(body.outline, datum)]
    for opening in openings:
        slot = None if contours.is_circle(opening) else as_slot(_moved(opening, datum))
        if slot:
            slots.append(slot)
        elif not contours.is_circle(opening):
            loops.append(_moved(opening, datum))
    return Features(
        datum=datum,
        loops=tuple(loops),
        arcs=tuple(
            arc for index, loop in enumerate(loops) for arc in _arcs(loop, bool(index or disc))
        ),
        slopes=tuple(slope for loop in loops for slope in _slopes(loop)),
        rounds=tuple(rounds),
        slots=tuple(slots),
        bends=tuple(
            bend._replace(start=datum.into(bend.start), end=datum.into(bend.end))
            for bend in body.bends
        ),
        disc=RoundHole(datum.into(disc[0]), disc[1], "cut") if disc else None,
    )


def ends_within(found: Features) -> list[tuple[Vec2, float]]:
    """Where an edge ends within a straight side, since what is welded or stands there ends: the
    point, and the side's direction, rad.
    """
    ends = []
    for loop in found.loops:
        spans = list(outline.spans(loop))
        for (before, start), (after, end) in zip((spans[-1], *spans), spans, strict=False):
            if abs(before.bulge) > STRAIGHT or abs(after.bulge) > STRAIGHT:
                continue
            one = math.atan2(start[1] - before.start[1], start[0] - before.start[0])
            two = math.atan2(end[1] - start[1], end[0] - start[0])
            if abs(math.remainder(two - one, math.tau)) < LEVEL:
                ends.append((start, two))
    return ends


def _moved(loop: Loop, datum: Datum) -> Loop:
    return tuple(Edge(edge.name, datum.into(edge.start), edge.bulge) for edge in loop)


def as_slot(loop: Loop) -> Slot | None:
    """The loop as a slot with two round ends, None if it is another shape; one named by its width
    and length needs no corners on the drawing.
    """
    if len(loop) != SLOT_EDGES:
        return None
    ends = [
        (edge, end) for edge, end in outline.spans(loop) if abs(abs(edge.bulge) - 1.0) < FULL_END
    ]
    sides = [(edge, end) for edge, end in outline.spans(loop) if abs(edge.bulge) < STRAIGHT]
    if len(ends) != len(sides) or len(ends) * 2 != SLOT_EDGES:
        return None
    one, two = (outline.arc_of(edge.start, end, edge.bulge) for edge, end in ends)
    gap = math.dist(one.center, two.center)
    if abs(one.radius - two.radius) > LEVEL or gap < LEVEL:
        return None
    middle = ((one.center[0] + two.center[0]) / 2, (one.center[1] + two.center[1]) / 2)
    angle = math.atan2(two.center[1] - one.center[1], two.center[0] - one.center[0])
    return Slot(middle, 2 * one.radius, gap + 2 * one.radius, angle)


def _arcs(loop: Loop, opening: bool) -> list[RoundEdge]:
    found = []
    spans = list(outline.spans(loop))
    for index, (edge, end) in enumerate(spans):
        if abs(edge.bulge) < STRAIGHT:
            continue
        arc = outline.arc_of(edge.start, end, edge.bulge)
        before, after = spans[index - 1], spans[(index + 1) % len(spans)]
        fillet = all(_axial(side, reach) for side, reach in (before, after)) and _quarter(
            edge, end, before
        )
        found.append(
            RoundEdge(
                center=arc.center,
                radius=arc.radius,
                start=edge.start,
                end=end,
                angle=arc.start,
                sweep=arc.sweep,
                fillet=fillet,
                opening=opening,
            )
        )
    return found


def _axial(edge: Edge, end: Vec2) -> bool:
    """Whether an edge is straight and lies along an axis."""
    dx, dy = abs(end[0] - edge.start[0]), abs(end[1] - edge.start[1])
    return abs(edge.bulge) < STRAIGHT and min(dx, dy) < LEVEL < max(dx, dy)


def _quarter(edge: Edge, end: Vec2, before: tuple[Edge, Vec2]) -> bool:
    """Whether an arc between two edges along the axes is a quarter turn that runs on from them."""
    arc = outline.arc_of(edge.start, end, edge.bulge)
    if abs(abs(arc.sweep) - math.pi / 2) > FULL_END:
        return False
    way = (before[1][0] - before[0].start[0], before[1][1] - before[0].start[1])
    out = (edge.start[0] - arc.center[0], edge.start[1] - arc.center[1])
    return abs(way[0] * out[0] + way[1] * out[1]) < LEVEL * math.hypot(*way)


def _slopes(loop: Loop) -> list[Slope]:
    found = []
    for edge, end in outline.spans(loop):
        dx, dy = end[0] - edge.start[0], end[1] - edge.start[1]
        if abs(edge.bulge) < STRAIGHT and min(abs(dx), abs(dy)) > LEVEL:
            found.append(Slope(edge.name, edge.start, end, math.atan2(dy, dx) % math.pi))
    return found

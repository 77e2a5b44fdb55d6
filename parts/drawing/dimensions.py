"""The dimensions of a plate: a list of pure data from its features, each thing once.

Values are exact and know no unit, scale or place on paper. What follows from another dimension is
not given again: the ends of a fillet between two edges along the axes follow from the edges and its
radius.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Literal, NamedTuple, TypeVar

from ..geometry import outline
from ..model.body import Bend
from ..model.vectors import Vec2
from .features import LEVEL, Features, RoundEdge, RoundHole, Slope, Slot

SAME = 0.05
"""mm within which two coordinates or sizes are one: half of what the drawing may be off by."""
SAME_ANGLE = math.radians(0.05)
TOLD_APART = 0.2
"""Logarithm of the ratio of two radii an eye tells apart on paper."""
LEAST_SLOPE = 12.0
"""mm of sloped edge from which on its angle is given beside its ends, for setting a bevel gauge."""
PlateAxis = Literal["x", "y"]
Grouped = TypeVar("Grouped")


class Ordinate(NamedTuple):
    """A distance from the datum along an axis.

    Attributes
    ----------
    axis, value : PlateAxis, float
        mm.
    points : tuple of Vec2
        Everything that stands there: it is lettered once.
    """

    axis: PlateAxis
    value: float
    points: tuple[Vec2, ...]


class Radius(NamedTuple):
    """A radius and every arc of it."""

    radius: float
    arcs: tuple[RoundEdge, ...]


class Diameter(NamedTuple):
    """A diameter and every hole of it.

    Attributes
    ----------
    diameter, pilot : float
        As made, and the drill to start with, mm.
    how : str
        How it is made.
    rounds : tuple of RoundHole
        Every one of it: the drawing says how many.
    disc : bool
        The part's own rim.
    """

    diameter: float
    how: str
    pilot: float
    rounds: tuple[RoundHole, ...]
    disc: bool = False


class SlotSize(NamedTuple):
    """Width and length over all of slots alike, and their angle to the x axis."""

    width: float
    length: float
    angle: float
    slots: tuple[Slot, ...]


class Angle(NamedTuple):
    """The angle of sloped edges to the x axis, rad, and every edge of it; beside their ends."""

    angle: float
    slopes: tuple[Slope, ...]


class BendNote(NamedTuple):
    """A bend: direction, angle, inside radius."""

    bend: Bend


class Dimensions(NamedTuple):
    """Every dimension of one plate, as data: what a view letters, and what a test adds up to see
    that nothing is missing and nothing said twice.
    """

    ordinates: tuple[Ordinate, ...]
    radii: tuple[Radius, ...]
    diameters: tuple[Diameter, ...]
    slots: tuple[SlotSize, ...]
    angles: tuple[Angle, ...]
    bends: tuple[BendNote, ...]


def dimensions(found: Features) -> Dimensions:
    """The dimensions of a plate's features."""
    disc = (Diameter(found.disc.diameter, "rim", 0.0, (found.disc,), True),) if found.disc else ()
    return Dimensions(
        (*_ordinates(found, "x"), *_ordinates(found, "y")),
        tuple(_radii(found.arcs)),
        disc
        + tuple(
            Diameter(same[0].diameter, same[0].how, same[0].pilot, tuple(same))
            for same in _alike(
                found.rounds, lambda hole: (hole.diameter, hole.how == "cut", hole.pilot)
            )
        ),
        tuple(
            SlotSize(same[0].width, same[0].length, same[0].angle % math.pi, tuple(same))
            for same in _alike(
                found.slots, lambda slot: (slot.width, slot.length, math.sin(2 * slot.angle))
            )
        ),
        tuple(
            Angle(same[0].angle, tuple(same))
            for same in _alike(
                [
                    slope
                    for slope in found.slopes
                    if math.dist(slope.start, slope.end) >= LEAST_SLOPE
                ],
                lambda slope: (slope.angle * SAME / SAME_ANGLE,),
            )
        ),
        tuple(BendNote(bend) for bend in found.bends),
    )


def _radii(arcs: Sequence[RoundEdge]) -> Iterator[Radius]:
    """Radii with every arc of each; arcs that could be taken for those of another radius each by
    its own arrow.
    """
    groups = _alike(arcs, lambda arc: (arc.radius, arc.hollow))
    for group in groups:
        radius = group[0].radius
        near = [other[0].radius for other in groups if other is not group]
        if any(abs(math.log(other / radius)) < TOLD_APART for other in near):
            yield from (Radius(arc.radius, (arc,)) for arc in group)
        else:
            yield Radius(radius, tuple(group))


def _alike(
    things: Iterable[Grouped], key: Callable[[Grouped], Sequence[float]]
) -> list[list[Grouped]]:
    """Things whose keys are equal within ``SAME``, in the order they come."""
    groups: list[list[Grouped]] = []
    for thing in things:
        own = key(thing)
        home = next(
            (
                group
                for group in groups
                if all(abs(one - two) < SAME for one, two in zip(key(group[0]), own, strict=True))
            ),
            None,
        )
        if home is None:
            groups.append([thing])
        else:
            home.append(thing)
    return groups


def _ordinates(found: Features, axis: PlateAxis) -> list[Ordinate]:
    """Every distance along one axis, least first, the datum's own zero among them."""
    index = 0 if axis == "x" else 1
    points = list(_needed(found, axis))
    if not points:
        return []
    second = axis == "x" if found.datum.level else axis == "y"
    mark = found.datum.into(found.datum.mark)
    if second or found.disc:
        points.append(mark)
    rows: list[Ordinate] = []
    for point in sorted(set(points), key=lambda place: (place[index], place[1 - index])):
        if rows and point[index] - rows[-1].value < SAME:
            rows[-1] = rows[-1]._replace(points=(*rows[-1].points, point))
        else:
            rows.append(Ordinate(axis, point[index], (point,)))
    return [
        row._replace(value=0.0) if any(abs(place[index]) < LEVEL for place in row.points) else row
        for row in rows
    ]


def _needed(found: Features, axis: PlateAxis) -> Iterable[Vec2]:
    """Points whose place along an axis follows from nothing else."""
    index = 0 if axis == "x" else 1
    for loop in found.loops:
        implied = {
            point
            for arc in found.arcs
            if arc.fillet
            for point in (arc.start, arc.end)
            if abs(point[1 - index] - arc.center[1 - index]) > LEVEL
        }
        yield from (edge.start for edge, _ in outline.spans(loop) if edge.start not in implied)
    holes = [*(hole.at for hole in found.rounds), *(slot.at for slot in found.slots)]
    if found.disc is None or any(math.hypot(*at) > SAME for at in holes):
        yield from holes
    for bend in found.bends:
        across = (bend.start[1 - index], bend.end[1 - index])
        if abs(bend.start[index] - bend.end[index]) < LEVEL or abs(across[0] - across[1]) > LEVEL:
            yield from (bend.start, bend.end)

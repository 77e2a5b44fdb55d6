"""Whether a plate's shape can be cut and welded: simple loops, openings inside and apart, no
sliver, no feather, no sharp inner corner. Lengths in mm.

The limits are common practice, no source: an edge shorter than 1.5 mm is lost in the kerf, a corner
under 30 deg burns away under the torch, and a sharp inner corner is where a crack begins.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from ...layout import reader
from ...layout.units import IN
from ..model.body import Edge, Loop, Plate
from ..model.vectors import Vec2
from ..words import numbers
from . import outline
from .kept import Kept

LEAST_EDGE = 1.5
LEAST_CORNER = math.radians(30.0)
SMOOTH = math.radians(2.0)
"""Two edges that meet within this of a straight line have no corner."""
FINE = 0.01
ROUND = 1e-6
"""Bulge by which a half turn may miss one: rounding."""


_KEPT = Kept[tuple[str, ...]]()


def faults(body: Plate, inner: float, holes: Sequence[Loop] = ()) -> list[str]:
    """What is wrong with a plate's outline, openings and ``holes``.

    Parameters
    ----------
    inner : float
        Least radius of an inner corner, mm; a slot's full-round end counts whatever its width.
    holes : sequence of Loop
        Outlines of drilled holes, mm.

    Returns
    -------
    list of str
        One sentence a fault, in the reader's units; [] if the plate can be cut.
    """
    found = _KEPT.get(
        lambda: tuple(_faults(body, inner, holes)),
        body.outline,
        body.openings,
        inner,
        holes,
        reader.reader(),
    )
    return list(found)


def _faults(body: Plate, inner: float, holes: Sequence[Loop]) -> list[str]:
    found = [*loop_faults(body.outline, inner, "the outline")]
    for opening in body.openings:
        found += loop_faults(opening, inner, f"opening {opening[0].name}", True)
    return found or list(_between(body.outline, (*body.openings, *holes)))


def loop_faults(loop: Loop, inner: float, what: str, opening: bool = False) -> Iterator[str]:
    """Faults of one loop, in words.

    Parameters
    ----------
    inner : float
        Least radius of an inner corner, mm.
    what : str
        How the loop is called in those words.
    opening : bool
        Whether steel lies outside it: its corners are then judged from there.
    """
    import shapely

    if not shapely.LinearRing(outline.flatten(loop, FINE)).is_simple:
        yield f"{what} crosses itself"
        return
    if outline.signed_area(loop) <= 0:
        yield f"{what} is turned inside out"
        return
    spans = list(outline.spans(loop))
    for (edge, meets), (after, end) in zip(spans, [*spans[1:], spans[0]], strict=True):
        if (long := outline.edge_length(edge, meets)) < LEAST_EDGE:
            yield (
                f"{what} has an edge of {reader.fine(long)} at {_place(edge.start)}"
                f" ({numbers.room(IN / 16)} is the least)"
            )
        steel = corner(edge, meets, after, end)
        steel = math.tau - steel if opening else steel
        if steel < LEAST_CORNER:
            yield (
                f"{what} has a feather of {math.degrees(steel):.0f} deg at {_place(meets)}"
                " (30 deg is the least)"
            )
        elif steel > math.pi + SMOOTH:
            yield (
                f"{what} has a sharp inner corner at {_place(meets)}: it wants a radius of"
                f" {reader.fine(inner)}"
            )
        hollow = edge.bulge > 0 if opening else edge.bulge < 0
        if hollow and abs(abs(edge.bulge) - 1.0) > ROUND:
            radius = outline.arc_of(edge.start, meets, edge.bulge).radius
            if radius < inner - 1e-6:
                yield (
                    f"{what} has an inner corner of {reader.fine(radius)} radius at"
                    f" {_place(edge.start)} ({reader.fine(inner)} is the least)"
                )


def corner(edge: Edge, meets: Vec2, after: Edge, end: Vec2) -> float:
    """Angle of steel inside a counter-clockwise loop where ``edge`` meets ``after`` at ``meets``,
    rad: pi for a smooth joint, more at an inner corner. ``end`` is where ``after`` ends.
    """
    turn = math.remainder(
        heading(after, end, False) - heading(edge, meets, True),
        math.tau,
    )
    return math.pi - turn


def heading(edge: Edge, end: Vec2, at_end: bool) -> float:
    """Direction an edge runs in at its start or at its end, rad from +x; an arc's two differ."""
    half = 2 * math.atan(edge.bulge)
    return math.atan2(end[1] - edge.start[1], end[0] - edge.start[0]) + (half if at_end else -half)


def _between(outer: Loop, inner: Sequence[Loop]) -> Iterator[str]:
    """Openings off the steel, on its edge, or into each other."""
    import shapely

    plate = shapely.Polygon(outline.flatten(outer, FINE))
    rooms = [
        (opening[0].name, shapely.Polygon(outline.flatten(opening, FINE))) for opening in inner
    ]
    for number, (name, room) in enumerate(rooms):
        if not plate.contains(room) or plate.exterior.distance(room) < LEAST_EDGE:
            yield (
                f"{_named(name)} at {_place((room.centroid.x, room.centroid.y))} runs off the edge"
                f" or leaves less than {numbers.room(IN / 16)} beside it"
            )
        for other, room2 in rooms[:number]:
            if room.distance(room2) < LEAST_EDGE:
                yield (
                    f"{_named(name)} runs into {_named(other)} at"
                    f" {_place((room.centroid.x, room.centroid.y))}"
                )


def _named(name: str) -> str:
    return (
        "a hole" if name == "hole" else "a tab's slot" if name.startswith("lock_") else "an opening"
    )


def _place(point: Vec2) -> str:
    return (
        f"({reader.number(point[0], 'length')}, {reader.number(point[1], 'length')})"
        f" {reader.unit('length')}"
    )

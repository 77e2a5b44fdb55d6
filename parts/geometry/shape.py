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
    """What is wrong with a plate's outline, openings and ``holes``, in words; [] if it can be cut.

    ``inner``: least radius of an inner corner, mm; a slot's full-round end counts whatever its
    width.
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
    for o in body.openings:
        found += loop_faults(o, inner, f"opening {o[0].name}", True)
    return found or list(_between(body.outline, (*body.openings, *holes)))


def loop_faults(loop: Loop, inner: float, what: str, opening: bool = False) -> Iterator[str]:
    """Faults of one loop. An opening's corners are judged from the steel round it."""
    import shapely

    if not shapely.LinearRing(outline.flatten(loop, FINE)).is_simple:
        yield f"{what} crosses itself"
        return
    if outline.signed_area(loop) <= 0:
        yield f"{what} is turned inside out"
        return
    spans = list(outline.spans(loop))
    for (e, q), (after, end) in zip(spans, [*spans[1:], spans[0]], strict=True):
        if (long := outline.edge_length(e, q)) < LEAST_EDGE:
            yield (
                f"{what} has an edge of {reader.fine(long)} at {_place(e.start)}"
                f" ({numbers.room(IN / 16)} is the least)"
            )
        steel = corner(e, q, after, end)
        steel = math.tau - steel if opening else steel
        if steel < LEAST_CORNER:
            yield (
                f"{what} has a feather of {math.degrees(steel):.0f} deg at {_place(q)} (30 deg is"
                " the least)"
            )
        elif steel > math.pi + SMOOTH:
            yield (
                f"{what} has a sharp inner corner at {_place(q)}: it wants a radius of"
                f" {reader.fine(inner)}"
            )
        hollow = e.bulge > 0 if opening else e.bulge < 0
        if hollow and abs(abs(e.bulge) - 1.0) > ROUND:
            r = outline.arc_of(e.start, q, e.bulge).radius
            if r < inner - 1e-6:
                yield (
                    f"{what} has an inner corner of {reader.fine(r)} radius at {_place(e.start)}"
                    f" ({reader.fine(inner)} is the least)"
                )


def corner(e: Edge, q: Vec2, after: Edge, end: Vec2) -> float:
    """Angle inside a counter-clockwise loop at ``q``, where ``e`` ends and ``after`` begins."""
    turn = math.remainder(
        heading(after, end, False) - heading(e, q, True),
        math.tau,
    )
    return math.pi - turn


def heading(e: Edge, q: Vec2, at_end: bool) -> float:
    """Direction an edge runs in at its start or its end, rad."""
    half = 2 * math.atan(e.bulge)
    return math.atan2(q[1] - e.start[1], q[0] - e.start[0]) + (half if at_end else -half)


def _between(outer: Loop, inner: Sequence[Loop]) -> Iterator[str]:
    """Openings off the steel, on its edge, or into each other."""
    import shapely

    plate = shapely.Polygon(outline.flatten(outer, FINE))
    rooms = [(o[0].name, shapely.Polygon(outline.flatten(o, FINE))) for o in inner]
    for n, (name, room) in enumerate(rooms):
        if not plate.contains(room) or plate.exterior.distance(room) < LEAST_EDGE:
            yield (
                f"{_named(name)} at {_place((room.centroid.x, room.centroid.y))} runs off the edge"
                f" or leaves less than {numbers.room(IN / 16)} beside it"
            )
        for other, room2 in rooms[:n]:
            if room.distance(room2) < LEAST_EDGE:
                yield (
                    f"{_named(name)} runs into {_named(other)} at"
                    f" {_place((room.centroid.x, room.centroid.y))}"
                )


def _named(name: str) -> str:
    return (
        "a hole" if name == "hole" else "a tab's slot" if name.startswith("lock_") else "an opening"
    )


def _place(p: Vec2) -> str:
    return (
        f"({reader.number(p[0], 'length')}, {reader.number(p[1], 'length')})"
        f" {reader.unit('length')}"
    )

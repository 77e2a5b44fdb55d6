"""A plate's view at one scale: its ordinates on the four sides, its leaders and weld symbols, a
folded view beside it, all placed so that nothing stands on anything.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from ...layout.arrays import Array
from ..model.vectors import Vec2
from . import wording
from .canvas import Canvas, InView, steel_of
from .dimensions import BendNote, Dimensions, Radius
from .features import Features, Slot
from .field import Box, extent
from .leaders import ArrowPlace, Wanted, fan, find, round_starts
from .lettering import HEIGHT, LINE, box_of, letters, width
from .ordinates import choose, place
from .picture_of_plate import WeldLine
from .placed import Measured, PlacedDimension, PlacedStroke
from .placed_view import PlacedView
from .side import SideElevation, put, reach
from .symbols import draw_symbol, symbol_size

if TYPE_CHECKING:
    from shapely.geometry import Polygon

BETWEEN = 40.0
"""Points between a flat and the folded view beside it."""
SHRUNK = 0.4
"""Points off the steel, so that a line along an edge runs over none."""
CROSS = 4.0
"""Points a center line runs past its hole."""


def attempt(
    found: Features,
    dims: Dimensions,
    shown: InView,
    welds: Sequence[WeldLine],
    *,
    area: Box,
    scale: float,
    patient: bool,
    side: SideElevation | None = None,
) -> PlacedView | None:
    """The view at ``scale`` points a mm in an area, None where something finds no room.

    ``side``: a side view that stands beside it.

    ``patient``: weld symbols that find no room are left to the notes.
    """

    steel = steel_of(shown)
    own = extent((scale * x, scale * y) for x, y in shown.steel[0])
    if not _fits(own, area):
        return None
    chosen = choose(
        dims.ordinates, lambda point: (scale * point[0], scale * point[1]), _over(steel, scale), own
    )
    first, second = ("A", "B") if found.disc is None else ("", "")
    zero = {"y": first, "x": second} if found.datum.level else {"x": first, "y": second}
    laid = _beside(_extent(place(chosen, own, zero), own), side, scale, area)
    if laid is None:
        return None
    (dx, dy), off = laid
    canvas = Canvas(scale, (dx, dy), area, shown, steel)
    for points, kind in _centers(found, canvas):
        canvas.add(points, kind)
    moved = [each._replace(anchor=(each.anchor[0] + dx, each.anchor[1] + dy)) for each in chosen]
    box = Box(own.left + dx, own.low + dy, own.right + dx, own.high + dy)
    for each in place(moved, box, zero):
        canvas.take(each)
    if side:
        _put_side(canvas, side, off)
    if not _leaders(canvas, dims) or not (_welds(canvas, welds) or patient):
        return None
    return PlacedView(scale, (dx, dy), area, shown.exact, tuple(canvas.lines), tuple(canvas.placed))


def _fits(box: Box, area: Box) -> bool:
    """Whether a box is no larger than the area."""
    return (
        box.right - box.left <= area.right - area.left
        and box.high - box.low <= area.high - area.low
    )


def _over(steel: Polygon, scale: float) -> Callable[[Array, Array], Array]:
    """What says how many points of steel lie under segments."""
    import shapely

    shrunk = shapely.transform(steel, lambda points: points * scale).buffer(-SHRUNK)

    def over(starts: Array, ends: Array) -> Array:
        lines = shapely.linestrings(np.stack((starts, ends), axis=1))
        lengths: Array = shapely.length(shapely.intersection(lines, shrunk))
        return lengths

    return over


def _welds(canvas: Canvas, welds: Sequence[WeldLine]) -> bool:
    """A symbol on every edge that is welded; whether all of them found room."""
    done = True
    for row in welds:
        for edge in row.edges:
            sized = symbol_size(row.weld, row.number)
            starts = canvas.edge_starts(edge)
            found = find(canvas.field, Wanted(starts, sized.wide, sized.tall, row.opening))
            if found is None:
                done = False
            else:
                canvas.take(draw_symbol(sized, found.tip, found.knee, found.box), True)
    return done


def attempt_side(
    side: SideElevation, steel: Sequence[Vec2], area: Box, scale: float
) -> PlacedView | None:
    """A side view alone, None where something finds no room; ``steel``: its outline."""
    box = reach(side, scale)
    if not _fits(box, area):
        return None
    shift = (
        (area.left + area.right - box.left - box.right) / 2,
        (area.low + area.high - box.low - box.high) / 2,
    )
    shown = InView(side.lines, (tuple(steel),), ())
    canvas = Canvas(scale, shift, area, shown, steel_of(shown))
    for placed in put(side, scale, shift)[1]:
        canvas.take(placed)
    for remark in side.remarks:
        starts = [start for tip, way in remark.tips for start in fan(canvas.to(tip), way, 0.9)]
        wanted = Wanted(tuple(starts), width(remark.words), HEIGHT)
        of = [canvas.to(point) for point in remark.of]
        if not canvas.lead(remark.what, remark.size, remark.words, wanted, of):
            return None
    return PlacedView(scale, shift, area, (), tuple(canvas.lines), tuple(canvas.placed))


def _put_side(canvas: Canvas, side: SideElevation, at: Vec2) -> None:
    """A side view beside the flat one, its name under it."""
    lines, lengths = put(side, canvas.scale, at)
    for points, kind in lines:
        canvas.add(points, kind)
    for placed in lengths:
        canvas.take(placed)
    box = reach(side, canvas.scale)
    middle = at[0] + (box.left + box.right) / 2
    text = letters((middle, at[1] + box.low - LINE), side.words, "middle")
    canvas.take(PlacedDimension(Measured("note", 0.0, (), side.words), (), (), (text,)))


def _beside(
    flat: Box, side: SideElevation | None, scale: float, area: Box
) -> tuple[Vec2, Vec2] | None:
    """Where the noughts of the flat and of the side view come, the side view right of the flat or
    above it; None where they find no room.
    """
    if side is None:
        return (_centred(flat, area), (0.0, 0.0)) if _fits(flat, area) else None
    own = reach(side, scale)
    half = max(0.0, (width(side.words) - own.right + own.left) / 2)
    own = Box(own.left - half, own.low - LINE, own.right + half, own.high)
    for right in (True, False):
        dx = (
            flat.right + BETWEEN - own.left
            if right
            else (flat.left + flat.right) / 2 - (own.left + own.right) / 2
        )
        dy = (
            (flat.low + flat.high - own.low - own.high) / 2
            if right
            else (flat.high + BETWEEN - own.low)
        )
        both = extent(
            (
                (flat.left, flat.low),
                (flat.right, flat.high),
                (own.left + dx, own.low + dy),
                (own.right + dx, own.high + dy),
            )
        )
        if _fits(both, area):
            x, y = _centred(both, area)
            return (x, y), (x + dx, y + dy)
    return None


def _centred(box: Box, area: Box) -> Vec2:
    return (
        (area.left + area.right - box.left - box.right) / 2,
        (area.low + area.high - box.low - box.high) / 2,
    )


def _extent(placed: Sequence[PlacedDimension], part: Box) -> Box:
    """The box round a part and its ordinates."""
    points = [(part.left, part.low), (part.right, part.high)]
    for each in placed:
        points += [point for line, _ in each.lines for point in line]
        for text in each.texts:
            box = box_of(text)
            points += [(box.left, box.low), (box.right, box.high)]
    return extent(points).grown(2.0)


def _centers(found: Features, canvas: Canvas) -> Iterator[PlacedStroke]:
    """Center lines of holes and slots."""
    rows = [(hole.at, hole.diameter / 2) for hole in found.rounds]
    rows += [(slot.at, slot.length / 2) for slot in found.slots]
    for at, radius in rows:
        x, y = canvas.to(at)
        half = radius * canvas.scale + CROSS
        yield ((x - half, y), (x + half, y)), "center"
        yield ((x, y - half), (x, y + half)), "center"


def _leaders(canvas: Canvas, dims: Dimensions) -> bool:
    """Every bend, hole, slot, radius and angle; False where one finds no room."""
    done = all(_bend(canvas, note) for note in dims.bends)
    for hole in dims.diameters if done else ():
        words = wording.diameter(hole)
        starts = [
            start
            for each in hole.rounds
            for start in round_starts(canvas.to(each.at), each.diameter / 2 * canvas.scale)
        ]
        wanted = Wanted(tuple(starts), width(words), HEIGHT, not hole.disc)
        centre = canvas.to(hole.rounds[0].at)
        done = done and canvas.lead("diameter", hole.diameter, words, wanted, [centre])
    for size in dims.slots if done else ():
        words = wording.slot(size)
        starts = [start for each in size.slots for start in _slot_starts(canvas, each)]
        wanted = Wanted(tuple(starts), width(words), HEIGHT, True)
        done = done and canvas.lead("note", size.width, words, wanted)
    done = done and all(_radius(canvas, radius) for radius in dims.radii)
    for angle in dims.angles if done else ():
        words = wording.slope(angle)
        starts = [
            start for each in angle.slopes for start in canvas.edge_starts((each.start, each.end))
        ]
        wanted = Wanted(tuple(starts), width(words), HEIGHT)
        ends = [canvas.to(angle.slopes[0].start), canvas.to(angle.slopes[0].end)]
        done = done and canvas.lead("angle", angle.angle, words, wanted, ends)
    return done


def _slot_starts(canvas: Canvas, slot: Slot) -> list[ArrowPlace]:
    """On the round ends of a slot, outward."""
    half = (slot.length - slot.width) / 2
    found = []
    for way in (slot.angle, slot.angle + math.pi):
        x, y = slot.at[0] + half * math.cos(way), slot.at[1] + half * math.sin(way)
        for turn in (0.0, 0.5, -0.5, 1.0, -1.0):
            radius = slot.width / 2
            tip = (x + radius * math.cos(way + turn), y + radius * math.sin(way + turn))
            found.append(ArrowPlace(canvas.to(tip), way + turn))
    return found


def _radius(canvas: Canvas, radius: Radius) -> bool:
    """A leader along the radius, on the open side of one of the arcs."""
    words = wording.radius(radius)
    starts: list[ArrowPlace] = []
    of: dict[Vec2, Vec2] = {}
    for arc in radius.arcs:
        for share in (0.5, 0.3, 0.7, 0.15, 0.85):
            tip = arc.at(share)
            out = math.atan2(tip[1] - arc.centre[1], tip[0] - arc.centre[0])
            starts.append(ArrowPlace(canvas.to(tip), out + math.pi if arc.hollow else out))
            of[starts[-1].tip] = canvas.to(arc.centre)
    inside = all(arc.opening for arc in radius.arcs)
    wanted = Wanted(tuple(starts), width(words), HEIGHT, inside)
    return canvas.lead("radius", radius.radius, words, wanted, of)


def _bend(canvas: Canvas, note: BendNote) -> bool:
    """A leader to one end of the bend line, from off the plate."""
    words = wording.bend(note)
    (x0, y0), (x1, y1) = note.bend.start, note.bend.end
    along = math.atan2(y1 - y0, x1 - x0)
    starts = (
        *fan(canvas.to((x0, y0)), along + math.pi, 1.2, 9),
        *fan(canvas.to((x1, y1)), along, 1.2, 9),
    )
    wanted = Wanted(starts, width(words), HEIGHT)
    return canvas.lead("note", abs(note.bend.angle), words, wanted)

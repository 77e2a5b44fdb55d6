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
from .features import Features, Slot, ends_within
from .field import Box, extent
from .leaders import ArrowPlace, Wanted, fan, find, round_starts
from .lettering import HEIGHT, LINE, box_of, letters, width
from .ordinates import choose, place
from .picture_of_plate import WeldLine
from .placed import Measured, PlacedDimension, PlacedStroke
from .placed_view import PlacedView
from .side import SectionCut, SideElevation, put, reach
from .symbols import draw_symbol, symbol_size

if TYPE_CHECKING:
    from shapely.geometry import Polygon

BETWEEN = 40.0
"""Points between a flat and the folded view beside it."""
LEADER = 3 * LINE
"""Points above and below a side view for the leaders of its remarks."""
SHRUNK = 0.4
"""Points off the steel, so that a line along an edge runs over none."""
TICK = 4.5
"""Points a tick across a side is long to either side of it."""
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
    sides: Sequence[SideElevation] = (),
) -> PlacedView | None:
    """The view at ``scale`` points a mm in an area, None where something finds no room.

    ``sides``: side views and sections that stand beside it.

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
    laid = _beside(_extent(place(chosen, own, zero), own), sides, scale, area)
    if laid is None:
        return None
    (dx, dy), spots = laid
    canvas = Canvas(scale, (dx, dy), area, shown, steel)
    for points, kind in _centers(found, canvas):
        canvas.add(points, kind)
    for at, way in ends_within(found):
        canvas.add(_tick(canvas.to(at), way), "narrow")
    moved = [each._replace(anchor=(each.anchor[0] + dx, each.anchor[1] + dy)) for each in chosen]
    box = Box(own.left + dx, own.low + dy, own.right + dx, own.high + dy)
    for each in place(moved, box, zero):
        canvas.take(each)
    if not all(_put_side(canvas, side, at) for side, at in zip(sides, spots, strict=True)):
        return None
    if not all(_cut_at(canvas, side.cut) for side in sides if side.cut):
        return None
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
    if not _remarks(canvas, side, shift):
        return None
    return PlacedView(scale, shift, area, (), tuple(canvas.lines), tuple(canvas.placed))


def _remarks(canvas: Canvas, side: SideElevation, at: Vec2) -> bool:
    """A side view's leaders, ``at`` its nought; False where one finds no room."""

    def to(point: Vec2) -> Vec2:
        return at[0] + canvas.scale * point[0], at[1] + canvas.scale * point[1]

    for remark in side.remarks:
        starts = [start for tip, way in remark.tips for start in fan(to(tip), way, 0.9)]
        wanted = Wanted(tuple(starts), width(remark.words), HEIGHT)
        if not canvas.lead(
            remark.what, remark.size, remark.words, wanted, [to(point) for point in remark.of]
        ):
            return False
    return True


def _cut_at(canvas: Canvas, cut: SectionCut) -> bool:
    """Where a section is cut: a leader to its edge; False where it finds no room."""
    words = f"section {cut.letter}-{cut.letter}"
    starts = tuple(start for edge in cut.edges for start in canvas.edge_starts(edge))
    aside = starts[-len(starts) // 5 :]
    return any(
        canvas.lead("note", 0.0, words, Wanted(some, width(words), HEIGHT, cut.opening))
        for some in (aside, starts)
    )


def _put_side(canvas: Canvas, side: SideElevation, at: Vec2) -> bool:
    """A side view beside the flat one, its name under it; False where a leader has no room."""
    lines, lengths = put(side, canvas.scale, at)
    for points, kind in lines:
        canvas.add(points, kind)
    for placed in lengths:
        canvas.take(placed)
    box = reach(side, canvas.scale)
    middle = at[0] + (box.left + box.right) / 2
    below = LINE + (LEADER if side.remarks else 0.0)
    text = letters((middle, at[1] + box.low - below), side.words, "middle")
    canvas.take(PlacedDimension(Measured("note", 0.0, (), side.words), (), (), (text,)))
    return _remarks(canvas, side, at)


def _beside(
    flat: Box, sides: Sequence[SideElevation], scale: float, area: Box
) -> tuple[Vec2, list[Vec2]] | None:
    """Where the noughts of the flat and of the side views come, these right of the flat one under
    the other, or in a row above it; None where they find no room.
    """
    boxes = [_room_of(side, scale) for side in sides]
    for right in (True, False) if boxes else (True,):
        spots = _stacked(flat, boxes, right)
        corners = [(flat.left, flat.low), (flat.right, flat.high)]
        for box, (dx, dy) in zip(boxes, spots, strict=True):
            corners += [(box.left + dx, box.low + dy), (box.right + dx, box.high + dy)]
        both = extent(corners)
        if _fits(both, area):
            x, y = _centerd(both, area)
            return (x, y), [(x + dx, y + dy) for dx, dy in spots]
    return None


def _room_of(side: SideElevation, scale: float) -> Box:
    """What a side view takes about its nought, with its name and the lettering of its leaders."""
    own = reach(side, scale)
    half = max(0.0, (width(side.words) - own.right + own.left) / 2)
    beside = max((width(each.words) for each in side.remarks), default=0.0)
    above = LEADER if side.remarks else 0.0
    return Box(
        own.left - max(half, 0.0),
        own.low - LINE - above,
        own.right + max(half, beside),
        own.high + above,
    )


def _stacked(flat: Box, boxes: Sequence[Box], right: bool) -> list[Vec2]:
    """Shifts of boxes to a column right of the flat, or to a row above it."""
    spots: list[Vec2] = []
    gaps = BETWEEN * (len(boxes) - 1)
    if right:
        down = (flat.low + flat.high + gaps + sum(box.high - box.low for box in boxes)) / 2
        for box in boxes:
            spots.append((flat.right + BETWEEN - box.left, down - box.high))
            down -= box.high - box.low + BETWEEN
        return spots
    across = (flat.left + flat.right - gaps - sum(box.right - box.left for box in boxes)) / 2
    for box in boxes:
        spots.append((across - box.left, flat.high + BETWEEN - box.low))
        across += box.right - box.left + BETWEEN
    return spots


def _centerd(box: Box, area: Box) -> Vec2:
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


def _tick(at: Vec2, way: float) -> tuple[Vec2, Vec2]:
    """A short line across a side at a point of it."""
    x, y = TICK * math.sin(way), -TICK * math.cos(way)
    return (at[0] - x, at[1] - y), (at[0] + x, at[1] + y)


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
        center = canvas.to(hole.rounds[0].at)
        done = done and canvas.lead("diameter", hole.diameter, words, wanted, [center])
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
            out = math.atan2(tip[1] - arc.center[1], tip[0] - arc.center[0])
            starts.append(ArrowPlace(canvas.to(tip), out + math.pi if arc.hollow else out))
            of[starts[-1].tip] = canvas.to(arc.center)
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

"""One assembly sheet: views, lists beside them, notes and title block, on the smallest paper that
holds them at the largest standard scale.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ....layout.graph import Graph
from ...model.vectors import Vec2
from ..canvas import POINTS
from ..display import Sheet
from ..field import Box
from ..lettering import NARROW, SIZE
from ..part_sheet import AIR, MUCH_SMALLER, TitleHead
from ..placed_view import PlacedView
from ..scales import LARGEST, Scale, papers, scales
from ..symbols import symbol_size
from ..title import MARGIN, WIDEST_SCALE, TitleCell, draw_block, draw_notes, foot_height, lay_out
from .block import TitleBlock, block_of, title_rows
from .board import Board, Laid, lay, left_free
from .directions import Direction, arrangements, directions, pictorial_ways
from .exploded import Aslant, Pictorial
from .groups import Placed, SheetGroup
from .lists import Item, SheetTable, bolt_table, item_table, items, notes, weld_table
from .marks import END_ON, Sights, Spot, bolt_ends, item_spots, unseen
from .pictures import Picture, draw, picture, scene
from .positions import positions
from .tables import PAD, draw_tables, tall, wide

NARROWEST = 300.0
"""Points of width the views have at least."""
SMALL, SMALL_APART = 0.55, 0.3
"""Share of the views' scale a picture has at least; one that shows what they do not."""
LEAST = 200.0
"""Points the longest view is drawn at least while a larger sheet is left to try."""


class Ready(NamedTuple):
    """A group with everything that stands on its sheet, before it has a place."""

    group: SheetGroup
    pictures: tuple[Picture, ...]
    pictorial: Pictorial | None
    items: tuple[Item, ...]
    spots: Mapping[str, Spot]
    tables: tuple[SheetTable, ...]
    notes: tuple[str, ...]
    hidden: tuple[str, ...]
    block: TitleBlock

    def title(self, scale: str) -> tuple[tuple[TitleCell, ...], ...]:
        """The title block at a scale."""
        return title_rows(self.block, scale)


class DrawnGroup(NamedTuple):
    """A sheet with what it shows, for who checks it; ``left``: what found no room."""

    group: SheetGroup
    sheet: Sheet
    ready: Ready
    board: Board
    left: tuple[str, ...]


class FlatViews(NamedTuple):
    """A group's views with what is pointed at on them, and the group to be seen aslant."""

    pictures: tuple[Picture, ...]
    items: tuple[Item, ...]
    spots: Mapping[str, Spot]
    aslant: Aslant


def flat(placed: Placed, block: TitleBlock) -> FlatViews:
    """The views of a group; another where a weld is in sight of none so far."""
    group = block.group
    looked = scene(placed, group)
    first, more = directions(group.side)
    views: list[Direction] = list(first)
    sights = Sights(placed, group, looked)
    spots = sights.spots(views)
    while unseen(spots) and more:
        tried = [(len(unseen(sights.spots([*views, way]))), at) for at, way in enumerate(more)]
        least, best = min(tried)
        if least >= len(unseen(spots)):
            break
        views.append(more[best])
        more = more[:best] + more[best + 1 :]
        spots = sights.spots(views)
    return FlatViews(
        tuple(picture(placed, group, looked, direction) for direction in views),
        tuple(items(placed, group, block.head.chassis)),
        spots,
        Aslant(placed, group, looked),
    )


def ready(placed: Placed, block: TitleBlock, seen: FlatViews, crowded: Sequence[str] = ()) -> Ready:
    """Views, marks and lists of a group.

    ``crowded``: welds without room in the views, shown on the picture if it has them in sight.
    """
    group, rows = block.group, seen.items
    wanted = [*unseen(seen.spots), *crowded]
    aslant = seen.aslant.seen(pictorial_ways(group.side), wanted)
    last = len(seen.pictures)
    spots = {**seen.spots}
    spots |= {key: spot._replace(view=last) for key, spot in aslant.spots.items()}
    tables = (item_table(rows), weld_table(placed, group, rows), bolt_table(placed, group))
    return Ready(
        group=group,
        pictures=seen.pictures,
        pictorial=aslant,
        items=rows,
        spots=spots,
        tables=tuple(table for table in tables if table.rows),
        notes=tuple(notes(placed, group, rows, unseen(spots))),
        hidden=tuple(unseen(spots)),
        block=block,
    )


class Ground(NamedTuple):
    """A paper with its drawing area, and where lists and notes stand."""

    size: Vec2
    area: Box
    lists: Box


def ground(size: Vec2, what: Ready) -> Ground | None:
    """The areas of a paper; None where lists or notes leave no room."""
    tables, said = what.tables, what.notes
    foot = (
        MARGIN
        + foot_height(what.title(WIDEST_SCALE), what.block.head.revisions, size[0])
        + lay_out(said, size[0] - 2 * MARGIN).height
        + AIR
    )
    top = size[1] - MARGIN - AIR
    across = max(wide(table) for table in tables)
    lists = Box(size[0] - MARGIN - AIR - across, foot, size[0] - MARGIN - AIR, top)
    down = sum(tall(table) for table in tables)
    area = Box(MARGIN + AIR, foot, lists.left - 2 * PAD, top)
    if down > top - foot or area.right - area.left < NARROWEST:
        return None
    return Ground(size, area, lists)


def assembly_sheet(
    placed: Placed, group: SheetGroup, head: TitleHead, solved: Graph, number: str
) -> DrawnGroup:
    """The drawing of a group. AssertionError where no paper holds its lists and views."""
    block = block_of(placed, group, head, number)
    seen = flat(placed, block)
    once = ready(placed, block, seen)
    drawn = _drawn(placed, once, solved)
    crowded = [name for name in drawn.left if name in group.welds]
    again = ready(placed, block, seen, crowded) if crowded else once
    if again.spots == once.spots and _shown(again) is _shown(once):
        return drawn
    return min(drawn, _drawn(placed, again, solved), key=lambda one: len(one.left))


def _shown(what: Ready) -> Picture | None:
    return what.pictorial.picture if what.pictorial else None


def _drawn(placed: Placed, what: Ready, solved: Graph) -> DrawnGroup:
    """On the smallest paper that has room for everything, else where least is left over."""
    last: DrawnGroup | None = None
    for found, scale in tries(placed, what):
        for aslant in (True, False):
            board = _attempt(placed, what, solved, (found, scale), aslant)
            if board is None:
                continue
            left = _mark(board, what)
            drawn = finished(what, found, scale, board, left)
            if not left:
                return drawn
            if last is None or len(left) < len(last.left):
                last = drawn
    assert last is not None, f"no sheet holds {what.group.name}"
    return last


def tries(placed: Placed, what: Ready, more: bool = False) -> Iterator[tuple[Ground, Scale]]:
    """Papers with scales, the smallest paper first, on each the largest scale first;
    ``more``: one larger paper too.
    """
    longest = max(max(one.high[0] - one.low[0], one.high[1] - one.low[1]) for one in what.pictures)
    sizes = papers(placed.shop.paper)[1:]
    sizes += [LARGEST[sizes[-1][0]]] if more else []
    grounds = [(name, ground(size, what)) for name, size in sizes]
    for small in (False, True):
        for name, found in grounds:
            large = name == sizes[-1][0]
            for scale in scales() if found else ():
                long = longest * scale.ratio * POINTS
                if scale.ratio > 1.0 or (scale.ratio <= MUCH_SMALLER) != small:
                    continue
                if small or large or long >= LEAST:
                    assert found is not None
                    yield found, scale


def _attempt(
    placed: Placed, what: Ready, solved: Graph, sized: tuple[Ground, Scale], aslant: bool
) -> Board | None:
    """The views with their ordinates and words, and the picture if ``aslant``; None where they have
    no room.
    """
    old, (found, scale) = what.pictures, sized
    for views in arrangements([each.direction for each in old]):
        pictures = [each._replace(direction=way) for each, way in zip(old, views, strict=True)]
        laid = lay(pictures, scale.ratio * POINTS, found.area)
        if laid:
            break
    else:
        return None
    board = _board(what, pictures, laid, sized, aslant)
    if board is None:
        return None
    _centers(board, placed, what)
    for view, chosen in positions(placed, what.group, what.pictures, solved).items():
        board.ordinates(view, chosen)
    for view, each in enumerate(board.pictures):
        board.caption(view, each.direction.words)
    return board


def _board(
    what: Ready, pictures: list[Picture], laid: Laid, sized: tuple[Ground, Scale], wanted: bool
) -> Board | None:
    """The views, and the picture if ``wanted`` where they leave room; without it where they leave
    none, None where that hides a weld.
    """
    aslant, (found, scale) = what.pictorial, sized
    assert aslant is not None
    (u0, v0), (u1, v1) = aslant.picture.low, aslant.picture.high
    full = scale.ratio * POINTS
    rooms = [
        (min(full, (cell.right - cell.left) / (u1 - u0), (cell.high - cell.low) / (v1 - v0)), cell)
        for cell in (*laid.free, *left_free(found.area, laid.boxes))
    ]
    own, cell = max(rooms, key=lambda row: row[0], default=(0.0, None))
    least = SMALL_APART if aslant.apart or aslant.spots else SMALL
    if not wanted or cell is None or own < least * full:
        return None if aslant.spots else Board(pictures, scale.ratio, found.area, laid)
    x = (cell.left + cell.right) / 2 - own * (u0 + u1) / 2
    y = (cell.low + cell.high) / 2 - own * (v0 + v1) / 2
    box = Box(x + own * u0, y + own * v0, x + own * u1, y + own * v1)
    laid = laid._replace(origins=(*laid.origins, (x, y)), boxes=(*laid.boxes, box))
    board = Board([*pictures, aslant.picture], scale.ratio, found.area, laid, own)
    for points, kind in aslant.axes:
        board.add(tuple(board.to(len(pictures), point) for point in points), kind)
    return board


def _centers(board: Board, placed: Placed, what: Ready) -> None:
    """Center lines of bolts: a cross end on, the axis lengthwise."""
    for index, each in enumerate(what.pictures):
        view = each.direction.view
        for bolt in what.group.bolts.values():
            one, two = bolt_ends(placed, bolt, bolt.through)
            first, last = (board.to(index, each.to(point)) for point in (one, two))
            if abs(float(np.dot(bolt.along, view.eye))) > END_ON:
                arm = 7.0
                board.add(((first[0] - arm, first[1]), (first[0] + arm, first[1])), "center")
                board.add(((first[0], first[1] - arm), (first[0], first[1] + arm)), "center")
            else:
                way = np.array(last) - np.array(first)
                way = way / max(float(np.hypot(*way)), 1e-9) * 6.0
                start, end = np.array(first) - way, np.array(last) + way
                board.add(
                    ((float(start[0]), float(start[1])), (float(end[0]), float(end[1]))), "center"
                )


def _mark(board: Board, what: Ready) -> tuple[str, ...]:
    """Balloons, bolts and welds; what found no room."""
    left = []
    for item in what.items:
        spot = item_spots(what.pictures, item.codes)
        if spot is None or not board.balloon(spot.view, spot.tips, item.number):
            left.append(f"item {item.number}")
    for number in what.group.bolts:
        spot = what.spots[number]
        if not board.note(spot.view, spot.tips, number):
            left.append(number)
    for number, weld in what.group.welds.items():
        found = what.spots.get(number)
        if found is None or not board.weld(found.view, found.tips, symbol_size(weld, number)):
            left.append(number)
    return tuple(left)


def finished(
    what: Ready, found: Ground, scale: Scale, board: Board, left: tuple[str, ...]
) -> DrawnGroup:
    """The sheet with everything on it."""
    group, head = what.group, what.block.head
    block = what.title(scale.words)
    sheet = Sheet(f"{head.chassis} assembly, {group.name}", found.size)
    sheet.foot = (SIZE, NARROW)
    sheet.box(MARGIN, MARGIN, found.size[0] - 2 * MARGIN, found.size[1] - 2 * MARGIN)
    draw_block(sheet, block, head.revisions)
    said = lay_out(what.notes, found.size[0] - 2 * MARGIN)
    top = MARGIN + foot_height(block, head.revisions, found.size[0]) + said.height
    draw_notes(sheet, said, Box(MARGIN, top - said.height, found.size[0] - MARGIN, top))
    draw_tables(sheet, what.tables, found.lists)
    edge = found.area.right + PAD
    sheet.line((edge, top + AIR / 2), (edge, found.size[1] - MARGIN))
    sheet.line((MARGIN, top + AIR / 2), (found.size[0] - MARGIN, top + AIR / 2))
    draw(sheet, board.lines)
    for each in board.placed:
        for points, kind in each.lines:
            sheet.line(*points, kind=kind)
        for tip in each.arrows:
            sheet.head(tip)
        sheet.texts += each.texts
    sheet.view = PlacedView(
        board.scale,
        (found.area.left, found.area.low),
        found.area,
        (),
        tuple(board.lines),
        tuple(board.placed),
    )
    return DrawnGroup(group, sheet, what, board, left)

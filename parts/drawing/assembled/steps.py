"""Steps of a stage: a group's new parts drawn heavy on what stands there already, with its items,
bolts and welds numbered, from as many sides as it takes to see them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Container, Iterator, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from ...model.assembly import Bolt, Member, Weld
from ...model.body import Existing
from ...model.numbering import STAGES, bolt_stage, stage_of, weld_stage
from ...model.terms import Stage
from ..canvas import POINTS
from ..display import Sheet
from ..field import Box
from .board import Board, Laid
from .directions import SLANTED, Direction, every_way, pictorial_ways
from .exploded import Aslant
from .groups import Placed, SheetGroup
from .lists import Item, items
from .marks import PictureLetters, Sights, Spot, item_spots, unseen
from .pictures import Picture, draw, picture, scene

MOST = 3
"""Pictures a step has at most."""
SIZE = (532.0, 176.0)
"""Points of the strip of pictures, at most as high."""
BARE = 4.0
"""Points left above and below what is drawn on it."""
BESIDE, ABOVE, LEAST = 52.0, 18.0, 12.0
"""Points beside and above a picture for what is lettered, and beside one at least."""
MANY = 16
"""Numbers on a step's pictures above which it is taken family by family and side by side."""
APART = 200.0
"""mm between parts that are shown in steps of their own."""
SHARES = (1.6, 1.3, 1.0, 0.85, 0.7, 0.55, 0.45)
"""Of the scale at which what is lettered has its room at both sides, tried in turn until everything
has: where little is lettered a picture may take more.
"""


class AssemblyStep(NamedTuple):
    """What is put in, welded and bolted at one place in one stage.

    ``group``: new members, what stands round them, and the step's own welds and bolts; ``sheet``:
    name of the assembly drawing it belongs to; ``number``: of the drawing.
    """

    stage: Stage
    group: SheetGroup
    sheet: str
    number: str

    @property
    def name(self) -> str:
        """What it is called."""
        return self.group.name


class StepPictures(NamedTuple):
    """A step's pictures side by side, its items, and what found no room or is out of sight."""

    sheet: Sheet
    items: tuple[Item, ...]
    left: tuple[str, ...]
    hidden: tuple[str, ...]


def steps(placed: Placed, every: Sequence[tuple[SheetGroup, str]]) -> list[AssemblyStep]:
    """Every step of the job, by stage, in the order of the welds and bolts; ``every``: groups with
    the numbers of their drawings.
    """
    found = [
        step
        for stage in STAGES
        for group, number in every
        for step in _of(placed, group, stage, number)
    ]
    order = {key: at for at, key in enumerate((*placed.welds, *placed.bolts))}

    def first(step: AssemblyStep) -> tuple[int, int]:
        own = (*step.group.welds, *step.group.bolts)
        return STAGES.index(step.stage), min(map(order.__getitem__, own), default=len(order))

    return sorted(found, key=first)


def _home(placed: Placed, codes: Sequence[str], stage: Stage) -> str:
    """The member a weld or bolt is shown with: of those it joins one its stage puts in, where there
    is one on a sheet.
    """
    there = [code for code in codes if placed.sheet_of(code)]
    new = [code for code in there if stage_of(placed.members[code]) == stage]
    return next(iter((*new, *there)), "")


def _of(placed: Placed, group: SheetGroup, stage: Stage, number: str) -> Iterator[AssemblyStep]:
    """The steps of a group in a stage: one, or more where one would be crowded."""
    whole = placed.truck.assembly
    kind = _kinds(placed, group, stage)
    welds = {
        key: (weld, home)
        for key, weld in placed.welds.items()
        if weld_stage(whole, weld) == stage
        and (home := _home(placed, (weld.on, weld.to), stage)) in kind
    }
    bolts = {
        key: (bolt, home)
        for key, bolt in placed.bolts.items()
        if bolt_stage(whole, bolt) == stage and (home := _home(placed, bolt.through, stage)) in kind
    }
    new = [member for member in group.members if stage_of(member) == stage]
    if len(new) + len(welds) + len(bolts) <= MANY:
        kind = {code: ("", place) for code, (_, place) in kind.items()}
    for each in dict.fromkeys(kind.values()):
        own = group._replace(
            welds={key: weld for key, (weld, on) in welds.items() if kind[on] == each},
            bolts={key: bolt for key, (bolt, on) in bolts.items() if kind[on] == each},
        )
        mine = [member for member in new if kind[member.code] == each]
        yield from _step(placed, own, stage, number, mine)


def _kinds(placed: Placed, group: SheetGroup, stage: Stage) -> dict[str, tuple[str, int]]:
    """Family with its side, and place, of every member: members farther than ``APART`` from each
    other are of two places unless others of the stage stand between.
    """
    boxes = {
        member.code: (corners.min(axis=0) - APART / 2, corners.max(axis=0) + APART / 2)
        for member in group.members
        if len(corners := placed.shapes[member.code].corners)
    }
    place: dict[str, int] = {}
    for member in sorted(group.members, key=lambda member: stage_of(member) != stage):
        if member.code not in boxes:
            place[member.code] = 0
            continue
        low, high = boxes[member.code]
        met = {
            place[code]
            for code, (least, most) in boxes.items()
            if code in place and (low < most).all() and (least < high).all()
        }
        own = min(met, default=len(place))
        place = {code: own if was in met else was for code, was in place.items()}
        place[member.code] = own
    return {
        member.code: (f"{member.family}{member.code[-1]}", place[member.code])
        for member in group.members
    }


def _step(
    placed: Placed, group: SheetGroup, stage: Stage, number: str, new: Sequence[Member]
) -> Iterator[AssemblyStep]:
    """A step, where there is anything to do in it."""
    if not (new or group.welds or group.bolts):
        return
    shown = tuple(new) or _worked(group, group.welds, group.bolts)
    codes = {member.code for member in shown}
    joined = [
        placed.members[code]
        for codes in (
            *((weld.on, weld.to) for weld in group.welds.values()),
            *(bolt.through for bolt in group.bolts.values()),
        )
        for code in codes
        if code in placed.members
    ]
    now = STAGES.index(stage)
    standing = {
        member.code: member
        for member in (*group.members, *group.near, *joined)
        if member.code not in codes
        and (isinstance(member.body, Existing) or STAGES.index(stage_of(member)) <= now)
    }
    own = group._replace(members=shown, near=tuple(standing.values()))
    yield AssemblyStep(stage, own, group.name, number)


def _worked(
    group: SheetGroup, welds: Mapping[str, Weld], bolts: Mapping[str, Bolt]
) -> tuple[Member, ...]:
    """Members of a group that a stage welds or bolts though it puts none in."""
    codes = {code for weld in welds.values() for code in (weld.on, weld.to)}
    codes |= {code for bolt in bolts.values() for code in bolt.through}
    return tuple(member for member in group.members if member.code in codes)


class StepLook:
    """A step looked at: what is seen from each side is worked once, whether its welds are numbered
    or not.
    """

    def __init__(self, placed: Placed, step: AssemblyStep) -> None:
        self.placed, self.step = placed, step
        self.looked = scene(placed, step.group)
        self.sights = Sights(placed, step.group, self.looked)
        self._pictures: dict[str, Picture] = {}

    def picture(self, way: Direction) -> Picture:
        """What is seen from one side, without hidden lines."""
        if way.words not in self._pictures:
            self._pictures[way.words] = picture(
                self.placed, self.step.group, self.looked, way, hidden=False
            )
        return self._pictures[way.words]

    @cached_property
    def apart(self) -> Picture | None:
        """The step drawn apart; None where no bolt of it clamps anything that moves."""
        aslant = Aslant(self.placed, self.step.group, self.looked)
        return aslant.seen(pictorial_ways(self.step.group.side)).picture if aslant.away else None

    def in_sight(self, way: Direction, codes: Container[str]) -> set[str]:
        """Which of these members are seen from one side."""
        members = self.step.group.members
        asked = [at for at, member in enumerate(members) if member.code in codes]
        return {members[piece.solid].code for piece in self.looked.look(way.view, 0, asked)}


def shown(look: StepLook, chassis: str, letters: PictureLetters = "WB") -> StepPictures:
    """The pictures of a step; ``letters``: what is numbered on them beside its items. It is drawn
    apart only where its bolts are numbered.
    """
    step = look.step
    group = step.group if "W" in letters else step.group._replace(welds={})
    rows = tuple(items(look.placed, group, chassis))
    pictures, spots = _pictures(look, rows, letters)
    best = _marked(pictures, rows, spots)
    if "B" in letters and len(pictures) < MOST and look.apart:
        more = _marked([*pictures, look.apart], rows, spots)
        best = best if len(more[1]) > len(best[1]) else more
    sheet = Sheet(step.name, SIZE)
    for board in best[0]:
        draw(sheet, board.lines)
        for each in board.placed:
            for points, kind in each.lines:
                sheet.line(*points, kind=kind)
            for tip in each.arrows:
                sheet.head(tip)
            sheet.texts += each.texts
    return StepPictures(_trimmed(sheet), rows, best[1], tuple(unseen(spots)))


def _trimmed(sheet: Sheet) -> Sheet:
    """The pictures on a strip no higher than they are."""
    heights = [y for line in sheet.lines for _, y in line.points]
    heights += [y for text in sheet.texts for y in (text.at[1], text.at[1] + text.size)]
    low, high = min(heights) - BARE, max(heights) + BARE
    trimmed = Sheet(sheet.title, (SIZE[0], high - low))
    trimmed.lines = [
        line._replace(points=tuple((x, y - low) for x, y in line.points)) for line in sheet.lines
    ]
    trimmed.texts = [text._replace(at=(text.at[0], text.at[1] - low)) for text in sheet.texts]
    return trimmed


def _pictures(
    look: StepLook, rows: Sequence[Item], letters: PictureLetters
) -> tuple[list[Picture], dict[str, Spot]]:
    """The pictures of a step, one more where it takes it to see every item; and where its welds
    and bolts are to be pointed at.
    """
    views, more, spots = _views(look, letters)
    pictures = [look.picture(each) for each in views]
    while len(pictures) < MOST and (lost := _lost(pictures, rows)) and more:
        codes = {code for item in lost for code in item.codes}
        seen = [look.in_sight(way, codes) for way in more]
        found = [sum(not own.isdisjoint(item.codes) for item in lost) for own in seen]
        if not max(found):
            break
        pictures.append(look.picture(more[found.index(max(found))]))
    return pictures, spots


def _marked(
    pictures: Sequence[Picture], rows: Sequence[Item], spots: Mapping[str, Spot]
) -> tuple[list[Board], tuple[str, ...]]:
    """The pictures side by side with their numbers, as large as holds them all; what found no
    room.
    """
    best: tuple[list[Board], tuple[str, ...]] | None = None
    for share, last in itertools.product(SHARES, (False, True)):
        boards = [_board(each, at, len(pictures), share) for at, each in enumerate(pictures)]
        left = _mark(boards, pictures, () if last else rows, spots)
        left += _mark(boards, pictures, rows if last else (), {})
        if best is None or len(left) < len(best[1]):
            best = boards, left
        if not left:
            break
    assert best is not None
    return best


def _lost(pictures: Sequence[Picture], rows: Sequence[Item]) -> list[Item]:
    """Items that are on none of the pictures."""
    return [item for item in rows if item_spots(pictures, item.codes) is None]


Looks = tuple[list[Direction], list[Direction], dict[str, Spot]]


def _views(look: StepLook, letters: PictureLetters) -> Looks:
    """From where a step is looked at: first where most welds and bolts are in sight, then from
    where more are; what other ways there are; and where each is to be pointed at.
    """
    sights = look.sights
    ways = every_way(look.step.group.side)
    chosen: list[Direction] = []
    spots: dict[str, Spot] = {}
    while ways and len(chosen) < MOST:
        open_to = ways if chosen else ways[:SLANTED]
        best, found, least = 0, spots, math.inf
        for index, way in enumerate(open_to):
            each = sights.spots([*chosen, way], letters)
            if len(unseen(each)) < least:
                best, found, least = index, each, len(unseen(each))
            if not least:
                break
        if chosen and least >= len(unseen(spots)):
            break
        chosen.append(ways.pop(best))
        spots = found
        if not unseen(spots):
            break
    return chosen, ways, spots


def _board(each: Picture, at: int, count: int, share: float) -> Board:
    """A picture in its share of the strip, no higher than leaves room above and below it."""
    wide = SIZE[0] / count
    area = Box(at * wide + 2, 2.0, (at + 1) * wide - 2, SIZE[1] - 2)
    (u0, v0), (u1, v1) = each.low, each.high
    across = min(share * (wide - 2 * BESIDE), wide - 2 * LEAST)
    up = min(share, 1.0) * (SIZE[1] - 2 * ABOVE)
    scale = min(across / max(u1 - u0, 1.0), up / max(v1 - v0, 1.0))
    x = (area.left + area.right - scale * (u0 + u1)) / 2
    y = (area.low + area.high - scale * (v0 + v1)) / 2
    box = Box(x + scale * u0, y + scale * v0, x + scale * u1, y + scale * v1)
    return Board([each], scale / POINTS, area, Laid(((x, y),), (box,), ()))


def _mark(
    boards: Sequence[Board],
    pictures: Sequence[Picture],
    rows: Sequence[Item],
    spots: Mapping[str, Spot],
) -> tuple[str, ...]:
    """Numbers of items, bolts and welds on the pictures; what found no room."""
    left = []
    for item in rows:
        spot = item_spots(pictures, item.codes)
        if spot is None or not boards[spot.view].balloon(0, spot.tips, item.number):
            left.append(f"item {item.number}")
    for number, spot in spots.items():
        if not boards[spot.view].note(0, spot.tips, number):
            left.append(number)
    return tuple(left)

"""The general arrangement: plan, side and front of the whole conversion with every set-out point,
the check diagonals, and which assembly drawing shows what.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ....layout.graph import Graph
from ....layout.quantities import Key, Side
from ....layout.units import tape
from ...model.vectors import Vec2, Vec3
from ...words.cautions import NOT_APPROVAL
from ..canvas import POINTS
from ..dimensions import PlateAxis
from ..ordinates import PaperSide
from ..part_sheet import TitleHead
from ..setout import CHECKED, SetoutPoint, diagonals, point_row, points
from .block import TitleBlock, block_of
from .board import Board, Position, lay
from .directions import arrangements, directions
from .groups import Placed, SheetGroup, everything
from .lists import Item, SheetTable
from .marks import item_spots
from .pictures import Picture, picture, scene
from .sheet import DrawnGroup, Ready, finished, tries

PLAN, SIDE, FRONT = 1, 0, 2
"""Numbers of the views."""
DOUBT = "± along / across / up"
ACROSS: tuple[tuple[Side, Side], ...] = (("L", "R"), ("R", "L"))


def general_sheet(
    placed: Placed,
    every: Sequence[tuple[SheetGroup, str]],
    head: TitleHead,
    solved: Graph,
    number: str,
) -> DrawnGroup:
    """The drawing of the whole; ``every``: groups with the numbers of their drawings.
    AssertionError where no paper holds it.
    """
    group = everything(placed)
    what = _ready(placed, every, solved, block_of(placed, group, head, number))
    last: DrawnGroup | None = None
    for ground, scale in tries(placed, what, more=True):
        board = None
        for views in arrangements([each.direction for each in what.pictures]):
            pictures = [
                each._replace(direction=view)
                for each, view in zip(what.pictures, views, strict=True)
            ]
            laid = lay(pictures, scale.ratio * POINTS, ground.area)
            if laid:
                board = Board(pictures, scale.ratio, ground.area, laid)
                break
        if board is None:
            continue
        left = _mark(board, what, solved)
        last = finished(what, ground, scale, board, left)
        if not left:
            return last
    assert last is not None, "no sheet holds the general arrangement"
    return last


def _ready(
    placed: Placed, every: Sequence[tuple[SheetGroup, str]], solved: Graph, block: TitleBlock
) -> Ready:
    group = block.group
    looked = scene(placed, group)
    pictures = tuple(
        picture(placed, group, looked, direction, hidden=False)
        for direction in directions(group.side)[0]
    )
    rows = tuple(
        Item(str(number), "", own.name, "", drawing, tuple(member.code for member in own.members))
        for number, (own, drawing) in enumerate(every, 1)
    )
    found = points(solved)
    tables = (
        SheetTable(
            "ASSEMBLY DRAWINGS",
            ("item", "what", "drawing"),
            tuple((row.number, row.name, row.drawing) for row in rows),
        ),
        SheetTable(
            "LAYOUT POINTS",
            ("point", "side", "what", "from the datum hole", "across", "up", DOUBT),
            tuple((f"P{number}", *point_row(solved, at)) for number, at in enumerate(found, 1)),
        ),
        SheetTable(
            "CHECK DIAGONALS, IN PLAN",
            ("", "what", "left front", "right front", "differ by"),
            tuple(
                (f"D{number}", says, tape(one), tape(two), tape(abs(one - two)))
                for number, (says, one, two) in enumerate(diagonals(found), 1)
            ),
        ),
    )
    said = (
        "Across from the center line; up from the floor, frame blocked at ride height, level.",
        "Set no line from the tape alone: check the diagonals. Left front is taped from the left"
        " point ahead to the right point behind; right front the other way.",
        "HOLD: nothing is tacked before points and diagonals agree with this sheet.",
        "Thin: on the truck already. Tires and steering are left out.",
        NOT_APPROVAL(),
    )
    return Ready(
        group, pictures, None, rows, spots={}, tables=tables, notes=said, hidden=(), block=block
    )


def truck_point(point: SetoutPoint) -> Vec3:
    """A set-out point in truck axes."""
    x, y, z = point.at
    return x, -y if point.side == "R" else y, z


def _mark(board: Board, what: Ready, solved: Graph) -> tuple[str, ...]:
    """Points, diagonals, positions and balloons; what found no room."""
    found = points(solved)
    _center_line(board, what.pictures)
    left = list(_diagonals(board, what.pictures, found))
    for index, picture_ in enumerate(what.pictures):
        for point in _shown(found, index):
            _cross(board, board.to(index, picture_.to(truck_point(point))))
    for index, chosen in _positions(what.pictures, found, solved).items():
        board.ordinates(index, chosen)
    for index, picture_ in enumerate(what.pictures):
        board.caption(index, picture_.direction.words)
    for index, point in enumerate(found, 1):
        tip = what.pictures[PLAN].to(truck_point(point))
        if not board.note(PLAN, [tip], f"P{index}"):
            left.append(f"P{index}")
    ends = [(what.pictures[PLAN].low[0] + along, 0.0) for along in (0.0, 20.0, 60.0)]
    if not board.note(PLAN, ends, "center line"):
        left.append("center line")
    for item in what.items:
        spot = item_spots([what.pictures[SIDE], *what.pictures[1:]], item.codes)
        if spot is None or not board.balloon(spot.view, spot.tips, item.number):
            left.append(f"item {item.number}")
    return tuple(left)


def _center_line(board: Board, pictures: Sequence[Picture]) -> None:
    """The truck's center line in plan and front view."""
    (left, _), (right, _) = pictures[PLAN].low, pictures[PLAN].high
    across = pictures[PLAN].to((0.0, 0.0, 0.0))[1]
    board.add((board.to(PLAN, (left, across)), board.to(PLAN, (right, across))), "center")
    (_, low), (_, high) = pictures[FRONT].low, pictures[FRONT].high
    middle = pictures[FRONT].to((0.0, 0.0, 0.0))[0]
    board.add((board.to(FRONT, (middle, low)), board.to(FRONT, (middle, high))), "center")


def _shown(found: Sequence[SetoutPoint], view: int) -> Iterator[SetoutPoint]:
    """The points a view shows: the side view those of the left and of the middle."""
    for point in found:
        if view != SIDE or point.side != "R":
            yield point


def _cross(board: Board, at: Vec2) -> None:
    arm = 5.0
    board.add(((at[0] - arm, at[1]), (at[0] + arm, at[1])), "narrow")
    board.add(((at[0], at[1] - arm), (at[0], at[1] + arm)), "narrow")


def _diagonals(
    board: Board, pictures: Sequence[Picture], found: Sequence[SetoutPoint]
) -> tuple[str, ...]:
    """The diagonals in plan, each with its number; numbers that found no room."""
    by = {(point.name, point.side): truck_point(point) for point in found}
    named: list[tuple[list[Vec2], str]] = []
    for number, (front, rear) in enumerate(CHECKED, 1):
        for here, there in ACROSS:
            one, two = by.get((front, here)), by.get((rear, there))
            if one and two:
                first, last = (pictures[PLAN].to(point) for point in (one, two))
                board.add((board.to(PLAN, first), board.to(PLAN, last)), "center")
                if here == "L":
                    shares = (0.35, 0.65, 0.5)
                    tips = [
                        (
                            first[0] + share * (last[0] - first[0]),
                            first[1] + share * (last[1] - first[1]),
                        )
                        for share in shares
                    ]
                    named.append((tips, f"D{number}"))
    return tuple(words for tips, words in named if not board.note(PLAN, tips, words))


def _positions(
    pictures: Sequence[Picture], found: Sequence[SetoutPoint], solved: Graph
) -> dict[int, list[Position]]:
    """Along and up beside the side view, across under the front view: of the left points."""
    rows: dict[int, list[Position]] = {SIDE: [], FRONT: []}
    hole = solved.values.get(Key("frame.datum_hole", "L"))
    done: set[tuple[int, str]] = set()

    def add(view: int, axis: PlateAxis, side: PaperSide, size: float, point: SetoutPoint) -> None:
        key = (view, f"{axis} {tape(size)}")
        if key not in done:
            done.add(key)
            seen = pictures[view].to(truck_point(point))
            nought = pictures[view].to((hole or 0.0, 0.0, 0.0))["xy".index(axis)]
            rows[view].append(Position(axis, size, seen, side, tape(size), nought))

    for point in _shown(found, SIDE):
        x, y, z = truck_point(point)
        if hole is not None:
            add(SIDE, "x", "low", x - hole, point)
        add(SIDE, "y", "right", z, point)
        add(FRONT, "x", "low", abs(y), point)
    return rows

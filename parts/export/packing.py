"""Two rules that lay pieces on one sheet: boxes by a fixed rule, and outlines by strip packing.

Lengths mm, angles degrees. Across the sheet first, so that what is left is one piece.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from ..model.vectors import Vec2
from ..stock import SheetOnHand, Shop

CHORD = 0.2
"""mm a chord may lie inside its arc; the spacing is made larger by as much."""
GRID = 100
"""Steps of a millimeter the box rule counts in: the library packs whole numbers."""
LITTLE = 1.5
"""Spacings a strip of all pieces must be longer than for the strip-packing library: of a shorter
one nothing is left once it took the spacing off, and it breaks off.
"""
ROUNDING = 1e-3
"""mm the strip-packing library may be off by: it counts in single precision, and breaks off over a
piece that goes across exactly, such as the check square on a strip as wide as it and two margins.
"""
PackingRule = Callable[[Sequence["Piece"], SheetOnHand, Shop], list["PlacedPiece"]]
"""Lays what it can of some pieces on a sheet."""


class Piece(NamedTuple):
    """What is placed.

    Attributes
    ----------
    name, stock : str
        Part and plate.
    points : tuple of Vec2
        Corners of its outline, mm from the lower left of its own box.
    area : float
        mm2.
    copies : int
        How many are wanted.
    after : bool
        Cut once the truck has stood right on its wheels, not before.
    openings : tuple of tuple of Vec2
        Corners of what is cut out of it, as its own.
    """

    name: str
    stock: str
    points: tuple[Vec2, ...]
    area: float
    copies: int
    after: bool = False
    openings: tuple[tuple[Vec2, ...], ...] = ()


class PlacedPiece(NamedTuple):
    """A piece on a sheet: turned by ``angle`` degrees about its lower-left corner, which then lies
    at x, y, mm from the sheet's.
    """

    name: str
    angle: float
    x: float
    y: float


def moved(points: Sequence[Vec2], lie: PlacedPiece) -> list[Vec2]:
    """Corners of a piece where it lies.

    ``points``: mm from the piece's own lower-left corner. Gives as many, mm from the sheet's.
    """
    cos, sin = math.cos(math.radians(lie.angle)), math.sin(math.radians(lie.angle))
    return [(x * cos - y * sin + lie.x, x * sin + y * cos + lie.y) for x, y in points]


def boxes(todo: Sequence[Piece], sheet: SheetOnHand, shop: Shop) -> list[PlacedPiece]:
    """Boxes of parts, largest first, lengthwise or across, by a rectangle-packing library: the same
    places every time. What finds no room is left out of the answer, for the next sheet.
    """
    import rectpack

    gap = shop.spacing
    room = (
        round((sheet.width - 2 * shop.margin + gap) * GRID),
        round((sheet.length - 2 * shop.margin + gap) * GRID),
    )
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        bin_algo=rectpack.PackingBin.BFF,
        pack_algo=rectpack.MaxRectsBl,
        rotation=True,
    )
    size, tall = {}, {}
    for piece in todo:
        x, y = np.array(piece.points).max(axis=0)
        tall[piece.name] = float(y)
        size[piece.name] = (math.ceil((y + gap) * GRID), math.ceil((x + gap) * GRID))
        for _ in range(piece.copies):
            packer.add_rect(*size[piece.name], rid=piece.name)
    packer.add_bin(*room)  # one sheet alone: which sheet comes next is the nest's affair
    packer.pack()
    found = []
    for _, y, x, wide, high, name in packer.rect_list():
        turned = (wide, high) != size[name]
        left = x / GRID + shop.margin + (tall[name] if turned else 0.0)
        found.append(PlacedPiece(name, 90.0 if turned else 0.0, left, y / GRID + shop.margin))
    return sorted(found, key=lambda lie: (lie.x, lie.y))


def strip(todo: Sequence[Piece], sheet: SheetOnHand, shop: Shop, seconds: int) -> list[PlacedPiece]:
    """Real outlines along the sheet, looked for as long as ``seconds``; what lies past its end
    waits for the next sheet. So little that all of it is hardly longer than the spacing is laid by
    ``boxes``: the library takes no strip that short.
    """
    import shapely
    import spyrrow

    gap = shop.spacing + 2 * CHORD
    low = shop.margin - gap
    fits = [piece for piece in todo if _fits(piece, sheet, shop)]
    if not fits:
        return []
    whole = sum(piece.copies * shapely.Polygon(piece.points).area for piece in fits)
    if whole < LITTLE * gap * sheet.width:
        return boxes(fits, sheet, shop)
    turns = [0.0, 90.0, 180.0, 270.0]
    items = [spyrrow.Item(each.name, list(each.points), each.copies, turns) for each in fits]
    solved = spyrrow.StripPackingInstance("strip", sheet.width - 2 * low + ROUNDING, items).solve(
        spyrrow.StripPackingConfig(
            early_termination=True,
            min_items_separation=gap,
            total_computation_time=max(1, seconds),
            num_workers=1,  # plates lie side by side on the cores, not the tries of one
            seed=1,
        )
    )
    found = []
    for item in solved.placed_items:
        x, y = item.translation
        found.append(PlacedPiece(item.id, float(item.rotation), float(x), float(y) + low))
    by = {piece.name: piece for piece in fits}
    first = min(x for lie in found for x, _ in moved(by[lie.name].points, lie)) - shop.margin
    found = [lie._replace(x=lie.x - first) for lie in found]
    end = sheet.length - shop.margin + ROUNDING
    within = [lie for lie in found if max(x for x, _ in moved(by[lie.name].points, lie)) <= end]
    return sorted(within, key=lambda lie: (lie.x, lie.y))


def shortest(pieces: Sequence[Piece], sheet: SheetOnHand, shop: Shop) -> float:
    """Length of a sheet below which no layout of these goes, mm: each takes its own shape grown by
    half the spacing, openings only where the smallest has room in them, and the strip is at least
    as long as its longest one laid the shorter way.

    An outer bound: no layout without gaps between these shapes need exist.
    """
    import shapely

    half, smallest = shop.spacing / 2, min(piece.area for piece in pieces)
    grown = sum(
        piece.copies
        * shapely.buffer(shapely.Polygon(piece.points, _usable(piece, smallest, shop)), half).area
        for piece in pieces
    )
    wide = sheet.width - 2 * shop.margin + shop.spacing
    boxes = (sorted(np.ptp(np.array(piece.points), axis=0).tolist()) for piece in pieces)
    room = sheet.width - 2 * shop.margin
    alone = max(short if long <= room else long for short, long in boxes)
    return float(max(grown / wide - shop.spacing, alone) + 2 * shop.margin)


def _usable(piece: Piece, least: float, shop: Shop) -> list[tuple[Vec2, ...]]:
    """Openings of a piece in which something of ``least`` mm2 might lie."""
    import shapely

    return [
        loop for loop in piece.openings if shapely.Polygon(loop).buffer(-shop.spacing).area >= least
    ]


def _fits(piece: Piece, sheet: SheetOnHand, shop: Shop) -> bool:
    """Whether the piece's box goes on the empty sheet either way."""
    short, long = sorted(np.ptp(np.array(piece.points), axis=0))
    narrow, far = sorted((sheet.width, sheet.length))
    room = 2 * shop.margin
    return bool(short + room <= narrow and long + room <= far)

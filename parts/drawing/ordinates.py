"""Ordinate dimensions on the four sides of a view: x above and below, y left and right.

Each runs straight out from the point nearest its side, over no steel where that can be, and jogs
apart where two would come closer than their lettering.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Literal, NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..model.vectors import Vec2
from .dimensions import Ordinate
from .entities import Text
from .field import Box, extent
from .lettering import HEIGHT, box_of, letters
from .placed import Measured, PlacedDimension
from .wording import length

PaperSide = Literal["low", "high", "left", "right"]
SIDES: dict[str, tuple[PaperSide, PaperSide]] = {"x": ("low", "high"), "y": ("left", "right")}
GAP = 3.0
"""Points between the outline and an extension line (ISO 129-1: visible gap)."""
RUN = 9.0
"""Points an extension line runs straight past the part before it may jog."""
REST = 7.0
"""Points it runs straight after the jog."""
PITCH = 13.0
"""Points from one line to the next beside it: lettering and a gap of half of it."""
OVER_STEEL = 4.0
"""What a point of run over steel counts against one past it."""
OTHER_SIDE = 12.0
"""What the second side of an axis counts."""
STRAIGHT = 0.5
"""Points of shift that need no jog."""
STEEP = 0.7
"""Depth of a jog over how far it shifts."""


class Chosen(NamedTuple):
    """An ordinate with the side it goes to and the point it is taken from, on the sheet."""

    ordinate: Ordinate
    side: PaperSide
    anchor: Vec2


def choose(
    ordinates: Sequence[Ordinate],
    to: Callable[[Vec2], Vec2],
    over: Callable[[Array, Array], Array],
    part: Box,
) -> list[Chosen]:
    """Side and point of each ordinate.

    ``to``: a point of the part on the sheet; ``over``: points of steel under segments given by
    their starts and ends, (n, 2) each, as (n,); ``part``: the part's box on the sheet. The shortest
    way out wins, less for steel it runs over.
    """
    rows = [
        (count, side, to(point))
        for count, ordinate in enumerate(ordinates)
        for point in ordinate.points
        for side in SIDES[ordinate.axis]
    ]
    if not rows:
        return []
    starts = np.array([point for _, _, point in rows])
    ends = np.array([_out(point, side, part, 1.0) for _, side, point in rows])
    steel = over(starts, ends)
    run = np.abs(ends - starts).sum(axis=1)
    second = np.array([side in ("high", "right") for _, side, _ in rows])
    cost = run + OVER_STEEL * steel + OTHER_SIDE * second
    best: dict[int, int] = {}
    for index, (count, _, _) in enumerate(rows):
        if count not in best or cost[index] < cost[best[count]] - 1e-6:
            best[count] = index
    return [
        Chosen(ordinates[count], rows[value][1], rows[value][2])
        for count, value in sorted(best.items())
    ]


def _out(point: Vec2, side: PaperSide, part: Box, by: float) -> Vec2:
    """Where a line straight out to a side ends, ``by`` past the part."""
    return {
        "low": (point[0], part.low - by),
        "high": (point[0], part.high + by),
        "left": (part.left - by, point[1]),
        "right": (part.right + by, point[1]),
    }[side]


def spread(wanted: Sequence[float], pitch: float = PITCH) -> list[float]:
    """Places in order at least ``pitch`` apart, as near as can be to where they are wanted.

    Least squares under order, by pooling neighbors that come too close.

    >>> spread([0.0, 1.0, 50.0], 10.0)
    [-4.5, 5.5, 50.0]
    """
    pools: list[tuple[float, int]] = []
    for index, at in enumerate(wanted):
        total, count = at - index * pitch, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            more, number = pools.pop()
            total, count = total + more, count + number
        pools.append((total, count))
    found: list[float] = []
    for total, count in pools:
        found += [total / count + pitch * (len(found) + each) for each in range(count)]
    return found


def place(
    chosen: Sequence[Chosen],
    part: Box,
    zero: Mapping[str, str],
    said: Callable[[Ordinate], str] | None = None,
) -> list[PlacedDimension]:
    """Lines and lettering of every ordinate of a view whose part fills ``part``; ``zero``: the
    datum's letter beside the nought of each axis; ``said``: what is lettered, its size otherwise.
    """
    found: list[PlacedDimension] = []
    for side in SIDES["x"]:
        found += _side([each for each in chosen if each.side == side], side, part, zero, said)
    texts = [box_of(text) for placed in found for text in placed.texts]
    for side in SIDES["y"]:
        own = [each for each in chosen if each.side == side]
        wanted = sorted(each.anchor[1] for each in own)
        places = spread(wanted)
        outside = bool(places) and (places[0] < part.low - GAP or places[-1] > part.high + GAP)
        past = (
            extent(
                [(text.left, text.low) for text in texts]
                + [(text.right, text.high) for text in texts]
            )
            if (outside and texts)
            else part
        )
        beyond = part._replace(
            left=min(part.left, past.left - GAP), right=max(part.right, past.right + GAP)
        )
        found += _side(own, side, beyond, zero, said)
    return found


def _side(
    chosen: Sequence[Chosen],
    side: PaperSide,
    beyond: Box,
    zero: Mapping[str, str],
    said: Callable[[Ordinate], str] | None,
) -> list[PlacedDimension]:
    """One side's, jogging past ``beyond``."""
    along = 0 if side in ("low", "high") else 1
    rows = sorted(chosen, key=lambda each: each.anchor[along])
    places = spread([each.anchor[along] for each in rows])
    shift = max(
        (abs(each - row.anchor[along]) for each, row in zip(places, rows, strict=True)), default=0.0
    )
    jog = min(max(STEEP * shift, 4.0), 30.0) if shift > STRAIGHT else 0.0
    return [
        _line(each, (at, jog), side, beyond, said(each.ordinate) if said else _words(each, zero))
        for each, at in zip(rows, places, strict=True)
    ]


def _words(each: Chosen, zero: Mapping[str, str]) -> str:
    """The size, with the datum's letter beside nought."""
    words = length(each.ordinate.value)
    if each.ordinate.value == 0.0:
        words = f"{words} {zero.get(each.ordinate.axis, '')}".rstrip()
    return words


def _line(each: Chosen, end: Vec2, side: PaperSide, beyond: Box, words: str) -> PlacedDimension:
    """One ordinate; ``end``: where along its side the lettering stands, and how deep it jogs."""
    (x, y), (at, jog) = each.anchor, end
    way = -1.0 if side in ("low", "left") else 1.0
    edge = {"low": beyond.low, "high": beyond.high, "left": beyond.left, "right": beyond.right}[
        side
    ]
    depths = (edge + way * RUN, edge + way * (RUN + jog), edge + way * (RUN + jog + REST))
    foot = depths[2] + way * GAP
    if side in ("low", "high"):
        points = [(x, y + way * GAP), (x, depths[0]), (at, depths[1]), (at, depths[2])]
        text: Text = letters(
            (at + HEIGHT / 2, foot), words, "end" if way < 0 else "start", turn=90.0
        )
    else:
        points = [(x + way * GAP, y), (depths[0], y), (depths[1], at), (depths[2], at)]
        text = letters((foot, at - HEIGHT / 2), words, "end" if way < 0 else "start")
    mark = _mark(points[-1], side) if each.ordinate.value == 0.0 else ()
    return PlacedDimension(
        Measured(each.ordinate.axis, each.ordinate.value, (each.anchor, points[-1]), words),
        ((tuple(points), "narrow"),),
        mark,
        (text,),
    )


def _mark(end: Vec2, side: PaperSide) -> tuple[tuple[Vec2, ...], ...]:
    """The datum's triangle on the last of its line (ISO 5459), point away from the part."""
    x, y = end
    way = -1.0 if side in ("low", "left") else 1.0
    half, tall = 3.6, 6.0
    if side in ("low", "high"):
        return (((x - half, y - way * tall), (x + half, y - way * tall), (x, y)),)
    return (((x - way * tall, y - half), (x - way * tall, y + half), (x, y)),)

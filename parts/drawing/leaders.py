"""Leaders: an arrow on a feature, a straight line away from it, a short level shoulder, lettering.

Every place a leader could stand is tried at once - direction, length, shoulder left or right - and
the nearest is taken whose lettering stands on nothing and whose line crosses no text, no other
leader and no steel but the hole's own surroundings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..model.vectors import Vec2
from .field import CELL, Box, DrawingArea
from .placed import ARROW

SHOULDER = 8.0
"""Points of level line before the lettering."""
LEASH = 230.0
"""Points a leader may be long at most."""
STEP = 5.0
STEEP = 0.25
"""Cosine below which a leader is steep enough for a shoulder to either side."""
CLEAR = 2.0
"""Points round lettering that stay empty."""
CROSSED = 6.0
"""What crossing a line counts, in points of length for each cell."""
STEEL = 3.0
"""What a cell of steel under the leader of a hole counts."""
SOME = 48
"""Leaders weighed at a time, shortest first."""
FIRST = 5.0
"""Points at the tip where the feature's own lines are."""


class ArrowPlace(NamedTuple):
    """A point an arrow may stand on, and the direction its leader leaves in, rad."""

    tip: Vec2
    way: float


class Wanted(NamedTuple):
    """A leader to place: where it may start, the size of its lettering, ``inside``: whether it may
    run over steel (a hole in the middle of a plate has no other way).
    """

    starts: tuple[ArrowPlace, ...]
    wide: float
    tall: float
    inside: bool = False


class LeaderPlace(NamedTuple):
    """A leader's place: tip, knee, end of the shoulder, and the box of its lettering."""

    tip: Vec2
    knee: Vec2
    end: Vec2
    box: Box


def find(field: DrawingArea, wanted: Wanted) -> LeaderPlace | None:
    """The best place, None where there is none. Nothing is taken yet."""
    tips, ways = _every(wanted)
    reach = np.arange(ARROW + 6.0, LEASH, STEP)
    tip = np.repeat(tips, len(reach), axis=0)
    way = np.repeat(ways, len(reach))
    long = np.tile(reach, len(tips))
    knee = tip + long[:, None] * np.column_stack((np.cos(way), np.sin(way)))
    side = np.where(np.cos(way) >= 0.0, 1.0, -1.0)
    both = np.abs(np.cos(way)) < STEEP
    tip, knee, long, side = (
        np.concatenate((tip, tip[both])),
        np.concatenate((knee, knee[both])),
        np.concatenate((long, long[both] + 3.0)),
        np.concatenate((side, -side[both])),
    )
    low, high, end = _boxes(knee, side, wanted)
    keep = field.free(low - CLEAR, high + CLEAR)
    if not keep.any():
        return None
    order = np.flatnonzero(keep)
    order = order[np.argsort(long[order], kind="stable")]
    best, least = -1, math.inf
    for first in range(0, len(order), SOME):
        some = order[first : first + SOME]
        if long[some[0]] >= least:
            break
        cost = _cost(field, wanted, LeaderLines(tip[some], knee[some], end[some]), long[some])
        cheapest = int(np.argmin(cost))
        if cost[cheapest] < least:
            best, least = int(some[cheapest]), float(cost[cheapest])
    if best < 0:
        return None
    box = Box(*map(float, (*low[best], *high[best])))
    return LeaderPlace(_pair(tip[best]), _pair(knee[best]), _pair(end[best]), box)


def _every(wanted: Wanted) -> tuple[Array, Array]:
    return (
        np.array([start.tip for start in wanted.starts]),
        np.array([start.way for start in wanted.starts]),
    )


def _boxes(knee: Array, side: Array, wanted: Wanted) -> tuple[Array, Array, Array]:
    """Lower left and upper right of the lettering, and the end of the shoulder."""
    end = knee + np.column_stack((side * SHOULDER, np.zeros(len(side))))
    left = np.where(side > 0, end[:, 0] + CLEAR + 1.0, end[:, 0] - CLEAR - 1.0 - wanted.wide)
    low = np.column_stack((left, knee[:, 1] - wanted.tall / 2))
    return low, low + np.array((wanted.wide, wanted.tall)), end


class LeaderLines(NamedTuple):
    """Leaders to weigh: tips, knees and ends of shoulders, each (n, 2)."""

    tip: Array
    knee: Array
    end: Array


def _cost(field: DrawingArea, wanted: Wanted, lines: LeaderLines, long: Array) -> Array:
    """Length, lines crossed and steel run over; infinite where the leader may not be."""
    leader = field.along(lines.tip, lines.knee, FIRST)
    shoulder = field.along(lines.knee, lines.end, 0.0)
    solid, crossed, steel = (one + two for one, two in zip(leader, shoulder, strict=True))
    cost = long + CROSSED * crossed + STEEL * CELL * steel
    banned = solid > 0
    if not wanted.inside:
        banned |= steel > 0
    return np.where(banned, np.inf, cost)


def _pair(point: Array) -> Vec2:
    return float(point[0]), float(point[1])


def fan(tip: Vec2, way: float, half: float, count: int = 7) -> list[ArrowPlace]:
    """Directions about one, evenly spread.

    ``tip``: points of the sheet; ``way``: the middle direction, rad from right, left turning +;
    ``half``: rad to either side; ``count``: how many, two at least (ZeroDivisionError for one).
    """
    return [ArrowPlace(tip, way + half * (2 * index / (count - 1) - 1)) for index in range(count)]


def round_starts(center: Vec2, radius: float, count: int = 24) -> tuple[ArrowPlace, ...]:
    """Every way out from a circle, along its radius.

    ``center``, ``radius``: points of the sheet; ``count``: how many, evenly round it.
    """
    turns: Sequence[float] = [math.tau * (index + 0.5) / count for index in range(count)]
    return tuple(
        ArrowPlace((center[0] + radius * math.cos(turn), center[1] + radius * math.sin(turn)), turn)
        for turn in turns
    )

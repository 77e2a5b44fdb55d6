"""From where an assembly is looked at: third angle, the left of the truck standing for both."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from ..picture import View, view

AHEAD, BEHIND = (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0)
LEFT, RIGHT = (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)
ABOVE, BELOW = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
WORDS = {
    AHEAD: "from ahead",
    BEHIND: "from behind",
    LEFT: "from the left",
    RIGHT: "from the right",
    ABOVE: "from above",
    BELOW: "from below",
}
EYES = (
    (35.0, 30.0, "from ahead, outboard and above"),
    (145.0, 30.0, "from behind, outboard and above"),
    (35.0, -30.0, "from ahead, outboard and below"),
    (145.0, -30.0, "from behind, outboard and below"),
    (-35.0, 30.0, "from ahead, inboard and above"),
    (-145.0, 30.0, "from behind, inboard and above"),
    (-35.0, -30.0, "from ahead, inboard and below"),
    (-145.0, -30.0, "from behind, inboard and below"),
    (90.0, 0.0, "from outboard"),
    (-90.0, 0.0, "from inboard"),
    (0.0, 10.0, "from ahead"),
    (180.0, 10.0, "from behind"),
    (0.0, 80.0, "from above"),
    (0.0, -80.0, "from below"),
)
"""Where a group may be looked at from: degrees from ahead to its own side, degrees up, words."""
SLANTED = 8
"""How many of them show three faces of a box: the first picture is one of these."""
Way = tuple[float, float, float]


class Direction(NamedTuple):
    """A view with its words, and its place: column and row about the main view at (0, 0).

    ``removed``: stands where there is room, not projected from the view beside it.
    """

    words: str
    view: View
    column: int
    row: int
    removed: bool = False

    def moved(self, column: int, row: int) -> Direction:
        """The same view removed to another place."""
        return self._replace(column=column, row=row, removed=True)


def _view(eye: Way, up: Way) -> View:
    toward, upward = np.array(eye), np.array(up)
    return View(np.cross(upward, toward), upward, toward)


def _direction(eye: Way, up: Way, column: int, row: int) -> Direction:
    return Direction(WORDS[eye], _view(eye, up), column, row)


def directions(side: str) -> tuple[tuple[Direction, ...], tuple[Direction, ...]]:
    """The three views of a group, main one first, and the others it may need.

    Of one side the main view is from outboard, ahead beside it, above over it; of both sides at
    once the main view is from ahead.
    """
    if side == "C":
        first = (
            _direction(AHEAD, ABOVE, 0, 0),
            _direction(ABOVE, BEHIND, 0, 1),
            _direction(LEFT, ABOVE, 1, 0),
        )
        more = (
            _direction(BEHIND, ABOVE, 2, 0),
            _direction(BELOW, AHEAD, 0, -1),
            _direction(RIGHT, ABOVE, -1, 0),
        )
        return first, more
    out, inward, ahead = (LEFT, RIGHT, -1) if side == "L" else (RIGHT, LEFT, 1)
    first = (
        _direction(out, ABOVE, 0, 0),
        _direction(ABOVE, inward, 0, 1),
        _direction(AHEAD, ABOVE, ahead, 0),
    )
    more = (
        _direction(BEHIND, ABOVE, -ahead, 0),
        _direction(inward, ABOVE, -2 * ahead, 0),
        _direction(BELOW, out, 0, -1),
    )
    return first, more


def arrangements(views: Sequence[Direction]) -> Iterator[tuple[Direction, ...]]:
    """Places of the views: as projected; with the fourth in the empty corner; in one column."""
    yield tuple(views)
    main, plan, end, *more = views
    if more:
        yield (main, plan, end, more[0].moved(end.column, plan.row), *more[1:])
    stacked = [end, *more]
    yield (main, plan, *(direction.moved(0, -1 - index) for index, direction in enumerate(stacked)))


def every_way(side: str) -> list[Direction]:
    """From where a step may be looked at, those that show three faces of a box first."""
    hand = -1.0 if side == "R" else 1.0
    return [Direction(words, view(hand * turn, up), 0, 0) for turn, up, words in EYES]


def pictorial_ways(side: str) -> list[Direction]:
    """From where a picture of a group is seen: three faces of a box."""
    return every_way(side)[:SLANTED]

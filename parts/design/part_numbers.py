"""Part numbers.

A place on the truck has a code; what is cut has a number, and plates and tubes that are cut alike
carry one number whatever place they go to: that of the first of their places.
"""

from __future__ import annotations

import math
import re
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from ..model.terms import Hand

PointSet = tuple[tuple[float, float, float], ...]
SIDES = ("L", "R")
RUN = 3
"""Numbers in a row from which only the first and the last are written."""
NEAR = 0.1
"""Farthest apart two points of one outline may be, mm: a fifth of what a plasma cut holds (about
0.02 in: common practice, no source).
"""


class NumberedBy(NamedTuple):
    """What of a part decides its number.

    Attributes
    ----------
    place : str
        Code with its side.
    hand : Hand
        Either where it is its own mirror image.
    alike : tuple
        Stock and everything else that must be equal.
    points : tuple of (x, y, kind)
        Corners, holes and scribed lines of a plate, mm; () for a tube.
    """

    place: str
    hand: Hand
    alike: tuple[Hashable, ...]
    points: PointSet


class Numbered(NamedTuple):
    """A place's part: its number, and its hand once left and right are known."""

    number: str
    hand: Hand


def in_order(code: str) -> tuple[str, int, str]:
    """Key that sorts TB5 before TB10, left before right."""
    found = re.match(r"([A-Za-z]*)(\d*)(.*)", code)
    assert found
    return found[1], int(found[2] or 0), found[3]


def numbered(cuts: Sequence[NumberedBy]) -> dict[str, Numbered]:
    """Number and hand by place: what is cut alike has one number, that of the first of its places.

    What fits both sides is nobody's hand. What is another plate left and right is lettered with its
    side, so what is cut alike for the other side has a number of its own.
    """
    kinds: list[list[NumberedBy]] = []
    alike: dict[tuple[object, ...], list[list[NumberedBy]]] = {}
    for cut in sorted(cuts, key=lambda cut: in_order(cut.place)):
        near = alike.setdefault((*cut.alike, len(cut.points)), [])
        home = next((kind for kind in near if same_cut(kind[0], cut)), None)
        if home is None:
            near.append([cut])
            kinds.append(near[-1])
        else:
            home.append(cut)
    kind_of = {cut.place: number for number, kind in enumerate(kinds) for cut in kind}
    found: dict[str, Numbered] = {}
    for kind in kinds:
        found |= _of_kind({cut.place: _side_of(cut, kind_of) for cut in kind})
    return found


def _of_kind(hands: Mapping[str, Hand]) -> dict[str, Numbered]:
    """The numbers of places that are cut alike, from whose hand each is, in their order."""
    by_hand: dict[Hand, list[str]] = {}
    for place, hand in hands.items():
        by_hand.setdefault(hand, []).append(place)
    if Hand.EITHER in by_hand:
        by_hand = {Hand.EITHER: [*by_hand[Hand.EITHER], *hands]}
    return {
        place: Numbered(places[0].rpartition(".")[0], hand)
        for hand, places in by_hand.items()
        for place in places
    }


def _side_of(cut: NumberedBy, kind_of: Mapping[str, int]) -> Hand:
    """Whose hand a place's plate is: nobody's where its other side is the same plate, or where it
    has none and is its own mirror image.
    """
    code, _, side = cut.place.rpartition(".")
    other = kind_of.get(f"{code}.{ {'L': 'R', 'R': 'L'}.get(side, side) }", -1)
    if side not in SIDES or other == kind_of[cut.place]:
        return Hand.EITHER
    return Hand(side) if other >= 0 else cut.hand


def same_cut(one: NumberedBy, other: NumberedBy) -> bool:
    """Whether one is the other after a turn in its plane."""
    return (
        one.alike == other.alike
        and len(one.points) == len(other.points)
        and (not one.points or same_turned(one.points, other.points))
    )


def same_turned(one: PointSet, two: PointSet, tol: float = NEAR) -> bool:
    """Whether points ``two`` are points ``one`` shifted and turned, each within ``tol`` mm of one
    of its kind.

    Both x, y (mm) and kind of one point or more, in any order. A mirror image is not the same.

    >>> plate = ((0.0, 0.0, 0.0), (30.0, 0.0, 0.0), (0.0, 20.0, 0.0))
    >>> quarter = tuple((5.0 - y, x, kind) for x, y, kind in plate)
    >>> same_turned(plate, quarter), same_turned(plate, tuple((-x, y, k) for x, y, k in plate))
    (True, False)
    """
    own, other = _centered(one), _centered(two)
    far = max(own, key=lambda point: (round(math.hypot(point[0], point[1]), 1), point[2]))
    reach = math.hypot(far[0], far[1])
    for x, y, kind in other:
        if kind != far[2] or abs(math.hypot(x, y) - reach) > tol:
            continue
        turn = math.atan2(far[1], far[0]) - math.atan2(y, x)
        cos, sin = math.cos(turn), math.sin(turn)
        if all(
            any(
                abs(x_other * cos - y_other * sin - x_own) < tol
                and abs(x_other * sin + y_other * cos - y_own) < tol
                and kind_other == kind_own
                for x_own, y_own, kind_own in own
            )
            for x_other, y_other, kind_other in other
        ):
            return True
    return False


def _centered(points: PointSet) -> list[tuple[float, float, float]]:
    x_middle, y_middle = (sum(point[axis] for point in points) / len(points) for axis in (0, 1))
    return [(x - x_middle, y - y_middle, kind) for x, y, kind in points]


def shared_title(titles: Iterable[str]) -> str:
    """What a part is called that goes to several places: what their titles share before the comma,
    else all of them.

    >>> shared_title(["arm bracket, inboard ear", "arm bracket, outboard ear"])
    'arm bracket'
    """
    each = list(dict.fromkeys(titles))
    short = {title.partition(",")[0] for title in each}
    return each[0] if len(each) == 1 else short.pop() if len(short) == 1 else " / ".join(each)


def ranges(names: Iterable[str]) -> str:
    """Names of letters and a number in order, each once, three or more in a row as a run.

    >>> ranges(["W7", "W1", "W3", "W2"])
    'W1-W3, W7'
    """
    rows = sorted({in_order(name) for name in names})
    runs: list[list[tuple[str, int, str]]] = []
    for row in rows:
        if runs and runs[-1][-1][0] == row[0] and runs[-1][-1][1] + 1 == row[1]:
            runs[-1].append(row)
        else:
            runs.append([row])
    return ", ".join(_run(row) for row in runs)


def _run(run: Sequence[tuple[str, int, str]]) -> str:
    first, last = (f"{letters}{number}" for letters, number, _ in (run[0], run[-1]))
    return first if first == last else f"{first}{'-' if len(run) >= RUN else ', '}{last}"


def places_in_words(places: Sequence[str]) -> Iterator[str]:
    """Places by code, both sides of one together.

    >>> list(places_in_words(["CM5.R", "CM5.L", "XP1.C"]))
    ['CM5 left and right', 'XP1']
    """
    sides: dict[str, str] = {}
    for place in sorted(places, key=in_order):
        code, _, side = place.rpartition(".")
        sides[code] = sides.get(code, "") + side
    words = {"L": " left", "R": " right", "LR": " left and right", "C": ""}
    yield from (f"{code}{words.get(hands, '')}" for code, hands in sides.items())

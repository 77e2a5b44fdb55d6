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

Points = tuple[tuple[float, float, float], ...]
SIDES = ("L", "R")
RUN = 3
"""Numbers in a row from which only the first and the last are written."""
NEAR = 0.03
"""Farthest apart two points of one outline may be, mm: a tenth of what a plasma cut holds (common
practice, no source).
"""


class Cut(NamedTuple):
    """What of a part decides its number.

    ``alike``: stock and everything else that must be equal; ``points``: x, y and kind of corners,
    holes and scribed lines of a plate, () for a tube.
    """

    place: str
    hand: Hand
    alike: tuple[Hashable, ...]
    points: Points


class Numbered(NamedTuple):
    """A place's part: its number, and its hand once left and right are known."""

    number: str
    hand: Hand


def in_order(code: str) -> tuple[str, int, str]:
    """Key that sorts TB5 before TB10, left before right."""
    found = re.match(r"([A-Za-z]*)(\d*)(.*)", code)
    assert found
    return found[1], int(found[2] or 0), found[3]


def numbered(cuts: Sequence[Cut]) -> dict[str, Numbered]:
    """Number and hand by place.

    Only what fits both sides shares its number with another place; what does so on each side alone,
    but is another plate left and right, is handed.
    """
    kinds: list[list[Cut]] = []
    for c in sorted(cuts, key=lambda c: in_order(c.place)):
        if c.hand is Hand.EITHER:
            home = next((k for k in kinds if same_cut(k[0], c)), None)
            if home is None:
                kinds.append([c])
            else:
                home.append(c)
    kind_of = {c.place: n for n, k in enumerate(kinds) for c in k}
    found: dict[str, Numbered] = {}
    for c in sorted(cuts, key=lambda c: in_order(c.place)):
        code, _, side = c.place.rpartition(".")
        if c.hand is not Hand.EITHER:
            found[c.place] = Numbered(code, c.hand)
            continue
        pair = {kind_of.get(f"{code}.{s}", -1) for s in SIDES} - {-1}
        if side in ("L", "R") and len(pair) == len(SIDES):
            found[c.place] = Numbered(code, Hand(side))
            continue
        first = next(x for x in kinds[kind_of[c.place]] if not _split(x.place, kind_of))
        found[c.place] = Numbered(first.place.rpartition(".")[0], Hand.EITHER)
    return found


def _split(place: str, kind_of: Mapping[str, int]) -> bool:
    """Whether a place's other side is another plate."""
    code, _, side = place.rpartition(".")
    twin = f"{code}.{ {'L': 'R', 'R': 'L'}.get(side, side) }"
    return twin in kind_of and kind_of[twin] != kind_of[place]


def same_cut(a: Cut, b: Cut) -> bool:
    """Whether one is the other after a turn in its plane."""
    return (
        a.alike == b.alike
        and len(a.points) == len(b.points)
        and (not a.points or same_turned(a.points, b.points))
    )


def same_turned(a: Points, b: Points, tol: float = NEAR) -> bool:
    """Whether points ``b`` are points ``a`` shifted and turned, each within ``tol`` mm of one of
    its kind.
    """
    own, other = _centered(a), _centered(b)
    far = max(own, key=lambda p: (round(math.hypot(p[0], p[1]), 1), p[2]))
    reach = math.hypot(far[0], far[1])
    for x, y, k in other:
        if k != far[2] or abs(math.hypot(x, y) - reach) > tol:
            continue
        turn = math.atan2(far[1], far[0]) - math.atan2(y, x)
        c, s = math.cos(turn), math.sin(turn)
        if all(
            any(
                abs(px * c - py * s - qx) < tol and abs(px * s + py * c - qy) < tol and pk == qk
                for qx, qy, qk in own
            )
            for px, py, pk in other
        ):
            return True
    return False


def _centered(points: Points) -> list[tuple[float, float, float]]:
    cx, cy = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    return [(x - cx, y - cy, k) for x, y, k in points]


def shared_title(titles: Iterable[str]) -> str:
    """What a part is called that goes to several places: what their titles share before the comma,
    else all of them.
    """
    each = list(dict.fromkeys(titles))
    short = {t.partition(",")[0] for t in each}
    return each[0] if len(each) == 1 else short.pop() if len(short) == 1 else " / ".join(each)


def ranges(names: Iterable[str]) -> str:
    """W1, W2, W3, W7 as "W1-W3, W7"."""
    rows = sorted({in_order(n) for n in names})
    runs: list[list[tuple[str, int, str]]] = []
    for r in rows:
        if runs and runs[-1][-1][0] == r[0] and runs[-1][-1][1] + 1 == r[1]:
            runs[-1].append(r)
        else:
            runs.append([r])
    return ", ".join(_run(r) for r in runs)


def _run(run: Sequence[tuple[str, int, str]]) -> str:
    ends = [f"{a}{n}" for a, n, _ in (run[0], run[-1])]
    return ends[0] if len(run) == 1 else "-".join(ends) if len(run) >= RUN else ", ".join(ends)


def places_in_words(places: Sequence[str]) -> Iterator[str]:
    """Places by code, both sides of one together: "CM5 left and right"."""
    sides: dict[str, str] = {}
    for p in sorted(places, key=in_order):
        code, _, side = p.rpartition(".")
        sides[code] = sides.get(code, "") + side
    words = {"L": " left", "R": " right", "LR": " left and right", "C": ""}
    yield from (f"{code}{words.get(s, '')}" for code, s in sides.items())

"""Places tighter than the fixed rule's, found by a strip-packing library, plates side by side."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial

from ..model.assembly import Part
from ..stock import SheetOnHand, Shop
from .nest import KeptNest, Nested, fill, groups, key_of, left_of, pieces, turns
from .packing import Piece, boxes, strip

ENOUGH = 1.0
"""mm a strip may be longer than the shortest there is to need no better."""


def better(
    parts: Sequence[Part],
    shop: Shop,
    seconds: int,
    trucks: int = 1,
    say: Callable[[str], None] = lambda _: None,
) -> dict[str, KeptNest]:
    """Places by a strip-packing library: what ``nest`` takes as ``kept``.

    Parameters
    ----------
    seconds : int
        About as long it looks for a plate thickness on the mean: each gets its share by its area,
        and as many are looked at at once as there are cores.
    say : function
        Told what is being looked for.

    Notes
    -----
    Same seed, usually but not surely the same answer: so places are kept, not found again.
    """
    by = groups(pieces(parts, trucks))
    whole = sum(map(_area, by.values()))
    say("nesting " + ", ".join(by))
    with ThreadPoolExecutor(min(len(by) or 1, os.cpu_count() or 1)) as cores:
        found = [
            cores.submit(_plate, stock, group, shop, seconds * len(by) * _area(group) / whole)
            for stock, group in by.items()
        ]
        kept: dict[str, KeptNest] = {}
        for plate in found:
            kept |= plate.result()
    return kept


def _area(group: Sequence[Piece]) -> float:
    return sum(piece.area * piece.copies for piece in group)


def _plate(stock: str, group: Sequence[Piece], shop: Shop, seconds: float) -> dict[str, KeptNest]:
    """Places for one plate, what is cut now before what is cut later, each by its share of the
    time.
    """
    kept: dict[str, KeptNest] = {}
    done: list[Nested] = []
    for turn in turns(group):
        on_hand = left_of(shop, stock, done)
        share = max(1, round(seconds * _area(turn) / _area(group)))
        best = _best(turn, shop, share, on_hand, len(done))
        kept[key_of(stock, turn, shop, on_hand)] = {
            "stock": stock,
            "sheets": [
                {"name": nested.sheet.name, "placed": [list(lie) for lie in nested.placed]}
                for nested in best
            ],
        }
        done += best
    return kept


def _best(
    turn: Sequence[Piece], shop: Shop, seconds: int, on_hand: Sequence[SheetOnHand], before: int
) -> list[Nested]:
    """The fewer sheets of two rules, then the less of their length; one as short as any layout is
    looked for no longer.
    """
    fixed, _ = fill(turn, shop, boxes, on_hand, before)
    if len(fixed) == 1 and fixed[0].used <= fixed[0].least + ENOUGH:
        return fixed
    tight, lost = fill(turn, shop, partial(strip, seconds=seconds), on_hand, before)
    if lost:
        return fixed
    return min((tight, fixed), key=lambda way: (len(way), sum(sheet.used for sheet in way)))

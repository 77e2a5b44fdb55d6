"""Plates that the shop's cutting table cannot hold."""

from __future__ import annotations

from functools import partial

from ..design.same import Same
from ..design.sizing import Check
from ..geometry import outline
from ..model.assembly import Part
from ..model.body import Plate
from ..stock import Shop


def too_large(parts: tuple[Part, ...], shop: Shop, same: Same) -> list[Check]:
    """A warning for each plate that the shop's cutting table cannot hold either way round.

    ``same``: boxes of outlines seen before.
    """
    found = []
    for part in parts:
        if not isinstance(part.member.body, Plate):
            continue
        loop = part.member.body.outline
        x0, y0, x1, y1 = same("box", (loop,), None, partial(outline.bbox, loop))
        sizes = zip(sorted((x1 - x0, y1 - y0)), sorted(shop.bed), strict=True)
        over = max(size / table for size, table in sizes)
        if over > 1.0:
            found.append(
                Check(
                    part=part.id,
                    what="plate fits on the cutting table",
                    clause="shop setting",
                    demand=over,
                    capacity=1.0,
                    unit="ratio",
                    must=False,
                )
            )
    return found

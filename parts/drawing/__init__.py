"""Drawings: one letter sheet a part from one display list, as PDF and as DXF."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..model.assembly import Part, Weld
from ..model.body import Plate
from ..stock import Shop
from .display import Sheet, dxf, pdf
from .plate import plate_sheet
from .tube import tube_sheet

__all__ = ["dxf", "pdf", "sheet"]


def sheet(
    part: Part,
    welds: tuple[Weld, ...],
    head: dict[str, str],
    shop: Shop,
    numbers: Mapping[str, str] | None = None,
    aside: Sequence[str] = (),
) -> Sheet:
    """The sheet of a made part.

    ``head``: chassis, revision, date, level. ``numbers``: weld's id -> its number on maps and
    lists; ``aside``: rules set aside that touch it.
    """
    draw = plate_sheet if isinstance(part.member.body, Plate) else tube_sheet
    return draw(part, welds, head, shop, numbers or {}, aside)

"""Drawings: one sheet an outline from one display list, as PDF and as DXF; set-out, travel,
stress, measuring and nest sheets.

Features of a part -> its dimensions (pure data) -> places on the sheet -> lines and lettering ->
files. May use everything below it; no family has drawing code of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..model.assembly import Part, Weld
from ..model.body import Plate
from ..stock import Shop
from .display import Sheet, pdf
from .drawing_file import drawing_dxf as dxf
from .part_sheet import TitleHead, plate_sheet
from .tube import tube_sheet

__all__ = ["dxf", "pdf", "sheet"]


def sheet(
    part: Part,
    welds: tuple[Weld, ...],
    head: TitleHead,
    shop: Shop,
    numbers: Mapping[str, str] | None = None,
    aside: Sequence[str] = (),
    twin: Part | None = None,
) -> Sheet:
    """The sheet of a made part.

    ``numbers``: weld's id -> its number on maps and
    lists; ``aside``: said before all else, such as rules set aside; ``twin``: its mirror image.
    """
    if isinstance(part.member.body, Plate):
        return plate_sheet(
            part=part,
            welds=welds,
            head=head,
            shop=shop,
            numbers=numbers or {},
            aside=aside,
            twin=twin,
        )
    return tube_sheet(part, welds, head, shop, numbers or {}, aside)

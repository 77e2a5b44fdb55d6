"""Drawings: one letter sheet a part from one display list, as PDF and as DXF."""

from __future__ import annotations

from ..model import Part, Plate, Weld
from ..stock import Shop
from .display import Sheet, dxf, pdf
from .plate import plate_sheet
from .tube import tube_sheet

__all__ = ["dxf", "pdf", "sheet"]


def sheet(part: Part, welds: tuple[Weld, ...], head: dict[str, str], shop: Shop) -> Sheet:
    """The sheet of a made part. ``head``: chassis, revision, date, level."""
    draw = plate_sheet if isinstance(part.member.body, Plate) else tube_sheet
    return draw(part, welds, head, shop)

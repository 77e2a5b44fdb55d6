"""Holes as they are made: finished diameter, outline. Lengths in mm."""

from __future__ import annotations

from .. import stock
from ..model.assembly import Bolt, Hole
from ..model.body import Loop
from . import outline


def diameter(b: Bolt) -> float:
    """Finished hole for a bolt, mm: clearance class or the number given."""
    if b.hole in ("close", "normal"):
        size = stock.bolt(b.size)
        return size.hole_close if b.hole == "close" else size.hole_normal
    return float(b.hole)


def slot_loop(h: Hole) -> Loop:
    """Outline of a hole or slot."""
    return (
        outline.slot(h.at, h.length, h.diameter, h.angle)
        if h.length > h.diameter
        else outline.circle(h.at, h.diameter)
    )

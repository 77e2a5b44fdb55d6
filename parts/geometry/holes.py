"""Holes as they are made: finished diameter, outline. Lengths in mm."""

from __future__ import annotations

from .. import stock
from ..model.assembly import Bolt, Hole
from ..model.body import Loop
from . import contours


def diameter(bolt: Bolt) -> float:
    """Finished hole for a bolt, mm: that of its clearance class ("close", "normal") in the bolt
    table, or the number given in the class's place.
    """
    if bolt.hole in ("close", "normal"):
        size = stock.bolt(bolt.size)
        return size.hole_close if bolt.hole == "close" else size.hole_normal
    return float(bolt.hole)


def slot_loop(hole: Hole) -> Loop:
    """Outline of a hole, mm: a slot where it is longer than wide, else a circle."""
    return (
        contours.slot(hole.at, hole.length, hole.diameter, hole.angle)
        if hole.length > hole.diameter
        else contours.circle(hole.at, hole.diameter)
    )

"""What a family may choose from: stock keys of plate, tube and bolt, and the row behind a key."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from ...layout import reader
from ..design.site import Refused
from ..model.family import Grid, Site
from ..model.on_hand import OnHand
from ..model.vectors import Number
from ..stock import STEEL_DENSITY, Thread, bolt
from ..stock.classes import metric

STEEL = STEEL_DENSITY
"""Density of steel, kg/mm3."""

SMALL = {False: "1/2-13", True: "M12x1.75"}
"""By whether the shop's frame bolts are metric (common practice, no source)."""

SAME_SIZE = 0.01
"""Two sizes nearer than this (mm) are one size: stock tables are rounded no coarser."""

ROUNDING = 1e-6
"""What a size may miss its bound by and still meet it, mm: the error of arithmetic only."""

Keys = Callable[[OnHand], tuple[str, ...]]
"""``values`` of a variable of unit "plate" or "tube": stock keys out of what the shop has."""


def plate_keys(shop: OnHand) -> tuple[str, ...]:
    """Stock keys of every plate on hand."""
    return tuple(plate.key for plate in shop.plates)


def plate_keys_over(least: float) -> Keys:
    """``values`` of a plate variable: keys of the plates at least ``least`` mm thick."""

    def keys(shop: OnHand) -> tuple[str, ...]:
        return tuple(plate.key for plate in shop.plates if plate.thickness >= least - ROUNDING)

    return keys


def tube_keys_between(low: float, high: float) -> Keys:
    """``values`` of a tube variable: keys of round tubes from ``low`` to ``high`` mm outside."""

    def keys(shop: OnHand) -> tuple[str, ...]:
        return tuple(
            tube.key for tube in shop.tubes if low - ROUNDING <= tube.od <= high + ROUNDING
        )

    return keys


def tube_key(shop: OnHand, od: float, wall: float) -> str:
    """Stock key of the tube of this outside diameter and wall; Refused lists what there is."""
    for tube in shop.tubes:
        if abs(tube.od - od) < SAME_SIZE and abs(tube.wall - wall) < SAME_SIZE:
            return tube.key
    raise Refused(
        f"no tube {reader.number(od, 'length')} x {reader.fine(wall)} on hand; there is"
        f" {', '.join(tube.key for tube in shop.tubes)}"
    )


def as_chosen(
    reading: str, number: Literal["od", "wall"]
) -> Callable[[Grid, Site], tuple[Number, Number]]:
    """Arguments of a room rule that the stock tube is no less than the job's own ``reading``."""

    def lengths(grid: Grid, site: Site) -> tuple[Number, Number]:
        return site.q(reading), grid[f"tube.{number}"]

    return lengths


def frame_bolts(shop: OnHand) -> tuple[str, ...]:
    """Stock keys of the bolts that may hold a crossmember, smallest first."""
    return shop.frame_bolts


def small_bolt(shop: OnHand) -> str:
    """Thread of what carries no load and of the dowels' bar: 1/2 in, or 12 mm in a shop whose frame
    bolts are metric.
    """
    return SMALL[metric(shop.frame_bolts[0])]


def bolt_size(key: str) -> Thread:
    """Row of the bolt table for a stock key such as "3/4-10" (``.d`` in mm)."""
    return bolt(key)

"""Which of two sizes of stock is the heavier, and what a member weighs before its holes."""

from __future__ import annotations

import math
from collections.abc import Callable

from ..geometry import outline
from ..model.assembly import Member
from ..model.body import Plate, Tube
from ..model.family import Choice, Variable
from ..stock import STEEL_DENSITY, Shop


def steel_of(member: Member, shop: Shop) -> float:
    """What a plate or tube weighs, kg, its holes not yet made; nothing for what is not made."""
    body = member.body
    if isinstance(body, Plate):
        area = outline.area(body.outline) - sum(map(outline.area, body.openings))
        return area * shop.plate(body.stock).thickness * STEEL_DENSITY
    if isinstance(body, Tube):
        tube = shop.tube(body.stock)
        return math.pi * (tube.od - tube.wall) * tube.wall * body.length * STEEL_DENSITY
    return 0.0


def weight(variable: Variable, shop: Shop) -> Callable[[Choice], float]:
    """The order of a variable's choices: tubes by their steel, all else by its place in the list,
    smallest first.
    """
    if variable.unit == "tube":

        def area(key: Choice) -> float:
            tube = shop.tube(str(key))
            return (tube.od - tube.wall) * tube.wall

        return area
    order = list(variable.values(shop))
    return lambda key: float(order.index(key))

"""Which of two sizes of stock is the heavier."""

from __future__ import annotations

from collections.abc import Callable

from ..model.family import Choice, Variable
from ..stock import Shop


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

"""How large the fillets of a family are drawn: as its plates ask, or as large as their edges carry
where the loads ask for it.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..model.family import Choice, Family, Variable
from ..rules.welds import Largest
from ..stock import Shop

USUAL, LARGEST = 0, 1
WELD = Variable("weld", "", lambda shop: (USUAL, LARGEST))
"""The size of a family whose fillets may grow: 0 as its plates ask, 1 the largest leg that the edge
of the thinner part carries.
"""


def settled(family: Family, pins: Mapping[str, Choice]) -> Mapping[str, Choice]:
    """A family's pins, with usual fillets where it has the choice and none was made."""
    return {WELD.name: USUAL, **pins} if WELD in family.variables else pins


def shop_of(shop: Shop, pins: Mapping[str, Choice]) -> Shop:
    """A shop as a family with these pins sees it."""
    wide = pins.get(WELD.name) == LARGEST
    return shop._replace(legs=Largest(shop.legs)) if wide else shop

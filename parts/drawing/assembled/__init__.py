"""Assembly drawings: one sheet a group of parts and the general arrangement, three views to scale
with true hidden lines, located from the set-out datum, drawn apart where bolts clamp.

May use everything of ``drawing`` and below; which parts stand on which sheet their families say.
"""

from .general import general_sheet
from .groups import Placed, SheetGroup, groups, numbered
from .lists import Item, items
from .sheet import DrawnGroup, assembly_sheet
from .steps import AssemblyStep, StepLook, StepPictures, shown, steps

__all__ = [
    "AssemblyStep",
    "DrawnGroup",
    "Item",
    "Placed",
    "SheetGroup",
    "StepLook",
    "StepPictures",
    "assembly_sheet",
    "general_sheet",
    "groups",
    "items",
    "numbered",
    "shown",
    "steps",
]

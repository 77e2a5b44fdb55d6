"""Assembly drawings: one sheet a group of parts and the general arrangement, three views to scale
with true hidden lines, located from the set-out datum.

May use everything of ``drawing`` and below; which parts stand on which sheet their families say.
"""

from .general import general_sheet
from .groups import Group, Placed, groups
from .sheet import Drawn, assembly_sheet

__all__ = ["Drawn", "Group", "Placed", "assembly_sheet", "general_sheet", "groups"]

"""Stock and settings of a shop: tables of this folder, what is on hand, marks of bolts, fillers,
torques, the settings file.

Uses the model, the rules and ``layout``; sizing, strength, schedules and nests draw on it. The
names used everywhere stand at this door.
"""

from __future__ import annotations

from ...layout.units import IN
from .on_hand import PlateOnHand, Rates, SheetOnHand, Shop, TubeOnHand, default_shop
from .tables import STEEL_DENSITY, Steel, Thread, bolt, rows, steel

__all__ = [
    "IN",
    "STEEL_DENSITY",
    "PlateOnHand",
    "Rates",
    "SheetOnHand",
    "Shop",
    "Steel",
    "Thread",
    "TubeOnHand",
    "bolt",
    "default_shop",
    "rows",
    "steel",
]

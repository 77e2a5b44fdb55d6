"""What every member, bolt and weld is held by, and what is not held and why."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ..design.sizing import AS_DRAWN
from ..model.hold import NotHeld, Whose
from ..truck.truck import Truck
from .result import Strength


class Coverage(NamedTuple):
    """Ids that stand in a row under load, and those that stand aside with the reason."""

    held: frozenset[str]
    aside: Mapping[str, NotHeld]

    def unlooked(self, name: str, otherwise: str) -> str:
        """Why nothing was worked for a member, bolt or weld, by its id.

        Its family's reason, ``otherwise`` where it gives none; empty where it is held under load,
        or needs no holding.
        """
        if name in self.aside:
            entry = self.aside[name]
            return f"no load case is worked for it: {entry.why}" * (entry.whose is Whose.NOT_WORKED)
        return "" if name in self.held else otherwise


def coverage(truck: Truck, strength: Strength) -> Coverage:
    """What the rows under load are about, by the ids of members, bolts and welds.

    Of every hold that gave a row, and of every family's ``not_held``. Rows of sizes alone (fillets
    as drawn, whatever has no case) hold nothing.
    """
    held = {row.part for row in strength.checks if row.case and row.case != AS_DRAWN}
    held |= {weld for _, _, welds in strength.welded for weld in welds}
    for hold in truck.assembly.holds:
        if hold.id in strength.worked:
            held |= {*hold.members, *hold.bolts, *hold.welds}
    aside = {name: entry for entry in truck.assembly.not_held for name in entry.ids}
    return Coverage(frozenset(held), aside)

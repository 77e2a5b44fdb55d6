"""Rows of trucks that are tried for their loads one after another, most of each the same as the one
before: only what changed is worked.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import NamedTuple

from ...layout.graph import Graph
from ...layout.loads.cases import EVERYDAY, both_hands
from ...layout.loads.forces import Forces, forces
from ...layout.quantities import Key
from ..design.site import Waiting
from ..design.sizing import Check
from ..model.assembly import Weld
from ..model.hold import Hold
from ..stock import Shop
from ..truck.truck import Truck
from . import evaluate, everyday, fillets, tacks
from .asked import KeptRows
from .result import Strength, cases_of, of_family, settled
from .work import Work


class _CaseForces(NamedTuple):
    """Forces of every load case and of the everyday ones."""

    limits: tuple[Forces, ...]
    daily: tuple[Forces, ...]


class _SetRows(NamedTuple):
    """Rows of one hold in every set."""

    limits: tuple[Check, ...]
    everyday: tuple[Check, ...]
    tacks: tuple[Check, ...]


class TriedRows:
    """Rows of one layout in one shop: what ``strength`` and ``rows_of`` give, without what is only
    printed.
    """

    def __init__(self, solved: Graph, shop: Shop) -> None:
        self.solved, self.shop = solved, shop
        self._kept = KeptRows()
        self._forces: dict[tuple[tuple[Key, float], ...], _CaseForces] = {}

    def every(self, truck: Truck) -> Strength:
        """Every row of a truck; the readings owed where it waits for some."""
        try:
            loads = self._loads(truck)
        except Waiting as waiting:
            return Strength((), (), waiting.keys)
        work = Work(truck, self.shop, self.solved.values, loads.limits)
        found = [
            row
            for hold in truck.assembly.holds
            for rows in self._sets(hold, work, loads.daily)
            for row in rows
        ]
        found += self._fillets(work, truck.assembly.welds)
        return Strength(tuple(sorted(found, key=lambda row: -row.utilisation)), loads.limits, ())

    def of(self, truck: Truck, family: str, *, daily: bool) -> tuple[Check, ...]:
        """The limits of one family's parts, with ``daily`` their everyday ranges too; none where
        readings wait.
        """
        try:
            loads = self._loads(truck)
        except Waiting:
            return ()
        work = Work(truck, self.shop, self.solved.values, loads.limits)
        own = of_family(truck, family)
        holds = [hold for hold in truck.assembly.holds if own.touches(hold)]
        if daily:
            sets = [self._sets(hold, work, loads.daily) for hold in holds]
            found = [row for each in sets for row in (*each.limits, *each.everyday)]
        else:
            found = [row for hold in holds for row in self._limits(hold, work, loads.daily)]
        found += self._fillets(work, [w for w in truck.assembly.welds if w.on in own.members])
        return tuple(row for row in found if own.holds(row))

    def _loads(self, truck: Truck) -> _CaseForces:
        """Forces with the arms as they are made, worked once for each tube."""
        values = settled(truck, self.solved)
        key = tuple(sorted((k, v) for k, v in values.items() if k.name.startswith("arms.tube_")))
        if key not in self._forces:
            limits = cases_of(truck, self.solved, self.shop)  # first: it says what is owed
            self._forces[key] = _CaseForces(limits, forces(values, both_hands(EVERYDAY)))
        return self._forces[key]

    def _limits(self, hold: Hold, work: Work, daily: tuple[Forces, ...]) -> tuple[Check, ...]:
        """A hold's limits, those of its sets where these were worked."""
        if self._kept.has((hold, work.rows, daily), work.asked):
            return self._sets(hold, work, daily).limits
        return self._kept.get(
            (hold, work.rows), work.asked, lambda: evaluate.worked(hold, work.alone())
        )

    def _sets(self, hold: Hold, work: Work, daily: tuple[Forces, ...]) -> _SetRows:
        """A hold in every set: everyday ranges and tacks are of what working it records."""

        def rows() -> _SetRows:
            alone = work.alone()
            limits = evaluate.worked(hold, alone)
            return _SetRows(limits, tuple(everyday.rows(alone, daily)), tuple(tacks.rows(alone)))

        return self._kept.get((hold, work.rows, daily), work.asked, rows)

    def _fillets(self, work: Work, welds: Iterable[Weld]) -> list[Check]:
        rows = (
            row
            for weld in welds
            for row in self._kept.get((weld,), work.asked, partial(fillets.of_weld, work, weld))
        )
        return list(filter(fillets.past, fillets.nearest(rows)))

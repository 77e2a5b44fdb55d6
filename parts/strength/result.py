"""The placed truck held against its load cases: one row a hold and clause, the case that governs.

Sizes are chosen before (by the families); here they are held against the forces of
``layout.loads``. What no load is held against stands in the assembly's ``not_held`` with its
reason, what no part of the truck is stands in ``NOT_CHECKED``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ...layout.assumed import Assumed
from ...layout.graph import Graph
from ...layout.loads.cases import EVERYDAY, both_hands
from ...layout.loads.forces import Forces, forces
from ...layout.quantities import Key, Side
from ..design.site import Waiting, forces_of
from ..design.sizing import Check
from ..model.hold import NotHeld
from ..model.verdict import Verdict
from ..stock import Shop
from ..truck.truck import Truck
from . import evaluate, everyday, rail_stations, tacks
from .elements.coil_seat_plate import Seat
from .named_loads import case_of
from .work import Work

SIDES: tuple[Side, ...] = ("L", "R")
NOT_CHECKED = (
    "knuckles, steering and brakes",
    "shocks and straps themselves",
    "threaded ends and joints themselves: their makers'",
    "the rail beyond its restored section",
    "transmission torque reaction at the crossmember",
    "jacking on a bracket",
)


class Strength(NamedTuple):
    """Rows, the forces behind them, what waits; ``seats``: finite elements of the coil-seat plates,
    by part, with the coil's and stop's force they are shown at; ``assumed``: what nobody read
    (``parts.assumptions`` fills it in); ``notes``: load factors of the shop's own; ``grown``: what
    was made larger for its loads; ``stations``: each rail along its coil-seat plate; ``tacks``:
    what holds it until it is welded; ``welded``: part, words of its rows and the welds those rows
    hold; ``ways``: failing part -> what would pass;
    ``worked``: ids of the holds that gave a row; ``held_by``: what each says, and the members,
    bolts and welds it covers; ``not_held``: what no load is held against, and why.
    """

    checks: tuple[Check, ...]
    forces: tuple[Forces, ...]
    waits: tuple[Key, ...]
    assumed: tuple[Assumed, ...] = ()
    notes: tuple[str, ...] = ()
    seats: Mapping[str, tuple[Seat, float]] = {}
    grown: tuple[str, ...] = ()
    stations: Mapping[str, Sequence[rail_stations.Station]] = {}
    tacks: Sequence[tacks.Tack] = ()
    welded: Sequence[tuple[str, str, tuple[str, ...]]] = ()
    ways: Mapping[str, str] = {}
    worked: frozenset[str] = frozenset()
    held_by: Sequence[tuple[str, tuple[str, ...]]] = ()
    not_held: Sequence[NotHeld] = ()

    @property
    def telling(self) -> tuple[Forces, ...]:
        """Forces of every case with the bushing rates as read or usual, and with others where they
        govern a row.
        """
        govern = {check.case for check in self.checks}
        return tuple(f for f in self.forces if not f.bushings or case_of(f) in govern)

    @property
    def fails(self) -> Mapping[str, tuple[Check, ...]]:
        """Part -> the rows it fails."""
        found: dict[str, tuple[Check, ...]] = {}
        for check in self.checks:
            if check.verdict is Verdict.FAILS:
                found[check.part] = (*found.get(check.part, ()), check)
        return found


def strength(truck: Truck, solved: Graph, shop: Shop) -> Strength:
    """Every hold of a truck in every case of every set.

    Where readings wait there are no rows, and they are named.
    """
    try:
        rows = forces_of(solved, tuple(sorted(shop.loads.items())))
    except Waiting as waiting:
        return Strength((), (), waiting.keys)
    work = Work(truck, shop, solved.values, rows)
    found = list(evaluate.rows(work))
    found += everyday.rows(work, forces(solved.values, both_hands(EVERYDAY)))
    found += tacks.rows(work)
    return Strength(
        checks=tuple(sorted(found, key=lambda check: -check.utilisation)),
        forces=rows,
        waits=(),
        notes=shop.load_notes,
        seats={plate.part: (plate.seat, plate.most) for plate in work.meshed.values()},
        stations={side: rail_stations.stations(work, side) for side in SIDES},
        tacks=tacks.every(work),
        welded=tuple(work.welded),
        worked=frozenset(work.worked),
        held_by=tuple(
            (
                evaluate.words(hold, evaluate.seen_by(work, hold)),
                tuple(dict.fromkeys((*hold.members, *hold.bolts, *hold.welds))),
            )
            for hold in truck.assembly.holds
            if hold.id in work.worked
        ),
        not_held=truck.assembly.not_held,
    )

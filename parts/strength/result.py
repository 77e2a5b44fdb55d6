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
from ...layout.loads.cases import EVERYDAY, adjusted, both_hands
from ...layout.loads.forces import Forces, forces
from ...layout.quantities import Key, Side
from ..design.site import Waiting, forces_of
from ..design.sizing import Check
from ..model.family import Sizes
from ..model.hold import Hold, NotHeld
from ..model.verdict import Verdict
from ..stock import Shop
from ..truck.truck import Truck, families
from . import evaluate, everyday, rail_stations, tacks
from .elements.coil_seat_plate import Seat
from .enlarged import Enlarged
from .named_loads import case_of
from .recorded import GroupWorked
from .work import Work
from .would_pass import Walls, walls_read

SIDES: tuple[Side, ...] = ("L", "R")
SAME = 1e-3
"""mm within which a tube is the one that was read."""
NOT_CHECKED = (
    "knuckles, steering and brakes",
    "shocks and straps themselves",
    "threaded ends and joints themselves: their makers'",
    "the rail beyond its restored section",
    "the rail's bottom wall where the crossmember's foot bolts pull on it: bolt through a plate"
    " inside the rail",
    "the track-bar ribs bent sideways between shelf and axle tube",
    "the axle's housing and tubes under their brackets",
    "the track bar, bought: its maker's",
    "a ledge of half the tire's radius hit at speed: the ledge case is a crawl",
)


class Strength(NamedTuple):
    """Rows, the forces behind them, what waits; ``seats``: finite elements of the coil-seat plates,
    by part, with the coil's and stop's force they are shown at; ``assumed``: what nobody read
    (``parts.assumptions`` fills it in); ``notes``: load factors of the shop's own; ``grown``: what
    was made larger for its loads; ``stations``: each rail along its coil-seat plate; ``tacks``:
    what holds it until it is welded; ``welded``: part, words of its rows and the welds those rows
    hold; ``ways``: part that fails or is to be confirmed -> what would
    pass, or why it stays;
    ``worked``: ids of the holds that gave a row; ``held_by``: what each says, and the members,
    bolts and welds it covers; ``not_held``: what no load is held against, and why; ``groups``: weld
    groups as they were worked; ``everyday``: forces of the everyday cases; ``waiting``: part -> the
    readings a row of it waits for; ``walls``: of rails and axle, as read;
    ``legs``: of fillets the shop welds, mm.
    """

    checks: tuple[Check, ...]
    forces: tuple[Forces, ...]
    waits: tuple[Key, ...]
    assumed: tuple[Assumed, ...] = ()
    notes: tuple[str, ...] = ()
    seats: Mapping[str, tuple[Seat, float]] = {}
    grown: tuple[Enlarged, ...] = ()
    stations: Mapping[str, Sequence[rail_stations.Station]] = {}
    tacks: Sequence[tacks.Tack] = ()
    welded: Sequence[tuple[str, str, tuple[str, ...]]] = ()
    ways: Mapping[str, str] = {}
    worked: frozenset[str] = frozenset()
    held_by: Sequence[tuple[str, tuple[str, ...]]] = ()
    not_held: Sequence[NotHeld] = ()
    groups: Sequence[GroupWorked] = ()
    everyday: tuple[Forces, ...] = ()
    waiting: Mapping[str, tuple[Key, ...]] = {}
    walls: Walls = ()
    legs: Sequence[float] = ()

    @property
    def telling(self) -> tuple[Forces, ...]:
        """Forces of every case with the bushing rates as read or usual, and with others where they
        govern a row.
        """
        govern = {check.case for check in self.checks}
        return tuple(f for f in self.forces if not f.bushings or case_of(f) in govern)

    @property
    def fails(self) -> Mapping[str, tuple[Check, ...]]:
        """By part, bolt or weld: the rows it fails, in the order of ``checks``; who passes is not
        in it.
        """
        found: dict[str, tuple[Check, ...]] = {}
        for check in self.checks:
            if check.verdict is Verdict.FAILS:
                found[check.part] = (*found.get(check.part, ()), check)
        return found


def settled(truck: Truck, solved: Graph) -> Mapping[Key, float]:
    """Values of a layout, mm, with the arms' tube as it is made: one heavier than was read is
    stiffer, and takes more. The layout's own where the arms are not made, or as they were read.
    """
    arms = next(f for _, f in families() if "arm.tube" in f.gives)
    pick = truck.picks.get(f"{arms.code}.L") or truck.picks.get(f"{arms.code}.R")
    if pick is None:
        return solved.values
    sizes = Sizes(pick.chosen)
    made = {Key(f"arms.tube_{name}", "C"): sizes[f"tube.{name}"] for name in ("od", "wall")}
    same = all(abs(solved.values.get(key, -1.0) - size) < SAME for key, size in made.items())
    return solved.values if same else {**solved.values, **made}


def cases_of(truck: Truck, solved: Graph, shop: Shop) -> tuple[Forces, ...]:
    """Forces in every load case with every set of bushing rates, the arms as they are made and the
    shop's own factors in.

    Raises
    ------
    Waiting
        Names the readings owed.
    """
    read = forces_of(solved, tuple(sorted(shop.loads.items())))
    values = settled(truck, solved)
    return read if values is solved.values else forces(values, adjusted(shop.loads))


class FamilyThings(NamedTuple):
    """What is one family's: its members, the first of each bolt's plates that was made, and all the
    ids a hold may name.
    """

    members: frozenset[str]
    bolts: Mapping[str, str]
    ids: frozenset[str]

    def touches(self, hold: Hold) -> bool:
        """Whether a hold covers anything of it."""
        return not self.ids.isdisjoint((*hold.members, *hold.bolts, *hold.welds))

    def holds(self, row: Check) -> bool:
        """Whether a row is of a part of it, or of a bolt whose first plate is."""
        return self.bolts.get(row.part, row.part) in self.members


def of_family(truck: Truck, family: str) -> FamilyThings:
    """What is of a family, by its file."""
    own = frozenset(code for code, name in truck.made_by.items() if name == family)
    bolts = {
        bolt.id: next((code for code in bolt.through if code in truck.made_by), "")
        for bolt in truck.assembly.bolts
    }
    ids = own | {bolt for bolt, first in bolts.items() if first in own}
    ids |= {weld.id for weld in truck.assembly.welds if weld.on in own}
    return FamilyThings(own, bolts, ids)


def rows_of(
    truck: Truck, solved: Graph, shop: Shop, family: str, *, daily: bool
) -> tuple[Check, ...]:
    """The limits of one family's parts alone, as growth tries them.

    Parameters
    ----------
    family : str
        Its file's name, as ``Truck.made_by`` has it.
    daily : bool
        With their everyday ranges too.

    Returns
    -------
    tuple of Check
        Of its members and of bolts whose first made member is its; none where readings wait.
    """
    try:
        rows = cases_of(truck, solved, shop)
    except Waiting:
        return ()
    own = of_family(truck, family)
    work = Work(truck, shop, solved.values, rows)
    found = list(evaluate.rows(work, own.touches, own.members))
    if daily:
        found += everyday.rows(work, forces(settled(truck, solved), both_hands(EVERYDAY)))
    return tuple(filter(own.holds, found))


def strength(truck: Truck, solved: Graph, shop: Shop) -> Strength:
    """Every hold of a truck in every case of every set, its fillets, its everyday ranges and its
    tacks.

    Where readings wait there are no rows, and ``waits`` names them. Rows stand by how much of what
    is allowed they use, most first.
    """
    try:
        rows = cases_of(truck, solved, shop)
    except Waiting as waiting:
        return Strength((), (), waiting.keys)
    work = Work(truck, shop, solved.values, rows, explains=True)
    found = list(evaluate.rows(work))
    daily = forces(settled(truck, solved), both_hands(EVERYDAY))
    found += everyday.rows(work, daily)
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
        groups=tuple(work.grouped),
        everyday=daily,
        waiting=work.waiting,
        walls=walls_read(solved.values, shop),
        legs=shop.legs,
    )

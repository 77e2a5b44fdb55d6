"""Sizes of one family, or of what it stands on, tried until its rows pass: the fewest changes, the
lightest first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from ...layout.graph import Graph
from ..design import weld_size
from ..design.heavier import weight
from ..design.sizing import UNSURE, Check
from ..model.family import Choice, Family, Variable
from ..stock import Shop
from ..truck.again import Again
from ..truck.truck import Truck, design, families
from .enlarged import SizeChange
from .tried import TriedRows

PinsByFamily = Mapping[str, Mapping[str, Choice]]
MOST = 8
"""Changes tried at once of a family's own sizes, and of those it stands on."""
BETTER = 0.99
"""A change that does not pass is kept for the next when it takes the worst use below this share."""
UNITS = ("plate", "tube", "bolt", "", "mm")
"""Kinds of sizes in the order they are changed."""
OF_WELDS = ("weld_line", "life_throat", "fillet_strength", "fillet_least")
"""Clauses that a larger leg helps."""


class Growth(NamedTuple):
    """Changes with which a family's rows pass, or come nearest: ``use`` of the ``row`` that asks
    most then; ``bar``: why it cannot be, empty where it can.
    """

    changes: tuple[SizeChange, ...]
    use: float
    row: Check | None = None
    bar: str = ""

    @property
    def pin(self) -> str:
        """As they are typed in the job file."""
        return " and ".join(change.pin for change in self.changes)


class GrowthGoal(NamedTuple):
    """What is asked of every row of a family: ``use`` of at most 1.

    ``daily``: everyday ranges too. ``deep``: changes together.
    """

    use: Callable[[Check], float]
    daily: bool
    deep: int


def limits(row: Check) -> float:
    """Share of what is allowed that a row uses, where it must be met; none of what only warns."""
    return row.utilisation if row.must else 0.0


def unsure(row: Check) -> float:
    """Share a row uses of what leaves nothing to confirm: on a value from memory a part of what is
    allowed, of what only warns all of it.
    """
    return row.utilisation / (UNSURE if row.tag == "memory" and row.must else 1.0)


PASSES = GrowthGoal(limits, daily=False, deep=3)
"""Nothing fails."""
CLEAR = GrowthGoal(unsure, daily=True, deep=2)
"""Nothing is left to confirm that a size may cure."""


class Sought(NamedTuple):
    """A family, by its file, whose rows are to meet a goal; ``parts``: only those of these, all if
    none is named.
    """

    family: str
    f: Family
    goal: GrowthGoal
    parts: tuple[str, ...] = ()


class GrowthSearch:
    """Sizes tried for one job; ``pins``: those of the job and those the loads made larger;
    ``nearest``: what came nearest where nothing passed; ``barred``: what would have passed, had it
    not spoilt another part; ``refused``: the first size of its own with which a family cannot be
    made.
    """

    def __init__(
        self, solved: Graph, words: Mapping[str, str], pins: PinsByFamily, chassis: str, shop: Shop
    ) -> None:
        self.solved, self.words, self.chassis, self.shop = solved, words, chassis, shop
        self.own, self.again, self.rows = pins, Again(), TriedRows(solved, shop)
        self.lost: dict[tuple[str, ...], float] = {}
        self.nearest: dict[str, Growth] = {}
        self.barred: dict[str, Growth] = {}
        self.refused: dict[str, Growth] = {}
        self.pins: PinsByFamily = {family: dict(sizes) for family, sizes in pins.items()}
        self._made: dict[object, Truck] = {}

    def made(self, pins: PinsByFamily) -> Truck:
        """The truck with these sizes, to be held against its loads; designed once."""
        key = frozenset((name, frozenset(sizes.items())) for name, sizes in pins.items() if sizes)
        if key not in self._made:
            self._made[key] = self._designed(pins, tried=True)
        return self._made[key]

    def finished(self) -> Truck:
        """The truck with the sizes kept, ready to be cut."""
        return self._designed(self.pins, tried=False)

    def _designed(self, pins: PinsByFamily, *, tried: bool) -> Truck:
        return design(
            self.solved, self.words, pins, self.chassis, self.shop, self.again, tried=tried
        )

    def take(self, way: Growth) -> None:
        """Keep a way's sizes."""
        self.pins = _with(self.pins, way.changes)

    def pinned(self, way: Growth) -> bool:
        """Whether a way changes what the job itself pins."""
        return any(change.name in self.own.get(change.family, {}) for change in way.changes)

    def way(self, truck: Truck, asked: Sought) -> Growth | None:
        """Changes with which a family meets a goal, the fewest, lightest first: own sizes, then
        those of what it stands on; where no one does, the best with a next one. Not looked for
        twice at the same use.
        """
        taken: tuple[SizeChange, ...] = ()
        least, worst = self._worst(truck, asked)
        key, family = (asked.family, *asked.parts), asked.family
        if abs(self.lost.get(key, 0.0) - least) < 1 - BETTER:
            return None
        self.lost[key] = least
        for kept in (self.nearest, self.barred, self.refused):
            kept.pop(family, None)
        for _ in range(asked.goal.deep):
            tried: list[Growth] = []
            for change in self._changes(truck, asked, taken, worst):
                way = self._tried((*taken, change), truck, asked)
                if way.use <= 1.0 and not way.bar:
                    del self.lost[key]
                    return way
                if way.use <= 1.0:
                    self.barred.setdefault(family, way)
                elif way.row is None and way.bar and change.family == family:
                    self.refused.setdefault(family, way)
                tried.append(way)
            best = min((w for w in tried if not w.bar), key=lambda way: way.use, default=None)
            if best is not None and best.use < least:
                self.nearest[family] = best
            if best is None or best.use > BETTER * least:
                return None
            least, taken, worst = best.use, best.changes, best.row
        return None

    def _tried(self, changes: tuple[SizeChange, ...], before: Truck, asked: Sought) -> Growth:
        """Worst use of a family's rows with changes, and what they spoil."""
        other = self.made(_with(self.pins, changes))
        lost = [(who, why) for who, why in other.failed.items() if who not in before.failed]
        made = asked.family in other.made_by.values()
        use, row = self._worst(other, asked) if made else (float("inf"), None)
        bar = (
            f"{lost[0][0].rpartition(' ')[0]} cannot be made: {_first(lost[0][1])}" if lost else ""
        )
        return Growth(changes, use, row, bar)

    def _worst(self, truck: Truck, asked: Sought) -> tuple[float, Check | None]:
        """The row of a family that asks most, and how much: of those of ``parts`` by the goal, of
        the others where they fail.
        """
        goal, parts = asked.goal, {*asked.parts}
        rows = self.rows.of(truck, asked.family, daily=goal.daily)
        uses = [
            (goal.use(row) if not parts or row.part in parts else _over(row), row) for row in rows
        ]
        return max(uses, key=lambda pair: pair[0], default=(0.0, None))

    def _changes(
        self, truck: Truck, asked: Sought, taken: tuple[SizeChange, ...], worst: Check | None
    ) -> Iterator[SizeChange]:
        """A family's own sizes first, then plates and tubes of what it stands on; larger fillets
        only where the worst row is a fillet's, and before all else.
        """
        known, family, f = dict(families()), asked.family, asked.f
        rows = [(family, f, _chosen(truck, f))]
        rows += [(name, known[name], _chosen(truck, known[name])) for name in _under(f)]
        welded = worst is not None and worst.rule in OF_WELDS
        for name, each, chosen in rows:
            if chosen is None:
                continue
            now = {**chosen, **{c.name: c.value for c in taken if c.family == name}}
            wide = _own(each, welded) if name == family else _stock(each)
            yield from _other(name, wide, now, self.shop)[:MOST]


def _over(row: Check) -> float:
    """Use of a row that fails, nothing of one that does not."""
    return row.utilisation if row.must and row.utilisation > 1.0 else 0.0


def _first(why: str) -> str:
    """The rule that stands against a family, without the ways out."""
    return why.removeprefix("cannot be met: ").partition(". ")[0]


def _with(pins: PinsByFamily, changes: Sequence[SizeChange]) -> PinsByFamily:
    """Pins with changes among them."""
    found = {family: dict(sizes) for family, sizes in pins.items()}
    for change in changes:
        found.setdefault(change.family, {})[change.name] = change.value
    return found


def _chosen(truck: Truck, f: Family) -> Mapping[str, Choice] | None:
    """A family's sizes; None where it was not made."""
    return next((p.chosen for k, p in truck.picks.items() if k.startswith(f"{f.code}.")), None)


def _own(f: Family, welded: bool) -> tuple[Variable, ...]:
    """A family's sizes in the order they are changed."""
    rest = [var for var in f.variables if var is not weld_size.WELD]
    rest.sort(key=lambda var: (*UNITS, var.unit).index(var.unit))
    fillets = welded and weld_size.WELD in f.variables
    return ((weld_size.WELD,) if fillets else ()) + tuple(rest)


def _stock(f: Family) -> tuple[Variable, ...]:
    """A family's plates and tubes."""
    return tuple(var for unit in ("plate", "tube") for var in f.variables if var.unit == unit)


def _under(f: Family) -> list[str]:
    """Families whose ports a family stands on, and those they stand on, nearest first."""
    found: list[str] = []
    asked = list(f.needs)
    for port in asked:
        for name, other in families():
            if port in other.gives and name not in found:
                found.append(name)
                asked += other.needs
    return found


def _other(
    family: str, variables: Sequence[Variable], chosen: Mapping[str, Choice], shop: Shop
) -> list[SizeChange]:
    """Single changes to try, each to what is larger."""
    rows: list[SizeChange] = []
    for var in variables:
        values = list(var.values(shop))
        if var.unit == "tube":
            values.sort(key=weight(var, shop))
        now = chosen[var.name]
        rows += [
            SizeChange(family, var.name, value, var.unit)
            for value in (values[values.index(now) + 1 :] if now in values else values)
        ]
    return rows

"""Design held against its loads: what fails under load is made again with the next size that
passes, its own or one of what it stands on, until all do or nothing in stock serves.

Sizes and loads settle together: every trial is worked with its own arms' stiffness (``result``).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from ...layout import units
from ...layout.graph import Graph
from ..design.sizing import Check
from ..model.family import Choice, Family, Variable
from ..stock import Shop
from ..truck.again import Again
from ..truck.truck import Truck, design, families
from ..words.names import part as part_name
from ..words.numbers import worded
from .passing import passing
from .result import Strength, rows_of, strength

Pins = Mapping[str, Mapping[str, Choice]]
PASSES = 12
"""Families made larger, one after another, before the search ends unsettled."""
MOST = 8
"""Changes tried at once of a family's own sizes, and of those it stands on."""
DEEP = 3
"""Changes together with which a family's parts pass."""
BETTER = 0.99
"""A change that does not pass is kept for the next when it takes the worst use below this share."""
UNITS = ("plate", "tube", "bolt", "", "mm")
"""Kinds of sizes in the order they are changed."""


class SizeChange(NamedTuple):
    """One size of one family."""

    family: str
    name: str
    value: Choice
    unit: str

    @property
    def pin(self) -> str:
        """As it is typed in the job file."""
        typed = (
            f'"{self.value}"'
            if isinstance(self.value, str)
            else f'"{units.show(self.value, "length")}"'
            if self.unit == "mm"
            else f"{self.value:g}"
        )
        return f"[pin.{self.family}] {self.name} = {typed}"


class Growth(NamedTuple):
    """Changes with which a family's failing parts pass, or come nearest: ``use`` of their worst
    ``row`` then.
    """

    changes: tuple[SizeChange, ...]
    use: float
    row: Check | None = None

    @property
    def pin(self) -> str:
        """As they are typed in the job file."""
        return " and ".join(change.pin for change in self.changes)


class Held(NamedTuple):
    """The truck as designed for its loads.

    ``grown``: what the loads made larger, in words; ``ways``: failing part -> what would pass;
    ``sizes``: the pins with what was made larger, with which the same truck is designed at once.
    """

    truck: Truck
    strength: Strength
    grown: tuple[str, ...]
    ways: Mapping[str, str]
    sizes: Pins


def held(solved: Graph, words: Mapping[str, str], pins: Pins, chassis: str, shop: Shop) -> Held:
    """Design, hold against the loads, enlarge what fails and is not pinned."""
    search = _Search(solved, words, pins, chassis, shop)
    truck = search.made(pins)
    now = strength(truck, solved, shop)
    grown: list[str] = []
    ways: dict[str, str] = {}
    for turn in range(PASSES + 1):
        ways = {}
        step: tuple[Growth, str] | None = None
        for family, f, parts in _failing(truck, now):
            way = search.way(truck, family, f)
            if way is None:
                near = search.nearest.get(family)
                ways |= {part: _nothing(f.title, now.fails[part], near) for part in parts}
            elif search.pinned(way) or turn == PASSES:
                ways |= dict.fromkeys(parts, f"with {way.pin} it passes ({way.use:.2f} used)")
            elif step is None:
                step = way, _said(way, parts[0], now.fails[parts[0]][0])
        if step is None:
            break
        search.take(step[0])
        truck = search.made(search.pins)
        now = strength(truck, solved, shop)
        grown.append(step[1])
    return Held(truck, now, tuple(grown), ways, search.pins)


def _said(way: Growth, part: str, worst: Check) -> str:
    """What was made larger, and for which row."""
    return (
        f"{way.pin}, for {part_name(part)}: {worst.what}, {worst.utilisation:.2f} of what is"
        f" allowed in {worst.case} with the lightest that fits"
    )


def _nothing(title: str, failing: Sequence[Check], near: Growth | None) -> str:
    """What is left where no size in stock serves: what comes nearest of it, and with what it
    passes.
    """
    asked = (
        " with every rate the arms' bushings may have: read their rates off the maker's sheet"
        if any("bushings" in row.case for row in failing)
        else ""
    )
    start = f"nothing else in stock for {title} passes{asked}"
    if near is None or near.row is None:
        worst = max(failing, key=lambda row: row.utilisation)
        ways = passing(worst)
        return f"{start}; it passes {ways}" if ways else f"{start}, and no other size comes nearer"
    ways = passing(near.row)
    return (
        f"{start}; nearest is {near.pin}, {near.use:.2f} of what is allowed for"
        f" {worded(near.row.what)}" + (f": then it passes {ways}" if ways else "")
    )


class _Search:
    """Sizes tried for one job; ``pins``: those of the job and those the loads made larger;
    ``nearest``: what came nearest where nothing passed.
    """

    def __init__(
        self, solved: Graph, words: Mapping[str, str], pins: Pins, chassis: str, shop: Shop
    ) -> None:
        self.solved, self.words, self.chassis, self.shop = solved, words, chassis, shop
        self.own, self.again = pins, Again()
        self.lost: dict[str, float] = {}
        self.nearest: dict[str, Growth] = {}
        self.pins: Pins = {family: dict(sizes) for family, sizes in pins.items()}

    def made(self, pins: Pins) -> Truck:
        """The truck with these sizes."""
        return design(self.solved, self.words, pins, self.chassis, self.shop, self.again)

    def take(self, way: Growth) -> None:
        """Keep a way's sizes."""
        self.pins = _with(self.pins, way.changes)

    def pinned(self, way: Growth) -> bool:
        """Whether a way changes what the job itself pins."""
        return any(change.name in self.own.get(change.family, {}) for change in way.changes)

    def way(self, truck: Truck, family: str, f: Family) -> Growth | None:
        """Changes with which a family's parts pass, the fewest, lightest first: own sizes, then
        those of what it stands on; where no one does, the best with a next one. Not looked for
        twice at the same use.
        """
        taken: tuple[SizeChange, ...] = ()
        worst = self._worst(truck, family)
        least = worst.utilisation if worst else 0.0
        if abs(self.lost.get(family, 0.0) - least) < 1 - BETTER:
            return None
        self.lost[family] = least
        for _ in range(DEEP):
            tried: list[Growth] = []
            for change in self._changes(truck, family, f, taken):
                way = self._tried((*taken, change), truck, family)
                if way.use <= 1.0:
                    del self.lost[family]
                    return way
                tried.append(way)
            best = min(tried, key=lambda way: way.use, default=None)
            if best is not None and best.use < least:
                self.nearest[family] = best
            if best is None or best.use > BETTER * least:
                return None
            least, taken = best.use, best.changes
        return None

    def _tried(self, changes: tuple[SizeChange, ...], before: Truck, family: str) -> Growth:
        """Worst use of a family's parts with changes; endless where one of them spoils a part."""
        other = self.made(_with(self.pins, changes))
        if set(other.failed) - set(before.failed):
            return Growth(changes, float("inf"))
        row = self._worst(other, family)
        return Growth(changes, row.utilisation if row else 0.0, row)

    def _worst(self, truck: Truck, family: str) -> Check | None:
        """The row that uses most of what is allowed, of those of a family's parts that must be
        met.
        """
        rows = [row for row in rows_of(truck, self.solved, self.shop, family) if row.must]
        return max(rows, key=lambda row: row.utilisation, default=None)

    def _changes(
        self, truck: Truck, family: str, f: Family, taken: tuple[SizeChange, ...]
    ) -> Iterator[SizeChange]:
        """A family's own sizes first, then plates and tubes of what it stands on."""
        known = dict(families())
        rows = [(family, f, _chosen(truck, f))]
        rows += [(name, known[name], _chosen(truck, known[name])) for name in _under(f)]
        for name, each, chosen in rows:
            if chosen is None:
                continue
            now = {**chosen, **{c.name: c.value for c in taken if c.family == name}}
            wide = each.variables if name == family else _stock(each)
            yield from _other(name, wide, now, self.shop)[:MOST]


def _with(pins: Pins, changes: Sequence[SizeChange]) -> Pins:
    """Pins with changes among them."""
    found = {family: dict(sizes) for family, sizes in pins.items()}
    for change in changes:
        found.setdefault(change.family, {})[change.name] = change.value
    return found


def _chosen(truck: Truck, f: Family) -> Mapping[str, Choice] | None:
    """A family's sizes; None where it was not made."""
    return next((p.chosen for k, p in truck.picks.items() if k.startswith(f"{f.code}.")), None)


def _stock(f: Family) -> tuple[Variable, ...]:
    """A family's plates and tubes."""
    return tuple(var for var in f.variables if var.unit in ("plate", "tube"))


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
    """Single changes to try, heavier stock first, then larger bolts, then counts."""
    rows: list[SizeChange] = []
    for var in sorted(variables, key=lambda v: (*UNITS, v.unit).index(v.unit)):
        values = list(var.values(shop))
        if var.unit == "tube":
            tubes = {key: shop.tube(str(key)) for key in values}
            values.sort(key=lambda key: (tubes[key].od - tubes[key].wall) * tubes[key].wall)
        now = chosen[var.name]
        rows += [
            SizeChange(family, var.name, value, var.unit)
            for value in (values[values.index(now) + 1 :] if now in values else values)
        ]
    return rows


def _members(s: Strength, t: Truck) -> dict[str, str]:
    """Failing rows' parts -> the part as it is made: a bolt's row is its first plate's."""
    bolts = {b.id: next((c for c in b.through if c in t.made_by), b.id) for b in t.assembly.bolts}
    return {bolts.get(p, p): p for p in s.fails}


def _failing(t: Truck, s: Strength) -> list[tuple[str, Family, list[str]]]:
    """Families with a failing part: their file, the family, the parts."""
    failing: dict[str, list[str]] = {}
    for member, part in _members(s, t).items():
        failing.setdefault(t.made_by.get(member, ""), []).append(part)
    return [
        (name, f, failing[name])
        for name, f in families()
        if name in failing and f.variables and any(k.startswith(f"{f.code}.") for k in t.picks)
    ]

"""Design held against its loads: what fails under load is made again with the next size that
passes, until all do or nothing in stock serves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from ...layout import units
from ...layout.graph import Graph
from ..design.sizing import Check
from ..model.family import Family
from ..stock import Shop
from ..truck.truck import Truck, design, families
from ..words.names import part as part_name
from .result import Strength, strength

Pins = Mapping[str, Mapping[str, Any]]
PASSES = 5
MOST = 8


class Way(NamedTuple):
    """One change of one size with which a family's failing parts pass: ``use`` of the worst row
    then.
    """

    family: str
    name: str
    value: Any
    unit: str
    use: float

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
    """Design, hold against the loads, enlarge what fails and is not pinned, at most five times."""
    t = design(solved, words, pins, chassis, shop)
    s = strength(t, solved, shop)
    now: dict[str, dict[str, Any]] = {k: dict(v) for k, v in pins.items()}
    grown: list[str] = []
    ways: dict[str, str] = {}
    for _ in range(PASSES):
        ways = {}
        step: tuple[Way, Truck, Strength, str] | None = None
        for family, f, parts in _failing(t, s):
            found = next(_passing(t, family, f, solved, words, now, chassis, shop), None)
            if found is None:
                ways |= {part: _nothing(f.title, s.fails[part]) for part in parts}
            elif found[0].name in pins.get(family, {}):
                ways |= dict.fromkeys(
                    parts, f"with {found[0].pin} it passes ({found[0].use:.2f} used)"
                )
            elif step is None:
                worst = s.fails[parts[0]][0]
                step = (
                    *found,
                    (
                        f"{found[0].pin}, for {part_name(parts[0])}: {worst.what},"
                        f" {worst.utilisation:.2f} of what is allowed in {worst.case} with the"
                        " lightest that fits"
                    ),
                )
        if step is None:
            break
        way, t, s, said = step
        now.setdefault(way.family, {})[way.name] = way.value
        grown.append(said)
    return Held(t, s, tuple(grown), ways, now)


def _nothing(title: str, failing: Sequence[Check]) -> str:
    """What is left where no size in stock serves."""
    if any("bushings" in row.case for row in failing):
        return (
            f"nothing else in stock for {title} passes with every rate the arms' bushings may have:"
            " read their rates off the maker's sheet, or stock another size"
        )
    return f"nothing else in stock for {title} passes: stock another size, or move the joint"


def _passing(
    t: Truck,
    family: str,
    f: Family,
    solved: Graph,
    words: Mapping[str, str],
    pins: Pins,
    chassis: str,
    shop: Shop,
) -> Iterator[tuple[Way, Truck, Strength]]:
    """Single changes of a family's sizes with which its parts pass, lightest first, each with the
    truck designed again.
    """
    chosen = next(iter(pick.chosen for k, pick in t.picks.items() if k.startswith(f"{f.code}.")))
    for name, key, unit in _other(f.variables, chosen, shop)[:MOST]:
        other = design(
            solved, words, {**pins, family: {**pins.get(family, {}), name: key}}, chassis, shop
        )
        if any(f" {f.code}." in k for k in other.failed):
            continue
        then = strength(other, solved, shop)
        if not any(other.made_by.get(p) == family for p in _members(then, other)):
            yield (
                Way(
                    family,
                    name,
                    key,
                    unit,
                    max(
                        (
                            c.utilisation
                            for c in then.checks
                            if other.made_by.get(c.part) == family and c.must
                        ),
                        default=0.0,
                    ),
                ),
                other,
                then,
            )


def _other(
    variables: Sequence[Any], chosen: Mapping[str, Any], shop: Shop
) -> list[tuple[str, Any, str]]:
    """Single changes to try, heavier stock first, then larger bolts, then counts."""
    rows: list[tuple[str, Any, str]] = []
    for var in sorted(
        variables,
        key=lambda v: (
            ("plate", "tube", "bolt", "", "mm").index(v.unit)
            if v.unit in ("plate", "tube", "bolt", "", "mm")
            else 9
        ),
    ):
        values = list(var.values(shop))
        if var.unit == "tube":
            values.sort(key=lambda k: (shop.tube(k).od - shop.tube(k).wall) * shop.tube(k).wall)
        now = chosen[var.name]
        rows += [
            (var.name, v, var.unit)
            for v in (values[values.index(now) + 1 :] if now in values else values)
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

"""From the layout to a designed truck: families in the order of their ports, sized, built,
mirrored, finished.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from ...layout import reader
from ...layout.graph import Graph
from ...layout.quantities import Key, Side
from .. import pieces, stock
from ..design import (
    assemble,
    drilling,
    finish,
    interlock,
    pin_conflicts,
    sizing,
    vocabulary,
    weld_size,
)
from ..design.heavier import weight
from ..design.part_numbers import in_order, shared_title
from ..design.site import PortMissing, Refused, SideView, SlipError, Waiting
from ..geometry.outline import OutlineError
from ..model.assembly import Assembly, Bolt, Member, Part, Port
from ..model.body import Plate
from ..model.family import Choice, Family, Sizes
from ..model.verdict import Verdict
from ..pieces._room_rules import NO_LIMIT
from ..words.numbers import worded
from . import cutting_table
from .again import Again


class Truck(NamedTuple):
    """Everything designed.

    ``waiting``: family and side -> readings owed; ``failed``: family and side -> why and the way
    out; ``behind``: family and side that was not made because what it stands on was not -> the
    first cause, in one of the other two. ``made_by``: member -> its family's file. ``words``: the
    job's. ``parts`` has one row for a part that fits both sides, ``singles`` one for each place.
    """

    assembly: Assembly
    parts: tuple[Part, ...]
    checks: tuple[sizing.Check, ...]
    picks: Mapping[str, sizing.Pick]
    waiting: Mapping[str, tuple[Key, ...]]
    failed: Mapping[str, str]
    reads: Mapping[str, frozenset[Key]]
    singles: tuple[Part, ...] = ()
    made_by: Mapping[str, str] = {}
    words: Mapping[str, str] = {}
    behind: Mapping[str, str] = {}

    def family_of(self, code: str) -> Family | None:
        """The family a member is of; None for a code nobody made."""
        return dict(families()).get(self.made_by.get(code, ""))


@cache
def families() -> tuple[tuple[str, Family], ...]:
    """Every family in the folder, each after what gives it its ports. SlipError for a cycle."""
    found = {}
    for module in sorted(pkgutil.iter_modules(pieces.__path__), key=lambda module: module.name):
        if not module.name.startswith("_"):
            loaded = importlib.import_module(f"{pieces.__name__}.{module.name}")
            found[module.name] = loaded.FAMILY
    order: list[tuple[str, Family]] = []
    given = {port for family in found.values() for port in family.gives}
    done: set[str] = set()
    while found:
        ready = [name for name, family in found.items() if not (set(family.needs) & given) - done]
        if not ready:
            raise SlipError(f"part families wait for each other: {', '.join(found)}")
        for name in ready:
            order.append((name, found[name]))
            done |= set(found.pop(name).gives)
    return tuple(order)


class Builder:
    """Builds families one by one; what one gives, the next stands on."""

    def __init__(
        self,
        solved: Graph,
        words: Mapping[str, str],
        pins: Mapping[str, sizing.FamilyPins],
        shop: stock.Shop,
        chassis: str,
        again: Again,
    ) -> None:
        self.again = again
        self.solved, self.words, self.pins = solved, words, pins
        self.shop, self.chassis = shop, chassis
        self.ports: dict[Side, dict[str, Port]] = {"L": {}, "R": {}, "C": {}}
        self.made: list[Assembly] = []
        self.members: dict[str, Member] = {}
        self.through: dict[str, list[Bolt]] = {}
        self.checks: list[sizing.Check] = []
        self.picks: dict[str, sizing.Pick] = {}
        self.waiting: dict[str, tuple[Key, ...]] = {}
        self.failed: dict[str, str] = {}
        self.behind: dict[str, str] = {}
        self.reads: dict[str, frozenset[Key]] = {}
        self.lost: dict[tuple[str, Side], str] = {}
        self.made_by: dict[str, str] = {}

    def both(self, name: str, f: Family) -> None:
        """A family on its two sides.

        Where one side would be made of other stock than the other, both take the heavier, so that a
        shop does not make a part twice over a hair of load; a size the job pins, or one the other
        side cannot take, stands as it is.
        """
        own = weld_size.settled(f, self.pins.get(name) or {})
        pins = own
        try:
            left, right = (self._pick(f, side, own) for side in ("L", "R"))
            if not left.broken and not right.broken:
                heavier = {
                    v.name: max(left.chosen[v.name], right.chosen[v.name], key=weight(v, self.shop))
                    for v in f.variables
                    if v.unit in ("plate", "tube", "bolt")
                    and v.name not in own
                    and left.chosen[v.name] != right.chosen[v.name]
                }
                if heavier and not any(
                    self._pick(f, side, {**own, **heavier}).broken for side in ("L", "R")
                ):
                    pins = {**own, **heavier}
        except (Waiting, PortMissing, Refused, OutlineError):
            pass  # it is said when that side is built
        for side in ("L", "R"):
            self.run(name, f, side, pins)

    def _pick(self, f: Family, side: Side, pins: sizing.FamilyPins) -> sizing.Pick:
        return self._sized(f, self._site(side, pins), pins)

    def _sized(self, f: Family, site: SideView, pins: sizing.FamilyPins) -> sizing.Pick:
        who = f"{f.code}.{site.side}"
        return self.again(("size", who), pins, site, lambda: sizing.size(f, site, who, pins))

    def _built(
        self, f: Family, site: SideView, pins: sizing.FamilyPins, chosen: Mapping[str, Choice]
    ) -> tuple[Assembly, Mapping[str, Port]]:
        """A family where it stands, and the ports it gives there."""

        def build() -> tuple[Assembly, Mapping[str, Port]]:
            side = site.side
            made = vocabulary.checked(f.build(Sizes(chosen), site), f)
            turned = assemble.mirror(made) if side == "R" else made
            placed = interlock.locked(assemble.sided(turned, side), self.shop)
            ports = {
                k: (
                    p
                    if side != "C" or p.member.endswith(".C")
                    else p._replace(member=f"{p.member}.C")
                )
                for k, p in made.ports.items()
            }
            return placed._replace(ports={}), ports

        return self.again(("build", f"{f.code}.{site.side}"), pins, site, build)

    def _site(self, side: Side, pins: sizing.FamilyPins) -> SideView:
        shop, ports = weld_size.shop_of(self.shop, pins), {**self.ports["C"], **self.ports[side]}
        return SideView(self.solved, side, self.words, shop, ports)

    def run(self, name: str, f: Family, side: Side, pins: sizing.FamilyPins) -> None:
        """One family on one side; faults are kept by name, the rest goes on."""
        who = f"{f.title} {f.code}.{side}"
        site = self._site(side, pins)
        try:
            pick = self._sized(f, site, pins)
            self.checks += [c for c in pick.checks if c.capacity < NO_LIMIT]
            self.picks[f"{f.code}.{side}"] = pick
            if pick.broken:
                raise Refused(_why(pick) + _fight(f, site, self.pins.get(name) or {}))
            placed, ports = self._built(f, site, pins, pick.chosen)
            self._sound(placed)
        except Waiting as w:
            self.waiting[who] = w.keys
        except PortMissing as p:
            self._stands_on(who, f, side, str(p))
        except OutlineError as e:
            self.failed[who] = f"one of its plates would have no outline that can be cut: {e}"
        except Refused as e:
            self.failed[who] = str(e)
        else:
            self.ports[side] |= ports
            self._stand(placed)
            self.reads |= {m.code: frozenset(site.read) for m in placed.members}
            self.made_by |= {m.code: name for m in placed.members}
            return
        self.lost |= {(g, side): who for g in f.gives}

    def _stand(self, placed: Assembly) -> None:
        self.made.append(placed)
        self.members |= {member.code: member for member in placed.members}
        for bolt in placed.bolts:
            for code in dict.fromkeys(bolt.through):
                self.through.setdefault(code, []).append(bolt)

    def _sound(self, placed: Assembly) -> None:
        """Refused for a plate of this family that cannot be cut, or for one of another family that
        its bolts spoil.
        """
        own: dict[str, list[Bolt]] = {member.code: [] for member in placed.members}
        for bolt in placed.bolts:
            for code in dict.fromkeys(bolt.through):
                own.setdefault(code, []).append(bolt)
        here = {**self.members, **{member.code: member for member in placed.members}}
        for code, member in here.items():
            if code in own:
                bolts = (*self.through.get(code, ()), *own[code])
                drilling.sound(member, bolts, self.shop, self.again.same)

    def _stands_on(self, who: str, f: Family, side: Side, port: str) -> None:
        if not any(port in other.gives for _, other in families()):
            raise SlipError(f"{who} stands on {port!r}, which no family gives")
        cause = self.lost.get((port, side)) or self.lost.get((port, "C")) or f"nothing makes {port}"
        place = Key(f"{port.rpartition('.')[0]}.x", side if side != "C" else "L")
        if place in self.solved.equations and place not in self.solved.values:
            self.waiting[who] = tuple(sorted(self.solved.rests_on(place)))
        elif cause in self.waiting:
            self.waiting[who] = self.waiting[cause]
        elif cause in self.failed or cause in self.behind:
            self.behind[who] = self.behind.get(cause, cause)
        else:
            self.failed[who] = cause


def _why(pick: sizing.Pick) -> str:
    """The rules that nothing in stock meets, with what they need and what there is in the nearest
    design.
    """
    rows = {c.what: c for c in pick.checks if c.verdict is Verdict.FAILS}
    said = []
    for says in pick.broken:
        c = rows.get(says)
        size = (
            ""
            if c is None
            else (
                f" (needs {reader.fine(c.demand)}, there is {reader.fine(c.capacity)})"
                if c.unit == "mm"
                else f" (needs {c.demand:.2f}, there is {c.capacity:.2f})"
            )
        )
        said.append(f"cannot be met: {worded(says)}{size}")
    return "; ".join(said)


def _fight(f: Family, site: SideView, pins: sizing.FamilyPins) -> str:
    """Which pins fight and the shortest way out, in words; empty if nothing is pinned or nothing in
    stock serves at all.
    """
    found = pin_conflicts.fight(f, site, pins) if pins else None
    if found is None:
        return ""
    said = "; ".join(
        f"{' and '.join(f'{n} = {pins[n]}' for n in names)} cannot be: {rule}"
        for names, rule in found.sets
    )
    if not found.release:
        return f". Pins: {said}. No pin let go would help: stock another size"
    then = ", ".join(f"{n} becomes {_size(found.then[n])}" for n in found.release)
    return (
        f". Pins that fight: {said}. Shortest way out: let go of {' and '.join(found.release)};"
        f" {then}"
    )


def _size(value: Choice) -> str:
    """A size as the shop says it."""
    return reader.fine(value) if isinstance(value, float) else str(value)


def sides_of(f: Family, solved: Graph) -> tuple[Side, ...]:
    """Which sides a family is built on.

    Both, the center, or one: the side a quantity of the layout points to, the left where it is not
    known.
    """
    if f.where == "center":
        return ("C",)
    if f.where == "one side":
        return ("L",) if solved.values.get(Key(f.side_of, "C"), 1.0) > 0 else ("R",)
    return ("L", "R")


def design(
    solved: Graph,
    words: Mapping[str, str],
    pins: Mapping[str, sizing.FamilyPins],
    chassis: str,
    shop: stock.Shop | None = None,
    again: Again | None = None,
    *,
    tried: bool = False,
) -> Truck:
    """Every part that can be made from what is solved; the rest says what it waits for, or why.

    ``again``: kept by whoever designs the same layout with other sizes; ``tried``: only to be held
    against its loads, its parts drilled but neither numbered, lettered nor weighed.
    """
    kept = Again() if again is None else again
    builder = Builder(solved, words, pins, shop or stock.default_shop(), chassis, kept)
    for name, family in families():
        sides = sides_of(family, solved)
        if family.where == "each side":
            builder.both(name, family)
        else:
            pins_of = weld_size.settled(family, builder.pins.get(name) or {})
            builder.run(name, family, sides[0], pins_of)
    whole = assemble.merge(builder.made)
    # bolts of one family pass plates of another: holes are made again with every bolt known
    singles = (
        finish.drilled(whole, builder.shop, kept.same)
        if tried
        else finish.finish(whole, builder.shop, chassis, same=kept.same)
    )
    return Truck(
        assembly=whole,
        parts=singles if tried else paired(singles),
        checks=(*builder.checks, *cutting_table.too_large(singles, builder.shop, kept.same)),
        picks=builder.picks,
        waiting=builder.waiting,
        failed=builder.failed,
        reads=builder.reads,
        singles=singles,
        made_by=builder.made_by,
        words=words,
        behind=builder.behind,
    )


def relettered(
    truck: Truck,
    shop: stock.Shop,
    chassis: str,
    letters: Mapping[str, str],
    firsts: Mapping[str, str] | None = None,
) -> Truck:
    """The same truck with released revision letters on its parts instead of draft marks.

    ``firsts``: the chassis a part was first released for, whose number it keeps.
    """
    singles = finish.finish(truck.assembly, shop, chassis, letters, firsts)
    return truck._replace(parts=paired(singles), singles=singles)


def paired(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """What is cut alike becomes one row with how many and where to; it keeps place and id of the
    first.
    """
    alike: dict[tuple[str, str], list[Part]] = {}
    for part in sorted(parts, key=lambda part: in_order(part.id)):
        alike.setdefault((part.number, part.hand), []).append(part)
    rows = [_row(each) for each in alike.values()]
    return tuple(sorted(rows, key=lambda part: (not is_plate(part), part.id)))


def _row(each: list[Part]) -> Part:
    """The one row of parts that are cut alike, in order of their places."""
    title = shared_title(part.member.title for part in each)
    return each[0]._replace(
        quantity=sum(part.quantity for part in each),
        places=tuple(part.id for part in each),
        families=tuple(part.member.family for part in each),
        member=each[0].member._replace(title=title),
    )


def is_plate(part: Part) -> bool:
    """Whether a part is cut from plate."""
    return isinstance(part.member.body, Plate)

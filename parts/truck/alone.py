"""One family designed again with what it stands on and nothing else: some milliseconds, where a
whole truck takes a tenth of a second and more.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from ...layout.graph import Graph
from ...layout.quantities import Key, Side
from ..design import sizing, weld_size
from ..design.site import PortMissing, Refused, SideView, SlipError, Waiting
from ..geometry.outline import OutlineError
from ..model.family import Choice, Family, Rule
from ..stock import Shop
from .again import Again
from .truck import Builder, families, sides_of


class Alone(NamedTuple):
    """What came of a family made alone.

    ``lost``: families and sides that were not made, of it and of what it stands on; ``hangs``: what
    was asked for before it was refused, numbers and words, what was asked for last first;
    ``broken``: the rules that none of its sizes meets.
    """

    lost: frozenset[str]
    hangs: tuple[Key, ...] = ()
    broken: tuple[str, ...] = ()


class _InOrder(set[Key]):
    """Keys that were asked for, and in which order, each as often as it was."""

    def __init__(self) -> None:
        super().__init__()
        self.order: list[Key] = []

    def add(self, key: Key) -> None:
        """One more."""
        super().add(key)
        self.order.append(key)


class _Watched(Builder):
    """A builder that keeps what it last showed a family, and what was asked of it in its order."""

    site: SideView
    asked: _InOrder
    first: Mapping[str, tuple[str, ...]] = {}

    def run(self, name: str, f: Family, side: Side, pins: sizing.FamilyPins) -> None:
        """As it is, unless a rule that is looked at first cannot be met."""
        rules = tuple(rule for rule in f.rules if rule.says in self.first.get(name, ()))
        if rules and not self._met(f._replace(rules=rules), side, pins):
            self.failed[f"{f.title} {f.code}.{side}"] = rules[0].says
            return
        super().run(name, f, side, pins)

    def _met(self, f: Family, side: Side, pins: sizing.FamilyPins) -> bool:
        """Whether any size meets the rules of a family; so too where nobody can tell."""
        try:
            return bool(sizing.field(f, self._site(side, pins), pins).fits.any())
        except (Waiting, PortMissing, Refused, OutlineError):
            return True  # it is said when it is built

    def _site(self, side: Side, pins: sizing.FamilyPins) -> SideView:
        self.site = super()._site(side, pins)
        self.site.read = self.asked = _InOrder()
        return self.site

    def asked_by(self, rule: Rule, chosen: Mapping[str, Choice], side: Side) -> list[Key]:
        """What a rule asks for at a choice."""
        rule.args(sizing.grid_of_one(chosen), self._site(side, {}))
        return self.asked.order


def called(who: str) -> tuple[str, Side]:
    """The family's file and the side of what a truck calls ``who`` ("coil mount CM.L")."""
    title, _, code = who.rpartition(" ")
    letters, _, side = code.partition(".")
    for name, family in families():
        if family.title == title and family.code == letters:
            return name, "L" if side == "L" else "R" if side == "R" else "C"
    raise SlipError(f"no family is called {who!r}")


@cache
def under(name: str) -> frozenset[str]:
    """The files of a family and of everything it stands on."""
    by_name = dict(families())
    makers = {port: maker for maker, family in by_name.items() for port in family.gives}
    found: set[str] = set()
    ahead = [name]
    while ahead:
        one = ahead.pop()
        if one not in found:
            found.add(one)
            ahead += [makers[port] for port in by_name[one].needs if port in makers]
    return frozenset(found)


def alone(
    who: str,
    solved: Graph,
    words: Mapping[str, str],
    pins: Mapping[str, sizing.FamilyPins],
    shop: Shop,
    broken: tuple[str, ...] = (),
    *,
    hangs: bool = False,
) -> Alone:
    """A family on its side, with what it stands on there and in the center.

    ``who``: as ``Truck.failed`` has it; ``broken``: rules of it that are looked at before any
    other, since another truck broke them; ``hangs``: whether to find what a refusal hangs on too.
    """
    name, side = called(who)
    builder = _Watched(solved, words, pins, shop, "", Again())
    builder.first = {name: broken}
    for file, family in families():
        if file in under(name):
            sides = sides_of(family, solved)
            own = weld_size.settled(family, pins.get(file) or {})
            for at in sides if len(sides) == 1 else (side,):
                if at in sides:
                    builder.run(file, family, at, own)
    lost = frozenset((*builder.failed, *builder.behind, *builder.waiting))
    if not hangs or who not in builder.failed:
        return Alone(lost)
    family = dict(families())[name]
    pick = builder.picks.get(f"{family.code}.{side}")
    return Alone(lost, _hangs(builder, family, side), () if pick is None else pick.broken)


def _hangs(builder: _Watched, family: Family, side: Side) -> tuple[Key, ...]:
    """What a refusal hangs on, nearest first: what the rules that cannot be met ask for, what was
    asked for last, then what the parts rest on that it stands on.
    """
    asked, taken = builder.asked, builder.site.taken
    pick = builder.picks.get(f"{family.code}.{side}")
    direct = [
        key
        for rule in (family.rules if pick is not None else ())
        if pick is not None and rule.says in pick.broken
        for key in builder.asked_by(rule, pick.chosen, side)
    ]
    makers = {maker for maker, other in families() if not set(other.gives).isdisjoint(taken)}
    below = [
        key
        for code, maker in builder.made_by.items()
        if maker in makers
        for key in sorted(builder.reads[code])
    ]
    return tuple(dict.fromkeys((*direct, *asked.order[::-1], *sorted(asked), *below)))

"""The rows under load worked again with something changed, and what that moves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from ...layout.loads.cases import adjusted
from ...layout.loads.forces import forces
from ...layout.quantities import Key
from ..design.sizing import Check
from ..stock import Shop
from ..stock.materials import Materials
from ..strength import evaluate
from ..strength.work import Work
from ..truck.truck import Truck
from ..words.names import sentence
from ..words.numbers import worded

Values = Mapping[Key, float]
SEEN = 0.004
"""Change of what is used that a row with two decimals can show."""


class Supposed(NamedTuple):
    """One other value to work the rows with: in words, and what is different then."""

    says: str
    values: Values = MappingProxyType({})
    made_of: Materials | None = None
    shop: Shop | None = None


class Trial:
    """The rows under load as they are, and with something changed."""

    def __init__(self, truck: Truck, values: Values, shop: Shop) -> None:
        self.truck, self.v, self.shop = truck, values, shop
        self.cases = adjusted(dict(shop.loads))
        self.base = self.rows(Supposed(""))
        self.members = {member.code: member for member in truck.assembly.members}
        self.first = {
            bolt.id: next((code for code in bolt.through if code in truck.made_by), "")
            for bolt in truck.assembly.bolts
        }

    def rows(self, change: Supposed) -> dict[tuple[str, str], Check]:
        """Every row under load by part and what it holds, worked with the change."""
        values = {**self.v, **change.values}
        work = Work(
            self.truck, change.shop or self.shop, values, forces(values, self.cases), change.made_of
        )
        return {(row.part, row.what): row for row in evaluate.rows(work)}

    def moved(self, changes: Iterable[Supposed]) -> tuple[str, frozenset[str]]:
        """The most used row that each change touches, before and after, in words; the families
        touched by any.
        """
        said, codes = [], set[str]()
        for change in changes:
            then = self.rows(change)
            hit = [
                (max(was.utilisation, then[key].utilisation), key)
                for key, was in self.base.items()
                if key in then and abs(then[key].utilisation - was.utilisation) > SEEN
            ]
            codes |= {self.family(part) for _, (part, _) in hit}
            if not hit:
                said.append(f"no row under load by more than 0.004 with {change.says}")
                continue
            _, key = max(hit)
            said.append(
                f"{self.name(key[0])}{worded(sentence(key[1]))}: {self.base[key].utilisation:.2f}"
                f" used, {then[key].utilisation:.2f} with {change.says}"
            )
        return "; ".join(said), frozenset(codes - {""})

    def name(self, part: str) -> str:
        """A part by its title and side; a bolt's row names the bolt itself."""
        member = self.members.get(part)
        side = {"L": ", left", "R": ", right"}.get(part.rpartition(".")[2], "")
        return f"{member.title}{side}: " if member else ""

    def family(self, part: str) -> str:
        """The family that makes a part, or the first made one a bolt passes; "" for neither."""
        member = self.members.get(part) or self.members.get(self.first.get(part, ""))
        return member.family if member else ""

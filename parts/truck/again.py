"""What was made before of the same sizes on the same ports, for a truck designed again with one
size changed: a family is a pure function of both, of the layout and the shop.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple, TypeVar, cast

from ...layout.quantities import Key
from ..design.same import Same
from ..design.site import SideView
from ..design.sizing import FamilyPins
from ..model.assembly import Port

Remade = TypeVar("Remade")


class _FamilyMade(NamedTuple):
    """What came of a family, the ports it asked for and the readings it took."""

    taken: Mapping[str, Port | None]
    found: object
    read: frozenset[Key]


class Again:
    """Of one layout, one job's words and one shop only; ``same``: what finishing made of them."""

    def __init__(self) -> None:
        self.same = Same()
        self._kept: dict[tuple[object, ...], list[_FamilyMade]] = {}

    def __call__(
        self, key: tuple[str, ...], pins: FamilyPins, site: SideView, make: Callable[[], Remade]
    ) -> Remade:
        """What ``make`` gives, worked once for these pins and the ports it takes from ``site``.

        What it raises is raised again.
        """
        rows = self._kept.setdefault((*key, tuple(sorted(pins.items()))), [])
        for row in rows:
            if all(site.ports.get(name) == port for name, port in row.taken.items()):
                site.read |= row.read
                site.taken |= row.taken
                return cast(Remade, row.found)
        site.taken = {}
        found = make()
        rows.append(_FamilyMade(dict(site.taken), found, frozenset(site.read)))
        return found

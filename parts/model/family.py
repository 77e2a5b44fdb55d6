"""What a part family is: its variables, its rules, how it is built, and the side of the truck it is
shown.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple, Protocol

from ...layout.quantities import Side
from .assembly import Assembly, Port
from .clause import Clause
from .terms import AssemblySheet, MapPlace, Role, Where
from .vectors import Array

Grid = Mapping[str, Any]


class Site(Protocol):
    """One side's facts, always shown as if it were the left; notes every key that is read."""

    side: Side
    shop: Any
    words: Mapping[str, str]

    def q(self, key: str) -> float:
        """A number of this side or of the center, internal units; Waiting where it is owed."""

    def pair(self, key: str) -> tuple[float, float]:
        """A number of both sides, left first."""

    def other(self, key: str) -> float:
        """A number of the far side, outward positive."""

    def word(self, key: str) -> str:
        """A word of the job; empty where it was not asked for."""

    def need(self, key: str) -> str:
        """A word that must be there; Waiting where it is not."""

    def has(self, key: str) -> bool:
        """Whether a number is there; Waiting where it is owed."""

    def there(self, key: str) -> bool:
        """Whether a number is there, owed or not."""

    def open_face(self) -> str:
        """The rail's face without a wall: "inner", "side", or empty for a box."""

    def force(self, joint: str) -> Array:
        """Forces at a joint in every load case, N: (cases, 3) or (cases,)."""

    def port(self, name: str) -> Port:
        """What an earlier family gave; PortMissing where it was not made."""


class Variable(NamedTuple):
    """One choice of a family: values of the shop's, narrowed by ``[pin.<family>]`` of the job."""

    name: str
    unit: str
    values: Callable[[Any], Any]
    preferred: Any = None


class Rule(NamedTuple):
    """A clause applied to a family: ``args`` builds its keyword arguments on the grid."""

    name: str
    clause: Clause
    args: Callable[[Grid, Site], Mapping[str, Any]]
    says: str


class SteelOf(NamedTuple):
    """A tube whose steel the job names: its code without a side, what people call it, the field."""

    code: str
    called: str
    field: str


class Family(NamedTuple):
    """One part family: ``FAMILY`` of one file in ``parts/pieces``, found by listing the folder.

    ``needs``/``gives`` are port names and set the build order. ``build(d, s)`` is pure, for the
    left only: sizes come from ``d``, places from ``s``. ``mass(v, s)`` and the rules' ``args(v,
    s)`` work on the broadcast grid.

    For a variable of unit "plate" the grid holds v["plate"] (index), v["plate.t"] (smaller of
    nominal and measured), v["plate.fy"], v["plate.fu"]; ``d`` of the winner holds d["plate"] (stock
    key), d["plate.t"] (nominal), d["plate.t_measured"], d["plate.fy"], d["plate.fu"]. Unit "bolt":
    ".d", ".hole" (close fit), ".as" (stress area), ".fu". Unit "tube": ".od", ".wall", ".fy". Any
    other unit: the number itself.

    ``place``: the picture its welds and bolts are numbered on, "" for what is on the truck already;
    ``sheet``: the assembly drawing its parts stand on, "" for a tool or what is there already;
    ``about``: conflicts of the layout, by their codes, its parts are not cut under; ``roles``: its
    members by what rooms above ask for, by their codes (two letters for all that begin so);
    ``steels``: its tubes whose steel the job names.
    """

    code: str
    title: str
    where: Where
    needs: tuple[str, ...]
    gives: tuple[str, ...]
    variables: tuple[Variable, ...]
    rules: tuple[Rule, ...]
    mass: Callable[[Grid, Site], Any]
    build: Callable[[Mapping[str, Any], Site], Assembly]
    side_of: str = ""
    place: MapPlace = ""
    sheet: AssemblySheet = ""
    about: tuple[str, ...] = ()
    roles: Mapping[Role, tuple[str, ...]] = {}
    steels: tuple[SteelOf, ...] = ()

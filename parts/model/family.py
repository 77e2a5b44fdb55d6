"""What a part family is: its variables, its rules, how it is built, and the side of the truck it is
shown.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple, Protocol, TypeVar

from ...layout.arrays import Array
from ...layout.quantities import Side
from .assembly import Assembly, Port
from .clause import Clause
from .on_hand import OnHand
from .terms import AssemblySheet, Role, Where
from .vectors import Number

FloatOrArray = TypeVar("FloatOrArray", float, Array)
"""A number of one choice, or of every choice: what goes in comes out."""
Choice = str | float
"""What a variable may be: a stock key, a length or a count."""
Grid = Mapping[str, Array]
"""Numbers behind every choice of a family at once, by the names of ``Sizes``."""


class Sizes:
    """The choice that was made: ``sizes["plate.t"]`` a number in mm or MPa,
    ``sizes.stock("plate")`` the stock key. KeyError for a name the family has no variable of.
    """

    def __init__(self, chosen: Mapping[str, Choice]) -> None:
        self.numbers = {
            name: float(value) for name, value in chosen.items() if not isinstance(value, str)
        }
        self.keys = {name: value for name, value in chosen.items() if isinstance(value, str)}

    def __getitem__(self, name: str) -> float:
        """A number of the choice."""
        return self.numbers[name]

    def stock(self, variable: str) -> str:
        """Stock key of a variable of unit "plate", "tube" or "bolt"."""
        return self.keys[variable]


class Site(Protocol):
    """One side's facts, always shown as if it were the left; notes every key that is read."""

    side: Side
    words: Mapping[str, str]

    @property
    def shop(self) -> OnHand:
        """What there is to choose from."""

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
    values: Callable[[OnHand], Sequence[Choice]]
    preferred: Choice | None = None


class Rule(NamedTuple):
    """A clause applied to a family: ``args`` builds its keyword arguments on the grid."""

    name: str
    clause: Clause
    args: Callable[[Grid, Site], Mapping[str, Number]]
    says: str


class SteelOf(NamedTuple):
    """A tube whose steel the job names: its code without a side, what people call it, the field."""

    code: str
    called: str
    field: str


class Family(NamedTuple):
    """One part family: ``FAMILY`` of one file in ``parts/pieces``, found by listing the folder.

    ``needs``/``gives`` are port names and set the build order. ``build(sizes, site)`` is pure,
    for the left only: sizes come from ``sizes``, places from ``site``. ``mass(grid, site)`` and the
    rules' ``args(grid, site)`` work on the broadcast grid.

    For a variable of unit "plate" the grid holds "plate" (index), "plate.t" (smaller of nominal and
    measured), "plate.fy", "plate.fu"; ``sizes`` of the winner "plate.t" (nominal),
    "plate.t_measured", "plate.fy", "plate.fu", and ``sizes.stock("plate")`` its key. Unit "bolt":
    ".d", ".hole" (close fit), ".as" (stress area), ".fu". Unit "tube": ".od", ".wall", ".fy". Any
    other unit: the number itself.

    ``sheet``: the assembly drawing its parts stand on, "" for a tool or what is there already;
    ``about``: conflicts of the layout, by their codes, its parts are not cut under; ``roles``: its
    members by what rooms above ask for, by their codes (the family's own for all it makes);
    ``steels``: its tubes whose steel the job names; ``shares``: what its members' codes begin with
    where that is another family's ``code``, for the shop calls both one thing (a crossmember's tube
    and its stubs, a track bar's two ends); ``otherwise(made)``: of the truck as it is made what
    helps where no size in stock does, "" where nothing is known to.
    """

    code: str
    title: str
    where: Where
    needs: tuple[str, ...]
    gives: tuple[str, ...]
    variables: tuple[Variable, ...]
    rules: tuple[Rule, ...]
    mass: Callable[[Grid, Site], Number]
    build: Callable[[Sizes, Site], Assembly]
    side_of: str = ""
    sheet: AssemblySheet = ""
    about: tuple[str, ...] = ()
    roles: Mapping[Role, tuple[str, ...]] = {}
    steels: tuple[SteelOf, ...] = ()
    shares: str = ""
    otherwise: Callable[[Assembly], str] = lambda made: ""

    @property
    def letters(self) -> str:
        """What the codes of the plates and tubes it makes begin with."""
        return self.shares or self.code

"""What a load goes through, declared by the family that makes it, and what no load is held against,
with the reason.

A family's ``build`` returns both beside its bolts and welds, in names without a hand; one evaluator
(``parts.strength``) works every hold in every load case and every set of cases.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple, Protocol

from ...layout.arrays import Array
from ...layout.quantities import Side
from .clause import Clause
from .terms import Word
from .vectors import Number, Vec2, Vec3


class HoldKind(Word):
    """What a hold is, and with it how many rows come of it.

    ``ROW``: one clause. ``PIVOT``: a bolt through its ears: shear, bending, bearing, roots and
    welds of the ears. ``EAR``: a plate at its weld line. ``WELDS``: a rigid group, and the steel
    beside it. ``ELEMENTS``: a plate in finite elements. ``RANGE``: stress beside welds, in the
    everyday set alone, held to its own clause or to that of tubes.
    """

    ROW = "row"
    PIVOT = "pivot"
    EAR = "ear"
    WELDS = "weld group"
    ELEMENTS = "plate in elements"
    RANGE = "range of stress"


class Whose(Word):
    """Who answers for what is not held."""

    MAKER = "its maker's"
    NO_LOAD = "no load goes through it"
    SPARE = "the rest is held for all of it"
    NOT_WORKED = "not worked"


class TubeSize(NamedTuple):
    """A tube as it is on hand: outside diameter and wall, mm; yield and tensile strength, MPa."""

    od: float
    wall: float
    fy: float
    fu: float


class PlateSize(NamedTuple):
    """A plate as it is on hand: smaller of nominal and measured thickness, mm; strengths, MPa."""

    thick: float
    fy: float
    fu: float


class BoltSize(NamedTuple):
    """A bolt: diameter, mm; yield and tensile strength, MPa."""

    diameter: float
    fy: float
    fu: float


class HoleAt(Protocol):
    """A finished hole of a plate, in the plate's own axes."""

    @property
    def at(self) -> Vec2:
        """Its center."""

    @property
    def diameter(self) -> float:
        """As cut or drilled, mm."""

    @property
    def length(self) -> float:
        """Overall length of a slot, mm; 0 for a round hole."""

    @property
    def bolt(self) -> str:
        """Whose it is."""


class BoltAt(Protocol):
    """A bolt in truck axes."""

    @property
    def id(self) -> str:
        """Its name."""

    @property
    def at(self) -> Vec3:
        """A point on its axis."""

    @property
    def along(self) -> Vec3:
        """From head to nut."""

    @property
    def through(self) -> tuple[str, ...]:
        """Members from head to nut."""


class UnderLoad(Protocol):
    """The placed truck in its cases, as a hold of one side sees it.

    Names without a hand are of the hold's own side; everything is in truck axes, mm and N. A force
    has a row a case: (cases, 3); an amount (cases,).
    """

    @property
    def side(self) -> Side:
        """The side of the hold."""

    @property
    def cases(self) -> int:
        """How many cases there are."""

    @property
    def weld_metal(self) -> float:
        """Tensile strength of the filler, MPa."""

    @property
    def rail(self) -> PlateSize:
        """Least wall of the rail of this side, with its steel."""

    def has(self, *names: str) -> bool:
        """Whether every one of these solved numbers is there."""

    def there(self, code: str) -> bool:
        """Whether a member or bolt is placed."""

    def q(self, name: str) -> float:
        """A solved number of this side or of the center."""

    def point(self, name: str) -> Array:
        """A solved point, (3,)."""

    def force(self, load: str) -> Array:
        """A load as a vector."""

    def amount(self, load: str) -> Array:
        """A load without its direction."""

    def flips_at(self) -> Array:
        """Push in the upper arm that flips the radius arm about its own axis in each case, (cases,)
        N; infinite where none does.
        """

    def origin(self, code: str) -> Array:
        """Where a member's frame stands, (3,)."""

    def axis(self, code: str) -> Array:
        """A member's own x, (3,)."""

    def tube(self, code: str) -> TubeSize:
        """A tube's sizes and steel."""

    def length(self, code: str) -> float:
        """A tube's length, mm."""

    def plate(self, code: str) -> PlateSize:
        """A plate's thickness and steel."""

    def box(self, code: str) -> tuple[float, float, float, float]:
        """A plate's bounds in its own axes: x0, y0, x1, y1."""

    def ends(self, code: str, edge: str) -> Array:
        """Both ends of every edge of this name of a plate's outline, (n, 2) in its own axes."""

    def bolts(self, *starts: str) -> Sequence[BoltAt]:
        """Bolts of this side whose id begins so, but no bare holes of another plate."""

    def bolt(self, name: str) -> BoltSize:
        """A bolt's size and strength."""

    def bolt_at(self, name: str) -> Array:
        """The middle of a bolt's joint, (3,)."""

    def leg(self, weld: str) -> float:
        """A weld's leg, mm."""

    def holes(self, code: str) -> Mapping[str, HoleAt]:
        """Finished holes of a plate by their bolt."""

    def edge(self, code: str, hole: HoleAt) -> float:
        """From a hole's center to the plate's edge, mm."""

    def seams(self, code: str) -> Array:
        """Middles of the weld pieces on a plate or against it, (n, 3)."""

    def carried(self, welds: Sequence[str], at: Array, load: str) -> Sequence[tuple[Array, Array]]:
        """Welds as one rigid group under a load at a place (3,): of each weld both ends of its
        pieces, (n, 2, 3), and the force on each, (cases, n, 3) N.
        """

    def out(self, code: str, at: Vec2) -> Array:
        """A place of a plate's own plane in truck axes, (3,)."""


Numbers = Mapping[str, Number]
"""A clause's keyword arguments, every case at once."""
NumbersUnderLoad = Callable[[UnderLoad], "Numbers | None"]
"""A clause's keyword arguments, every case at once; None where readings are not there."""


class Step(NamedTuple):
    """Where a number put into a clause comes from: ``letter`` = ``formula``, in the letters of
    ``put``, each with its value, a number or one a case, and its unit inside; ``says``: what those
    are.
    """

    letter: str
    formula: str
    put: Mapping[str, tuple[Number, str]]
    says: str


Steps = Callable[[UnderLoad], "Sequence[Step]"]
"""How a clause's arguments follow from forces, places and sizes."""
Pulls = Callable[[UnderLoad], "Sequence[tuple[Array, Array, Array | None]]"]
"""Where a weld group is loaded: place (3,), force (cases, 3), couple (cases, 3) or None."""


class Hold(NamedTuple):
    """A load's way through bolts, welds and members.

    ``says``: in shop words; "{TB4}" in it is that member of the hold's side. ``members``,
    ``bolts``, ``welds``: what it covers; the first of ``members`` (or bolts, or the plate the first
    weld is on) carries the row. ``load``: its name in ``parts.strength.named_loads``. ``at``: the
    solved point where it acts; ``away``: the bolt at the other end of a strap or shock, which gives
    the direction. ``pulls``: for a weld group under more than one force. ``share``: ears that share
    the load. ``edges``: of an ear, which of its edges are its foot. ``tag``: as ``Check.tag``.
    ``steps``: how its numbers follow from the forces.
    """

    id: str
    kind: HoldKind
    says: str
    load: str
    members: tuple[str, ...] = ()
    bolts: tuple[str, ...] = ()
    welds: tuple[str, ...] = ()
    clause: Clause | None = None
    numbers: NumbersUnderLoad | None = None
    at: str = ""
    away: str = ""
    pulls: Pulls | None = None
    share: int = 1
    edges: tuple[str, ...] = ()
    tag: str = ""
    steps: Steps | None = None


class NotHeld(NamedTuple):
    """Members, bolts or welds no load is held against: why, in shop words, and whose they are."""

    ids: tuple[str, ...]
    why: str
    whose: Whose

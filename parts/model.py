"""One assembly model from which cut files, solids, dimensions, schedules, fit checks and sheets are
read.

A *member* is one body at one place. Bolts, welds and interlocks are declared once, in truck
coordinates; ``finish`` derives every member's holes, slots and marks from them, so mates
cannot drift. Lengths in mm, angles in rad, masses in kg. Truck axes as in ``soapstone.layout``.

Ids: a family's ``build`` writes its own members without a hand ("CS1"); ``assemble`` adds
".L", ".R" or ".C". A reference to a member of the same side is written without a hand, one
to a center member with ".C", one to the far side with ".far".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, Literal, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

Vec2 = tuple[float, float]
Vec3 = tuple[float, float, float]
Array = NDArray[np.float64]
Grid = Mapping[str, Any]


def add(a: Vec3, b: Vec3) -> Vec3:
    """a + b."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vec3, b: Vec3) -> Vec3:
    """a - b."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scale(a: Vec3, k: float) -> Vec3:
    """k a."""
    return (a[0] * k, a[1] * k, a[2] * k)


def dot(a: Vec3, b: Vec3) -> float:
    """a . b."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec3, b: Vec3) -> Vec3:
    """a x b."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Vec3) -> Vec3:
    """a / |a|; ValueError for a zero vector."""
    n = math.sqrt(dot(a, a))
    if n == 0.0:
        raise ValueError("a zero vector has no direction")
    return (a[0] / n, a[1] / n, a[2] / n)


class Frame(NamedTuple):
    """Part to truck: always a proper rotation. ``x`` and ``z`` are orthonormal."""

    origin: Vec3
    x: Vec3
    z: Vec3

    @property
    def y(self) -> Vec3:
        return cross(self.z, self.x)

    def out(self, p: Vec3) -> Vec3:
        """Part point to truck point."""
        y = self.y
        return tuple(
            self.origin[i] + p[0] * self.x[i] + p[1] * y[i] + p[2] * self.z[i] for i in range(3)
        )  # type: ignore[return-value]

    def into(self, p: Vec3) -> Vec3:
        """Truck point to part point."""
        d = sub(p, self.origin)
        return (dot(d, self.x), dot(d, self.y), dot(d, self.z))

    def turn(self, d: Vec3) -> Vec3:
        """Part direction to truck direction."""
        return sub(self.out(d), self.origin)

    @staticmethod
    def of(origin: Vec3, x: Vec3, z: Vec3) -> Frame:
        """Frame with ``z`` kept and ``x`` made square to it; both are normalised."""
        zz = unit(z)
        return Frame(origin, unit(sub(x, scale(zz, dot(x, zz)))), zz)


class Edge(NamedTuple):
    """One edge of a closed loop: from ``start`` to the next edge's start.

    ``bulge`` = tan(angle/4), + counter-clockwise.
    """

    name: str
    start: Vec2
    bulge: float = 0.0


Loop = tuple[Edge, ...]


class Bend(NamedTuple):
    """A bend line on the flat, from ``start`` to ``end``.

    The material on its left folds by ``angle`` toward +z (up, away from what the plate lies on) if
    positive. ``radius`` is inside. The line is the middle of the bend zone.
    """

    name: str
    start: Vec2
    end: Vec2
    angle: float
    radius: float


class Plate(NamedTuple):
    """Flat stock cut to ``outline`` (counter-clockwise) less ``openings``.

    Fills 0 <= w <= t in its frame; w = 0 is the face against what it is welded to, w = t the top
    face. Bolt holes are NOT here: ``finish`` adds them. With bends the frame places the flat's
    plane left where it was; the folded part leaves it.
    """

    stock: str
    outline: Loop
    openings: tuple[Loop, ...] = ()
    bends: tuple[Bend, ...] = ()


class TubeEnd(NamedTuple):
    """How a tube ends. "square"; "cope" onto a round of ``onto`` mm diameter whose axis makes
    ``angle`` with the tube's own and passes ``offset`` beside it; "insert": square, with a threaded
    insert sunk ``depth``. ``clock`` turns the end about the tube, from local z.
    """

    kind: Literal["square", "cope", "insert"] = "square"
    onto: float = 0.0
    angle: float = 0.0
    offset: float = 0.0
    depth: float = 0.0
    clock: float = 0.0
    item: str = ""


class Tube(NamedTuple):
    """Tube along local x from 0 to ``length`` (long point to long point).

    ``stock`` names shape, size and wall.
    """

    stock: str
    length: float
    ends: tuple[TubeEnd, TubeEnd]


class Rod(NamedTuple):
    """Simple body along local x from 0 to ``length``: cylinder, hollow if ``bore``; ``domed``: half
    a ball beyond each end.
    """

    length: float
    diameter: float
    bore: float = 0.0
    domed: bool = False


class Bar(NamedTuple):
    """Simple body: loop in local x-y extruded along local z from 0 to ``length``."""

    length: float
    outline: Loop
    openings: tuple[Loop, ...] = ()


class Helix(NamedTuple):
    """A coil spring about local x from 0 to ``length``."""

    length: float
    mean_diameter: float
    wire: float
    turns: float


Solid = Rod | Bar | Helix


class Bought(NamedTuple):
    """A bought thing (joint, bushing, sleeve stock, coil): catalogue words and a simple body."""

    item: str
    solid: Solid


class Existing(NamedTuple):
    """On the truck already: drilled, welded to, drawn and scheduled, never made.

    ``mark`` names it on sheets.
    """

    surface: str
    solid: Solid


Body = Plate | Tube | Bought | Existing


class Member(NamedTuple):
    """One body at one place.

    ``datum``: names of the two outline edges dimensions start from (plates). ``moves``: direction
    name -> (low, high) in mm that it may still move after tacking ("x", "y", "z" of the truck,
    "turn", or "slot" along one). ``fixed_after``: one of ``numbering.FIXED_AFTER``. ``ref``: where
    it sits in the fitter's words.
    """

    code: str
    title: str
    family: str
    body: Body
    place: Frame
    datum: tuple[str, str] = ("", "")
    per_truck: int = 1
    moves: Mapping[str, Vec2] = {}
    fixed_after: str = "tack"
    ref: str = ""


class Bolt(NamedTuple):
    """One bolt, pin or plug-free hole axis.

    ``at`` is any point on the axis, ``along`` from head to nut. ``through`` lists members from head
    to nut. ``slots``: member -> (extra length, direction in truck axes). ``hole``: "close",
    "normal" or a finished diameter in mm as text. ``size``: stock key such as "5/8-11". ``length``:
    what it clamps besides plates, tubes and bought things (a rail's wall, a strap), mm.
    """

    id: str
    at: Vec3
    along: Vec3
    size: str
    grade: str
    through: tuple[str, ...]
    duty: Literal["pivot", "frame", "steering", "mount", "witness", "drain", "keep"]
    hole: str = "close"
    slots: Mapping[str, tuple[float, Vec3]] = {}
    length: float = 0.0


class Groove(NamedTuple):
    """Preparation of a groove weld along an edge that stands on a round.

    ``bevel``: ground off the edge on the weld's face after cutting, rad; ``angle``: between the
    faces then, at the root, rad; ``land``: of the edge left square, mm; ``depth``: S, from the face
    to the land, mm.
    """

    bevel: float
    angle: float
    land: float
    depth: float


class Weld(NamedTuple):
    """One weld line.

    ``on``: a plate (edges named) or a tube ("end0", "end1"). ``edges`` of the outline or of an
    opening ("slot1" names the whole opening whose first edge has that name). ``face``: which face
    of ``on`` the line lies on: "bottom" (w = 0), "top" or "both". ``run``/``pitch``: stitch length
    and pitch in mm, 0 = continuous. ``care``: words such as "bushing out", "dummy sleeve in", "bolt
    through". ``leg``: a fillet's leg, a groove's effective throat (E), mm; a groove always has its
    ``groove``.
    """

    id: str
    on: str
    edges: tuple[str, ...]
    to: str
    kind: Literal["fillet", "slot", "plug", "groove"]
    leg: float
    run: float = 0.0
    pitch: float = 0.0
    care: frozenset[str] = frozenset()
    face: Literal["bottom", "top", "both"] = "bottom"
    stop: float = 0.0
    order: int = 0
    groove: Groove | None = None


class Interlock(NamedTuple):
    """Tabs on an edge of one plate into slots of another, at distances along the edge."""

    tab_on: str
    edge: str
    slot_in: str
    at: tuple[float, ...]
    width: float


class Scribe(NamedTuple):
    """A line to scribe on a plate, in its own coordinates.

    ``text`` is lettered at the first point if given.
    """

    on: str
    role: Literal["text", "centre", "mate", "ride", "scale", "pig-tail"]
    strokes: tuple[tuple[Vec2, ...], ...]
    text: str = ""


class Port(NamedTuple):
    """What a later family stands on: a place, sizes in mm, and the member it belongs to."""

    frame: Frame
    size: Mapping[str, float]
    member: str


class Assembly(NamedTuple):
    """Everything a family makes for one side (or the center), or the whole truck."""

    members: tuple[Member, ...] = ()
    bolts: tuple[Bolt, ...] = ()
    welds: tuple[Weld, ...] = ()
    interlocks: tuple[Interlock, ...] = ()
    scribes: tuple[Scribe, ...] = ()
    ports: Mapping[str, Port] = {}

    def numbered_welds(self) -> dict[str, Weld]:
        """Welds by number, see ``numbering``."""
        from .model import numbering

        return numbering.welds(self)

    def numbered_bolts(self) -> dict[str, Bolt]:
        """Bolts by number, see ``numbering``."""
        from .model import numbering

        return numbering.bolts(self)


class Hole(NamedTuple):
    """A hole in a finished plate. ``length`` > 0: slot of that overall length at ``angle``."""

    at: Vec2
    diameter: float
    length: float
    angle: float
    how: Literal["cut", "drill", "ream"]
    pilot: float
    bolt: str


class Mark(NamedTuple):
    """Strokes to scribe on the top face, in part coordinates; ``text`` is what lettering says."""

    role: Literal["text", "drill", "centre", "mate", "ride", "bend", "scale", "pig-tail"]
    strokes: tuple[tuple[Vec2, ...], ...]
    text: str = ""


class Part(NamedTuple):
    """A member made ready to cut: what export, drawings and schedules read."""

    id: str
    member: Member
    hand: Literal["L", "R", "E"]
    quantity: int
    holes: tuple[Hole, ...]
    marks: tuple[Mark, ...]
    slots: tuple[Loop, ...]
    area_net: float
    area_cut: float
    mass: float
    fingerprint: str
    cut_fingerprint: str
    """Of what is cut, apart from its place: two parts with the same one are cut from the same file."""
    number: str = ""
    """What is lettered on it and its files are named by; shared by all that is cut alike, see
    ``part_numbers``.
    """
    places: tuple[str, ...] = ()
    """Where it goes, by place code, the first of them its ``id``."""

    @property
    def called(self) -> str:
        """Number and hand, as lists name it."""
        return self.number if self.hand == "E" else f"{self.number}.{self.hand}"

    @property
    def centered(self) -> bool:
        """Whether it goes to the middle of the truck only."""
        return all(p.endswith(".C") for p in self.places)


class Site(Protocol):
    """One side's facts, always shown as if it were the left; notes every key that is read."""

    side: Literal["L", "R", "C"]
    shop: Any
    words: Mapping[str, str]

    def q(self, key: str) -> float: ...
    def pair(self, key: str) -> tuple[float, float]: ...
    def other(self, key: str) -> float: ...
    def word(self, key: str) -> str: ...
    def need(self, key: str) -> str: ...
    def has(self, key: str) -> bool: ...
    def there(self, key: str) -> bool: ...
    def open_face(self) -> str: ...
    def force(self, joint: str) -> Array: ...
    def port(self, name: str) -> Port: ...


class Variable(NamedTuple):
    """One choice of a family: values from the shop, narrowed by ``[pin.<family>]`` of the job file."""

    name: str
    unit: str
    values: Callable[[Any], Any]
    preferred: Any = None


class Rule(NamedTuple):
    """A clause applied to a family: ``args`` builds its keyword arguments on the grid."""

    name: str
    clause: Any
    args: Callable[[Grid, Site], Mapping[str, Any]]
    says: str


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
    """

    code: str
    title: str
    where: Literal["each side", "centre", "one side"]
    needs: tuple[str, ...]
    gives: tuple[str, ...]
    variables: tuple[Variable, ...]
    rules: tuple[Rule, ...]
    mass: Callable[[Grid, Site], Any]
    build: Callable[[Mapping[str, Any], Site], Assembly]
    side_of: str = ""

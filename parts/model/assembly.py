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

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from .body import Body, Loop
from .hold import Hold, NotHeld
from .terms import Duty, Face, Hand, HowMade, MarkRole, ScribeRole, WeldKind
from .vectors import Frame, Vec2, Vec3


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
    duty: Duty
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
    kind: WeldKind
    leg: float
    run: float = 0.0
    pitch: float = 0.0
    care: frozenset[str] = frozenset()
    face: Face = "bottom"
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
    role: ScribeRole
    strokes: tuple[tuple[Vec2, ...], ...]
    text: str = ""


class Port(NamedTuple):
    """What a later family stands on: a place, sizes in mm, and the member it belongs to."""

    frame: Frame
    size: Mapping[str, float]
    member: str


class Assembly(NamedTuple):
    """Everything a family makes for one side (or the center), or the whole truck, with the loads it
    is held against.
    """

    members: tuple[Member, ...] = ()
    bolts: tuple[Bolt, ...] = ()
    welds: tuple[Weld, ...] = ()
    interlocks: tuple[Interlock, ...] = ()
    scribes: tuple[Scribe, ...] = ()
    ports: Mapping[str, Port] = {}
    holds: Sequence[Hold] = ()
    not_held: tuple[NotHeld, ...] = ()


class Hole(NamedTuple):
    """A hole in a finished plate. ``length`` > 0: slot of that overall length at ``angle``."""

    at: Vec2
    diameter: float
    length: float
    angle: float
    how: HowMade
    pilot: float
    bolt: str


class Mark(NamedTuple):
    """Strokes to scribe on the top face, in part coordinates; ``text`` is what lettering says."""

    role: MarkRole
    strokes: tuple[tuple[Vec2, ...], ...]
    text: str = ""


class Part(NamedTuple):
    """A member made ready to cut: what export, drawings and schedules read."""

    id: str
    member: Member
    hand: Hand
    quantity: int
    holes: tuple[Hole, ...]
    marks: tuple[Mark, ...]
    slots: tuple[Loop, ...]
    area_net: float
    area_cut: float
    mass: float
    fingerprint: str
    cut_fingerprint: str
    """Of what is cut, apart from its place: parts that share it are cut from the same file."""
    number: str = ""
    """What is lettered on it and its files are named by; shared by all that is cut alike, see
    ``part_numbers``.
    """
    places: tuple[str, ...] = ()
    """Where it goes, by place code, the first of them its ``id``."""
    families: tuple[str, ...] = ()
    """Code of the family that makes the part of each place."""

    @property
    def called(self) -> str:
        """Number and hand, as lists name it."""
        return self.number if self.hand is Hand.EITHER else f"{self.number}.{self.hand}"

    @property
    def centered(self) -> bool:
        """Whether it goes to the middle of the truck only."""
        return all(p.endswith(".C") for p in self.places)

"""Every bolt, dowel and stud with its stack, its length from the stack, and its nut: the one source
of the schedule, the torque sheet, the bill and the order. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from ...layout import units
from ...layout.job.fields import field_of
from ...layout.reader import metric
from ...layout.units import show, tape
from .. import stock
from ..geometry.bolt_axis import coaxial
from ..model.assembly import Bolt, Member
from ..model.body import Bought, Existing, Plate, Tube
from ..model.codes import is_rail
from ..model.numbering import numbered_bolts
from ..model.terms import TURNS
from ..model.vectors import dot, sub
from ..stock import IN, Shop
from ..stock.classes import bar_of, called
from ..stock.classes import metric as metric_thread
from ..words import names
from .truck import Truck

WASHER = 0.177 * IN
"""Thickest hardened washer of these sizes, ASTM F436: unverified source. Two on every bolt."""
NUT = 1.2
"""Height of a locknut, in diameters: common practice, no source."""
PAST = 2.0
"""Threads past the nut."""
LONGEST = 12 * IN
ALONG = 0.99
"""Cosine from which a round lies along a bolt."""
CLAMPS = {"arm.bolt": "axle.lower_ear", "transmission.mount": "driveline.mount.foot"}
"""Bolt by its id -> the reading of what it clamps on the truck: the axle's own ears, the foot of
the transmission's mount.
"""
OF_THE_TRUCK = {
    "arm.bolt": "the axle's own ears",
    "transmission.mount": "the mount's foot",
    "strap.upper": "the strap's end, taken as {}",
    "strap.lower": "the strap's end, taken as {}",
}
"""Bolt by its id -> what it clamps beside what is made, in words; with how thick where no reading
asks for it (common practice, no source).
"""
METRIC_THREAD = ((125.0, 6.0), (200.0, 12.0), (math.inf, 25.0))
"""Longest bolt -> thread past two diameters, mm."""
STRAP = "on a strap inside the rail"
"""A nut that no wrench reaches; the torque sheet says how it is held."""


class Fastener(NamedTuple):
    """One fastener.

    ``grip``: what it clamps, washers not counted. ``length``: head to tip, 0 where it cannot be
    said; ``owed`` then names the reading it waits for. ``shank``: plain shank it needs so that no
    thread lies in a shear plane. ``nut``: "" where it has none; ``made``: bolt, dowel or stud.
    ``stack``: codes of all that is clamped, head to nut, clamped plates and weld washers with it.
    """

    number: str
    bolt: Bolt
    made: str
    grip: float
    length: float
    shank: float
    nut: str
    owed: str
    stack: tuple[str, ...]

    @property
    def clamps(self) -> str:
        """What it clamps, head to nut, in words; with what of the truck beside."""
        made = " > ".join(map(names.part, self.stack))
        words = OF_THE_TRUCK.get(self.bolt.id.partition("#")[0], "") if self.bolt.length else ""
        return f"{made} with {words.format(show(self.bolt.length, 'length'))}" if words else made

    @property
    def size(self) -> str:
        """Size as it is asked for: a dowel is a plain bar and has no thread."""
        return bar_of(self.bolt.size) if self.made == "dowel" else self.bolt.size

    @property
    def call(self) -> str:
        """Size with length, as it is ordered."""
        return f"{self.size} x {self.length_said}" if self.length_said else self.size

    @property
    def length_said(self) -> str:
        """Length as every list prints it: a dowel's by the reader's rule, a bolt's as its bin is
        labeled; empty where none is known.
        """
        if self.made == "dowel":
            return show(self.length, "length") if metric() else tape(self.length)
        return length_text(self.bolt.size, self.length) if self.length else ""

    @property
    def name(self) -> str:
        """What it is in the shop's words."""
        if self.made == "bolt":
            return called(self.call, self.bolt.grade)
        return f"dowel {self.call}" if self.made == "dowel" else f"the stop's own stud, {self.call}"


def length_text(size: str, mm: float) -> str:
    """A length as the bin is labeled: inches for inch threads, mm for metric ones.

    >>> length_text("5/8-11", 88.9), length_text("M16x2", 90.0)
    ('3 1/2', '90 mm')
    """
    return f"{mm:.0f} mm" if metric_thread(size) else units.fraction(mm)


def lengths(size: str) -> Iterator[float]:
    """Lengths made, shortest first: inch by 1/4 to 6 in and by 1/2 from there, metric by 5 to 80 mm
    and by 10 from there (ISO 888; inch: common practice, no source).
    """
    if metric_thread(size):
        yield from (float(n) for n in (*range(20, 80, 5), *range(80, int(LONGEST) + 1, 10)))
    else:
        yield from (n * IN / 4 for n in (*range(4, 24), *range(24, 49, 2)))


def threaded(size: str, length: float) -> float:
    """Thread of a hex bolt: 2 d + 1/4 in to 6 in long, 1/2 in from there (ASME B18.2.1); 2 d + 6 mm
    to 125 mm, 12 mm to 200, 25 mm from there (ISO 4014). Both: unverified source.
    """
    d = stock.bolt(size).d
    if metric_thread(size):
        return 2 * d + next(more for most, more in METRIC_THREAD if length <= most)
    return 2 * d + (IN / 4 if length <= 6 * IN + 1e-6 else IN / 2)


def length_of(size: str, grip: float, shank: float) -> float:
    """The shortest bolt made that takes washers, locknut and two threads past it, with ``shank``
    plain; 0 where none is long enough.
    """
    row = stock.bolt(size)
    need = grip + 2 * WASHER + NUT * row.d + PAST * row.pitch
    return next(
        (n for n in lengths(size) if n >= need - 1e-6 and n - threaded(size, n) >= shank - 1e-6),
        0.0,
    )


def nut_of(b: Bolt, members: Mapping[str, Member]) -> str:
    """How the nut is held: one inside a closed rail cannot be reached with a wrench; a dowel has
    none.
    """
    if b.grade == "dowel":
        return ""
    if b.grade.startswith("stud"):
        return "welded inside the spacer"
    plies = [members[code] for code in b.through if code in members]
    if b.duty == "frame" and plies and _inside(plies):
        return STRAP
    return "locknut"


def _inside(plies: Sequence[Member]) -> bool:
    """Whether a bolt ends inside the rail: in its wall, or in a plate on the wall's other side than
    the plate under its head.
    """
    *others, last = plies
    return is_rail(last) or any(is_rail(each) for each in others[1:])


def every(truck: Truck, shop: Shop) -> list[Fastener]:
    """Every fastener by its number."""
    members = {member.code: member for member in truck.assembly.members}
    return [
        _fastener(number, bolt, members, shop, _washers(truck, bolt, members))
        for number, bolt in numbered_bolts(truck.assembly).items()
    ]


def _fastener(
    number: str, bolt: Bolt, members: Mapping[str, Member], shop: Shop, washers: list[Member]
) -> Fastener:
    """``washers``: clamped plates on its axis."""
    plies = _plies(bolt, members, shop)
    plain = Fastener(
        number=number,
        bolt=bolt,
        made="bolt",
        grip=(grip := sum(plies) + sum(_ply(each, bolt, shop) for each in washers)),
        length=0.0,
        shank=0.0,
        nut=nut_of(bolt, members),
        owed="",
        stack=_stack(bolt, members, washers),
    )
    if bolt.grade == "dowel":
        return plain._replace(made="dowel", length=grip)
    if bolt.grade.startswith("stud"):
        return plain._replace(made="stud")
    waits = _waits_for(bolt)
    if waits:
        return plain._replace(owed=waits)
    shank = max(0.0, grip - _last(bolt, plies) + WASHER) if len(plies) > 1 else 0.0
    length = length_of(bolt.size, grip, shank)
    owed = "" if length else "longer than any bolt made"
    return plain._replace(length=length, shank=shank, owed=owed)


def _waits_for(bolt: Bolt) -> str:
    """The reading without which a bolt's stack is not known; empty where it is.

    A bolt through one made thing alone clamps something of the truck too, and ``Bolt.length`` says
    how much of it.
    """
    if len(bolt.through) > 1 or bolt.length > 0.0:
        return ""
    name = CLAMPS.get(bolt.id.partition("#")[0])
    if name is None:
        return "measure the whole stack on the truck: not all of it is in the job"
    field = field_of(name)
    return f"waits for reading {field.sheet_code}: {field.how[:1].lower()}{field.how[1:]}"


def _last(bolt: Bolt, plies: list[float]) -> float:
    """The ply under the nut, which no plain shank need reach into; the thinner end where one made
    thing alone is clamped and either may lie there.
    """
    return min(plies[0], plies[-1]) if len(bolt.through) == 1 else plies[-1]


def _plies(bolt: Bolt, members: Mapping[str, Member], shop: Shop) -> list[float]:
    """What a bolt clamps, head to nut, by thickness."""
    through = [members[code] for code in bolt.through if code in members]
    found = [ply for member in through if (ply := _ply(member, bolt, shop)) > 0.0]
    if not bolt.length:
        return found
    if len(through) == 1 and isinstance(through[0].body, Bought):
        # a sleeve alone stands between two ears of the truck's own
        return [bolt.length / 2, *found, bolt.length / 2]
    # an eye or a wall lies between the plates, or behind the only one
    last = members.get(bolt.through[-1])
    between = len(bolt.through) > 1 and last is not None and isinstance(last.body, Plate)
    found.insert(len(found) - between, bolt.length)
    return found


def _ply(member: Member, bolt: Bolt, shop: Shop) -> float:
    """How much of a bolt's grip a member takes; 0 for one it passes square to its axis or that was
    there before.
    """
    body = member.body
    if isinstance(body, Plate):
        return shop.plate(body.stock).thickness
    if abs(dot(member.place.x, bolt.along)) <= ALONG or isinstance(body, Existing):
        return 0.0
    return body.length if isinstance(body, Tube) else body.solid.length


def _stack(bolt: Bolt, members: Mapping[str, Member], washers: Sequence[Member]) -> tuple[str, ...]:
    """Clamped plates stand before the head's ply or behind the nut's, by where they lie."""

    def far(member: Member) -> float:
        return dot(sub(member.place.origin, bolt.at), bolt.along)

    plates = [
        far(members[code])
        for code in bolt.through
        if code in members and isinstance(members[code].body, Plate)
    ]
    middle = sum(plates) / len(plates) if plates else 0.0
    first = [member.code for member in washers if far(member) < middle]
    return (*first, *bolt.through, *(each.code for each in washers if each.code not in first))


def _washers(truck: Truck, bolt: Bolt, members: Mapping[str, Member]) -> list[Member]:
    """Plates on the same axis that have their own hole and no bolt of their own: weld washers,
    clamped plates.
    """
    return [
        member
        for hole in truck.assembly.bolts
        if not hole.grade
        and hole.duty == bolt.duty
        and hole.id[-2:] == bolt.id[-2:]
        and coaxial(bolt, hole)
        for member in (members[hole.through[0]],)
        if isinstance(member.body, Plate)
    ]


def tightened_at(b: Bolt) -> str:
    """With the weight on for what turns, since a bushing clamped hanging is wound up for good."""
    return "ride height" if b.duty in TURNS else "any"


def with_it(x: Fastener) -> str:
    """What is bought with it."""
    if x.made == "dowel":
        return "hardened, no nut"
    return f"{'nut' if x.nut == STRAP else 'locknut'}, two hardened washers"


def ordered(t: Truck, shop: Shop) -> list[tuple[Fastener, int]]:
    """What is bought: one of each kind with how many. The stop brings its own stud."""
    found: dict[tuple[str, str, str, str], tuple[Fastener, int]] = {}
    for x in every(t, shop):
        if x.made != "stud":
            k = (x.made, x.name, with_it(x), x.owed)
            found[k] = (found.get(k, (x, 0))[0], found.get(k, (x, 0))[1] + 1)
    return [found[k] for k in sorted(found)]


def hole_names(t: Truck) -> dict[str, str]:
    """What a hole's bolt is called on paper: its number, that of the bolt on the same axis, or what
    the hole is for.
    """
    back = {b.id: n for n, b in numbered_bolts(t.assembly).items()}
    said = {"witness": "witness hole", "drain": "drain", "keep": "kept open"}
    for w in t.assembly.bolts:
        if w.id not in back:
            same = next(
                (
                    back[b.id]
                    for b in t.assembly.bolts
                    if b.id in back and b.id[-2:] == w.id[-2:] and coaxial(b, w)
                ),
                "",
            )
            back[w.id] = said.get(w.duty) or same
    return back

"""Every bolt, dowel and stud with its stack, its length from the stack, and its nut: the one source
of the schedule, the torque sheet, the bill and the order. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ...layout import units
from ...layout.reader import metric
from ...layout.units import show, tape
from .. import stock
from ..geometry.solid import coaxial
from ..model.assembly import Bolt, Member
from ..model.body import Bought, Plate, Tube
from ..model.numbering import numbered_bolts
from ..model.vectors import dot
from ..stock import IN, Shop
from ..stock.classes import called
from .truck import Truck

WASHER = 0.177 * IN
"""Thickest hardened washer of these sizes, ASTM F436: unverified source. Two on every bolt."""
NUT = 1.2
"""Height of a locknut, in diameters: common practice, no source."""
PAST = 2.0
"""Threads past the nut."""
LONGEST = 12 * IN
STRAP = "on a strap inside the rail"
"""A nut that no wrench reaches; the torque sheet says how it is held."""


class Fastener(NamedTuple):
    """One fastener.

    ``grip``: what it clamps, washers not counted. ``length``: head to tip, 0 where it cannot be
    said, and why in ``owed``. ``shank``: plain shank it needs so that no thread lies in a shear
    plane. ``nut``: "" where it has none; ``made``: bolt, dowel or stud.
    """

    number: str
    bolt: Bolt
    made: str
    grip: float
    length: float
    shank: float
    nut: str
    owed: str

    @property
    def call(self) -> str:
        """Size with length, as it is ordered."""
        size = self.bolt.size.split("-")[0] if self.made == "dowel" else self.bolt.size
        if self.made == "dowel":
            return f"{size} x {show(self.length, 'length') if metric() else tape(self.length)}"
        return f"{size} x {length_text(self.bolt.size, self.length)}" if self.length else size

    @property
    def name(self) -> str:
        """What it is in the shop's words."""
        if self.made == "bolt":
            return called(self.call, self.bolt.grade)
        return f"dowel {self.call}" if self.made == "dowel" else f"the stop's own stud, {self.call}"


def length_text(size: str, mm: float) -> str:
    """A length as the bin is labeled: inches for inch threads, mm for metric ones, whoever reads."""
    return f"{mm:.0f} mm" if size.startswith("M") else units.fraction(mm)


def lengths(size: str) -> Iterator[float]:
    """Lengths made, shortest first: inch by 1/4 to 6 in and by 1/2 from there, metric by 5 to 80 mm
    and by 10 from there (ISO 888; inch: common practice, no source).
    """
    if size.startswith("M"):
        yield from (float(n) for n in (*range(20, 80, 5), *range(80, int(LONGEST) + 1, 10)))
    else:
        yield from (n * IN / 4 for n in (*range(4, 24), *range(24, 49, 2)))


def threaded(size: str, length: float) -> float:
    """Thread of a hex bolt: 2 d + 1/4 in to 6 in long, 1/2 in from there (ASME B18.2.1); 2 d + 6 mm
    to 125 mm, 12 mm to 200, 25 mm from there (ISO 4014). Both: unverified source.
    """
    d = stock.bolt(size).d
    if size.startswith("M"):
        return 2 * d + (6.0 if length <= 125 else 12.0 if length <= 200 else 25.0)
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
    last = members.get(b.through[-1])
    if last is not None and last.title == "frame rail" and b.duty == "frame":
        return STRAP
    return "locknut"


def every(t: Truck, shop: Shop) -> list[Fastener]:
    """Every fastener by its number."""
    by_id = {m.code: m for m in t.assembly.members}
    found = []
    for n, b in numbered_bolts(t.assembly).items():
        plies = _plies(b, by_id, shop)
        grip = sum(plies) + _washers(t, b, shop)
        made = "dowel" if b.grade == "dowel" else "stud" if b.grade.startswith("stud") else "bolt"
        # what else it clamps is on the truck and not in the job: an axle's own ears, an isolator
        known = len(b.through) > 1 or b.length > 0.0
        shank = 0.0
        if made == "bolt" and len(plies) > 1:
            shank = max(0.0, grip - plies[-1] + WASHER)
        length = grip if made == "dowel" else 0.0
        if made == "bolt" and known:
            length = length_of(b.size, grip, shank)
        owed = ""
        if made == "bolt" and not length:
            owed = (
                "longer than any bolt made"
                if known
                else "measure the whole stack on the truck: not all of it is in the job"
            )
        found.append(Fastener(n, b, made, grip, length, shank, nut_of(b, by_id), owed))
    return found


def _plies(b: Bolt, by_id: Mapping[str, Member], shop: Shop) -> list[float]:
    """What a bolt clamps, head to nut, by thickness."""
    found = []
    for m in (by_id[c] for c in b.through if c in by_id):
        if isinstance(m.body, Plate):
            found.append(shop.plate(m.body.stock).thickness)
        elif abs(dot(m.place.x, b.along)) > 0.99:
            if isinstance(m.body, Tube):
                found.append(m.body.length)
            elif isinstance(m.body, Bought):
                found.append(m.body.solid.length)
    if b.length:
        # an eye or a wall lies between the plates, or behind the only one
        last = by_id.get(b.through[-1])
        between = len(b.through) > 1 and last is not None and isinstance(last.body, Plate)
        found.insert(len(found) - between, b.length)
    return found


def _washers(t: Truck, b: Bolt, shop: Shop) -> float:
    """Plates on the same axis that have their own hole and no bolt of their own: weld washers,
    clamped plates.
    """
    members = {m.code: m for m in t.assembly.members}
    return sum(
        shop.plate(m.body.stock).thickness
        for w in t.assembly.bolts
        if not w.grade and w.duty == b.duty and w.id[-2:] == b.id[-2:] and coaxial(b, w)
        for m in (members[w.through[0]],)
        if isinstance(m.body, Plate)
    )


def tightened_at(b: Bolt) -> str:
    """With the weight on for what turns, since a bushing clamped hanging is wound up for good."""
    return "ride height" if b.duty in ("pivot", "steering") else "any"


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

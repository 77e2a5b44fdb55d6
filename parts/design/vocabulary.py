"""The closed lists of words a family may write in its members, bolts, welds and scribes.

A word outside them would be taken for another one somewhere: it is a slip of the program.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args, get_type_hints

from ..model.assembly import Assembly, Bolt, Scribe, Weld
from ..model.body import Plate, Tube, TubeEnd
from ..model.family import Family
from ..model.numbering import AFTER, FIXED_AFTER
from .site import SlipError

CARES = frozenset(
    (
        AFTER,
        "bolt through",
        "bolted to the rail while welding",
        "bushing out",
        "closes the cell: no gap",
        "coil out",
        "crossmember bolted up while welding",
        "dummy sleeve in",
        "ends free",
        "flanges bolted together with the shim",
        "joint out",
        "nut in first",
        "on the bench, flanges bolted to a stiff bar",
        "opposite sides alternately",
        "opposite sides in turn",
        "points free",
        "rosettes first",
        "seals out",
        "shock out",
        "stop out",
    )
)
"""What a weld's care may say."""
FITS = ("close", "normal")
MOVES = ("x", "y", "z", "turn", "slot")
CHOICES = {
    (t, name): get_args(get_type_hints(t)[name])
    for t, names in (
        (Bolt, ("duty",)),
        (Weld, ("kind", "face")),
        (Scribe, ("role",)),
        (TubeEnd, ("kind",)),
    )
    for name in names
}
"""Words of the model's own Literals, by type and field."""


def checked(assembly: Assembly, family: Family) -> Assembly:
    """The assembly a family built, every word of it known and every member called the family's.

    Raises
    ------
    SlipError
        Names each thing and word that is not.
    """
    wrong = [*_strange(assembly), *_not_its_own(assembly, family)]
    if wrong:
        raise SlipError("; ".join(wrong))
    return assembly


def _strange(assembly: Assembly) -> Iterator[str]:
    for member in assembly.members:
        yield from _one_of(member.code, "fixed after", member.fixed_after, FIXED_AFTER)
        for way in member.moves:
            yield from _one_of(member.code, "moves", way, MOVES)
        for end in getattr(member.body, "ends", ()):
            yield from _one_of(member.code, "end", end.kind, CHOICES[TubeEnd, "kind"])
    for bolt in assembly.bolts:
        yield from _one_of(bolt.id, "duty", bolt.duty, CHOICES[Bolt, "duty"])
        if bolt.hole not in FITS and not bolt.hole.replace(".", "", 1).isdigit():
            yield f"{bolt.id}: hole {bolt.hole!r} is neither a fit nor a diameter"
    for weld in assembly.welds:
        yield from _one_of(weld.id, "kind", weld.kind, CHOICES[Weld, "kind"])
        yield from _one_of(weld.id, "face", weld.face, CHOICES[Weld, "face"])
        for care in weld.care:
            yield from _one_of(weld.id, "care", care, CARES)
    for scribe in assembly.scribes:
        yield from _one_of(f"scribe on {scribe.on}", "role", scribe.role, CHOICES[Scribe, "role"])


def _not_its_own(assembly: Assembly, family: Family) -> Iterator[str]:
    for member in assembly.members:
        if member.family != family.code:
            yield f"{member.code}: family {member.family!r} is not {family.code!r}, which makes it"
        if isinstance(member.body, (Plate, Tube)) and not member.code.startswith(family.letters):
            yield f"{member.code}: does not begin with {family.letters!r}"


def _one_of(
    who: str, what: str, word: str, known: tuple[str, ...] | frozenset[str]
) -> Iterator[str]:
    if word not in known:
        yield f"{who}: {what} {word!r} is none of {', '.join(sorted(known))}"

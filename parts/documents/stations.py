"""How far along the rail a hole is from the datum hole, as a tape laid on the rail reads it."""

from __future__ import annotations

from ..geometry import outline
from ..model.assembly import Bolt, Part
from ..model.body import Bar, Existing
from ..model.codes import is_rail, side_of
from ..stock import IN
from .facts import Facts, fraction

NEAR = 1.0 * IN
"""How far off the rail's section a hole's bolt may stand and still be one of the rail: plates lie
on it (judgment).
"""


def station(facts: Facts, bolt: Bolt) -> float | None:
    """Millimeters from the datum hole along the rail to a bolt that stands in it, ahead is more;
    None for one that does not, or where the datum hole was not read.
    """
    side = side_of(bolt.id)
    datum = facts.v("frame.datum_hole", side)
    if datum is None or bolt.duty not in ("frame", "witness"):
        return None
    for member in facts.members.values():
        if not is_rail(member) or side_of(member.code) != side:
            continue
        assert isinstance(member.body, Existing) and isinstance(member.body.solid, Bar)
        across, up, along = member.place.into(bolt.at)
        x0, y0, x1, y1 = outline.bbox(member.body.solid.outline)
        beside = x0 - NEAR <= across <= x1 + NEAR and y0 - NEAR <= up <= y1 + NEAR
        if beside and 0.0 <= along <= member.body.solid.length:
            way = member.place.z[0]
            zero = (datum - member.place.origin[0]) / way
            return along - zero if way > 0 else zero - along
    return None


def stations(facts: Facts, part: Part, number: int) -> str:
    """Of the ``number``-th hole of a part at every place it goes to, as the tape reads it, ahead of
    the datum hole +, behind -; the sides apart where they differ.
    """
    bolts = {bolt.id: bolt for bolt in facts.truck.assembly.bolts}
    found: dict[str, list[str]] = {}
    for place in part.places:
        bolt = bolts.get(facts.parts[place].holes[number - 1].bolt)
        far = None if bolt is None else station(facts, bolt)
        if far is not None:
            said = ("+" if far > 0 else "-") + fraction(abs(far))
            found.setdefault(said, []).append(side_of(place))
    if len(found) == 1:
        return next(iter(found))
    return ", ".join(f"{''.join(sides)} {said}" for said, sides in found.items())

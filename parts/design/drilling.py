"""Where bolts pass a plate and how each hole is made, and whether the plate can be cut with them:
the ONLY maker of holes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from .. import stock
from ..geometry import bend, outline, shape
from ..geometry.holes import diameter, slot_loop
from ..model.assembly import Bolt, Hole, Member
from ..model.body import Plate, Tube
from ..model.terms import TURNS, HowMade
from ..model.vectors import Frame, Vec3, dot
from .same import Same
from .site import Refused

SQUARE = math.cos(math.radians(0.5))
ROUNDING = 0.02
"""By how much the tables' sizes are rounded, mm: they stand to a thousandth of an inch."""


def hole(member: Member, bolt: Bolt, thickness: float, shop: stock.Shop) -> Hole:
    """Where a bolt's axis passes a flat plate, and how the hole is made.

    Cut only if at least the shop's smallest, by default max(1.5 t, 3/8 in), and not a pivot, frame
    or steering hole [shop guide, plasma minimum hole 1.5 t; pivot and frame holes drilled: VSB 6
    rules 2-4 in summary]; else a drill point with its pilot.

    ``thickness`` of the plate in mm. The hole is in the coordinates of the plate's own flat, mm and
    rad. Refused for a bolt more than half a degree off square to the plate.
    """
    place = face(member, bolt, thickness)
    if abs(dot(bolt.along, place.z)) < SQUARE:
        raise Refused(
            f"bolt {bolt.id} is not square to {member.code}: the hole cannot be drilled straight"
        )
    at, along = place.into(bolt.at), _into(place, bolt.along)
    along_axis = (thickness / 2 - at[2]) / along[2]
    across = diameter(bolt)
    extra, angle = 0.0, 0.0
    if member.code in bolt.slots:
        extra, way = bolt.slots[member.code]
        flat = _into(place, way)
        angle = math.atan2(flat[1], flat[0])
    kept = bolt.duty in (*TURNS, "frame")
    least = max(shop.hole_factor * thickness, shop.hole_least) - ROUNDING
    cut = (not kept and across >= least) or extra > 0
    pilot = (
        0.0
        if cut
        else max((x for x in shop.drills if x <= max(across / 3, 3.2)), default=shop.drills[0])
    )
    return Hole(
        at=(at[0] + along_axis * along[0], at[1] + along_axis * along[1]),
        diameter=across,
        length=across + extra if extra else 0.0,
        angle=angle,
        how=HowMade.CUT if cut else HowMade.DRILL,
        pilot=pilot,
        bolt=bolt.id,
    )


def face(member: Member, bolt: Bolt, thickness: float) -> Frame:
    """Frame on the truck of the flat a bolt passes: the member's own, or that of the panel of a
    bent plate its axis meets squarely.

    Parameters
    ----------
    thickness : float
        Of the plate, mm.

    Raises
    ------
    OutlineError
        A bent plate that cannot be folded.
    """
    if not isinstance(member.body, Plate) or not member.body.bends:
        return member.place
    for panel in bend.fold(member.body, thickness)[0]:
        place = bend.joined(member.place, panel.place)
        at, along = place.into(bolt.at), _into(place, bolt.along)
        if abs(along[2]) < SQUARE:
            continue
        along_axis = (thickness / 2 - at[2]) / along[2]
        if outline.contains(
            panel.outline, (at[0] + along_axis * along[0], at[1] + along_axis * along[1])
        ):
            return place
    return member.place


def _into(frame: Frame, direction: Vec3) -> Vec3:
    return (dot(direction, frame.x), dot(direction, frame.y), dot(direction, frame.z))


def hole_area(drilled: Hole) -> float:
    """Area of a hole or slot, mm2.

    >>> slot = Hole((0.0, 0.0), 10.0, 30.0, 0.0, HowMade.CUT, 0.0, "shock.upper#1.L")
    >>> round(hole_area(slot), 1)
    278.5
    """
    return (
        math.pi * drilled.diameter**2 / 4
        + max(0.0, drilled.length - drilled.diameter) * drilled.diameter
    )


def holes_of(member: Member, bolts: Iterable[Bolt], shop: stock.Shop) -> tuple[Hole, ...]:
    """Holes of one plate from every bolt through it.

    Raises Refused for one that cannot be made or runs off the edge.
    """
    if not isinstance(member.body, Plate):
        return ()
    holes = tuple(
        hole(member, bolt, shop.plate(member.body.stock).thickness, shop)
        for bolt in bolts
        if member.code in bolt.through
    )
    for drilled in holes:
        if (
            not outline.contains(member.body.outline, drilled.at)
            or outline.distance(member.body.outline, drilled.at) < drilled.diameter / 2
        ):
            raise Refused(f"the hole for bolt {drilled.bolt} runs off the edge of {member.code}")
    return holes


def sound(
    member: Member, bolts: Iterable[Bolt], shop: stock.Shop, same: Same | None = None
) -> tuple[Hole, ...]:
    """Holes of one plate from every bolt through it, once its whole shape is known to be one that
    can be cut. A tube or a solid must have a length. Refused names the part and what is wrong with
    it.
    """
    if not isinstance(member.body, Plate):
        _has_size(member)
        return ()
    through = tuple(bolt for bolt in bolts if member.code in bolt.through)
    kept = Same() if same is None else same
    return kept("sound", (member, *through, shop), (), lambda: _looked(member, through, shop))


def _looked(member: Member, bolts: tuple[Bolt, ...], shop: stock.Shop) -> tuple[Hole, ...]:
    assert isinstance(member.body, Plate)
    holes = holes_of(member, bolts, shop)
    wrong = shape.faults(member.body, shop.inner_radius, tuple(map(slot_loop, holes)))
    if wrong:
        more = f", and {len(wrong) - 1} more like it" if len(wrong) > 1 else ""
        raise Refused(
            f"{member.title} ({member.code}) would have a shape that cannot be cut:"
            f" {wrong[0]}{more}. Read again what it stands on, or move it"
        )
    return holes


def _has_size(member: Member) -> None:
    """Refused for a tube, a bought part or part of the truck that would have no length or no
    diameter.
    """
    assert not isinstance(member.body, Plate)
    solid = member.body if isinstance(member.body, Tube) else member.body.solid
    least = min(solid.length, getattr(solid, "diameter", math.inf))
    if not least > 0:
        raise Refused(
            f"{member.title} ({member.code}) would be {solid.length / stock.IN:.2f} in long: what"
            " it stands between leaves no room for it. Read again what that is"
        )

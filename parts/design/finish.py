"""Finished parts: the ONLY maker of holes, slots, lettering, hand and fingerprints."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Mapping

from ...layout import reader
from .. import stock
from ..geometry import bend, outline, shape
from ..geometry.holes import diameter, slot_loop
from ..geometry.kept import Kept
from ..model.assembly import Assembly, Bolt, Hole, Mark, Member, Part, Scribe
from ..model.body import Plate, Tube, TubeEnd
from ..model.terms import TURNS, Hand, HowMade
from ..model.vectors import Frame, Vec3, dot
from . import lettering, part_numbers
from .canonical import CutShape, cut_shape, points_of
from .part_numbers import Cut, Numbered
from .site import Refused

SQUARE = math.cos(math.radians(0.5))


LETTERED = {Hand.LEFT: "LEFT", Hand.RIGHT: "RIGHT"}
"""What a handed part is lettered with."""


def hole(member: Member, bolt: Bolt, t: float, shop: stock.Shop) -> Hole:
    """Where a bolt's axis passes a flat plate, and how the hole is made.

    ``t``: the plate, mm. A hole in the coordinates of the plate's own flat, mm and rad. Refused for
    a bolt more than half a degree off square to it.

    Cut only if at least the shop's smallest, by default max(1.5 t, 3/8 in), and not a pivot, frame
    or steering hole [shop guide, plasma minimum hole 1.5 t; pivot and frame holes drilled: VSB 6
    rules 2-4 in summary]; else a drill point with its pilot.
    """
    place = face(member, bolt, t)
    if abs(dot(bolt.along, place.z)) < SQUARE:
        raise Refused(
            f"bolt {bolt.id} is not square to {member.code}: the hole cannot be drilled straight"
        )
    at, along = place.into(bolt.at), _into(place, bolt.along)
    along_axis = (t / 2 - at[2]) / along[2]
    across = diameter(bolt)
    extra, angle = 0.0, 0.0
    if member.code in bolt.slots:
        extra, way = bolt.slots[member.code]
        flat = _into(place, way)
        angle = math.atan2(flat[1], flat[0])
    kept = bolt.duty in (*TURNS, "frame")
    cut = (not kept and across >= max(shop.hole_factor * t, shop.hole_least)) or extra > 0
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


def face(member: Member, bolt: Bolt, t: float) -> Frame:
    """Frame on the truck of the flat a bolt passes: the member's own, or that of the panel of a
    bent plate its axis meets squarely.

    ``t``: the plate, mm. OutlineError for a bent plate that cannot be folded.
    """
    if not isinstance(member.body, Plate) or not member.body.bends:
        return member.place
    for panel in bend.fold(member.body, t)[0]:
        place = bend.joined(member.place, panel.place)
        at, along = place.into(bolt.at), _into(place, bolt.along)
        if abs(along[2]) < SQUARE:
            continue
        along_axis = (t / 2 - at[2]) / along[2]
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


def finish(
    assembly: Assembly,
    shop: stock.Shop,
    chassis: str,
    letters: Mapping[str, str] | None = None,
    firsts: Mapping[str, str] | None = None,
) -> tuple[Part, ...]:
    """Every plate and tube of the assembly made ready.

    ``letters``: released revision by part, a draft's mark without one. ``firsts``: the chassis a
    part was first released for. Raises Refused for a hole that cannot be made.
    """
    made = [member for member in assembly.members if isinstance(member.body, Plate | Tube)]
    cuts = {member.code: _cut(member, assembly, shop) for member in made}
    numbers = part_numbers.numbered(list(cuts.values()))
    first: dict[Numbered, Part] = {}
    parts: dict[str, Part] = {}
    for member in sorted(made, key=lambda member: part_numbers.in_order(member.code)):
        numbered = numbers[member.code]
        if isinstance(member.body, Plate):
            head = first[numbered].id if numbered in first else member.code
            part = _plate(
                member,
                assembly,
                shop,
                numbered,
                ((firsts or {}).get(head, chassis), (letters or {}).get(head, "")),
                first.get(numbered),
            )
        else:
            part = _tube(member, shop, numbered)
        parts[member.code] = part
        first.setdefault(numbered, part)
    return tuple(parts[member.code] for member in made)


def holes_of(member: Member, assembly: Assembly, shop: stock.Shop) -> tuple[Hole, ...]:
    """Holes of one plate from every bolt through it.

    Raises Refused for one that cannot be made or runs off the edge.
    """
    if not isinstance(member.body, Plate):
        return ()
    holes = tuple(
        hole(member, bolt, shop.plate(member.body.stock).thickness, shop)
        for bolt in assembly.bolts
        if member.code in bolt.through
    )
    for drilled in holes:
        if (
            not outline.contains(member.body.outline, drilled.at)
            or outline.distance(member.body.outline, drilled.at) < drilled.diameter / 2
        ):
            raise Refused(f"the hole for bolt {drilled.bolt} runs off the edge of {member.code}")
    return holes


def sound(member: Member, assembly: Assembly, shop: stock.Shop) -> tuple[Hole, ...]:
    """Holes of one plate from every bolt through it, once its whole shape is known to be one that
    can be cut. A tube or a solid must have a length. Refused names the part and what is wrong with
    it.
    """
    if not isinstance(member.body, Plate):
        _has_size(member)
        return ()
    holes = holes_of(member, assembly, shop)
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


def _cut(member: Member, assembly: Assembly, shop: stock.Shop) -> Cut:
    """What decides a part's number. Raises Refused for a hole that cannot be made."""
    if isinstance(member.body, Tube):
        return Cut(
            member.code,
            Hand.EITHER,
            (member.body.stock, round(member.body.length, 2), *_ends(member.body)),
            (),
        )
    assert isinstance(member.body, Plate)
    rows = cut_shape(
        member.body,
        sound(member, assembly, shop),
        (scribe for scribe in assembly.scribes if scribe.on == member.code),
    )
    bends = rows.bends if member.body.bends else ()
    return Cut(
        member.code,
        _hand(member, rows),
        (member.body.stock, member.fixed_after == "tool", bends),
        points_of(rows),
    )


_KEPT = Kept[tuple[Mark, ...]]()
"""Marks of a plate, whose lettering is looked for all over it."""


def _plate(
    member: Member,
    assembly: Assembly,
    shop: stock.Shop,
    numbered: Numbered,
    released: tuple[str, str],
    first: Part | None,
) -> Part:
    """``released``: chassis and letter it is lettered with; ``first``: the part of its number that
    was made before, whose mark it takes.
    """
    assert isinstance(member.body, Plate)
    stock_plate = shop.plate(member.body.stock)
    holes = sound(member, assembly, shop)
    scribes = tuple(scribe for scribe in assembly.scribes if scribe.on == member.code)
    own = outline.area(member.body.outline) - sum(map(outline.area, member.body.openings))
    net = own - sum(map(hole_area, holes))
    corner = outline.bbox(member.body.outline)[:2]
    cut_mark = _fingerprint(member, cut_shape(member.body, holes, scribes, corner))
    said = _lettering(member, numbered, shop, released, first, cut_mark)
    return Part(
        id=member.code,
        member=member,
        hand=numbered.hand,
        quantity=member.per_truck,
        holes=holes,
        marks=_KEPT.get(
            lambda: _marks(member, holes, scribes, shop, lettering.layouts(*said)),
            member.body,
            holes,
            scribes,
            shop.mark_margin,
            said,
            reader.reader(),
        ),
        slots=(),
        area_net=net,
        area_cut=own - sum(hole_area(drilled) for drilled in holes if drilled.how is HowMade.CUT),
        mass=net * stock_plate.thickness * stock.STEEL_DENSITY,
        fingerprint=_fingerprint(member, cut_shape(member.body, holes, scribes), _place(member)),
        cut_fingerprint=cut_mark,
        number=numbered.number,
        places=(member.code,),
    )


def _lettering(
    member: Member,
    numbered: Numbered,
    shop: stock.Shop,
    released: tuple[str, str],
    first: Part | None,
    cut_mark: str,
) -> tuple[str, str, str, str, str]:
    """What is lettered on a plate; a draft carries the start of its fingerprint."""
    assert isinstance(member.body, Plate)
    chassis, letter = released
    draft = first.cut_fingerprint if first else cut_mark
    face_up = "TOOL" if member.fixed_after == "tool" else "TOP FACE"
    return (
        chassis,
        numbered.number,
        LETTERED.get(numbered.hand, ""),
        f"REV {letter}" if letter else f"D{draft[:6]}",
        f"{shop.plate(member.body.stock).key} {face_up}",
    )


def _marks(
    member: Member,
    holes: tuple[Hole, ...],
    scribes: tuple[Scribe, ...],
    shop: stock.Shop,
    wanted: Iterator[list[tuple[str, ...]]],
) -> tuple[Mark, ...]:
    """Scribe lines cut back to where steel is, drill sizes, lettering where there is room."""
    assert isinstance(member.body, Plate)
    room = lettering.steel(member.body, tuple(map(slot_loop, holes)), shop.mark_margin)
    strokes = tuple(
        mark
        for scribe in scribes
        if scribe.role != "text"
        and (mark := lettering.clipped(Mark(scribe.role, scribe.strokes), room)).strokes
    )
    sizes = lettering.drill_sizes(holes, room, shop.mark_margin)
    kept = (*sizes, *(Mark("bend", ((bolt.start, bolt.end),)) for bolt in member.body.bends))
    return (*strokes, *sizes, *lettering.letter_plate(member.body, room, wanted, strokes, kept))


def _ends(t: Tube) -> tuple[object, ...]:
    """Ends as cut, whichever way round the tube is laid: half a turn about its own axis is no other
    tube, nor any turn where one end alone is coped.
    """
    copes = sum(tube_end.kind == "cope" for tube_end in t.ends)

    def row(tube_end: TubeEnd, turned: bool) -> tuple[object, ...]:
        angle, offset = (
            (math.pi - tube_end.angle, -tube_end.offset)
            if turned
            else (tube_end.angle, tube_end.offset)
        )
        clock = tube_end.clock if copes > 1 else 0.0
        shape = (angle, offset, clock) if tube_end.kind == "cope" else (0.0, 0.0, 0.0)
        sizes = (round(x, 4) + 0.0 for x in (tube_end.onto, *shape, tube_end.depth))
        return (tube_end.kind, *sizes, tube_end.item)

    return min(tuple(row(tube_end, turned) for tube_end in t.ends) for turned in (False, True))


def _tube_rows(t: Tube) -> tuple[object, ...]:
    return (("tube", round(t.length, 2), *(str(tube_end) for tube_end in t.ends)),)


def _tube(member: Member, shop: stock.Shop, numbered: Numbered) -> Part:
    assert isinstance(member.body, Tube)
    t = shop.tube(member.body.stock)
    area = math.pi * (t.od - t.wall) * t.wall
    rows = _tube_rows(member.body)
    return Part(
        id=member.code,
        member=member,
        hand=numbered.hand,
        quantity=member.per_truck,
        holes=(),
        marks=(),
        slots=(),
        area_net=area,
        area_cut=area,
        mass=area * member.body.length * stock.STEEL_DENSITY,
        fingerprint=_fingerprint(member, rows, _place(member)),
        cut_fingerprint=_fingerprint(member, rows),
        number=numbered.number,
        places=(member.code,),
    )


def _fingerprint(member: Member, rows: tuple[object, ...], *place: object) -> str:
    """sha256 of stock, outline, holes, bends, marks, and place if it is given."""
    said = (member.code, getattr(member.body, "stock", ""), tuple(rows), *place)
    return hashlib.sha256(repr(said).encode()).hexdigest()


def _place(member: Member) -> object:
    """To 0.01 mm."""
    return tuple(tuple(round(number, 2) + 0.0 for number in vector) for vector in member.place)


def _hand(member: Member, rows: CutShape) -> Hand:
    """Either if the part, marks included, equals its mirror image after a turn in its plane."""
    where = member.code.rpartition(".")[2]
    if where not in part_numbers.SIDES:
        return Hand.EITHER
    if rows.bends:
        return Hand(where)
    points = points_of(rows)
    image = tuple((-x, y, kind) for x, y, kind in points)
    return Hand.EITHER if part_numbers.same_turned(points, image) else Hand(where)

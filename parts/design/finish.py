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


def hole(m: Member, b: Bolt, t: float, shop: stock.Shop) -> Hole:
    """Where a bolt's axis passes a flat plate, and how the hole is made.

    Cut only if at least the shop's smallest, by default max(1.5 t, 3/8 in), and not a pivot, frame
    or steering hole [shop guide, plasma minimum hole 1.5 t; pivot and frame holes drilled: VSB 6
    rules 2-4 in summary]; else a drill point with its pilot.
    """
    place = face(m, b, t)
    if abs(dot(b.along, place.z)) < SQUARE:
        raise Refused(f"bolt {b.id} is not square to {m.code}: the hole cannot be drilled straight")
    at, along = place.into(b.at), _into(place, b.along)
    k = (t / 2 - at[2]) / along[2]
    d = diameter(b)
    extra, angle = 0.0, 0.0
    if m.code in b.slots:
        extra, way = b.slots[m.code]
        flat = _into(place, way)
        angle = math.atan2(flat[1], flat[0])
    kept = b.duty in (*TURNS, "frame")
    cut = (not kept and d >= max(shop.hole_factor * t, shop.hole_least)) or extra > 0
    pilot = (
        0.0
        if cut
        else max((x for x in shop.drills if x <= max(d / 3, 3.2)), default=shop.drills[0])
    )
    return Hole(
        at=(at[0] + k * along[0], at[1] + k * along[1]),
        diameter=d,
        length=d + extra if extra else 0.0,
        angle=angle,
        how=HowMade.CUT if cut else HowMade.DRILL,
        pilot=pilot,
        bolt=b.id,
    )


def face(m: Member, b: Bolt, t: float) -> Frame:
    """Frame on the truck of the flat a bolt passes: the member's own, or that of the panel of a
    bent plate its axis meets squarely.
    """
    if not isinstance(m.body, Plate) or not m.body.bends:
        return m.place
    for panel in bend.fold(m.body, t)[0]:
        place = bend.joined(m.place, panel.place)
        at, along = place.into(b.at), _into(place, b.along)
        if abs(along[2]) < SQUARE:
            continue
        k = (t / 2 - at[2]) / along[2]
        if outline.contains(panel.outline, (at[0] + k * along[0], at[1] + k * along[1])):
            return place
    return m.place


def _into(f: Frame, d: Vec3) -> Vec3:
    return (dot(d, f.x), dot(d, f.y), dot(d, f.z))


def hole_area(h: Hole) -> float:
    """Area of a hole or slot, mm2.

    >>> slot = Hole((0.0, 0.0), 10.0, 30.0, 0.0, HowMade.CUT, 0.0, "shock.upper#1.L")
    >>> round(hole_area(slot), 1)
    278.5
    """
    return math.pi * h.diameter**2 / 4 + max(0.0, h.length - h.diameter) * h.diameter


def finish(
    a: Assembly,
    shop: stock.Shop,
    chassis: str,
    letters: Mapping[str, str] | None = None,
    firsts: Mapping[str, str] | None = None,
) -> tuple[Part, ...]:
    """Every plate and tube of the assembly made ready.

    ``letters``: released revision by part, a draft's mark without one. ``firsts``: the chassis a
    part was first released for. Raises Refused for a hole that cannot be made.
    """
    made = [m for m in a.members if isinstance(m.body, Plate | Tube)]
    cuts = {m.code: _cut(m, a, shop) for m in made}
    numbers = part_numbers.numbered(list(cuts.values()))
    first: dict[Numbered, Part] = {}
    parts: dict[str, Part] = {}
    for m in sorted(made, key=lambda m: part_numbers.in_order(m.code)):
        n = numbers[m.code]
        if isinstance(m.body, Plate):
            head = first[n].id if n in first else m.code
            part = _plate(
                m,
                a,
                shop,
                n,
                ((firsts or {}).get(head, chassis), (letters or {}).get(head, "")),
                first.get(n),
            )
        else:
            part = _tube(m, shop, n)
        parts[m.code] = part
        first.setdefault(n, part)
    return tuple(parts[m.code] for m in made)


def holes_of(m: Member, a: Assembly, shop: stock.Shop) -> tuple[Hole, ...]:
    """Holes of one plate from every bolt through it.

    Raises Refused for one that cannot be made or runs off the edge.
    """
    if not isinstance(m.body, Plate):
        return ()
    holes = tuple(
        hole(m, b, shop.plate(m.body.stock).thickness, shop) for b in a.bolts if m.code in b.through
    )
    for h in holes:
        if (
            not outline.contains(m.body.outline, h.at)
            or outline.distance(m.body.outline, h.at) < h.diameter / 2
        ):
            raise Refused(f"the hole for bolt {h.bolt} runs off the edge of {m.code}")
    return holes


def sound(m: Member, a: Assembly, shop: stock.Shop) -> tuple[Hole, ...]:
    """Holes of one plate from every bolt through it, once its whole shape is known to be one that
    can be cut. A tube or a solid must have a length. Refused names the part and what is wrong with
    it.
    """
    if not isinstance(m.body, Plate):
        _has_size(m)
        return ()
    holes = holes_of(m, a, shop)
    wrong = shape.faults(m.body, shop.inner_radius, tuple(map(slot_loop, holes)))
    if wrong:
        more = f", and {len(wrong) - 1} more like it" if len(wrong) > 1 else ""
        raise Refused(
            f"{m.title} ({m.code}) would have a shape that cannot be cut: {wrong[0]}{more}. Read"
            " again what it stands on, or move it"
        )
    return holes


def _has_size(m: Member) -> None:
    """Refused for a tube, a bought part or part of the truck that would have no length or no
    diameter.
    """
    assert not isinstance(m.body, Plate)
    solid = m.body if isinstance(m.body, Tube) else m.body.solid
    least = min(solid.length, getattr(solid, "diameter", math.inf))
    if not least > 0:
        raise Refused(
            f"{m.title} ({m.code}) would be {solid.length / stock.IN:.2f} in long: what it stands"
            " between leaves no room for it. Read again what that is"
        )


def _cut(m: Member, a: Assembly, shop: stock.Shop) -> Cut:
    """What decides a part's number. Raises Refused for a hole that cannot be made."""
    if isinstance(m.body, Tube):
        return Cut(m.code, Hand.EITHER, (m.body.stock, round(m.body.length, 2), *_ends(m.body)), ())
    assert isinstance(m.body, Plate)
    rows = cut_shape(m.body, sound(m, a, shop), (s for s in a.scribes if s.on == m.code))
    bends = rows.bends if m.body.bends else ()
    return Cut(
        m.code, _hand(m, rows), (m.body.stock, m.fixed_after == "tool", bends), points_of(rows)
    )


_KEPT = Kept[tuple[Mark, ...]]()
"""Marks of a plate, whose lettering is looked for all over it."""


def _plate(
    m: Member,
    a: Assembly,
    shop: stock.Shop,
    n: Numbered,
    released: tuple[str, str],
    first: Part | None,
) -> Part:
    """``released``: chassis and letter it is lettered with; ``first``: the part of its number that
    was made before, whose mark it takes.
    """
    assert isinstance(m.body, Plate)
    stock_plate = shop.plate(m.body.stock)
    holes = sound(m, a, shop)
    scribes = tuple(s for s in a.scribes if s.on == m.code)
    own = outline.area(m.body.outline) - sum(map(outline.area, m.body.openings))
    net = own - sum(map(hole_area, holes))
    corner = outline.bbox(m.body.outline)[:2]
    cut_mark = _fingerprint(m, cut_shape(m.body, holes, scribes, corner))
    said = _lettering(m, n, shop, released, first, cut_mark)
    return Part(
        id=m.code,
        member=m,
        hand=n.hand,
        quantity=m.per_truck,
        holes=holes,
        marks=_KEPT.get(
            lambda: _marks(m, holes, scribes, shop, lettering.layouts(*said)),
            m.body,
            holes,
            scribes,
            shop.mark_margin,
            said,
            reader.reader(),
        ),
        slots=(),
        area_net=net,
        area_cut=own - sum(hole_area(h) for h in holes if h.how is HowMade.CUT),
        mass=net * stock_plate.thickness * stock.STEEL_DENSITY,
        fingerprint=_fingerprint(m, cut_shape(m.body, holes, scribes), _place(m)),
        cut_fingerprint=cut_mark,
        number=n.number,
        places=(m.code,),
    )


def _lettering(
    m: Member,
    n: Numbered,
    shop: stock.Shop,
    released: tuple[str, str],
    first: Part | None,
    cut_mark: str,
) -> tuple[str, str, str, str, str]:
    """What is lettered on a plate; a draft carries the start of its fingerprint."""
    assert isinstance(m.body, Plate)
    chassis, letter = released
    draft = first.cut_fingerprint if first else cut_mark
    return (
        chassis,
        n.number,
        LETTERED.get(n.hand, ""),
        f"REV {letter}" if letter else f"D{draft[:6]}",
        f"{shop.plate(m.body.stock).key} {'TOOL' if m.fixed_after == 'tool' else 'TOP FACE'}",
    )


def _marks(
    m: Member,
    holes: tuple[Hole, ...],
    scribes: tuple[Scribe, ...],
    shop: stock.Shop,
    wanted: Iterator[list[tuple[str, ...]]],
) -> tuple[Mark, ...]:
    """Scribe lines cut back to where steel is, drill sizes, lettering where there is room."""
    assert isinstance(m.body, Plate)
    room = lettering.steel(m.body, tuple(map(slot_loop, holes)), shop.mark_margin)
    strokes = tuple(
        mark
        for s in scribes
        if s.role != "text" and (mark := lettering.clipped(Mark(s.role, s.strokes), room)).strokes
    )
    sizes = lettering.drill_sizes(holes, room, shop.mark_margin)
    kept = (*sizes, *(Mark("bend", ((b.start, b.end),)) for b in m.body.bends))
    return (*strokes, *sizes, *lettering.letter_plate(m.body, room, wanted, strokes, kept))


def _ends(t: Tube) -> tuple[object, ...]:
    """Ends as cut, whichever way round the tube is laid: half a turn about its own axis is no other
    tube, nor any turn where one end alone is coped.
    """
    copes = sum(e.kind == "cope" for e in t.ends)

    def row(e: TubeEnd, turned: bool) -> tuple[object, ...]:
        angle, offset = (math.pi - e.angle, -e.offset) if turned else (e.angle, e.offset)
        clock = e.clock if copes > 1 else 0.0
        shape = (angle, offset, clock) if e.kind == "cope" else (0.0, 0.0, 0.0)
        sizes = (round(x, 4) + 0.0 for x in (e.onto, *shape, e.depth))
        return (e.kind, *sizes, e.item)

    return min(tuple(row(e, turned) for e in t.ends) for turned in (False, True))


def _tube_rows(t: Tube) -> tuple[object, ...]:
    return (("tube", round(t.length, 2), *(str(e) for e in t.ends)),)


def _tube(m: Member, shop: stock.Shop, n: Numbered) -> Part:
    assert isinstance(m.body, Tube)
    t = shop.tube(m.body.stock)
    area = math.pi * (t.od - t.wall) * t.wall
    rows = _tube_rows(m.body)
    return Part(
        id=m.code,
        member=m,
        hand=n.hand,
        quantity=m.per_truck,
        holes=(),
        marks=(),
        slots=(),
        area_net=area,
        area_cut=area,
        mass=area * m.body.length * stock.STEEL_DENSITY,
        fingerprint=_fingerprint(m, rows, _place(m)),
        cut_fingerprint=_fingerprint(m, rows),
        number=n.number,
        places=(m.code,),
    )


def _fingerprint(m: Member, rows: tuple[object, ...], *place: object) -> str:
    """sha256 of stock, outline, holes, bends, marks, and place if it is given."""
    said = (m.code, getattr(m.body, "stock", ""), tuple(rows), *place)
    return hashlib.sha256(repr(said).encode()).hexdigest()


def _place(m: Member) -> object:
    """To 0.01 mm."""
    return tuple(tuple(round(v, 2) + 0.0 for v in p) for p in m.place)


def _hand(m: Member, rows: CutShape) -> Hand:
    """Either if the part, marks included, equals its mirror image after a turn in its plane."""
    where = m.code.rpartition(".")[2]
    if where not in part_numbers.SIDES:
        return Hand.EITHER
    if rows.bends:
        return Hand(where)
    points = points_of(rows)
    image = tuple((-x, y, kind) for x, y, kind in points)
    return Hand.EITHER if part_numbers.same_turned(points, image) else Hand(where)

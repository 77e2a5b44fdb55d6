"""Finished parts: the ONLY maker of holes, slots, lettering, hand and fingerprints."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

from .. import stock
from ..geometry import bend, outline, shape
from ..geometry.holes import diameter, slot_loop
from ..model.assembly import Assembly, Bolt, Hole, Mark, Member, Part, Scribe
from ..model.body import Bend, Edge, Plate, Tube, TubeEnd
from ..model.vectors import Frame, Vec2, Vec3, dot
from . import lettering as marks
from . import part_numbers
from .part_numbers import Cut, Numbered
from .site import Refused

SQUARE = math.cos(math.radians(0.5))


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
    kept = b.duty in ("pivot", "frame", "steering")
    cut = (not kept and d >= max(shop.hole_factor * t, shop.hole_least)) or extra > 0
    pilot = (
        0.0
        if cut
        else max((x for x in shop.drills if x <= max(d / 3, 3.2)), default=shop.drills[0])
    )
    return Hole(
        (at[0] + k * along[0], at[1] + k * along[1]),
        d,
        d + extra if extra else 0.0,
        angle,
        "cut" if cut else "drill",
        pilot,
        b.id,
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

    >>> slot = Hole((0.0, 0.0), 10.0, 30.0, 0.0, "cut", 0.0, "shock.upper#1.L")
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
    solid = m.body if isinstance(m.body, Tube) else m.body.solid  # type: ignore[union-attr]
    least = min(solid.length, getattr(solid, "diameter", math.inf))
    if not least > 0:
        raise Refused(
            f"{m.title} ({m.code}) would be {solid.length / stock.IN:.2f} in long: what it stands"
            " between leaves no room for it. Read again what that is"
        )


def _cut(m: Member, a: Assembly, shop: stock.Shop) -> Cut:
    """What decides a part's number. Raises Refused for a hole that cannot be made."""
    if isinstance(m.body, Tube):
        return Cut(m.code, "E", (m.body.stock, round(m.body.length, 2), *_ends(m.body)), ())
    assert isinstance(m.body, Plate)
    rows = _shape(m.body, sound(m, a, shop), (s for s in a.scribes if s.on == m.code))
    bends = rows[2] if m.body.bends else ()
    return Cut(
        m.code, _hand(m, rows), (m.body.stock, m.fixed_after == "tool", bends), _points(rows)
    )


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
    p = shop.plate(m.body.stock)
    holes = sound(m, a, shop)
    scribes = tuple(s for s in a.scribes if s.on == m.code)
    own = outline.area(m.body.outline) - sum(map(outline.area, m.body.openings))
    net = own - sum(map(hole_area, holes))
    cut = own - sum(hole_area(h) for h in holes if h.how == "cut")
    mark = _fingerprint(m, _shape(m.body, holes, scribes), _place(m))
    corner = outline.bbox(m.body.outline)[:2]
    cut_mark = _fingerprint(m, _shape(m.body, holes, scribes, corner))
    words = {"L": "LEFT", "R": "RIGHT"}.get(n.hand, "")
    room = marks.steel(m.body, tuple(map(slot_loop, holes)), shop.mark_margin)
    strokes = tuple(
        k
        for s in scribes
        if s.role != "text" and (k := marks.clipped(Mark(s.role, s.strokes), room)).strokes
    )
    sizes = marks.drill_sizes(holes, room)
    kept = (*sizes, *(Mark("bend", ((b.start, b.end),)) for b in m.body.bends))
    chassis, letter = released
    draft = first.cut_fingerprint if first else cut_mark
    wanted = marks.layouts(
        chassis,
        n.number,
        words,
        f"REV {letter}" if letter else f"D{draft[:6]}",
        f"{p.key} {'TOOL' if m.fixed_after == 'tool' else 'TOP FACE'}",
    )
    lettered = marks.letter_plate(m.body, room, wanted, strokes, kept)
    return Part(
        m.code,
        m,
        n.hand,
        m.per_truck,
        holes,
        (*strokes, *sizes, *lettered),
        (),
        net,
        cut,
        net * p.thickness * stock.STEEL_DENSITY,
        mark,
        cut_mark,
        n.number,
        (m.code,),
    )


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
        m.code,
        m,
        n.hand,
        m.per_truck,
        (),
        (),
        (),
        area,
        area,
        area * m.body.length * stock.STEEL_DENSITY,
        _fingerprint(m, rows, _place(m)),
        _fingerprint(m, rows),
        n.number,
        (m.code,),
    )


def _fingerprint(m: Member, rows: object, *place: object) -> str:
    """sha256 of stock, outline, holes, bends, marks, and place if it is given."""
    return hashlib.sha256(
        repr((m.code, getattr(m.body, "stock", ""), rows, *place)).encode()
    ).hexdigest()


def _place(m: Member) -> object:
    """To 0.01 mm."""
    return tuple(tuple(round(v, 2) + 0.0 for v in p) for p in m.place)


def _shape(
    body: Plate, holes: Iterable[Hole], scribes: Iterable[Scribe], origin: Vec2 | None = None
) -> tuple[object, ...]:
    """Canonical rows of what is cut, drilled and scribed, to 0.01 mm; from the part's own origin,
    or from another, such as the lower left of its cut file.
    """
    dx, dy = origin or (0.0, 0.0)
    loops = tuple(
        tuple(
            (
                round(e.start[0] - dx, 2) + 0.0,
                round(e.start[1] - dy, 2) + 0.0,
                round(e.bulge, 4) + 0.0,
            )
            for e in lp
        )
        for lp in (body.outline, *body.openings)
    )
    drilled = tuple(
        sorted(
            (
                round(h.at[0] - dx, 2) + 0.0,
                round(h.at[1] - dy, 2) + 0.0,
                round(h.diameter, 2),
                round(h.length, 2),
                round(h.angle, 4) + 0.0,
                h.how,
            )
            for h in holes
        )
    )
    lines = tuple(
        tuple(
            tuple((round(x - dx, 2) + 0.0, round(y - dy, 2) + 0.0) for x, y in line)
            for line in s.strokes
        )
        for s in scribes
    )
    bends = body.bends if origin is None else [_bent(b, origin) for b in body.bends]
    return (loops, drilled, tuple(map(str, bends)), lines)


def _bent(b: Bend, origin: Vec2) -> Bend:
    start, end = (
        (round(p[0] - origin[0], 2) + 0.0, round(p[1] - origin[1], 2) + 0.0)
        for p in (b.start, b.end)
    )
    return b._replace(start=start, end=end)


def _hand(m: Member, rows: tuple[object, ...]) -> Literal["L", "R", "E"]:
    """ "E" if the part, marks included, equals its mirror image after a turn in its plane."""
    where = m.code.rpartition(".")[2]
    if where not in ("L", "R"):
        return "E"
    if rows[2]:
        return where  # type: ignore[return-value]
    points = _points(rows)
    image = tuple((-x, y, k) for x, y, k in points)
    return "E" if part_numbers.same_turned(points, image) else where  # type: ignore[return-value]


def _points(rows: tuple[object, ...]) -> part_numbers.Points:
    """Corners and middles of edges, holes by size and how they are made, ends of slots, scribed
    lines: with a kind each, so that only like meets like.
    """
    loops, drilled, _, lines = rows
    points = [(x, y, b) for lp in loops for x, y, b in _mids(lp)]  # type: ignore[attr-defined]
    for x, y, d, long, angle, how in drilled:  # type: ignore[attr-defined]
        points.append((x, y, 10 + d + long + {"cut": 0, "drill": 1000, "ream": 2000}[how]))
        if long > d:
            for half in ((long - d) / 2, (d - long) / 2):
                points.append((x + half * math.cos(angle), y + half * math.sin(angle), -20.0))
    points += [(x, y, -10.0) for group in lines for line in group for x, y in line]  # type: ignore[attr-defined]
    return tuple(points)


def _mids(loop: tuple[tuple[float, float, float], ...]) -> Iterator[tuple[float, float, float]]:
    """Corners and middle points of edges: enough to tell a loop from its mirror."""
    edges = tuple(Edge("", (x, y), b) for x, y, b in loop)
    for e, q in outline.spans(edges):
        yield (*e.start, 0.0)
        mid: Vec2 = ((e.start[0] + q[0]) / 2, (e.start[1] + q[1]) / 2)
        if e.bulge:
            a = outline.arc_of(e.start, q, e.bulge)
            mid = (
                a.centre[0] + a.radius * math.cos(a.start + a.sweep / 2),
                a.centre[1] + a.radius * math.sin(a.start + a.sweep / 2),
            )
        yield (*mid, 1.0)

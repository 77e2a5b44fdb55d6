"""Finished parts: the ONLY maker of holes, slots, lettering, hand and fingerprints."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

from . import bend, marks, outline, shape, stock
from .model import (
    Assembly,
    Bend,
    Bolt,
    Edge,
    Frame,
    Hole,
    Loop,
    Mark,
    Member,
    Part,
    Plate,
    Scribe,
    Tube,
    Vec2,
    Vec3,
    dot,
)
from .site import Refused

SQUARE = math.cos(math.radians(0.5))


def diameter(b: Bolt) -> float:
    """Finished hole for a bolt, mm: clearance class or the number given."""
    if b.hole in ("close", "normal"):
        size = stock.bolt(b.size)
        return size.hole_close if b.hole == "close" else size.hole_normal
    return float(b.hole)


def hole(m: Member, b: Bolt, t: float, shop: stock.Shop) -> Hole:
    """Where a bolt's axis passes a flat plate, and how the hole is made.

    Cut only if at least the shop's smallest, by default max(1.5 t, 3/8 in), and not a pivot, frame or steering hole [shop guide, plasma minimum hole 1.5 t; pivot and frame
    holes drilled: VSB 6 rules 2-4 in summary]; else a drill point with its pilot.
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
    cut = not kept and d >= max(shop.hole_factor * t, shop.hole_least) or extra > 0
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
    """Frame on the truck of the flat a bolt passes: the member's own, or that of the panel of a bent plate its axis meets squarely."""
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
    """Area of a hole or slot, mm2."""
    return math.pi * h.diameter**2 / 4 + max(0.0, h.length - h.diameter) * h.diameter


def slot_loop(h: Hole) -> Loop:
    """Outline of a hole or slot."""
    return (
        outline.slot(h.at, h.length, h.diameter, h.angle)
        if h.length > h.diameter
        else outline.circle(h.at, h.diameter)
    )


def finish(
    a: Assembly,
    shop: stock.Shop,
    chassis: str,
    letters: Mapping[str, str] | None = None,
    firsts: Mapping[str, str] | None = None,
) -> tuple[Part, ...]:
    """Every plate and tube of the assembly made ready. ``letters``: released revision by part, a draft's mark without one. ``firsts``: the chassis a part was first released for.
    Raises Refused for a hole that cannot be made."""
    made = []
    for m in a.members:
        if isinstance(m.body, Plate):
            made.append(
                _plate(
                    m, a, shop, (firsts or {}).get(m.code, chassis), (letters or {}).get(m.code, "")
                )
            )
        elif isinstance(m.body, Tube):
            made.append(_tube(m, a, shop))
    return tuple(made)


def holes_of(m: Member, a: Assembly, shop: stock.Shop) -> tuple[Hole, ...]:
    """Holes of one plate from every bolt through it. Raises Refused for one that cannot be made or runs off the edge."""
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
    """Holes of one plate from every bolt through it, once its whole shape is known to be one that can be cut. A tube or a solid must have a length. Refused names the part and what is wrong with it."""
    if not isinstance(m.body, Plate):
        _has_size(m)
        return ()
    holes = holes_of(m, a, shop)
    wrong = shape.faults(m.body, shop.inner_radius, tuple(map(slot_loop, holes)))
    if wrong:
        more = f", and {len(wrong) - 1} more like it" if len(wrong) > 1 else ""
        raise Refused(
            f"{m.title} ({m.code}) would have a shape that cannot be cut: {wrong[0]}{more}. Read again what it stands on, or move it"
        )
    return holes


def _has_size(m: Member) -> None:
    """Refused for a tube, a bought part or part of the truck that would have no length or no diameter."""
    solid = m.body if isinstance(m.body, Tube) else m.body.solid  # type: ignore[union-attr]
    least = min(solid.length, getattr(solid, "diameter", math.inf))
    if not least > 0:
        raise Refused(
            f"{m.title} ({m.code}) would be {solid.length / stock.IN:.2f} in long: what it stands between leaves no room for it. Read again what that is"
        )


def _plate(m: Member, a: Assembly, shop: stock.Shop, chassis: str, letter: str) -> Part:
    assert isinstance(m.body, Plate)
    p = shop.plate(m.body.stock)
    holes = sound(m, a, shop)
    scribes = tuple(s for s in a.scribes if s.on == m.code)
    own = outline.area(m.body.outline) - sum(map(outline.area, m.body.openings))
    net = own - sum(map(hole_area, holes))
    cut = own - sum(hole_area(h) for h in holes if h.how == "cut")
    drawn = _shape(m.body, holes, scribes)
    hand = _hand(m, drawn)
    mark = _fingerprint(m, drawn, _place(m))
    corner = outline.bbox(m.body.outline)[:2]
    cut_mark = _fingerprint(m, _shape(m.body, holes, scribes, corner))
    where = m.code.rpartition(".")[2]
    words = {"L": "LEFT", "R": "RIGHT"}.get(where, "") if hand != "E" else ""
    room = marks.steel(m.body, tuple(map(slot_loop, holes)), shop.mark_margin)
    strokes = tuple(
        k
        for s in scribes
        if s.role != "text" and (k := marks.clipped(Mark(s.role, s.strokes), room)).strokes
    )
    sizes = marks.drill_sizes(holes, room)
    kept = (*sizes, *(Mark("bend", ((b.start, b.end),)) for b in m.body.bends))
    wanted = marks.layouts(
        chassis,
        m.code.rpartition(".")[0],
        words,
        f"REV {letter}" if letter else f"D{cut_mark[:6]}",
        f"{p.key} {'TOOL' if m.fixed_after == 'tool' else 'TOP FACE'}",
    )
    lettered = marks.letter_plate(m.body, room, wanted, strokes, kept)
    return Part(
        m.code,
        m,
        hand,
        m.per_truck,
        holes,
        (*strokes, *sizes, *lettered),
        (),
        net,
        cut,
        net * p.thickness * stock.STEEL_DENSITY,
        mark,
        cut_mark,
    )


def _tube(m: Member, a: Assembly, shop: stock.Shop) -> Part:
    assert isinstance(m.body, Tube)
    t = shop.tube(m.body.stock)
    area = math.pi * (t.od - t.wall) * t.wall
    rows = (("tube", round(m.body.length, 2), *(str(e) for e in m.body.ends)),)
    return Part(
        m.code,
        m,
        "E",
        m.per_truck,
        (),
        (),
        (),
        area,
        area,
        area * m.body.length * stock.STEEL_DENSITY,
        _fingerprint(m, rows, _place(m)),
        _fingerprint(m, rows),
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
    """Canonical rows of what is cut, drilled and scribed, to 0.01 mm; from the part's own origin, or from another, such as the lower left of its cut file."""
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
    loops, drilled, bends, lines = rows
    if bends:
        return where  # type: ignore[return-value]
    points = [(x, y, b) for lp in loops for x, y, b in _mids(lp)]  # type: ignore[attr-defined]
    points += [(h[0], h[1], 10 + h[2] + h[3]) for h in drilled]  # type: ignore[attr-defined]
    points += [(x, y, -10.0) for group in lines for line in group for x, y in line]  # type: ignore[attr-defined]
    return "E" if _same_as_mirror(points) else where  # type: ignore[return-value]


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


def _same_as_mirror(points: list[tuple[float, float, float]], tol: float = 0.03) -> bool:
    cx, cy = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    own = [(x - cx, y - cy, k) for x, y, k in points]
    image = [(-x, y, k) for x, y, k in own]
    far = max(own, key=lambda p: (round(math.hypot(p[0], p[1]), 1), p[2]))
    for x, y, k in image:
        if k != far[2] or abs(math.hypot(x, y) - math.hypot(far[0], far[1])) > tol:
            continue
        turn = math.atan2(far[1], far[0]) - math.atan2(y, x)
        c, s = math.cos(turn), math.sin(turn)
        if all(
            any(
                abs(px * c - py * s - qx) < tol and abs(px * s + py * c - qy) < tol and pk == qk
                for qx, qy, qk in own
            )
            for px, py, pk in image
        ):
            return True
    return False

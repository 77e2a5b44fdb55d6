"""Left to right, side names, and one assembly of many. The only place that knows the right."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from ..geometry import outline
from ..model.assembly import Assembly, Bolt, Interlock, Member, Scribe, Weld
from ..model.body import Bar, Bend, Bought, Existing, Loop, Plate, Tube, TubeEnd
from ..model.hold import Hold
from ..model.vectors import Frame, Vec3


def _flip(p: Vec3) -> Vec3:
    return (p[0], -p[1], p[2])


def _loop(edges: Loop) -> Loop:
    """A loop with x -> -x, still counter-clockwise."""
    return outline.moved(outline.flipped(edges), lambda p: (-p[0], -p[1]))


def _bend(b: Bend) -> Bend:
    return b._replace(start=(-b.end[0], b.end[1]), end=(-b.start[0], b.start[1]))


def _end(e: TubeEnd) -> TubeEnd:
    return e._replace(
        clock=-e.clock, offset=-e.offset, angle=math.pi - e.angle if e.kind == "cope" else e.angle
    )


def _member(m: Member) -> Member:
    """Flat bodies keep up up (x turns round); bodies along x keep their direction."""
    body, place = m.body, m.place
    x, z = _flip(place.x), _flip(place.z)
    back = (-x[0], -x[1], -x[2])
    if isinstance(body, Plate):
        body = Plate(
            body.stock,
            _loop(body.outline),
            tuple(map(_loop, body.openings)),
            tuple(map(_bend, body.bends)),
        )
        x = back
    elif isinstance(body, (Existing, Bought)) and isinstance(body.solid, Bar):
        body = body._replace(
            solid=Bar(
                body.solid.length, _loop(body.solid.outline), tuple(map(_loop, body.solid.openings))
            )
        )
        x = back
    elif isinstance(body, Tube):
        body = body._replace(ends=(_end(body.ends[0]), _end(body.ends[1])))
    moves = {k: (-hi, -lo) if k == "y" else (lo, hi) for k, (lo, hi) in m.moves.items()}
    return m._replace(body=body, place=Frame(_flip(place.origin), x, z), moves=moves)


def mirror(a: Assembly) -> Assembly:
    """Reflect an assembly across the center plane; every place stays a proper rotation.

    ``mirror(mirror(a)) == a``.

    Ports are left as they are: a family built in the reflected world reads them there.
    """
    flat = {m.code for m in a.members if isinstance(m.body, Plate)}
    scribes = tuple(
        s._replace(
            strokes=tuple(
                tuple((-x, y) if s.on in flat else (x, -y) for x, y in line) for line in s.strokes
            )
        )
        for s in a.scribes
    )
    bolts = tuple(
        b._replace(
            at=_flip(b.at),
            along=_flip(b.along),
            slots={k: (n, _flip(v)) for k, (n, v) in b.slots.items()},
        )
        for b in a.bolts
    )
    return a._replace(members=tuple(map(_member, a.members)), bolts=bolts, scribes=scribes)


def _named(hand: str) -> Callable[[str], str]:
    far = {"L": ".R", "R": ".L"}.get(hand, ".C")

    def named(name: str) -> str:
        if name.endswith(".far"):
            return name.removesuffix(".far") + far
        return name if name.endswith((".L", ".R", ".C")) else f"{name}.{hand}"

    return named


def sided(a: Assembly, hand: str) -> Assembly:
    """Add ".L", ".R" or ".C" to every id and reference that has none."""
    n = _named(hand)
    bolts: tuple[Bolt, ...] = tuple(
        b._replace(
            id=n(b.id),
            through=tuple(map(n, b.through)),
            slots={n(k): v for k, v in b.slots.items()},
        )
        for b in a.bolts
    )
    welds: tuple[Weld, ...] = tuple(w._replace(id=n(w.id), on=n(w.on), to=n(w.to)) for w in a.welds)
    locks: tuple[Interlock, ...] = tuple(
        i._replace(tab_on=n(i.tab_on), slot_in=n(i.slot_in)) for i in a.interlocks
    )
    scribes: tuple[Scribe, ...] = tuple(s._replace(on=n(s.on)) for s in a.scribes)
    return Assembly(
        tuple(m._replace(code=n(m.code)) for m in a.members),
        bolts,
        welds,
        locks,
        scribes,
        a.ports,
        tuple(_hold(hold, n) for hold in a.holds),
        tuple(rest._replace(ids=tuple(map(n, rest.ids))) for rest in a.not_held),
    )


def _hold(hold: Hold, named: Callable[[str], str]) -> Hold:
    """A hold with a hand on every name in it."""
    return hold._replace(
        id=named(hold.id),
        members=tuple(map(named, hold.members)),
        bolts=tuple(map(named, hold.bolts)),
        welds=tuple(map(named, hold.welds)),
        away=named(hold.away) if hold.away else "",
    )


def merge(assemblies: Iterable[Assembly]) -> Assembly:
    """One assembly of many. ValueError for an id that stands twice."""
    every = list(assemblies)
    whole = Assembly(
        members=tuple(m for a in every for m in a.members),
        bolts=tuple(b for a in every for b in a.bolts),
        welds=tuple(w for a in every for w in a.welds),
        interlocks=tuple(i for a in every for i in a.interlocks),
        scribes=tuple(s for a in every for s in a.scribes),
        holds=tuple(hold for a in every for hold in a.holds),
        not_held=tuple(rest for a in every for rest in a.not_held),
    )
    for kind, ids in (
        ("member", [m.code for m in whole.members]),
        ("bolt", [b.id for b in whole.bolts]),
        ("weld", [w.id for w in whole.welds]),
        ("hold", [hold.id for hold in whole.holds]),
    ):
        twice = sorted({i for i in ids if ids.count(i) > 1})
        if twice:
            raise ValueError(f"{kind} {', '.join(twice)} stands twice")
    return whole

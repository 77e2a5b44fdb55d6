"""Left to right, side names, and one assembly of many. The only place that knows the right."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable

from ..geometry import contours
from ..model.assembly import Assembly, Bolt, Interlock, Member, Scribe, Weld
from ..model.body import Bar, Bend, Bought, Existing, Loop, Plate, Tube, TubeEnd
from ..model.codes import far_named
from ..model.hold import Hold
from ..model.vectors import Frame, Vec3


def _flip(point: Vec3) -> Vec3:
    return (point[0], -point[1], point[2])


def _loop(edges: Loop) -> Loop:
    """A loop with x -> -x, still counter-clockwise."""
    return contours.moved(contours.flipped(edges), lambda point: (-point[0], -point[1]))


def _bend(bend: Bend) -> Bend:
    return bend._replace(start=(-bend.end[0], bend.end[1]), end=(-bend.start[0], bend.start[1]))


def _end(tube_end: TubeEnd) -> TubeEnd:
    return tube_end._replace(
        clock=-tube_end.clock,
        offset=-tube_end.offset,
        angle=math.pi - tube_end.angle if tube_end.kind == "cope" else tube_end.angle,
    )


def _member(member: Member) -> Member:
    """Flat bodies keep up up (x turns round); bodies along x keep their direction."""
    body, place = member.body, member.place
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
    moves = {
        name: (-high, -low) if name == "y" else (low, high)
        for name, (low, high) in member.moves.items()
    }
    return member._replace(body=body, place=Frame(_flip(place.origin), x, z), moves=moves)


def mirror(assembly: Assembly) -> Assembly:
    """Reflect an assembly across the center plane; every place stays a proper rotation.

    y of every place turns its sign, what is drawn in a member's own axes turns with them:
    ``mirror(mirror(assembly)) == assembly``.

    Ports are left as they are: a family built in the reflected world reads them there.
    """
    flat = {member.code for member in assembly.members if isinstance(member.body, Plate)}
    scribes = tuple(
        scribe._replace(
            strokes=tuple(
                tuple((-x, y) if scribe.on in flat else (x, -y) for x, y in line)
                for line in scribe.strokes
            )
        )
        for scribe in assembly.scribes
    )
    bolts = tuple(
        bolt._replace(
            at=_flip(bolt.at),
            along=_flip(bolt.along),
            slots={code: (length, _flip(way)) for code, (length, way) in bolt.slots.items()},
        )
        for bolt in assembly.bolts
    )
    return assembly._replace(
        members=tuple(map(_member, assembly.members)), bolts=bolts, scribes=scribes
    )


def sided(assembly: Assembly, hand: str) -> Assembly:
    """An assembly with ".L", ".R" or ".C" added to every id and reference that has none.

    ``hand``: "L", "R" or "C"; a name that ends in ".far" gets the other side's, ".C" for "C".
    """

    def named(name: str) -> str:
        return far_named(name, hand)

    bolts: tuple[Bolt, ...] = tuple(
        bolt._replace(
            id=named(bolt.id),
            through=tuple(map(named, bolt.through)),
            slots={named(code): way for code, way in bolt.slots.items()},
        )
        for bolt in assembly.bolts
    )
    welds: tuple[Weld, ...] = tuple(
        weld._replace(id=named(weld.id), on=named(weld.on), to=named(weld.to))
        for weld in assembly.welds
    )
    locks: tuple[Interlock, ...] = tuple(
        lock._replace(tab_on=named(lock.tab_on), slot_in=named(lock.slot_in))
        for lock in assembly.interlocks
    )
    scribes: tuple[Scribe, ...] = tuple(
        scribe._replace(on=named(scribe.on)) for scribe in assembly.scribes
    )
    return Assembly(
        members=tuple(member._replace(code=named(member.code)) for member in assembly.members),
        bolts=bolts,
        welds=welds,
        interlocks=locks,
        scribes=scribes,
        ports=assembly.ports,
        holds=tuple(_hold(hold, named) for hold in assembly.holds),
        not_held=tuple(
            rest._replace(ids=tuple(map(named, rest.ids))) for rest in assembly.not_held
        ),
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
    """One assembly of many, in their order.

    Raises
    ------
    ValueError
        A member, bolt, weld or hold of the same id stands twice.
    """
    every = list(assemblies)
    whole = Assembly(
        members=tuple(member for each in every for member in each.members),
        bolts=tuple(bolt for each in every for bolt in each.bolts),
        welds=tuple(weld for each in every for weld in each.welds),
        interlocks=tuple(lock for each in every for lock in each.interlocks),
        scribes=tuple(scribe for each in every for scribe in each.scribes),
        holds=tuple(hold for each in every for hold in each.holds),
        not_held=tuple(rest for each in every for rest in each.not_held),
    )
    for kind, ids in (
        ("member", [member.code for member in whole.members]),
        ("bolt", [bolt.id for bolt in whole.bolts]),
        ("weld", [weld.id for weld in whole.welds]),
        ("hold", [hold.id for hold in whole.holds]),
    ):
        twice = sorted(name for name, many in Counter(ids).items() if many > 1)
        if twice:
            raise ValueError(f"{kind} {', '.join(twice)} stands twice")
    return whole

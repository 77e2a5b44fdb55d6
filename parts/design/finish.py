"""Finished parts: the ONLY maker of lettering, hand and fingerprints.

A plate that is its own mirror image carries one number on both sides, and no hand:

>>> from soapstone.parts.geometry.contours import rectangle
>>> from soapstone.parts.model.vectors import Frame
>>> plate = Plate("1/4 A36", rectangle(0.0, 0.0, 100.0, 60.0))
>>> places = [Frame((0.0, y, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)) for y in (400.0, -400.0)]
>>> both = Assembly(
...     tuple(
...         Member(f"ZZ1.{side}", "pad", "pads", plate, place)
...         for side, place in zip("LR", places, strict=True)
...     )
... )
>>> [(part.number, part.hand.name) for part in finish(both, stock.default_shop(), "T1")]
[('ZZ1', 'EITHER'), ('ZZ1', 'EITHER')]
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Mapping

from ...layout import reader
from .. import stock
from ..geometry import outline
from ..geometry.holes import slot_loop
from ..geometry.kept import Kept
from ..model.assembly import Assembly, Bolt, Hole, Mark, Member, Part, Scribe, Weld
from ..model.body import Plate, Tube, TubeEnd
from ..model.terms import Hand, HowMade
from . import lettering, part_numbers
from .canonical import CutShape, bevelled, cut_shape, points_of, steady, steady_turn
from .drilling import hole_area, sound
from .part_numbers import Numbered, NumberedBy, PointSet
from .same import Same

LETTERED = {Hand.LEFT: "LEFT", Hand.RIGHT: "RIGHT"}
"""What a handed part is lettered with."""


def finish(
    assembly: Assembly,
    shop: stock.Shop,
    chassis: str,
    letters: Mapping[str, str] | None = None,
    firsts: Mapping[str, str] | None = None,
    same: Same | None = None,
) -> tuple[Part, ...]:
    """Every plate and tube of the assembly made ready: numbered, drilled, lettered, weighed and
    fingerprinted, in the order of its members; what was bought or is there already is left out.

    Parameters
    ----------
    letters : mapping of str to str, optional
        Released revision by part; a part without one carries the start of its fingerprint.
    firsts : mapping of str to str, optional
        The chassis a part was first released for, lettered in place of ``chassis``.
    same : Same, optional
        Kept by whoever finishes the same members again with one of them changed.

    Raises
    ------
    Refused
        A hole that cannot be made, or a shape that cannot be cut.
    """
    made = _cut_members(assembly)
    plates = _Plates(assembly, shop, Same() if same is None else same)
    cuts = {member.code: plates.cut(member) for member in made}
    numbers = part_numbers.numbered(list(cuts.values()))
    first: dict[Numbered, Part] = {}
    parts: dict[str, Part] = {}
    for member in sorted(made, key=lambda member: part_numbers.in_order(member.code)):
        numbered = numbers[member.code]
        if isinstance(member.body, Plate):
            head = first[numbered].id if numbered in first else member.code
            part = plates.part(
                member,
                numbered,
                ((firsts or {}).get(head, chassis), (letters or {}).get(head, "")),
                first.get(numbered),
            )
        else:
            part = _tube(member, shop, numbered)
        parts[member.code] = part
        first.setdefault(numbered, part)
    return tuple(parts[member.code] for member in made)


def drilled(assembly: Assembly, shop: stock.Shop, same: Same) -> tuple[Part, ...]:
    """The parts of ``finish`` with their holes only, under the codes of their places: enough to
    hold a design against its loads that is only tried.
    """
    plates = _Plates(assembly, shop, same)
    return tuple(plates.drilled(member) for member in _cut_members(assembly))


def _cut_members(assembly: Assembly) -> list[Member]:
    return [member for member in assembly.members if isinstance(member.body, Plate | Tube)]


class _Plates:
    """Plates of one assembly with what passes them; tubes only for their number."""

    def __init__(self, assembly: Assembly, shop: stock.Shop, same: Same) -> None:
        self.shop, self.same = shop, same
        self.bolts: dict[str, list[Bolt]] = {}
        self.bevels: dict[str, list[Weld]] = {}
        self.scribes: dict[str, list[Scribe]] = {}
        for bolt in assembly.bolts:
            for code in bolt.through:
                self.bolts.setdefault(code, []).append(bolt)
        for scribe in assembly.scribes:
            self.scribes.setdefault(scribe.on, []).append(scribe)
        for weld in assembly.welds:
            if weld.groove and weld.groove.bevel:
                self.bevels.setdefault(weld.on, []).append(weld)

    def _on(self, member: Member) -> tuple[tuple[Hole, ...], tuple[Scribe, ...]]:
        holes = sound(member, self.bolts.get(member.code, ()), self.shop, self.same)
        return holes, tuple(self.scribes.get(member.code, ()))

    def cut(self, member: Member) -> NumberedBy:
        """What decides a part's number. Raises Refused for a hole that cannot be made."""
        holes, scribes = self._on(member)
        bevels = tuple(self.bevels.get(member.code, ()))
        return self.same(
            "cut",
            (member, holes, *scribes),
            bevels,
            lambda: _cut(member, holes, scribes, bevels),
        )

    def drilled(self, member: Member) -> Part:
        """A plate or tube with its holes, and nothing else that finishing makes of it."""
        if isinstance(member.body, Tube):
            return self.same("unfinished tube", (member,), None, lambda: _unfinished(member, ()))
        holes, _ = self._on(member)
        return self.same("unfinished", (member, holes), None, lambda: _unfinished(member, holes))

    def part(
        self, member: Member, numbered: Numbered, released: tuple[str, str], first: Part | None
    ) -> Part:
        """A plate made ready.

        ``released``: chassis and letter it is lettered with; ``first``: the part of its number that
        was made before, whose mark it takes.
        """
        holes, scribes = self._on(member)
        mark = first.cut_fingerprint if first else ""
        return self.same(
            "part",
            (member, holes, *scribes, self.shop),
            (numbered, released, mark, reader.reader()),
            lambda: _plate(
                member=member,
                holes=holes,
                scribes=scribes,
                shop=self.shop,
                numbered=numbered,
                released=released,
                first=first,
            ),
        )


def _unfinished(member: Member, holes: tuple[Hole, ...]) -> Part:
    return Part(
        id=member.code,
        member=member,
        hand=Hand.EITHER,
        quantity=member.per_truck,
        holes=holes,
        marks=(),
        slots=(),
        area_net=0.0,
        area_cut=0.0,
        mass=0.0,
        fingerprint="",
        cut_fingerprint="",
        number=member.code.rpartition(".")[0],
        places=(member.code,),
    )


def _cut(
    member: Member,
    holes: tuple[Hole, ...],
    scribes: tuple[Scribe, ...],
    bevels: tuple[Weld, ...],
) -> NumberedBy:
    if isinstance(member.body, Tube):
        return NumberedBy(
            member.code,
            Hand.EITHER,
            (member.body.stock, steady(member.body.length), *_ends(member.body)),
            (),
        )
    assert isinstance(member.body, Plate)
    rows = cut_shape(member.body, holes, scribes)
    points = (*points_of(rows), *bevelled(member.body, bevels))
    return NumberedBy(
        member.code,
        _hand(member, rows, points),
        (member.body.stock, member.fixed_after == "tool", rows.bends),
        points,
    )


_KEPT = Kept[tuple[Mark, ...]]()
"""Marks of a plate, whose lettering is looked for all over it."""


def _plate(
    member: Member,
    holes: tuple[Hole, ...],
    scribes: tuple[Scribe, ...],
    shop: stock.Shop,
    numbered: Numbered,
    released: tuple[str, str],
    first: Part | None,
) -> Part:
    assert isinstance(member.body, Plate)
    stock_plate = shop.plate(member.body.stock)
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
        families=(member.family,),
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


def _ends(tube: Tube) -> tuple[object, ...]:
    """Ends as cut, whichever way round the tube is laid: half a turn about its own axis is no other
    tube, nor any turn where one end alone is coped.
    """
    copes = sum(tube_end.kind == "cope" for tube_end in tube.ends)

    def row(tube_end: TubeEnd, turned: bool) -> tuple[object, ...]:
        angle, offset = (
            (math.pi - tube_end.angle, -tube_end.offset)
            if turned
            else (tube_end.angle, tube_end.offset)
        )
        clock = (tube_end.clock,) if copes > 1 else ()
        shape = (angle, offset, *clock) if tube_end.kind == "cope" else ()
        sizes = map(steady_turn, (tube_end.onto, tube_end.depth, *shape))
        return (tube_end.kind, *sizes, tube_end.item)

    return min(tuple(row(tube_end, turned) for tube_end in tube.ends) for turned in (False, True))


def _tube_rows(tube: Tube) -> tuple[object, ...]:
    """Length and ends with their numbers as steady as a plate's."""
    ends = (
        tube_end._replace(
            onto=steady(tube_end.onto),
            offset=steady(tube_end.offset),
            depth=steady(tube_end.depth),
            angle=steady_turn(tube_end.angle),
            clock=steady_turn(tube_end.clock),
        )
        for tube_end in tube.ends
    )
    return (("tube", steady(tube.length), *map(str, ends)),)


def _tube(member: Member, shop: stock.Shop, numbered: Numbered) -> Part:
    assert isinstance(member.body, Tube)
    tube = shop.tube(member.body.stock)
    area = math.pi * (tube.od - tube.wall) * tube.wall
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
        families=(member.family,),
    )


def _fingerprint(member: Member, rows: tuple[object, ...], *place: object) -> str:
    """sha256 of stock, outline, holes, bends, marks, and place if it is given."""
    said = (member.code, getattr(member.body, "stock", ""), tuple(rows), *place)
    return hashlib.sha256(repr(said).encode()).hexdigest()


def _place(member: Member) -> object:
    """To 0.01 mm."""
    return tuple(tuple(map(steady, vector)) for vector in member.place)


def _hand(member: Member, rows: CutShape, points: PointSet) -> Hand:
    """Either if the part, marks included, equals its mirror image after a turn in its plane."""
    where = member.code.rpartition(".")[2]
    if where not in part_numbers.SIDES:
        return Hand.EITHER
    if rows.bends:
        return Hand(where)
    image = tuple((-x, y, kind) for x, y, kind in points)
    return Hand.EITHER if part_numbers.same_turned(points, image) else Hand(where)

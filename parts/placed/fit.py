"""Does the placed assembly go together? Bolts pass, welds lie on both members, holes to keep stay
free, nothing overlaps, pivots are where they were solved.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from typing import NamedTuple

import numpy as np

from ...layout import reader
from ...layout.quantities import SIDES, Key, Side
from ..design import drilling
from ..geometry import bend, outline
from ..geometry.bolt_axis import coaxial, from_axis
from ..geometry.holes import diameter
from ..geometry.pipe import Pipe
from ..geometry.prism import Points, out
from ..geometry.solid import Solid, solid
from ..model.assembly import Bolt, Member, Part
from ..model.body import Loop, Plate, Tube
from ..model.codes import is_rail, side_of
from ..model.vectors import Frame, Vec2, dot
from ..rules.welds import BRIDGED
from ..stock import Shop
from ..truck.truck import Truck
from . import tool_access
from .overlap import OVERLAP, overlaps

PIVOT = 0.127
"""How far a bolt may miss its hole or solved point, mm (0.005 in)."""
WELD = BRIDGED + 0.01
"""How far an edge may stand off what it is welded to, mm: what a fillet bridges."""
STEEL = 25.4
"""Steel between holes of a rail, mm (light-duty maker guide 2022: 1 in)."""
GAP = 0.9
"""Gap between members of a bolted stack, mm: 1/32 in and a hair."""
LENGTHWISE, ALONG = 0.99, 0.9
"""Cosines from which a bolt runs along a round, and two bolts alike."""


class Misfit(NamedTuple):
    """One thing that does not go together; ``of``: the members, bolts and welds it is about.

    Kind "absent": a weld to what is not made.
    """

    kind: str
    what: str
    miss_mm: float
    of: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Kind, what, and where something is missed by how much."""
        missed = f" ({reader.fine(self.miss_mm)})" if self.miss_mm else ""
        return f"{self.kind}: {self.what}{missed}"


def fit(
    truck: Truck,
    shop: Shop,
    values: Mapping[Key, float],
    kinds: Container[str] = ("bolt", "pivot", "weld", "hole", "overlap", "room"),
) -> tuple[Misfit, ...]:
    """Every misfit of the truck of these kinds.

    ``values``: the solved quantities the pivots are held against.
    """
    members = {
        member.code: member for member in truck.assembly.members if member.fixed_after != "tool"
    }
    parts = {part.id: part for part in truck.singles}
    solids = {
        code: body
        for code, member in members.items()
        if (body := solid(member, parts.get(code), shop))
    }
    looks: dict[str, Callable[[], Iterable[Misfit]]] = {
        "bolt": lambda: _bolts(truck, members, parts, solids, shop),
        "pivot": lambda: _pivots(truck.assembly.bolts, values),
        "hole": lambda: _kept(truck.assembly.bolts, members, solids),
        "weld": lambda: _welds(truck, members, solids, shop),
        "overlap": lambda: (
            Misfit(
                "overlap",
                f"{one} and {two} stand in one another at {deep} points",
                OVERLAP,
                (one, two),
            )
            for one, two, deep in overlaps(truck.assembly, members, solids)
        ),
        "room": lambda: _room(truck, members, solids, shop),
    }
    return tuple(misfit for kind, look in looks.items() if kind in kinds for misfit in look())


def _bolts(
    truck: Truck,
    members: Mapping[str, Member],
    parts: Mapping[str, Part],
    solids: Mapping[str, Solid],
    shop: Shop,
) -> Iterator[Misfit]:
    for bolt in truck.assembly.bolts:
        if any(code not in members for code in bolt.through):
            continue
        spans = []
        for code in bolt.through:
            member = members[code]
            if isinstance(member.body, Plate):
                hole = next(
                    (drilled for drilled in parts[code].holes if drilled.bolt == bolt.id), None
                )
                if hole is None:
                    yield Misfit("bolt", f"{bolt.id} finds no hole in {code}", 0.0, (bolt.id, code))
                    continue
                at = out(
                    drilling.face(member, bolt, _t(member, shop)),
                    np.array([[hole.at[0], hole.at[1], 0.0]]),
                )
                miss = float(from_axis(at, bolt.at, bolt.along)[0])
                if miss > PIVOT:
                    says = f"{bolt.id} is not in the middle of its hole in {code}"
                    yield Misfit("bolt", says, miss, (bolt.id, code))
            spans.append((code, _span(member, solids.get(code), bolt, shop)))
        yield from _stack(bolt, [(code, span) for code, span in spans if span], members)


def _room(
    truck: Truck, members: Mapping[str, Member], solids: Mapping[str, Solid], shop: Shop
) -> Iterator[Misfit]:
    spans: dict[str, tuple[float, float]] = {}
    for bolt in truck.assembly.bolts:
        same = [
            bolt,
            *(
                other
                for other in truck.assembly.bolts
                if not other.grade
                and bolt.grade
                and other.id[-2:] == bolt.id[-2:]
                and coaxial(bolt, other)
            ),
        ]
        got = [
            span
            for other in same
            for code in other.through
            if code in members and (span := _span(members[code], solids.get(code), bolt, shop))
        ]
        if got:
            spans[bolt.id] = (
                min(span[0] for span in got),
                max(*(span[1] for span in got), min(span[0] for span in got) + bolt.length),
            )
    for name, what in tool_access.tight(truck.assembly.bolts, members, solids, spans):
        yield Misfit("room", f"no socket and wrench reach {name} {what}", 0.0, (name,))


def _t(member: Member, shop: Shop) -> float:
    """Thickness of a plate, 0 for anything else."""
    return shop.plate(member.body.stock).thickness if isinstance(member.body, Plate) else 0.0


def _span(member: Member, body: Solid | None, bolt: Bolt, shop: Shop) -> tuple[float, float] | None:
    """Where along the bolt a plate, or a round the bolt runs through lengthwise, begins and
    ends.
    """
    place = drilling.face(member, bolt, _t(member, shop))
    start = place.into(bolt.at)
    along = (dot(bolt.along, place.x), dot(bolt.along, place.y), dot(bolt.along, place.z))
    if isinstance(member.body, Plate):
        ends = sorted(((level - start[2]) / along[2]) for level in (0.0, _t(member, shop)))
        return ends[0], ends[1]
    if abs(along[0]) > LENGTHWISE and isinstance(body, Pipe):
        ends = sorted(((level - start[0]) / along[0]) for level in (0.0, body.length))
        return ends[0], ends[1]
    return None


def _wall(bolt: Bolt, one: str, two: str, members: Mapping[str, Member]) -> float:
    """The rail's wall that a bolt clamps between two plates, mm."""
    between = bolt.through[bolt.through.index(one) + 1 : bolt.through.index(two)]
    return bolt.length if any(is_rail(members[code]) for code in between) else 0.0


def _stack(
    bolt: Bolt, spans: list[tuple[str, tuple[float, float]]], members: Mapping[str, Member]
) -> Iterator[Misfit]:
    for (one, (_, end)), (two, (begins, _)) in itertools.pairwise(spans):
        start = begins - _wall(bolt, one, two, members)
        if start - end < -OVERLAP:
            yield Misfit(
                "bolt",
                f"{bolt.id}: {one} and {two} stand in one another or in the wrong order",
                end - start,
                (bolt.id, one, two),
            )
        elif start - end > GAP:
            yield Misfit(
                "bolt",
                f"{bolt.id}: a gap between {one} and {two}",
                start - end,
                (bolt.id, one, two),
            )


def _pivots(bolts: Iterable[Bolt], values: Mapping[Key, float]) -> Iterator[Misfit]:
    for bolt in bolts:
        name, end = bolt.id.partition("#")[0], bolt.id.rpartition(".")[2]
        side: Side = next((side for side in SIDES if side == end), "C")
        point = []
        for axis in "xyz":
            center, own = Key(f"{name}.{axis}", "C"), Key(f"{name}.{axis}", side)
            if own in values:
                point.append(values[own] * (-1.0 if axis == "y" and side == "R" else 1.0))
            elif center in values:
                point.append(values[center])
        if len(point) == len("xyz"):
            miss = float(from_axis(np.array([point]), bolt.at, bolt.along)[0])
            if miss > PIVOT:
                yield Misfit("pivot", f"{bolt.id} is not at its solved point", miss, (bolt.id,))


def _kept(
    bolts: Iterable[Bolt], members: Mapping[str, Member], solids: Mapping[str, Solid]
) -> Iterator[Misfit]:
    """Holes of the rail that must stay free: no plate over them, no new hole within an inch of
    steel.
    """
    rows = list(bolts)
    for kept in (bolt for bolt in rows if bolt.duty == "keep"):
        along_truck = kept.at[0]
        flat = Frame.of(kept.at, (1.0, 0.0, 0.0), kept.along)
        radius = diameter(kept) / 2
        faces = np.array(
            [
                flat.out((part * radius * math.cos(angle), part * radius * math.sin(angle), level))
                for level in (0.0, kept.length)
                for angle in np.arange(0.0, math.tau, 0.5)
                for part in (0.0, 1.0)
            ]
        )
        for code, member in members.items():
            if (
                isinstance(member.body, Plate)
                and code in solids
                and solids[code].away(faces).min() < GAP
            ):
                yield Misfit(
                    "hole",
                    f"{code} covers {kept.id} of the rail, {reader.length(abs(along_truck))}"
                    f" {'behind' if along_truck < 0 else 'ahead of'} the plumb line",
                    0.0,
                    (code,),
                )
        for other in (
            other
            for other in rows
            if other.duty == "frame"
            and other.id[-2:] == kept.id[-2:]
            and abs(dot(other.along, kept.along)) > ALONG
        ):
            steel = (
                float(from_axis(np.array([kept.at]), other.at, other.along)[0])
                - diameter(other) / 2
                - diameter(kept) / 2
            )
            if steel < STEEL:
                says = f"{other.id} leaves too little steel beside {kept.id} of the rail"
                yield Misfit("hole", says, steel, (other.id,))


def weld_line(member: Member, name: str, thickness: float, face: str, stop: float = 0.0) -> Points:
    """Points of a weld line in truck axes: a plate's edge or opening at the face, its ends left out
    by ``stop``.
    """
    levels = {"bottom": (0.0,), "top": (thickness,), "both": (0.0, thickness)}[face]
    if isinstance(member.body, Tube):
        return np.empty((0, 3))
    assert isinstance(member.body, Plate)
    flat: list[Vec2] = []
    for loop in (member.body.outline, *member.body.openings):
        flat += _edge(loop, name, stop)
    if not member.body.bends or not flat:
        return out(
            member.place,
            np.array([(along, across, level) for level in levels for along, across in flat]),
        )
    panels, _ = bend.fold(member.body, thickness)
    at = [
        bend.joined(member.place, bend.panel_of(panels, spot).place).out((*spot, level))
        for level in levels
        for spot in flat
    ]
    return np.array(at)


def _edge(loop: Loop, name: str, stop: float) -> list[Vec2]:
    found: list[Vec2] = []
    for edge, end in outline.spans(loop):
        if edge.name == name:
            pts = [*outline.edge_points(edge, end, 0.1), end]
            if not edge.bulge:
                many = max(2, math.ceil(outline.edge_length(edge, end) / 10))
                short = min(0.45, stop / outline.edge_length(edge, end))
                shares = [short + (1 - 2 * short) * share / many for share in range(many + 1)]
                pts = [
                    (
                        edge.start[0] + (end[0] - edge.start[0]) * share,
                        edge.start[1] + (end[1] - edge.start[1]) * share,
                    )
                    for share in shares
                ]
            found += pts
    return found


def _welds(
    truck: Truck, members: Mapping[str, Member], solids: Mapping[str, Solid], shop: Shop
) -> Iterator[Misfit]:
    for weld in truck.assembly.welds:
        if weld.on not in members or weld.to not in solids:
            if weld.on != weld.to:
                yield Misfit(
                    "absent", f"{weld.id}: {weld.on} or {weld.to} is not there", 0.0, (weld.id,)
                )
            continue
        member = members[weld.on]
        t_mm = _t(member, shop)
        for name in weld.edges:
            line = weld_line(member, name, t_mm, weld.face, weld.stop)
            if isinstance(member.body, Plate) and not len(line):
                yield Misfit(
                    "weld", f"{weld.id}: {weld.on} has no edge {name}", 0.0, (weld.id, weld.on)
                )
            elif len(line):
                miss = float(_to(weld.to, line, members, solids).max())
                if miss > WELD:
                    says = f"{weld.id}: edge {name} of {weld.on} stands off {weld.to}"
                    yield Misfit("weld", says, miss, (weld.id, weld.on, weld.to))


def _to(
    code: str, line: Points, members: Mapping[str, Member], solids: Mapping[str, Solid]
) -> Points:
    """Distance from a member; a rail is all its segments on that side."""
    if is_rail(members[code]):
        same = [
            other
            for other, member in members.items()
            if is_rail(member) and side_of(other) == side_of(code)
        ]
        return np.asarray(np.min([solids[other].away(line) for other in same], axis=0))
    return solids[code].away(line)

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
from ..design import finish
from ..geometry import bend, outline
from ..geometry.bolt_axis import coaxial, from_axis, in_bolt_hole
from ..geometry.holes import diameter
from ..geometry.solid import Pipe, Points, Solid, out, solid
from ..model.assembly import Bolt, Member, Part
from ..model.body import Loop, Plate, Tube
from ..model.vectors import Frame, Vec2, dot
from ..rules.welds import BRIDGED
from ..stock import Shop
from ..truck.truck import Truck
from . import tool_access as room

OVERLAP = 0.254
"""How deep solids may stand in one another, mm (0.01 in)."""
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
PITCH = 4.0
"""Solids are looked at in points this far apart, mm."""


class Misfit(NamedTuple):
    """One thing that does not go together; ``of``: the members, bolts and welds it is about.

    Kind "absent": a weld to what is not made.
    """

    kind: str
    what: str
    miss_mm: float
    of: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Kind, what, and by how much it is missed."""
        return f"{self.kind}: {self.what} ({reader.fine(self.miss_mm)})"


def fit(
    t: Truck,
    shop: Shop,
    values: Mapping[Key, float],
    kinds: Container[str] = ("bolt", "pivot", "weld", "hole", "overlap", "room"),
) -> tuple[Misfit, ...]:
    """Every misfit of the truck of these kinds.

    ``values``: the solved quantities the pivots are held against.
    """
    members = {m.code: m for m in t.assembly.members if m.fixed_after != "tool"}
    parts = {p.id: p for p in t.singles}
    solids = {c: s for c, m in members.items() if (s := solid(m, parts.get(c), shop))}
    looks: dict[str, Callable[[], Iterable[Misfit]]] = {
        "bolt": lambda: _bolts(t, members, parts, solids, shop),
        "pivot": lambda: _pivots(t.assembly.bolts, values),
        "hole": lambda: _kept(t.assembly.bolts, members, solids),
        "weld": lambda: _welds(t, members, solids, shop),
        "overlap": lambda: _overlaps(t, members, solids),
        "room": lambda: _room(t, members, solids, shop),
    }
    return tuple(m for kind, look in looks.items() if kind in kinds for m in look())


def _bolts(
    t: Truck,
    members: Mapping[str, Member],
    parts: Mapping[str, Part],
    solids: Mapping[str, Solid],
    shop: Shop,
) -> Iterator[Misfit]:
    for b in t.assembly.bolts:
        if any(c not in members for c in b.through):
            continue
        spans = []
        for c in b.through:
            m = members[c]
            if isinstance(m.body, Plate):
                hole = next((h for h in parts[c].holes if h.bolt == b.id), None)
                if hole is None:
                    yield Misfit("bolt", f"{b.id} finds no hole in {c}", 0.0, (b.id, c))
                    continue
                at = out(finish.face(m, b, _t(m, shop)), np.array([[hole.at[0], hole.at[1], 0.0]]))
                miss = float(from_axis(at, b.at, b.along)[0])
                if miss > PIVOT:
                    says = f"{b.id} is not in the middle of its hole in {c}"
                    yield Misfit("bolt", says, miss, (b.id, c))
            spans.append((c, _span(m, solids.get(c), b, shop)))
        yield from _stack(b, [(c, s) for c, s in spans if s])


def _room(
    t: Truck, members: Mapping[str, Member], solids: Mapping[str, Solid], shop: Shop
) -> Iterator[Misfit]:
    spans: dict[str, tuple[float, float]] = {}
    for b in t.assembly.bolts:
        same = [
            b,
            *(
                o
                for o in t.assembly.bolts
                if not o.grade and b.grade and o.id[-2:] == b.id[-2:] and coaxial(b, o)
            ),
        ]
        got = [
            s
            for o in same
            for c in o.through
            if c in members and (s := _span(members[c], solids.get(c), b, shop))
        ]
        if got:
            spans[b.id] = (
                min(s[0] for s in got),
                max(*(s[1] for s in got), min(s[0] for s in got) + b.length),
            )
    for name, what in room.tight(t.assembly.bolts, members, solids, spans):
        yield Misfit("room", f"no socket and wrench reach {name} ({what})", 0.0, (name,))


def _t(m: Member, shop: Shop) -> float:
    """Thickness of a plate, 0 for anything else."""
    return shop.plate(m.body.stock).thickness if isinstance(m.body, Plate) else 0.0


def _span(m: Member, body: Solid | None, b: Bolt, shop: Shop) -> tuple[float, float] | None:
    """Where along the bolt a plate, or a round the bolt runs through lengthwise, begins and
    ends.
    """
    place = finish.face(m, b, _t(m, shop))
    start = place.into(b.at)
    along = (dot(b.along, place.x), dot(b.along, place.y), dot(b.along, place.z))
    if isinstance(m.body, Plate):
        ends = sorted(((w - start[2]) / along[2]) for w in (0.0, _t(m, shop)))
        return ends[0], ends[1]
    if abs(along[0]) > LENGTHWISE and isinstance(body, Pipe):
        ends = sorted(((w - start[0]) / along[0]) for w in (0.0, body.length))
        return ends[0], ends[1]
    return None


def _stack(b: Bolt, spans: list[tuple[str, tuple[float, float]]]) -> Iterator[Misfit]:
    for (c, (_, end)), (d, (start, _)) in itertools.pairwise(spans):
        if start - end < -OVERLAP:
            yield Misfit(
                "bolt",
                f"{b.id}: {c} and {d} stand in one another or in the wrong order",
                end - start,
                (b.id, c, d),
            )
        elif start - end > GAP:
            yield Misfit("bolt", f"{b.id}: a gap between {c} and {d}", start - end, (b.id, c, d))


def _pivots(bolts: Iterable[Bolt], values: Mapping[Key, float]) -> Iterator[Misfit]:
    for b in bolts:
        name, end = b.id.partition("#")[0], b.id.rpartition(".")[2]
        side: Side = next((side for side in SIDES if side == end), "C")
        point = []
        for axis in "xyz":
            centre, own = Key(f"{name}.{axis}", "C"), Key(f"{name}.{axis}", side)
            if own in values:
                point.append(values[own] * (-1.0 if axis == "y" and side == "R" else 1.0))
            elif centre in values:
                point.append(values[centre])
        if len(point) == len("xyz"):
            miss = float(from_axis(np.array([point]), b.at, b.along)[0])
            if miss > PIVOT:
                yield Misfit("pivot", f"{b.id} is not at its solved point", miss, (b.id,))


def _kept(
    bolts: Iterable[Bolt], members: Mapping[str, Member], solids: Mapping[str, Solid]
) -> Iterator[Misfit]:
    """Holes of the rail that must stay free: no plate over them, no new hole within an inch of
    steel.
    """
    rows = list(bolts)
    for b in (k for k in rows if k.duty == "keep"):
        x = b.at[0]
        flat = Frame.of(b.at, (1.0, 0.0, 0.0), b.along)
        r = diameter(b) / 2
        faces = np.array(
            [
                flat.out((k * r * math.cos(a), k * r * math.sin(a), w))
                for w in (0.0, b.length)
                for a in np.arange(0.0, math.tau, 0.5)
                for k in (0.0, 1.0)
            ]
        )
        for c, m in members.items():
            if isinstance(m.body, Plate) and c in solids and solids[c].away(faces).min() < GAP:
                yield Misfit(
                    "hole",
                    f"{c} covers {b.id} of the rail, {reader.length(abs(x))}"
                    f" {'behind' if x < 0 else 'ahead of'} the plumb line",
                    0.0,
                    (c,),
                )
        for o in (
            o
            for o in rows
            if o.duty == "frame" and o.id[-2:] == b.id[-2:] and abs(dot(o.along, b.along)) > ALONG
        ):
            steel = (
                float(from_axis(np.array([b.at]), o.at, o.along)[0])
                - diameter(o) / 2
                - diameter(b) / 2
            )
            if steel < STEEL:
                says = f"{o.id} leaves too little steel beside {b.id} of the rail"
                yield Misfit("hole", says, steel, (o.id,))


def weld_line(m: Member, name: str, thickness: float, face: str, stop: float = 0.0) -> Points:
    """Points of a weld line in truck axes: a plate's edge or opening at the face, its ends left out
    by ``stop``.
    """
    levels = {"bottom": (0.0,), "top": (thickness,), "both": (0.0, thickness)}[face]
    if isinstance(m.body, Tube):
        return np.empty((0, 3))
    assert isinstance(m.body, Plate)
    flat: list[Vec2] = []
    for loop in (m.body.outline, *m.body.openings):
        flat += _edge(loop, name, stop)
    if not m.body.bends or not flat:
        return out(m.place, np.array([(x, y, w) for w in levels for x, y in flat]))
    panels, _ = bend.fold(m.body, thickness)
    at = [
        bend.joined(m.place, bend.panel_of(panels, p).place).out((*p, w))
        for w in levels
        for p in flat
    ]
    return np.array(at)


def _edge(loop: Loop, name: str, stop: float) -> list[Vec2]:
    found: list[Vec2] = []
    for e, q in outline.spans(loop):
        if e.name == name:
            pts = [*outline.edge_points(e, q, 0.1), q]
            if not e.bulge:
                n = max(2, math.ceil(outline.edge_length(e, q) / 10))
                short = min(0.45, stop / outline.edge_length(e, q))
                ks = [short + (1 - 2 * short) * k / n for k in range(n + 1)]
                pts = [
                    (e.start[0] + (q[0] - e.start[0]) * k, e.start[1] + (q[1] - e.start[1]) * k)
                    for k in ks
                ]
            found += pts
    return found


def _welds(
    t: Truck, members: Mapping[str, Member], solids: Mapping[str, Solid], shop: Shop
) -> Iterator[Misfit]:
    for w in t.assembly.welds:
        if w.on not in members or w.to not in solids:
            if w.on != w.to:
                yield Misfit("absent", f"{w.id}: {w.on} or {w.to} is not there", 0.0, (w.id,))
            continue
        m = members[w.on]
        t_mm = _t(m, shop)
        for name in w.edges:
            line = weld_line(m, name, t_mm, w.face, w.stop)
            if isinstance(m.body, Plate) and not len(line):
                yield Misfit("weld", f"{w.id}: {w.on} has no edge {name}", 0.0, (w.id, w.on))
            elif len(line):
                miss = float(_to(w.to, line, members, solids).max())
                if miss > WELD:
                    says = f"{w.id}: edge {name} of {w.on} stands off {w.to}"
                    yield Misfit("weld", says, miss, (w.id, w.on, w.to))


def _to(
    code: str, line: Points, members: Mapping[str, Member], solids: Mapping[str, Solid]
) -> Points:
    """Distance from a member; a rail is all its segments on that side."""
    if members[code].title == "frame rail":
        same = [c for c, m in members.items() if m.title == "frame rail" and c[-1] == code[-1]]
        return np.asarray(np.min([solids[c].away(line) for c in same], axis=0))
    return solids[code].away(line)


def _overlaps(
    t: Truck, members: Mapping[str, Member], solids: Mapping[str, Solid]
) -> Iterator[Misfit]:
    half = OVERLAP / 2
    points = {c: s.samples(half, PITCH) for c, s in solids.items()}
    boxes = {c: (p.min(axis=0), p.max(axis=0)) for c, p in points.items() if len(p)}
    through = {c: [b for b in t.assembly.bolts if c in b.through] for c in solids}
    coped = {
        frozenset((w.on, w.to)) for w in t.assembly.welds if _is_cope(members.get(w.on), w.edges)
    }
    codes = sorted(boxes)
    for i, a in enumerate(codes):
        for b in codes[i + 1 :]:
            low, high = np.maximum(boxes[a][0], boxes[b][0]), np.minimum(boxes[a][1], boxes[b][1])
            if (
                (low > high).any()
                or frozenset((a, b)) in coped
                or (_existing(members[a]) and _existing(members[b]))
            ):
                continue
            worst = 0
            for own, other in ((a, b), (b, a)):
                near = points[own][
                    ((points[own] >= low - half) & (points[own] <= high + half)).all(axis=1)
                ]
                if len(near):
                    deep = near[solids[other].deep(near, half)]
                    if len(deep):
                        deep = deep[
                            ~in_bolt_hole(
                                deep,
                                [
                                    *_round_holes(members[a], through[a]),
                                    *_round_holes(members[b], through[b]),
                                ],
                                0.0,
                            )
                        ]
                    worst = max(worst, len(deep))
            if worst:
                says = f"{a} and {b} stand in one another at {worst} points"
                yield Misfit("overlap", says, OVERLAP, (a, b))


def _is_cope(m: Member | None, edges: tuple[str, ...]) -> bool:
    """A tube end that is cut to what it meets: it touches all round and stands in nothing."""
    return (
        m is not None
        and isinstance(m.body, Tube)
        and any(m.body.ends[int(e[-1])].kind == "cope" for e in edges if e in ("end0", "end1"))
    )


def _existing(m: Member) -> bool:
    return m.fixed_after == "existing"


def _round_holes(m: Member, bolts: list[Bolt]) -> list[Bolt]:
    """Bolts whose holes have to be taken out of a rail or tube; a plate has its own."""
    return [] if isinstance(m.body, Plate) else bolts

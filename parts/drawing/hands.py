"""One drawing for both hands: which right-hand plates are their left ones mirrored; and which
plates are cut alike though their numbers are two.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import permutations

from ..design.part_numbers import PointSet, ranges, same_turned
from ..geometry import outline
from ..model.assembly import Part, Weld
from ..model.body import Plate
from ..model.vectors import Vec2
from ..words import names
from .part_notes import elsewhere

UNDRAWN = ("text", "drill")
"""Marks a drawing does not show: letters and drill crosses."""
KINDS = {"corner": 0, "arc": 1, "mark": 2, "round": 10_000, "slot": 20_000, "bend": 30_000}
FINE = 100
"""Steps of a millimeter, or of a tenth of a degree, within which sizes are one."""


def twins(parts: Iterable[Part], welds: Sequence[Weld]) -> dict[str, str]:
    """Right part's id -> id of the left part whose mirror image it is, welds and scribed lines
    too.
    """
    lefts = {part.number: part for part in parts if part.hand == "L"}
    found = {}
    for part in parts:
        left = lefts.get(part.number) if part.hand == "R" else None
        if left and _mirrored(left, part) and _welded_alike(left, part, welds):
            found[part.id] = left.id
    return found


def _mirrored(left: Part, right: Part) -> bool:
    one, two = left.member.body, right.member.body
    if not isinstance(one, Plate) or not isinstance(two, Plate) or one.stock != two.stock:
        return False
    if left.quantity != right.quantity:
        return False
    own, other = _points(left, one), [(x, -y, kind) for x, y, kind in _points(right, two)]
    return len(own) == len(other) and same_turned(tuple(own), tuple(other))


def _points(part: Part, body: Plate) -> PointSet:
    """Everything a drawing shows of a plate, as points with what each is of."""
    rows: list[tuple[Vec2, int]] = []
    for loop in (body.outline, *body.openings, *part.slots):
        for edge, end in outline.spans(loop):
            rows.append((edge.start, KINDS["corner"]))
            if edge.bulge:
                arc = outline.arc_of(edge.start, end, edge.bulge)
                middle = arc.start + arc.sweep / 2
                x, y = arc.center
                at = (x + arc.radius * math.cos(middle), y + arc.radius * math.sin(middle))
                rows.append((at, KINDS["arc"]))
    for hole in part.holes:
        kind = round(hole.diameter * FINE) + KINDS["round"] * (1 + (hole.how == "cut"))
        half = max(0.0, hole.length - hole.diameter) / 2
        for way in (-half, half) if half else (0.0,):
            x, y = hole.at
            at = (x + way * math.cos(hole.angle), y + way * math.sin(hole.angle))
            rows.append((at, kind))
    for bend in body.bends:
        kind = KINDS["bend"] + round(math.degrees(bend.angle) * 10) + round(bend.radius * FINE)
        rows += [(bend.start, kind), (bend.end, kind)]
    for mark in part.marks:
        if mark.role not in UNDRAWN:
            rows += [(point, KINDS["mark"]) for stroke in mark.strokes for point in stroke]
    return tuple((x, y, float(kind)) for (x, y), kind in rows)


def cut_alike(parts: Iterable[Part]) -> dict[str, list[str]]:
    """By part id, a line for every plate of another number that is cut alike, with the reason."""
    plates = [(part, part.member.body) for part in parts if isinstance(part.member.body, Plate)]
    scribed = {part.id: _points(part, body) for part, body in plates}
    bare = {
        code: tuple(point for point in points if point[2] != KINDS["mark"])
        for code, points in scribed.items()
    }
    found: dict[str, list[str]] = {}
    for (one, own), (other, body) in permutations(plates, 2):
        if (
            one.number != other.number
            and own.stock == body.stock
            and (one.member.fixed_after == "tool") == (other.member.fixed_after == "tool")
            and own.bends == body.bends
            and _lie_alike(bare[one.id], bare[other.id])
        ):
            why = _apart(one, other, _lie_alike(scribed[one.id], scribed[other.id]))
            found.setdefault(one.id, []).append(
                f"{names.made(one)} is cut like {names.made(other)}: {why}."
            )
    return found


def with_one_reason(lines: Iterable[str]) -> list[str]:
    """Lines of ``cut_alike`` of a part and its twin, those with one reason in one.

    >>> with_one_reason(["A is cut like B: x.", "A is cut like C: y.", "D is cut like E: x."])
    ['A is cut like B, D like E: x.', 'A is cut like C: y.']
    """
    found: dict[str, list[str]] = {}
    for line in lines:
        pair, _, why = line.partition(": ")
        found.setdefault(why, []).append(pair)
    return [
        ", ".join((first, *(pair.replace(" is cut like ", " like ") for pair in rest))) + f": {why}"
        for why, (first, *rest) in found.items()
    ]


def _lie_alike(one: PointSet, other: PointSet) -> bool:
    return len(one) == len(other) and same_turned(one, other)


def _apart(one: Part, other: Part, scribed_alike: bool) -> str:
    """Why what is cut alike has two numbers."""
    if not scribed_alike:
        return "other lines are scribed on it"
    if one.hand != other.hand:
        return "a number of its own, because each is lettered with the side it goes to"
    return "another edge is ground after cutting"


def _counterparts(left: Part, right: Part, welds: Sequence[Weld]) -> list[tuple[Weld, Weld | None]]:
    """Welds on the left part with the right one's along the same edges."""
    own = [weld for weld in welds if weld.on == left.id]
    others = [weld for weld in welds if weld.on == right.id]
    return [(weld, next((each for each in others if _alike(weld, each)), None)) for weld in own]


def _alike(one: Weld, other: Weld) -> bool:
    """Whether two welds are drawn by the same symbol on the same edges."""
    return (
        set(one.edges) == set(other.edges)
        and (one.kind, one.face, one.groove) == (other.kind, other.face, other.groove)
        and all(
            math.isclose(one, two, abs_tol=1e-6)
            for one, two in ((one.leg, other.leg), (one.run, other.run), (one.pitch, other.pitch))
        )
    )


def _welded_alike(left: Part, right: Part, welds: Sequence[Weld]) -> bool:
    count = sum(weld.on == right.id for weld in welds)
    pairs = _counterparts(left, right, welds)
    return len(pairs) == count and all(other for _, other in pairs)


def words(left: Part, right: Part) -> str:
    """Both marks, for the title block."""
    return f"{names.made(left)} as drawn, {names.made(right)} mirrored"


def notes(left: Part, right: Part, welds: Sequence[Weld], numbers: Mapping[str, str]) -> list[str]:
    """What the mirrored part has of its own: numbers of its welds, its other places."""
    pairs = [
        f"{numbers.get(weld.id, '')} is {numbers.get(other.id, '')}"
        for weld, other in _counterparts(left, right, welds)
        if other
    ]
    to = ranges(numbers.get(weld.id, weld.id) for weld in welds if weld.to == right.id)
    said = [f"On {names.made(right)}, mirrored: {', '.join(pairs)}."] if pairs else []
    if to:
        said.append(f"Welded to {names.made(right)}: {to}.")
    return [*said, *elsewhere(right, welds, numbers, "mirrored")]

"""The datum a plate is dimensioned from: two of its real edges, or an edge and a hole, on which a
square or a tape can be laid.

A family says which (``Member.datum``, edges by name, a hole by its bolt); what it leaves open, or
names of edges a square cannot lie on, is found from the outline. Lengths mm, angles rad.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from ..geometry import contours, outline
from ..model.assembly import Hole
from ..model.body import Edge, Loop, Plate
from ..model.vectors import Vec2
from ..words import names

SQUARE = math.radians(0.02)
"""Edges out of square by less are square: 0.001 in over 3 in."""
LEAST = 6.0
"""mm of straight edge a square or a tape hook can be laid on (common practice, no source)."""


class Datum(NamedTuple):
    """Axes of a drawing in the part's own plane.

    ``origin``: where the two datums cross; ``turn``: of the drawing's x axis from the part's, rad.
    ``first`` and ``second`` in words, the first lying along x if ``level``, else along y;
    ``mark``: a point of the part on the second.
    """

    origin: Vec2
    turn: float
    first: str
    second: str
    level: bool
    mark: Vec2 = (0.0, 0.0)

    def into(self, point: Vec2) -> Vec2:
        """A point of the part in the drawing's axes.

        >>> Datum((10.0, 0.0), math.pi / 2, "a", "b", True).into((10.0, 5.0))
        (5.0, 0.0)
        """
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        x, y = point[0] - self.origin[0], point[1] - self.origin[1]
        return round(x * cos + y * sin, 9) + 0.0, round(y * cos - x * sin, 9) + 0.0


class _DatumEdge(NamedTuple):
    """A straight edge: name, ends, direction, length."""

    name: str
    start: Vec2
    end: Vec2
    way: Vec2
    length: float


class _Choice(NamedTuple):
    """A first edge, and what gives the other axis: a point of it, and its words."""

    line: _DatumEdge
    at: Vec2
    words: str


def datum_of(body: Plate, holes: Sequence[Hole], chosen: tuple[str, str] = ("", "")) -> Datum:
    """The datum of a plate; ``chosen``: what its family names."""
    round_ = contours.is_circle(body.outline)
    if round_:
        return Datum(round_[0], 0.0, "the rim", "the rim, by its middle", True, round_[0])
    lines = list(_straight(body.outline))
    choice = _family(body.outline, lines, holes, chosen) or _found(body.outline, lines, holes)
    if choice is None:
        return _no_edge(body.outline)
    return _turned(body.outline, choice)


def _straight(loop: Loop) -> Iterator[_DatumEdge]:
    for edge, end in outline.spans(loop):
        length = math.dist(edge.start, end)
        if not edge.bulge and length >= LEAST:
            way = ((end[0] - edge.start[0]) / length, (end[1] - edge.start[1]) / length)
            yield _DatumEdge(edge.name, edge.start, end, way, length)


def _family(
    loop: Loop, lines: Sequence[_DatumEdge], holes: Sequence[Hole], chosen: tuple[str, str]
) -> _Choice | None:
    """What the family's two names give, either of them first; the longer with a second of its own
    where they are not square; None where no square can lie.
    """
    found: list[_Choice] = []
    for name, other in (chosen, chosen[::-1]):
        named = [line for line in lines if line.name == name]
        if not named:
            continue
        line = max(named, key=lambda each: each.length)
        second = _named(loop, lines, holes, line, other)
        if second:
            return second
        found.append(_second(loop, lines, holes, line))
    return max(found, key=lambda choice: choice.line.length) if found else None


def _named(
    loop: Loop, lines: Sequence[_DatumEdge], holes: Sequence[Hole], line: _DatumEdge, other: str
) -> _Choice | None:
    """The second datum by its name: a square edge, a hole by its bolt, a round end."""
    square = [each for each in lines if each.name == other and _is_square(line, each)]
    if square:
        best = max(square, key=lambda each: each.length)
        return _Choice(line, best.start, _edge_words(other))
    hole = next((each for each in holes if other and each.bolt == other), None)
    if hole:
        return _Choice(line, hole.at, "the hole")
    arcs = [
        (edge, end) for edge, end in outline.spans(loop) if edge.name == other and edge.bulge > 0
    ]
    touched = [point for edge, end in arcs for point in _touched(edge, end, line)]
    if touched:
        return _Choice(line, touched[0], f"{_edge_words(other)}, touched by a square")
    return None


def _found(loop: Loop, lines: Sequence[_DatumEdge], holes: Sequence[Hole]) -> _Choice | None:
    """Two square edges, the longest of them; else the longest edge with what there is."""
    pairs = [
        (line, other) for line, other in itertools.permutations(lines, 2) if _is_square(line, other)
    ]
    if pairs:
        line, other = max(pairs, key=lambda pair: pair[1].length + 1.001 * pair[0].length)
        return _Choice(line, other.start, _edge_words(other.name))
    if not lines:
        return None
    return _second(loop, lines, holes, max(lines, key=lambda each: each.length))


def _second(
    loop: Loop, lines: Sequence[_DatumEdge], holes: Sequence[Hole], line: _DatumEdge
) -> _Choice:
    """The second datum of an edge: the longest edge square to it, the largest hole, a round end, or
    its own end.
    """
    square = [each for each in lines if _is_square(line, each)]
    if square:
        best = max(square, key=lambda each: each.length)
        return _Choice(line, best.start, _edge_words(best.name))
    if holes:
        return _Choice(line, max(holes, key=lambda hole: hole.diameter).at, "the hole")
    for edge, end in outline.spans(loop):
        for point in _touched(edge, end, line) if edge.bulge > 0 else ():
            return _Choice(line, point, f"{_edge_words(edge.name)}, touched by a square")
    return _Choice(line, line.start, "its end")


def _no_edge(loop: Loop) -> Datum:
    """Of an outline of arcs only: the middle of its largest."""
    arcs = [outline.arc_of(edge.start, end, edge.bulge) for edge, end in outline.spans(loop)]
    largest = max(arcs, key=lambda arc: arc.radius * abs(arc.sweep))
    words = "the largest round, by its middle"
    return Datum(largest.center, 0.0, words, words, True, largest.center)


def _is_square(one: _DatumEdge, other: _DatumEdge) -> bool:
    return abs(one.way[0] * other.way[0] + one.way[1] * other.way[1]) < math.sin(SQUARE)


def _touched(edge: Edge, end: Vec2, line: _DatumEdge) -> list[Vec2]:
    """Where a square that stands on a line touches an outward arc, at its end along the line."""
    arc = outline.arc_of(edge.start, end, edge.bulge)
    along = math.atan2(line.way[1], line.way[0])
    found = []
    for angle in (along, along + math.pi):
        if 0.0 <= (angle - arc.start) % math.tau <= arc.sweep:
            x, y = arc.center
            found.append((x + arc.radius * math.cos(angle), y + arc.radius * math.sin(angle)))
    return found


def _edge_words(name: str) -> str:
    """An edge as a datum; one whose name does not tell it from its like is told by its arrow.

    >>> [_edge_words(name) for name in ("edge3", "foot", "side_high", "rear_edge", "side_b")]
    ['edge 3', 'the foot edge', 'the high side', 'the rear edge', 'the side its zero stands at']
    """
    said = names.edges((name,))
    if (number := said.removeprefix("edge").strip()).isdigit():
        return f"edge {number}"
    if name.startswith(("side_a", "side_b")):
        return "the side its zero stands at"
    if said.startswith("side "):
        return f"the {said.removeprefix('side ')} side"
    return f"the {said}" if said.endswith((" edge", " side", " end")) else f"the {said} edge"


def _turned(loop: Loop, choice: _Choice) -> Datum:
    """Of the four ways to lay the edge, the one with most of the part right of and above the
    datums, its longer side level where that is equal.
    """
    line, at = choice.line, choice.at
    along = (at[0] - line.start[0]) * line.way[0] + (at[1] - line.start[1]) * line.way[1]
    origin = (line.start[0] + along * line.way[0], line.start[1] + along * line.way[1])
    base = math.atan2(line.way[1], line.way[0])
    first = _edge_words(line.name)
    best: tuple[tuple[bool, float, float], Datum] | None = None
    for quarter in range(4):
        turn = math.remainder(base + quarter * math.pi / 2, math.tau)
        level = quarter % 2 == 0
        datum = Datum(origin, turn, first, choice.words, level, at)
        points = [datum.into(point) for point in outline.flatten(loop, 0.5)]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        wide, high = max(xs) - min(xs), max(ys) - min(ys)
        below = max(0.0, -min(xs)) / wide + max(0.0, -min(ys)) / high
        rank = (high > 1.05 * wide, round(below, 3), round(abs(turn), 6))
        if best is None or rank < best[0]:
            best = (rank, datum)
    assert best is not None
    return best[1]

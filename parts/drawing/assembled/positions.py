"""Ordinates of an assembly sheet: where bolts and parts stand from the layout's datum."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ....layout.graph import Graph
from ....layout.quantities import Key, Side
from ....layout.units import tape
from ...model.body import Existing
from ...model.vectors import Vec3
from ..dimensions import PlateAxis
from ..ordinates import PaperSide
from .board import Position
from .groups import Placed, SheetGroup
from .marks import bolt_ends
from .pictures import Picture


def positions(
    placed: Placed, group: SheetGroup, pictures: Sequence[Picture], solved: Graph
) -> dict[int, list[Position]]:
    """Ordinates by view: along from the datum hole, across from the center line, up from the
    floor; of bolts, and of what each made member is set by.
    """
    side = group.side
    along, across = (2, 0) if side == "C" else (0, 2)
    found: dict[int, list[Position]] = {}
    points = list(_points(placed, group))
    hole = solved.values.get(Key("frame.datum_hole", _hand(side)))
    if hole is not None:
        rows = [(point[0] - hole, point, tape(point[0] - hole)) for point in points]
        found[along] = _rows("x", "low", rows, pictures[along], (hole, 0.0, 0.0))
    rows = [(abs(point[1]), point, _across(point[1], side)) for point in points]
    found.setdefault(across, []).extend(_rows("x", "low", rows, pictures[across]))
    rows = [(point[2], point, tape(point[2])) for point in points]
    up: PaperSide = "right" if side == "L" else "left"
    found.setdefault(0, []).extend(_rows("y", up, rows, pictures[0]))
    return found


def _hand(side: str) -> Side:
    return "R" if side == "R" else "L"


def _across(y: float, side: str) -> str:
    words = tape(abs(y))
    if side != "C" or words == "0":
        return words
    return f"{words} {'left' if y > 0 else 'right'}"


def _points(placed: Placed, group: SheetGroup) -> Iterator[Vec3]:
    for bolt in group.bolts.values():
        one, two = bolt_ends(placed, bolt, bolt.through)
        middle = (one + two) / 2
        yield float(middle[0]), float(middle[1]), float(middle[2])
    for member in group.members:
        if not isinstance(member.body, Existing) and member.code in placed.parts:
            yield member.place.origin


def _rows(
    axis: PlateAxis,
    side: PaperSide,
    rows: Sequence[tuple[float, Vec3, str]],
    seen_in: Picture,
    start: Vec3 = (0.0, 0.0, 0.0),
) -> list[Position]:
    """Positions along one axis from ``start``, those lettered alike once, at the point nearest
    their side.
    """
    found: dict[str, Position] = {}
    nought = seen_in.to(start)["xy".index(axis)]
    for size, point, words in rows:
        row = Position(axis, size, seen_in.to(point), side, words, nought)
        if words not in found or _near(row) < _near(found[words]):
            found[words] = row
    return list(found.values())


def _near(row: Position) -> float:
    """How far a position is from the side it goes to, up to a constant."""
    across, up = row.at
    return {"low": up, "high": -up, "left": across, "right": -across}[row.side]

"""A plate's own lines on its drawing, and the edges its welds run along."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from ..geometry import contours, outline
from ..model.assembly import Part, Weld
from ..model.body import Loop, Plate
from ..model.vectors import Vec2
from .canvas import InView
from .features import Features
from .placed import PlacedStroke

FLAT = 0.04
"""mm a chord may leave its arc in a picture."""
LETTERING_MARKS = ("text", "drill")
"""Marks that are in the cut file only: letters and drill crosses."""


class WeldLine(NamedTuple):
    """A weld with its number and the edges it runs along, each as points in the datum's axes;
    ``opening``: edges of an opening.
    """

    weld: Weld
    number: str
    edges: tuple[tuple[Vec2, ...], ...]
    opening: bool


def picture(part: Part, found: Features) -> InView:
    """The plate's flat: edges, holes with their center lines, bends, scribed lines but letters."""
    body = part.member.body
    assert isinstance(body, Plate)
    exact: list[Loop] = list(found.loops)
    if found.disc:
        exact.insert(0, contours.circle(found.disc.at, found.disc.diameter))
    exact += [contours.circle(hole.at, hole.diameter) for hole in found.rounds]
    exact += [contours.slot(slot.at, slot.length, slot.width, slot.angle) for slot in found.slots]
    loops = [tuple(outline.flatten(loop, FLAT)) for loop in exact]
    lines: list[PlacedStroke] = [((*loop, loop[0]), "wide") for loop in loops]
    lines += [((bend.start, bend.end), "bend") for bend in found.bends]
    for mark in part.marks:
        if mark.role not in LETTERING_MARKS and mark.role != "bend":
            lines += [(tuple(map(found.datum.into, stroke)), "dashed") for stroke in mark.strokes]
    return InView(tuple(lines), tuple(loops), tuple(exact))


def weld_lines(
    part: Part, found: Features, welds: Iterable[Weld], numbers: dict[str, str]
) -> list[WeldLine]:
    """Welds that lie on the part's own edges."""
    body = part.member.body
    assert isinstance(body, Plate)
    spans = [
        (side, end)
        for loop in (body.outline, *body.openings, *part.slots)
        for side, end in outline.spans(loop)
    ]
    rows = []
    for weld in welds:
        edges = []
        for name in weld.edges:
            named = [(side, end) for side, end in spans if side.name == name]
            if weld.on == part.id and named:
                side, end = max(named, key=lambda span: outline.edge_length(*span))
                points = [*outline.edge_points(side, end, 0.1), end]
                edges.append(tuple(map(found.datum.into, points)))
        if edges:
            outer = {edge.name for edge in body.outline}
            opening = not outer & set(weld.edges)
            rows.append(WeldLine(weld, numbers.get(weld.id, ""), tuple(edges), opening))
    return rows

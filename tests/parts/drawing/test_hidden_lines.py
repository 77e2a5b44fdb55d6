"""Hidden lines held against the solid modeler's own: parts of every kind, and one assembly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import pytest
import shapely
from drawn_assemblies import grouped, placed
from kernel_lines import kernel_lines
from soapstone.parts.drawing.assembled.directions import directions
from soapstone.parts.drawing.hidden import LinePiece, Solids
from soapstone.parts.drawing.picture import LEFT_AHEAD, View
from soapstone.parts.export import step
from soapstone.parts.model.assembly import Member
from soapstone.parts.model.body import Plate, Tube

OFF = 0.6
"""mm two lines may be apart: a chord off its arc, and what a facet must lie behind."""
SHARE = 0.98
"""Of the length of one set of lines that must lie on the other."""


Lines = list[shapely.LineString]


def lines(pieces: Sequence[LinePiece], seen: bool) -> Lines:
    return [shapely.LineString(p.points) for p in pieces if p.seen == seen]


def lies_on(one: Lines, *others: Lines) -> float:
    """The share of one's points, a millimeter apart, that lie on the others."""
    if sum(line.length for line in one) < 1.0:
        return 1.0
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(one, 1.0)))
    tree = shapely.STRtree([line for other in others for line in other])
    near, _ = tree.query(points, predicate="dwithin", distance=OFF)
    return len(np.unique(near)) / len(points)


def agree(pieces: Sequence[LinePiece], solids: Sequence[Any], view: View, what: str) -> None:
    """In sight alike both ways; what one hides the other hides too, or draws over in sight."""
    seen, hidden, smooth = kernel_lines(solids, view)
    own, dark = lines(pieces, True), lines(pieces, False)
    assert lies_on(own, seen, smooth) > SHARE, (what, "drawn in sight")
    assert lies_on(seen, own) > SHARE, (what, "in sight by the modeler")
    assert lies_on(dark, hidden, seen, smooth) > SHARE, (what, "drawn hidden")
    assert lies_on(hidden, own, dark) > SHARE, (what, "hidden by the modeler")


def kinds() -> Iterator[tuple[str, Member]]:
    """One part of every kind: most holes, an opening, a bend, round edges, copes."""
    whole = placed("demo")
    made = [m for code, m in whole.members.items() if code in whole.parts]
    flat = [m for m in made if isinstance(m.body, Plate)]
    yield "holes", max(flat, key=lambda m: len(whole.parts[m.code].holes))
    yield "opening", max(flat, key=lambda m: len(m.body.openings))
    yield "bend", next(m for m in flat if m.body.bends)
    yield (
        "round",
        max(flat, key=lambda m: sum(bool(e.bulge) for e in m.body.outline)),
    )
    tubes = [m for m in made if isinstance(m.body, Tube)]
    yield "cope", next(m for m in tubes if any(e.kind == "cope" for e in m.body.ends))


@pytest.mark.parametrize("kind", ["holes", "opening", "bend", "round", "cope"])
def test_a_part_is_drawn_as_the_modeler_draws_it(kind: str) -> None:
    whole = placed("demo")
    member = dict(kinds())[kind]
    solid = step.placed(member, whole.parts[member.code], whole.shop)
    looked = Solids([whole.shapes[member.code]])
    for direction in directions("L")[0]:
        agree(looked.look(direction.view), [solid], direction.view, direction.words)
    agree(looked.look(LEFT_AHEAD), [solid], LEFT_AHEAD, "aslant")


def test_an_assembly_is_drawn_as_the_modeler_draws_it() -> None:
    """The group with the fewest members that has bolts, from its three sides."""
    whole = placed("demo")
    group = min((g for g, _ in grouped("demo") if g.bolts), key=lambda g: len(g.members))
    members = group.members
    solids = [step.placed(m, whole.parts.get(m.code), whole.shop) for m in members]
    looked = Solids([whole.shapes[m.code] for m in members])
    for direction in directions(group.side)[0]:
        agree(looked.look(direction.view), solids, direction.view, direction.words)


def test_a_point_behind_a_plate_is_hidden_and_one_before_it_is_not() -> None:
    whole = placed("demo")
    member = dict(kinds())["round"]
    place, t = member.place, whole.shop.plate(member.body.stock).thickness
    triangles = whole.shapes[member.code].corners[whole.shapes[member.code].triangles]
    up = np.array(place.z)
    top = next(c for c in triangles if abs(np.dot(np.cross(c[1] - c[0], c[2] - c[0]), up)) > 1.0)
    middle = top.mean(axis=0)
    view = View(np.array(place.x), np.array(place.y), up)
    looked = Solids([whole.shapes[member.code]])
    points = np.array([middle - 3 * t * up, middle + 3 * t * up])
    assert looked.hides(view, points).tolist() == [True, False]

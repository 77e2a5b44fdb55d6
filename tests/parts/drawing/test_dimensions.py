"""A plate is rebuilt from its drawing alone; whatever its family, whatever its shop reads."""

from __future__ import annotations

import itertools
import math
import re

import drawing_reader
import pytest
from drawn_parts import JOBS, job_of, reading, sheets
from soapstone.layout.reader import System, reading_in
from soapstone.parts import drawing
from soapstone.parts.design.finish import finish
from soapstone.parts.drawing import wording
from soapstone.parts.drawing.datum import datum_of
from soapstone.parts.drawing.dimensions import dimensions
from soapstone.parts.drawing.features import features
from soapstone.parts.drawing.ordinates import PITCH, spread
from soapstone.parts.drawing.part_sheet import TitleHead
from soapstone.parts.geometry import contours, outline
from soapstone.parts.geometry.holes import slot_loop
from soapstone.parts.model.assembly import Assembly, Bolt, Member, Part
from soapstone.parts.model.body import Bend, Edge, Plate
from soapstone.parts.model.vectors import Frame, Vec2
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.truck.truck import is_plate

IN = 25.4
DECIMAL, FRACTION = 0.005 * IN, 0.015 * IN
"""mm a size may be off what is made, lettered by decimals and as a fraction."""


def held(rebuilt: drawing_reader.Rebuilt, part: Part) -> None:
    """Outline, openings, holes, slots and bends against the part itself."""
    body = part.member.body
    assert isinstance(body, Plate)
    datum = datum_of(body, part.holes, part.member.datum)
    openings = [*body.openings, *part.slots, *(slot_loop(h) for h in part.holes)]
    want = [o for o in (body.outline, *openings) if not contours.is_circle(o)]
    if contours.is_circle(body.outline):
        want.insert(0, ())
    slotted = [
        o for o in want[1:] if len(o) == 4 and sum(abs(abs(e.bulge) - 1) < 1e-6 for e in o) == 2
    ]
    loops = [o for o in want if o and o not in slotted]
    assert len(rebuilt.loops) == len(loops), part.id
    for got, true in zip(rebuilt.loops, loops, strict=True):
        for corner, (edge, end) in zip(got, outline.spans(true), strict=True):
            assert math.dist(corner[:2], datum.into(edge.start)) < FRACTION, (part.id, edge)
            if edge.bulge:
                arc = outline.arc_of(edge.start, end, edge.bulge)
                assert abs(corner.radius) == pytest.approx(arc.radius, abs=DECIMAL), (part.id, edge)
                assert (corner.radius > 0) == (edge.bulge > 0)
        assert abs(_area(got, true) / outline.area(true) - 1) < 0.01, part.id
    rounds = sorted(
        (*datum.into(c[0]), c[1]) for c in map(contours.is_circle, (body.outline, *openings)) if c
    )
    assert len(rebuilt.circles) == len(rounds), part.id
    for one, two in zip(sorted(rebuilt.circles), rounds, strict=True):
        assert one == pytest.approx(two, abs=FRACTION), part.id
    assert len(rebuilt.slots) == len(slotted), part.id
    for x, y, wide, long in rebuilt.slots:
        assert any(
            math.dist((x, y), datum.into(outline.centroid(o))) < FRACTION
            and abs(_size(o)[0] - wide) < DECIMAL + 0.003 * IN
            and abs(_size(o)[1] - long) < DECIMAL + 0.003 * IN
            for o in slotted
        ), part.id
    true = sorted((math.degrees(abs(b.angle)), b.angle > 0, b.radius) for b in body.bends)
    assert len(true) == len(rebuilt.bends)
    ends = {axis: [datum.into(b.start)[axis == "y"] for b in body.bends] for axis in "xy"}
    assert len(rebuilt.bend_lines) >= len(true)
    for axis, at in rebuilt.bend_lines:
        assert any(abs(at - end) < FRACTION for end in ends[axis]), part.id
    for got_bend, want_bend in zip(sorted(rebuilt.bends), true, strict=True):
        assert got_bend == pytest.approx(want_bend, abs=0.1), part.id


def _size(slot: tuple[Edge, ...]) -> Vec2:
    """Width and length over all of a slot."""
    spans = list(outline.spans(slot))
    wide = next(math.dist(e.start, q) for e, q in spans if abs(e.bulge) > 0.5)
    return wide, wide + next(math.dist(e.start, q) for e, q in spans if abs(e.bulge) < 0.5)


def _area(got: tuple[drawing_reader.Corner, ...], true: tuple[Edge, ...]) -> float:
    """Area of a rebuilt loop; whether an arc is more than half a turn from the picture."""
    total = 0.0
    for i, (corner, edge) in enumerate(zip(got, true, strict=True)):
        after = got[(i + 1) % len(got)]
        total += (corner.x * after.y - after.x * corner.y) / 2
        if corner.radius:
            half = math.dist(corner[:2], after[:2]) / 2
            sweep = 2 * math.asin(min(1.0, half / abs(corner.radius)))
            sweep = math.tau - sweep if abs(edge.bulge) > 1 else sweep
            total += math.copysign(corner.radius**2 * (sweep - math.sin(sweep)) / 2, corner.radius)
    return abs(total)


@pytest.mark.parametrize("name", JOBS)
def test_every_plate_is_rebuilt_from_the_dimensions_of_its_drawing(name: str) -> None:
    _, shop = job_of(name)
    seen = 0
    for part, sheet in sheets(name):
        if is_plate(part):
            with reading(name):
                data = drawing.dxf(sheet, shop.unit)
            held(drawing_reader.read(data), part)
            seen += 1
    assert seen > 50


@pytest.mark.parametrize("name", JOBS)
def test_each_feature_is_given_once(name: str) -> None:
    for part, _ in sheets(name):
        if not is_plate(part):
            continue
        dims = dimensions(features(part))
        for axis in "xy":
            values = [row.value for row in dims.ordinates if row.axis == axis]
            assert all(b - a > 0.04 for a, b in itertools.pairwise(values)), part.id
        sizes = [(d.diameter, d.how == "cut", d.pilot) for d in dims.diameters if not d.disc]
        assert len(sizes) == len(set(sizes)), part.id


def toy(shop: Shop, chosen: tuple[str, str] = ("", "")) -> Part:
    """A family nobody has: bent, with a slope, a fillet, a notch, a slanted slot and two holes."""
    loop = (
        Edge("base", (0.0, 0.0)),
        Edge("end", (150.0, 0.0)),
        Edge("top", (150.0, 60.0)),
        Edge("notch", (100.0, 60.0), -1.0),
        Edge("top", (80.0, 60.0)),
        Edge("round", (20.0, 60.0), math.tan(math.pi / 8)),
        Edge("slope", (0.0, 40.0)),
    )
    slot = contours.slot((120.0, 20.0), 24.0, 10.0, 0.4)
    bend = Bend("leg", (60.0, 0.0), (60.0, 60.0), math.pi / 3, 6.0)
    plate = Plate("3/16 A36", loop, (slot,), (bend,))
    place = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    member = Member("ZZ1.L", "toy", "ZZ", plate, place, chosen)
    bolts = tuple(
        Bolt(f"toy#{n}.L", (x, y, 0.0), (0.0, 0.0, 1.0), "1/2-13", "grade 8", ("ZZ1.L",), "pivot")
        for n, (x, y) in enumerate(((20.0, 20.0), (40.0, 41.3)), 1)
    )
    return finish(Assembly((member,), bolts), shop, "DEMO1")[0]


@pytest.mark.parametrize("system", list(System))
def test_a_new_family_gets_its_drawing_for_nothing(system: System) -> None:
    shop = default_shop()
    part = toy(shop)
    with reading_in(system):
        sheet = drawing.sheet(part, (), TitleHead("DEMO1"), shop)
        held(drawing_reader.read(drawing.dxf(sheet, system.value)), part)
    words = [text.words for text in sheet.texts]
    assert any(w.startswith("bend up 60°, inside R ") for w in words)
    assert any(w.startswith("2x Ø ") and "drill" in w for w in words)
    assert any(" at 22.9°" in w for w in words)
    assert "folded, seen along the bend" in words


def test_a_drawing_that_lacks_a_dimension_is_not_rebuilt() -> None:
    """The reader has teeth: without any one of its ordinates the part cannot be made."""
    shop = default_shop()
    part = toy(shop)
    sheet = drawing.sheet(part, (), TitleHead("DEMO1"), shop)
    view = sheet.view
    assert view is not None
    for n, gone in enumerate(view.placed):
        if gone.measured.what in ("x", "y", "radius", "diameter"):
            sheet.view = view._replace(placed=view.placed[:n] + view.placed[n + 1 :])
            data = drawing.dxf(sheet)
            with pytest.raises(drawing_reader.MissingError):
                drawing_reader.read(data)


@pytest.mark.parametrize("name", JOBS)
def test_a_datum_reads_as_an_edge_of_the_part(name: str) -> None:
    """Of every plate drawn; no word twice, and no name that its opposite shares."""
    made, _ = job_of(name)
    seen = set()
    for part in made.parts:
        body = part.member.body
        if isinstance(body, Plate):
            datum = datum_of(body, part.holes, part.member.datum)
            seen |= {datum.first, datum.second}
    assert len(seen) > 10
    for words in seen:
        assert re.match(r"the |its |edge \d", words), words
        own = words.partition(",")[0].split()
        assert len(set(own)) == len(own) and not {"other", "one"} & set(own), words


def test_the_datum_is_what_the_family_says_and_two_real_edges_otherwise() -> None:
    shop = default_shop()
    for chosen, first, second, origin in (
        (("base", "end"), "the base edge", "the end edge", (150.0, 0.0)),
        (("end", "base"), "the end edge", "the base edge", (150.0, 0.0)),
        (("base", "toy#1.L"), "the base edge", "the hole", (20.0, 0.0)),
        (("slope", "no such edge"), "the slope edge", "the base edge", (0.0, 0.0)),
        (("", ""), "the base edge", "the end edge", (150.0, 0.0)),
        (("top", "round"), "the top edge", "the round edge, touched by a square", (0.0, 60.0)),
    ):
        part = toy(shop, chosen)
        body = part.member.body
        assert isinstance(body, Plate)
        datum = datum_of(body, part.holes, chosen)
        assert (datum.first, datum.second) == (first, second), chosen
        assert datum.origin == pytest.approx(origin), chosen


@pytest.mark.parametrize("name", JOBS)
def test_every_datum_lies_on_steel_a_square_or_a_tape_can_touch(name: str) -> None:
    """The first on a straight edge; the second on an edge square to it, a hole, a round end, or the
    first one's own end.
    """
    for part, _ in sheets(name):
        body = part.member.body
        if not isinstance(body, Plate) or contours.is_circle(body.outline):
            continue
        datum = datum_of(body, part.holes, part.member.datum)
        across = 1 if datum.level else 0
        straight = [
            (datum.into(e.start), datum.into(q))
            for e, q in outline.spans(body.outline)
            if not e.bulge
        ]
        assert any(
            abs(p[across]) < 1e-6 and abs(q[across]) < 1e-6 and math.dist(p, q) > 5.9
            for p, q in straight
        ), part.id
        mark = datum.into(datum.mark)
        assert abs(mark[1 - across]) < 1e-6, part.id
        at_hole = any(math.dist(h.at, datum.mark) < 1e-6 for h in part.holes)
        assert at_hole or outline.distance(body.outline, datum.mark) < 1e-6, part.id


def test_spread_is_the_least_that_keeps_the_pitch() -> None:
    """Against a general least-squares solver under the same constraints."""
    from scipy.optimize import minimize

    wanted = [0.0, 3.0, 4.0, 40.0, 41.0, 90.0]
    gaps = [
        {"type": "ineq", "fun": lambda v, i=i: v[i + 1] - v[i] - PITCH}
        for i in range(len(wanted) - 1)
    ]
    start = [PITCH * i * 1.5 for i in range(len(wanted))]
    best = minimize(
        lambda v: sum((a - b) ** 2 for a, b in zip(v, wanted, strict=True)), start, constraints=gaps
    )
    assert spread(wanted) == pytest.approx(list(best.x), abs=1e-3)


def test_numbers_are_fractions_only_where_they_are_fractions() -> None:
    for steps in range(-70, 300):
        words = wording.length(steps * IN / 32)
        assert drawing_reader.number(words, IN) == pytest.approx(steps * IN / 32)
        assert "." not in words
    for mm in (10.0, 31.1, 0.4 * IN, 3.1416 * IN):
        assert drawing_reader.number(wording.length(mm), IN) == pytest.approx(mm, abs=DECIMAL)
    with reading_in(System.METRIC):
        assert (wording.length(31.75), wording.length(-0.01)) == ("31.8", "0")

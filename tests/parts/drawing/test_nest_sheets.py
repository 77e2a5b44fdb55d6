"""The nested sheets as pictures: every part as it lies, never mirrored, as large as its page lets
it, its number on it.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from drawn_parts import JOBS, job_of
from on_a_sheet import box
from soapstone.parts.drawing.display import PAGE, Sheet
from soapstone.parts.drawing.nest import GRAIN, MOSTLY, TURNED, along_grain, nest_sheets
from soapstone.parts.drawing.sheet import MARGIN
from soapstone.parts.export import nest
from soapstone.parts.export.nest import Nested
from soapstone.parts.export.packing import moved
from soapstone.parts.geometry import contours
from soapstone.parts.model.body import Plate
from soapstone.parts.stock import SheetOnHand
from soapstone.parts.truck.truck import is_plate
from soapstone.parts.words import names

STEEL = 40.0
"""Points a part is wide and high at least whose number is to be read without a glass, and the
letters it then has.
"""
READ = 5.0


def drawn(name: str) -> list[tuple[Nested, Sheet, dict[str, list[tuple[float, float]]]]]:
    """Every nested sheet with its picture and its pieces, mm from the sheet's corner."""
    made, shop = job_of(name)
    by = {piece.name: piece for piece in nest.pieces(made.parts)}
    by[nest.SQUARE] = nest.check_square(shop, "")
    found = nest.nest(made.parts, shop).sheets
    sheets = nest_sheets("T1", "2026-01-15", found, by, {}, shop.unit)
    return [
        (one, sheet, {lie.name: moved(by[lie.name].points, lie) for lie in one.placed})
        for one, sheet in zip(found, sheets, strict=True)
    ]


@pytest.mark.parametrize("name", JOBS)
def test_every_part_is_drawn_as_it_lies_and_none_mirrored(name: str) -> None:
    for one, sheet, pieces in drawn(name):
        frame = shapely.box(MARGIN, MARGIN, PAGE[0] - MARGIN, PAGE[1] - MARGIN)
        scales = set()
        for points in pieces.values():
            rings = [x.points for x in sheet.lines if len(x.points) == len(points)]
            true = shapely.LinearRing(points)
            like = [
                ring
                for ring in map(shapely.LinearRing, rings)
                if ring.is_ccw == true.is_ccw and frame.contains(ring)
            ]
            scales |= {round(ring.length / true.length, 4) for ring in like}
            assert like, one.sheet.name
        wide, high = PAGE[0] - 2 * MARGIN - 20, PAGE[1] - 2 * MARGIN - 96
        if one.used < MOSTLY * one.sheet.length:
            strip, across = 1.12 * one.used, one.sheet.width
            largest = max(min(wide / strip, high / across), min(wide / across, high / strip))
            assert max(scales) > 0.95 * largest, one.sheet.name


@pytest.mark.parametrize("name", JOBS)
def test_a_number_can_be_read_where_its_part_has_room(name: str) -> None:
    seen = 0
    for _, sheet, pieces in drawn(name):
        rings = [shapely.Polygon(x.points) for x in sheet.lines if x.closed]
        said = {names.part(piece) for piece in pieces if piece != nest.SQUARE}
        for text in (x for x in sheet.texts if x.words in said):
            spot = box(text)
            own = [ring for ring in rings if ring.contains(spot.centroid)]
            x0, y0, x1, y1 = min(own, key=lambda ring: ring.area).bounds
            if min(x1 - x0, y1 - y0) >= STEEL:
                seen += 1
                assert text.size >= READ, (text.words, text.size)
    assert seen > 5


@pytest.mark.parametrize("name", JOBS)
def test_an_arrow_lies_along_the_length_and_is_clear_of_the_steel(name: str) -> None:
    """Plate is rolled along its length: common practice, no source."""
    for one, sheet, _ in drawn(name):
        (head,) = (shape.points for shape in sheet.lines if shape.solid)
        tip, *ends = map(np.array, head)
        way = tip - np.mean(ends, axis=0)
        turned = any(text.words == TURNED for text in sheet.texts)
        assert abs(way[0 if turned else 1]) < 1e-9 < abs(way[1 if turned else 0])
        (said,) = (text for text in sheet.texts if text.words == GRAIN)
        low = min(said.at[1], *(point[1] for point in head))
        plate = [
            point
            for shape in sheet.lines
            if shape.kind == "wide" and not shape.closed
            for point in shape.points
        ]
        top = max(y for _, y in plate)
        assert top < low - 1 and low < PAGE[1] - MARGIN, one.sheet.name


def test_a_bend_along_the_grain_is_named_with_what_to_do() -> None:
    """Turned by hand: a bend that runs across the flat runs along it after a quarter turn."""
    found, sheet, _ = drawn("demo")[0]
    first = next(lie for lie in found.placed if lie.name != nest.SQUARE)
    one = found._replace(placed=(first._replace(angle=0.0),))
    quarter = found._replace(placed=(first._replace(angle=90.0),))
    across, aslant = {first.name: [(0.0, 9.0)]}, {first.name: [(9.0, 9.0)]}
    assert along_grain(one, across) == [] == along_grain(one, aslant)
    assert along_grain(quarter, across) == [names.part(first.name)]
    assert along_grain(one, {}) == []
    assert not any("along the grain" in text.words for text in sheet.texts)
    made, shop = job_of("demo")
    by = {piece.name: piece for piece in nest.pieces(made.parts)}
    by[nest.SQUARE] = nest.check_square(shop, "")
    (drawn_so,) = nest_sheets("T1", "", [quarter], by, {}, shop.unit, across)
    (said,) = (text.words for text in drawn_so.texts if "along the grain" in text.words)
    assert names.part(first.name) in said and "cracks" in said


def test_every_bend_of_a_build_is_looked_at() -> None:
    from soapstone.cli.building.nest_files import _bends

    made, _ = job_of("demo")
    bent = {part.called for part in made.parts if getattr(part.member.body, "bends", ())}
    assert set(_bends(made.parts)) == bent


def test_a_sheet_without_room_for_the_check_square_says_so() -> None:
    """Nothing is asked to be measured that is not cut: a plate of 250 mm from a piece of 290."""
    body = Plate("1/4 A36", contours.rectangle(0.0, 0.0, 250.0, 250.0), ())
    own, shop = job_of("demo")
    part = next(p for p in own.parts if is_plate(p))
    one = part._replace(quantity=1, holes=(), slots=(), member=part.member._replace(body=body))
    for size, said in ((290.0, False), (420.0, True)):
        sheet = SheetOnHand("1/4 A36", "offcut", size, size)
        only = shop._replace(sheets=(sheet,))
        (nested,) = nest.nest([one], only).sheets
        assert nested.has_square == said
        by = {piece.name: piece for piece in nest.pieces([one])}
        by[nest.SQUARE] = nest.check_square(only, "")
        (picture,) = nest_sheets("T1", "2026-01-15", [nested], by, {}, shop.unit)
        words = " ".join(text.words for text in picture.texts)
        assert ("check square measured" in words) == said
        assert ("no room for the check square" in words) == (not said)
        assert ("first part cut measured" in words) == (not said)

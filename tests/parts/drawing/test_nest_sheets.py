"""The nested sheets as pictures: every part as it lies, never mirrored, as large as its page lets
it, its number on it.
"""

from __future__ import annotations

import pytest
import shapely
from drawn_parts import JOBS, job_of
from on_a_sheet import box
from soapstone.parts.drawing.display import PAGE, Sheet
from soapstone.parts.drawing.nest import MOSTLY, nest_sheets
from soapstone.parts.drawing.sheet import MARGIN
from soapstone.parts.export import nest
from soapstone.parts.export.nest import Nested
from soapstone.parts.export.packing import moved
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

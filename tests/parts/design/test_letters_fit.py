"""Lettering and drill sizes on one plate: on steel, clear of edges and lines, as large as fits.

Areas and distances against GEOS (through shapely); heights and clearances are common practice, no
source.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from soapstone.layout import reader
from soapstone.parts.design import lettering
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.geometry.holes import slot_loop
from soapstone.parts.model.assembly import Hole, Mark
from soapstone.parts.model.body import Plate
from soapstone.parts.model.terms import HowMade

IN = 25.4
QUARTER = "1/4 A36"


@pytest.mark.parametrize(
    ("inches", "said"),
    [(0.5, "1/2"), (0.391, "25/64"), (1.0, "1"), (1.0625, "1 1/16"), (0.4, "0.400")],
)
def test_a_drill_by_its_size(inches: float, said: str) -> None:
    """Fractional drills by sixty-fourths: 25/64 is 0.3906; 0.400 is none."""
    assert lettering.size_text(inches * IN) == said


def test_a_drill_of_a_shop_in_millimeters() -> None:
    with reader.reading_in(reader.System.METRIC):
        assert lettering.size_text(13.49) == "13.5" and lettering.size_text(13.0) == "13"


def area_of(p: Plate, *holes: Hole) -> Any:
    return lettering.steel(p, tuple(map(slot_loop, holes)), 3.0)


def test_room_for_marks_and_a_line_cut_back_to_it() -> None:
    """A line across plate and opening keeps 3 mm from every edge; a stub under 3 mm goes."""
    body = Plate(QUARTER, rectangle(0.0, 0.0, 100.0, 60.0), (rectangle(40, 20, 60, 40),))
    room = area_of(body)
    assert room.area == pytest.approx(94 * 54 - 26 * 26 + (4 - math.pi) * 9, rel=2e-3)
    cut = lettering.clipped(Mark("mate", (((-10.0, 30.0), (110.0, 30.0)),)), room)
    ends = sorted(tuple(sorted(round(p[0], 2) for p in line)) for line in cut.strokes)
    assert ends == [(3.0, 37.0), (63.0, 97.0)]
    for reach, there in ((5.5, 0), (6.5, 1)):
        stub = lettering.clipped(Mark("mate", (((0.0, 10.0), (reach, 10.0)),)), room)
        assert len(stub.strokes) == there


def drilled(at: tuple[float, float]) -> Hole:
    return Hole(at, 13.5, 0.0, 0.0, HowMade.DRILL, 3.2, "zz")


@pytest.mark.parametrize("at", [(15.0, 30.0), (85.0, 30.0), (50.0, 14.0), (50.0, 46.0)])
def test_a_drills_size_stands_beside_it_on_steel(at: tuple[float, float]) -> None:
    body = Plate(QUARTER, rectangle(0.0, 0.0, 100.0, 60.0))
    h = drilled(at)
    room = area_of(body, h)
    (mark,) = lettering.drill_sizes((h, h._replace(how=HowMade.CUT)), room, 3.0)
    drawn = shapely.MultiLineString([list(line) for line in mark.strokes])
    assert mark.text == "17/32" and room.buffer(1e-6).covers(drawn)
    gap = drawn.distance(shapely.Point(at)) - h.diameter / 2
    assert 3.0 < gap < 6.0
    _, low, _, high = drawn.bounds
    assert high - low == pytest.approx(lettering.SMALL, rel=0.3)


@pytest.mark.parametrize(
    ("long", "tall", "side"),
    [(60.0, 34.0, "right"), (34.0, 90.0, "above"), (60.0, 34.0, "left")],
)
def test_a_drills_size_goes_where_there_is_room(long: float, tall: float, side: str) -> None:
    """Beside the hole in a strip along it, above it in one that stands; two holes never share."""
    body = Plate(QUARTER, rectangle(0.0, 0.0, long, tall))
    x = long - 17.0 if side == "left" else 17.0
    h = drilled((x, 17.0))
    (mark,) = lettering.drill_sizes((h,), area_of(body, h), 3.0)
    x0, y0, x1, y1 = shapely.MultiLineString([list(line) for line in mark.strokes]).bounds
    middle = ((x0 + x1) / 2 - x, (y0 + y1) / 2 - 17.0)
    if side == "right":
        assert x0 > x + h.diameter / 2 and abs(middle[1]) < 1.0
    elif side == "left":
        assert x1 < x - h.diameter / 2 and abs(middle[1]) < 1.0
    else:
        assert y0 > 17.0 + h.diameter / 2 and abs(middle[0]) < 1.5
    marks = lettering.drill_sizes((h, h), area_of(body, h), 3.0)
    if len(marks) > 1:
        one, two = (shapely.MultiLineString([list(s) for s in m.strokes]) for m in marks)
        assert one.distance(two) > 0.9


def lettered(body: Plate, *rows: str, drawn: tuple[Mark, ...] = (), kept: Any = ()) -> Any:
    room = area_of(body)
    marks = lettering.letter_plate(body, room, iter([[rows]]), drawn, kept)
    if not marks:
        return None
    drawing = shapely.MultiLineString([list(line) for line in marks[0].strokes])
    assert room.buffer(1e-6).covers(drawing)
    return drawing


def test_lettering_is_as_large_as_fits_and_turns_on_a_narrow_plate() -> None:
    """1/2 in high where there is room; upright on a strip that stands; nothing under 1/8 in. Rows
    stand 1.6 heights apart.
    """
    large = lettered(Plate(QUARTER, rectangle(0.0, 0.0, 300.0, 100.0)), "DEMO1")
    x0, y0, x1, y1 = large.bounds
    assert y1 - y0 == pytest.approx(IN / 2, rel=0.01) and x1 - x0 > y1 - y0
    x0, y0, x1, y1 = lettered(Plate(QUARTER, rectangle(0.0, 0.0, 25.0, 200.0)), "DEMO1").bounds
    assert y1 - y0 > x1 - x0 == pytest.approx(IN / 2, rel=0.01)
    x0, y0, x1, y1 = lettered(
        Plate(QUARTER, rectangle(0.0, 0.0, 300.0, 100.0)), "DEMO1", "DEMO1"
    ).bounds
    assert y1 - y0 == pytest.approx(2.6 * IN / 2, rel=0.01)
    assert lettered(Plate(QUARTER, rectangle(0.0, 0.0, 12.0, 9.0)), "DEMO1") is None


@pytest.mark.parametrize("height", [12.7, 9.525, 7.0, 5.0, 4.0, 0.125 * IN])
def test_lettering_of_every_height_on_a_strip_that_takes_it(height: float) -> None:
    """1/2, 3/8 in, 7, 5, 4 mm and 1/8 in: a strip a grid's millimeter higher than it needs."""
    strip = Plate(QUARTER, rectangle(0.0, 0.0, 200.0, height + 6.0 + 1.1))
    _, low, _, high = lettered(strip, "AB").bounds
    assert high - low == pytest.approx(height, rel=0.01)


def test_two_rows_are_as_high_as_both_of_them_need() -> None:
    """A strip that takes one row of 1/2 in, and two of 7 mm with 0.6 of it between them."""
    strip = Plate(QUARTER, rectangle(0.0, 0.0, 200.0, 2.6 * 7.0 + 6.0 + 1.1))
    for rows, deep in ((("ABCDEF",), 12.7), (("ABCDEF", "CDEFGH"), 2.6 * 7.0)):
        _, low, _, high = lettered(strip, *rows).bounds
        assert high - low == pytest.approx(deep, rel=0.01)


def test_lettering_keeps_clear_of_lines_and_never_crosses_sizes() -> None:
    """A line down the middle is kept 3 mm clear of where one half has room, crossed where neither
    has; a bend line never is.
    """
    line = Mark("mate", (((0.0, 20.0), (60.0, 20.0)),))
    body = Plate(QUARTER, rectangle(0.0, 0.0, 60.0, 40.0))
    drawn = lettered(body, "AB", drawn=(line,))
    assert drawn.distance(shapely.LineString(line.strokes[0])) > lettering.ROOM - 0.1
    low = Plate(QUARTER, rectangle(0.0, 0.0, 60.0, 14.0))
    middle = Mark("mate", (((0.0, 7.0), (60.0, 7.0)),))
    crossed = lettered(low, "AB", drawn=(middle,))
    assert crossed.intersects(shapely.LineString(middle.strokes[0]))
    assert lettered(low, "AB", kept=(middle,)) is None


def test_a_drills_size_goes_below_where_there_is_room_only_there() -> None:
    body = Plate(QUARTER, rectangle(0.0, 0.0, 34.0, 90.0))
    h = drilled((17.0, 73.0))
    (mark,) = lettering.drill_sizes((h,), area_of(body, h), 3.0)
    x0, _, x1, y1 = shapely.MultiLineString([list(line) for line in mark.strokes]).bounds
    gap = 73.0 - h.diameter / 2 - y1
    assert abs((x0 + x1) / 2 - 17.0) < 1.5 and 3.0 < gap < 3.0 + 2 * lettering.BESIDE


@pytest.mark.parametrize("off", [(0.0, -700.0), (-700.0, 0.0), (900.0, 900.0)])
def test_lettering_lies_the_same_wherever_a_plate_is_drawn(off: tuple[float, float]) -> None:
    """A plate moved in its own drawing takes its letters with it."""
    for long, tall in ((300.0, 100.0), (25.0, 200.0), (90.0, 15.0)):
        here = lettered(Plate(QUARTER, rectangle(0.0, 0.0, long, tall)), "DEMO1")
        x, y = off
        there = lettered(Plate(QUARTER, rectangle(x, y, x + long, y + tall)), "DEMO1")
        moved = shapely.transform(there, lambda xy: xy - off)
        assert moved.hausdorff_distance(here) < 1e-6


def test_places_are_looked_for_by_the_millimeter_on_a_small_plate() -> None:
    """A strip with 0.6 mm to spare, its margin not on any coarser grid: common sense, no source."""
    for height in (12.7, 9.525, 7.0, 5.0):
        body = Plate(QUARTER, rectangle(0.0, 0.0, 80.0, height + 2 * 2.5 + 0.6))
        room = lettering.steel(body, (), 2.5)
        (mark,) = lettering.letter_plate(body, room, iter([[("AB",)]]))
        _, low, _, high = shapely.MultiLineString([list(line) for line in mark.strokes]).bounds
        assert high - low == pytest.approx(height, rel=0.01)


def test_the_one_strip_of_a_large_plate_that_has_room_is_found() -> None:
    """24 mm above a wide opening, 10 mm elsewhere: 1/2 in letters within 3 mm of no edge."""
    body = Plate(QUARTER, rectangle(0.0, 0.0, 300.0, 260.0), (rectangle(10.0, 10.0, 290.0, 236.0),))
    _, low, _, high = lettered(body, "AB").bounds
    assert high - low == pytest.approx(IN / 2, rel=0.01) and low > 239.0 - 1e-6

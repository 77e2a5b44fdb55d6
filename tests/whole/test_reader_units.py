"""Whose units paper speaks: one job built whole for a shop in millimeters and for one in inches,
every sheet, drawing, page and table read back.

What is outside the project: the exact inch of 25.4 mm and pound of 0.45359237 kg (international
yard and pound, 1959), by which the two builds must agree.
"""

from __future__ import annotations

import csv
import io
import re

import pytest
from metric import built
from read_back import build, words_of
from soapstone.layout.reader import System, reading_in
from soapstone.parts.stock import default_shop
from soapstone.parts.words import numbers as shown
from soapstone.parts.words.cautions import STEPS, cautions
from trucks import job

INCH_BOLT = re.compile(
    r"\b\d/\d+-\d+( x [\d /]+)?|dowel \d/\d( x [\d. ]+ mm)?|\d threads per inch|on inch bolts"
)
"""Inch threads, dowels and inserts are called what is on their bins, whoever reads."""
PUBLISHED = re.compile(
    r"4130 N|[\d.]+ (ksi|MPa)(?=[,)( ]*(n =|\(2 000 000))|FAT \d+|10 ksi|4\.5 ksi|36 MPa"
    r"|threads per inch"
)
"""A formula stands as it is published, with its own constants; N after a steel is normalized; a
thread is called by its threads per inch wherever it is cut.
"""
METRIC_BOLT = re.compile(r"\bM\d+x[\d.]+( x \d+ mm)?")
INCHES = re.compile(
    r"[\d.]\"|\d in\b(?! their)|, in\b(?=$)|\b(lbf|ksi|lb|lb-ft|ft|inch(es)?|Inches|mph|miles)\b"
)
DRILLS = re.compile(r"\bor mm\b")
"""Beside an inch drill of the hole schedule its size in millimeters: a shop has drills of both sets
(common practice, no source).
"""
MILLIMETERS = re.compile(r"\d (mm|N|MPa|kN|kg|cm3)\b|\b(N/mm|N m|N\*m|MPa|kN|km|mm)\b")


SCREEN = (
    "schedule/setout.csv",
    "schedule/positions.csv",
    "schedule/limits.csv",
    "schedule/gaps.csv",
)
"""Tables of what the commands print: tests of the screen look at them."""


def found(system: System, wrong: re.Pattern[str], *natural: re.Pattern[str]) -> list[str]:
    """Places of ``wrong`` units, of every sheet once (packets hold the same pages again)."""
    rows = []
    for path, data in build(system).items():
        if "/stage-" in path:
            continue
        text = words_of(path, data)
        for n in natural:
            text = n.sub(" ", text)
        rows += [
            f"{path}: ...{text[max(0, m.start() - 50) : m.end() + 20]}"
            for m in wrong.finditer(text)
        ]
    return rows


def test_paper_of_a_shop_in_millimeters_has_no_inch() -> None:
    assert not found(System.METRIC, INCHES, INCH_BOLT, PUBLISHED)


def test_paper_of_a_shop_in_inches_has_no_millimeter() -> None:
    assert not found(System.INCH, MILLIMETERS, METRIC_BOLT, PUBLISHED, DRILLS)


@pytest.mark.parametrize("system", System)
def test_rows_of_tables_name_the_readers_unit(system: System) -> None:
    seen = 0
    for path, data in build(system).items():
        if path.startswith("schedule/") and path.endswith(".csv"):
            for r in csv.DictReader(io.StringIO(data.decode())):
                unit = r.get("unit", "")
                if unit in ("in", "mm") and path not in SCREEN:
                    assert unit == system, (path, r)
                    seen += 1
    assert seen > 500


@pytest.mark.long
def test_the_same_truck_in_both_units_has_the_same_sizes() -> None:
    """Holes, corners and tubes of the inch demo told in mm are 25.4 times what they are in inches;
    masses 0.45359237.
    """
    one = build(System.INCH)
    other = built(job(), default_shop(), System.METRIC)
    for table, columns in (
        ("holes", ("x", "y", "edge")),
        ("corners", ("x", "y")),
        ("tubes", ("od", "wall", "length_decimal")),
    ):
        a, b = (
            list(csv.DictReader(io.StringIO(m[f"schedule/{table}.csv"].decode())))
            for m in (one, other)
        )
        assert len(a) == len(b) > 5
        for r, q in zip(a, b, strict=True):
            for c in columns:
                assert float(q[c]) == pytest.approx(25.4 * float(r[c]), rel=1e-3, abs=0.02), (
                    table,
                    r,
                    c,
                )
            if "mass" in r:
                assert float(q["mass"]) == pytest.approx(0.45359237 * float(r["mass"]), abs=0.01)


def test_numbers_of_a_rule_for_both_readers() -> None:
    """1 lbf = 4.4482216 N, 1 ksi = 6.8947573 MPa (NIST SP 811 appendix B.8)."""
    text = "force 4448.22 N, width 25.4 mm, fy 6.894757 MPa, shear flow 0.1751268 N/mm, planes 2"
    assert (
        shown.put_in(text) == "force 1000 lbf, width 1 in, fy 1 ksi, shear flow 1 lbf/in, planes 2"
    )
    with reading_in(System.METRIC):
        assert shown.put_in("width 25.4 mm, planes 2") == "width 25.4 mm, planes 2"
        assert shown.worded("clear by 1/8 in, LT1 in place") == "clear by 3 mm, LT1 in place"
        assert (shown.feet(35), shown.speed(25), shown.miles(100)) == ("11 m", "40 km/h", "160 km")
        assert shown.feet(10, least=False) == "3 m"
        assert [shown.about(size) for size in (1, 2, 3, 12)] == [
            "25 mm",
            "50 mm",
            "75 mm",
            "300 mm",
        ]


def test_a_caution_in_mm_has_lengths_a_shop_in_mm_would_say() -> None:
    """Every step's; under 25 mm whole millimeters do."""
    with reading_in(System.METRIC):
        text = " ".join(one for step in STEPS for one in cautions(step))
    sizes = [int(size) for size in re.findall(r"(\d+) mm\b", text)]
    assert max(sizes) >= 300 and all(size < 25 or size % 5 == 0 for size in sizes), sizes

"""The calculations reworked from the paper's own text, by a calculator that imports nothing of
ours: every row, every weld group, every free body of three trucks.
"""

from __future__ import annotations

import re
from functools import cache

import built_jobs
import calculations_reader as paper
import numpy as np
import pytest
import shapely
from again import once
from hand_calculator import found, worked
from on_a_sheet import box
from soapstone.layout.assumed import Assumed
from soapstone.layout.reader import reading_in
from soapstone.parts.calculations import bodies, coverage, materials
from soapstone.parts.calculations.paper import Column, Paper
from soapstone.parts.drawing.display import width_of
from soapstone.parts.drawing.pages import INNER
from soapstone.parts.drawing.sheet import MARGIN
from soapstone.parts.strength.work import Work

JOBS = (*once(("demo", "typed mm")), pytest.param("uneven", marks=pytest.mark.long))
ROWS = ("rows under load", "shop and code rules")
TEN, MANY = 10, 100
FIFTH = 2e-5
"""What rounding to five digits leaves of a difference of large numbers."""
LAST = {"demo": 1e-4, "uneven": 1e-4, "typed mm": 1e-2}
"""Last digit of a place, in or mm."""


@cache
def text(job: str) -> dict[str, str]:
    return paper.text_of(built_jobs.made(job).files["sheet/calculations.pdf"])


def printed(job: str) -> list[paper.PrintedRow]:
    return [row for chapter in ROWS for row in paper.rows(text(job)[chapter])]


def off(row: paper.PrintedRow) -> float:
    """How far the row's own line is from what its numbers make, in ones of the last digit."""
    demand, capacity = worked(row.formula, row.put)
    return max(
        abs(demand - row.demand.value) / row.demand.last,
        abs(capacity - row.capacity.value) / row.capacity.last,
    )


def rounded(row: paper.PrintedRow) -> float:
    """What half of the last digits printed makes of a use."""
    return (row.demand.last + row.used * row.capacity.last) / 2 / row.capacity.value


@pytest.mark.parametrize("job", JOBS)
def test_every_row_is_what_its_numbers_make(job: str) -> None:
    rows = printed(job)
    assert [row.number for row in rows] == list(range(1, len(rows) + 1))
    wrong = [(row.number, row.says, row.put, round(off(row), 1)) for row in rows if off(row) > 1.0]
    assert not wrong, wrong
    assert all(
        row.used == pytest.approx(row.demand.value / row.capacity.value, abs=0.0051 + rounded(row))
        for row in rows
        if row.capacity.value
    )


def stands(row: paper.PrintedRow, letter: str) -> float:
    """A letter's number in the row, or in another of its steps."""
    return {**{k: v for step in row.steps for k, v in step.put.items()}, **row.put}[letter]


@pytest.mark.parametrize("job", JOBS)
def test_every_number_that_says_where_it_comes_from(job: str) -> None:
    """A letter's own formula gives the number put in, to four digits."""
    steps = [(row, step) for row in printed(job) for step in row.steps]
    assert len(steps) > MANY
    wrong = [
        (row.number, step, stands(row, step.letter), found(step.formula, step.put))
        for row, step in steps
        if found(step.formula, step.put)
        != pytest.approx(
            stands(row, step.letter), rel=5e-4, abs=FIFTH * max(map(abs, step.put.values()))
        )
    ]
    assert not wrong, wrong


@pytest.mark.parametrize("job", JOBS)
def test_ten_rows_at_random(job: str) -> None:
    """As an engineer takes them, by a seed, each worked to its use."""
    rows, random = printed(job), np.random.default_rng(1)
    for number in random.choice(len(rows), TEN, replace=False):
        demand, capacity = worked(rows[number].formula, rows[number].put)
        assert demand / capacity == pytest.approx(rows[number].used, abs=0.006)


@pytest.mark.parametrize("job", JOBS)
def test_every_weld_group_by_its_card(job: str) -> None:
    """M from the lever, q from J, f from both: elastic weld vectors by hand."""
    groups = list(paper.groups(text(job)["weld groups"]))
    assert groups
    for group in groups:
        for worst in group.worst:
            force = sum(each for _, each, _ in worst.pulls)
            moment = sum(
                np.cross(at - group.middle, each) + couple for at, each, couple in worst.pulls
            )
            rounded = float(np.abs(force).max()) * 3 * LAST[job]
            within = 5e-4 * float(np.abs(moment).max()) + rounded
            assert moment == pytest.approx(worst.moment, abs=within), group.title
            line = worst.leg * (force / group.area + np.cross(worst.turn, worst.at - group.middle))
            size = worst.size.value
            assert line == pytest.approx(worst.force, abs=3e-3 * size), group.title
            assert float(np.linalg.norm(line)) == pytest.approx(size, rel=3e-3), group.title
            turned = group.second @ worst.turn
            assert turned == pytest.approx(worst.moment, abs=within), group.title


@pytest.mark.parametrize("job", JOBS)
def test_every_free_body_stands_still(job: str) -> None:
    bodies = list(paper.bodies(text(job)["free bodies"]))
    assert len(bodies) >= 4
    for body in bodies:
        total = sum(force for _, _, force, _ in body.pushes)
        most = max(float(np.abs(force).max()) for _, _, force, _ in body.pushes)
        assert np.abs(total).max() < 1e-3 * most, body.title


@pytest.mark.parametrize("job", JOBS)
def test_no_number_is_the_noise_of_rounding(job: str) -> None:
    """Five digits of a number a shop can use end within ten places of its point."""
    for chapter, words in text(job).items():
        assert not re.findall(r"\d\.\d{11,}", words), chapter


def test_whatever_is_set_bold_ends_within_the_frame() -> None:
    """Formulas, headings and heads of columns are broken by the width of the face they stand in."""
    pages, long = Paper("T1", ""), "sqrt(4 1.67 F b' / (p Fu (1 + delta alpha))); " * 20
    pages.chapter("rows")
    pages.line(long, bold=True)
    pages.line(long, bold=True, indent=24)
    pages.heading(long)
    pages.table([Column(long, 90.0), Column(long, INNER - 106)], [(long, long)])
    edges = {
        text.at[0] + width_of(text.words, text.size, text.bold)
        for sheet in pages.sheets
        for text in sheet.texts
        if text.anchor == "start"
    }
    assert len(edges) > 10 and max(edges) <= MARGIN + INNER - 8


@pytest.mark.parametrize("job", JOBS)
def test_numbers_of_a_free_body_stand_on_no_line(job: str) -> None:
    """Neither on the body nor on an arrow, its own included."""
    made, pages = built_jobs.made(job), Paper("T1", "")
    with reading_in(made.system):
        bodies.write(pages, made.truck, made.solved.values, made.strength)
    numbers = 0
    for sheet in pages.sheets:
        plain = [line for line in sheet.lines if not line.closed and line.kind != "dashed"]
        drawn = shapely.STRtree([shapely.LineString(line.points) for line in plain])
        for text in sheet.texts:
            if re.fullmatch(r"\d+: [\d.]+", text.words):
                numbers += 1
                assert not len(drawn.query(box(text), predicate="intersects")), text.words
    assert numbers > 30


def test_what_the_paper_says_of_itself() -> None:
    """Cover, levels, sources, assumptions, both lists; no claim of approval on any page."""
    whole = " ".join(text("demo").values())
    for words in (
        "Nothing here is an approval",
        "Job file, SHA-256 begins",
        "Signature and seal",
        "judgment, no source",
        "divided by 1.5 first",
        "low-range pull, left wheel",
        "Held, and by which row",
        "Not held, and why",
        "Not looked at by any row",
        "certificate heat",
    ):
        assert words in whole, words
    assert "kip" not in " ".join(text("typed mm").values())


def test_what_nobody_measured_is_printed() -> None:
    made, pages = built_jobs.made("demo"), Paper("T1", "")
    nobody = Assumed("steel of the rails", "A36", "frame.steel", "no row")
    found = made.strength._replace(assumed=(nobody,))
    coverage.assumptions(pages, found, ["a rule: let go, said so"], str)
    printed_words = " ".join(each.words for sheet in pages.sheets for each in sheet.texts)
    assert str(nobody) in printed_words
    assert "a rule: let go, said so" in printed_words


def test_heats_entered_stand_beside_their_part() -> None:
    made, pages = built_jobs.made("demo"), Paper("T1", "")
    code = next(part.id for part in made.truck.singles if part.id.endswith(".L"))
    work = Work(made.truck, made.shop, made.solved.values, made.strength.forces)
    materials.write(pages, work, {}, {code: ["H 4711", "H 4712"]})
    words = [each.words for sheet in pages.sheets for each in sheet.texts]
    assert "H 4711, H 4712" in words

"""The traveler's rows against the drawings, parts and cost sheet they name."""

from __future__ import annotations

import re

import built_jobs
import pytest
from again import once
from papers import every, made, pictured
from pdf_text import pages
from soapstone.parts.documents import engine, ordering, survey
from soapstone.parts.documents.operations import bench
from trucks import NAMES

DRAWING, REVISION, QUANTITY, HOURS, TAKEN = range(3, 8)


def rows(name: str) -> list[tuple[str, ...]]:
    doc = survey.traveler(made(name), pictured(name)[0])
    table = next(block for block in doc.blocks if isinstance(block, engine.Table))
    return [tuple(map(str, row)) for row in table.rows]


@pytest.mark.parametrize("name", once(NAMES))
def test_pieces_and_hours_of_the_stages_are_those_of_all(name: str) -> None:
    f = made(name)
    got = rows(name)
    fitted = sum(int(row[QUANTITY] or 0) for row in got[2:])
    tools = sum(part.quantity for part in f.truck.parts if part.member.fixed_after == "tool")
    assert int(got[1][QUANTITY]) == fitted + tools == sum(part.quantity for part in f.truck.parts)
    cost = next(cost for cost in ordering.costs(f) if cost.what.startswith("bench"))
    assert f"{sum(bench(f).values()):.0f} h" == cost.much
    assert sum(float(row[HOURS] or 0) for row in got) == pytest.approx(
        float(cost.much.split()[0]), abs=1
    )
    assert not any(row[TAKEN] for row in got), "to be filled in"
    assert not got[0][HOURS], "nobody estimates the survey"


def test_every_assembly_drawing_stands_in_the_row_it_is_worked_from() -> None:
    """Drawings counted by the files of a build, revisions by its title blocks."""
    built = built_jobs.made("demo").files
    drawn = {
        found[1]
        for path in built
        if (found := re.search(r"drawing/[^/]*-(A\d+)-draft-drawing", path))
    }
    got = rows("demo")
    named = {word for row in got for word in re.findall(r"\bA\d+\b", row[DRAWING])}
    assert named == drawn and len(drawn) > 4
    for row in got:
        assert bool(row[DRAWING]) is bool(row[REVISION])
        assert bool(row[DRAWING]) is bool(row[QUANTITY]) or row[0] in "178"
        assert "A1" not in row[DRAWING].split(", ") or row[0] == "1"


def test_a_released_traveler_carries_the_letter() -> None:
    f = built_jobs.made(built_jobs.SET_DOWN)
    words = " ".join(" ".join(pages(f.files["sheet/traveler.pdf"])).split())
    assert re.search(r"A1 A\b", words) and "draft" not in words


def test_there_are_lines_for_what_is_not_as_drawn() -> None:
    doc = next(doc for doc in every() if doc.name == "traveler")
    table = next(
        block
        for block in doc.blocks
        if isinstance(block, engine.Table) and block.title == survey.NOT_AS_DRAWN
    )
    assert [row[0] for row in table.rows] == ["NC1", "NC2", "NC3"]

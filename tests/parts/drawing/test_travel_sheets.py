"""Nothing that is to stand on a travel sheet is left off for want of room."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.travel import study
from soapstone.parts.drawing.travel import TravelWords, travel_pdf, views
from told import words_of
from trucks import job


@pytest.mark.parametrize("many", [1, 4, 12, 40])
def test_every_line_stands_on_a_sheet_however_many_there_are(many: int) -> None:
    """Read back by pypdf; a list that does not fit the first sheet goes whole to those behind."""
    lists = [
        (
            f"Heading {head}",
            [f"list {head} line {row} " + "so many words " * 9 for row in range(many)],
        )
        for head in "ABCDEF"
    ]
    words = TravelWords([["", "ride height"], ["caster", "5.2"]], lists, lists[:1])
    waits = SimpleNamespace(pose=None)
    text = " ".join(words_of(travel_pdf("T1", "2026-01-15", waits, {}, words)).split())
    for head, rows in lists:
        assert head in text
        for row in rows:
            assert " ".join(row.split()) in text, row


def test_a_heading_over_nothing_is_left_out() -> None:
    words = TravelWords([["", "ride height"]], [("Not known", ["", ""])], [])
    assert "Not known" not in words_of(travel_pdf("T1", "", SimpleNamespace(pose=None), {}, words))


def test_both_wheels_stand_in_the_plan() -> None:
    """Two rectangles as long and wide as the tire, as far apart as the wheel track, by the readings
    themselves.
    """
    solved = solve(job())
    sheet = views("T1", "", study(job(), solved), solved.values)[1]
    diameter, wide, track = (
        solved.values[Key(f"axle.{name}", "C")]
        for name in ("tire_diameter", "tire_width", "wheel_track")
    )
    boxes = []
    for line in sheet.lines:
        along, across = {round(x, 3) for x, _ in line.points}, {round(y, 3) for _, y in line.points}
        if len(line.points) == 5 and len(along) == len(across) == 2:
            boxes.append((max(along) - min(along), max(across) - min(across), sum(across) / 2))
    tires = [box for box in boxes if box[0] / box[1] == pytest.approx(diameter / wide, rel=1e-3)]
    assert len(tires) == 2
    apart = abs(tires[0][2] - tires[1][2])
    assert apart / tires[0][1] == pytest.approx(track / wide, rel=1e-3)

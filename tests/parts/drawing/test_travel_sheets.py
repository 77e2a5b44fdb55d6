"""Nothing that is to stand on a travel sheet is left off for want of room."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from soapstone.parts.drawing.travel import TravelWords, travel_pdf
from told import words_of


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

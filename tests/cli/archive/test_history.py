"""Revision blocks: a part's own drawing lists the releases that changed it, an assembly's all of
them (ASME Y14.35: revision, description, date, approved)."""

from __future__ import annotations

from soapstone.cli.archive.history import Released, blocks
from soapstone.parts.drawing.display import Sheet
from soapstone.parts.drawing.revisions import Revision
from soapstone.parts.drawing.title import MARGIN, Title, block_height, draw_title

RELEASES = (
    Released("A", "Fitter One", "2026-01-15", "first release", {"GU1.L": "A", "TB1.L": "A"}),
    Released("B", "Fitter Two", "2026-02-01", "gusset wider", {"GU1.L": "B", "TB1.L": "A"}),
    Released("C", "Fitter One", "2026-03-01", "tab added", {"GU1.L": "B", "TB9.L": "C"}),
)
TITLE = Title(*["words"] * 13)


def test_a_part_lists_the_releases_that_changed_it_and_the_whole_lists_all() -> None:
    whole, own = blocks(RELEASES, {})
    assert [(row.letter, row.changed) for row in whole] == [
        ("A", "first release"),
        ("B", "gusset wider"),
        ("C", "tab added"),
    ]
    assert [row.letter for row in own["GU1.L"]] == ["A", "B"]
    assert own["TB9.L"] == (Revision("C", "tab added", "2026-03-01", "Fitter One"),)
    assert set(own) == {"GU1.L", "TB9.L"}


def test_a_part_of_another_chassis_says_so() -> None:
    _, own = blocks(RELEASES, {"GU1.L": "M1"})
    assert own["GU1.L"] == (
        Revision("B", "as released with chassis M1", "2026-01-15", "Fitter One"),
    )


def test_the_block_holds_long_words_within_the_sheet_and_names_what_it_leaves_out() -> None:
    """A note of 200 characters, a name of 60, five releases: none past the frame or cut."""
    note, name = "tab moved and plate thicker " * 7, "Fit " * 14 + "ter"
    rows = tuple(Revision(letter, note.strip(), "2026-01-15", name) for letter in "ABCDE")
    sheet = Sheet("t", (792.0, 612.0))
    title = TITLE._replace(revisions=rows)
    draw_title(sheet, title, "1:2", "1 of 1")
    words = [text.words for text in sheet.texts]
    assert "what changed (before that A, B)" in words
    assert [word for word in words if word in "ABCDE"] == ["C", "D", "E"]
    assert " ".join(words).count("thicker") == 3 * 7
    top = MARGIN + block_height(title, 792.0)
    assert all(MARGIN < text.at[1] < top - 9.0 for text in sheet.texts)
    highest = max(y for line in sheet.lines for _, y in line.points)
    assert highest == top

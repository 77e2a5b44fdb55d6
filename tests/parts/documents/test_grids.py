"""A cell's words stand on one line as they are where they fit, and are broken where they do not."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import SimpleDocTemplate
from soapstone.parts.documents.grids import BESIDE, cell, style, table

LINE = "frame ear, rear: 5/8-11 x 4 & washer <2>"


def test_words_that_fit_are_left_alone_and_others_are_broken() -> None:
    plain = style("cell", 8.2, 1.0)
    wide = stringWidth(LINE, plain.fontName, plain.fontSize) + 2 * BESIDE
    assert cell(LINE, plain, wide + 0.01) == LINE
    assert not isinstance(cell(LINE, plain, wide - 0.01), str)
    assert cell(" a  b ", plain, wide) == "a b"
    assert not isinstance(cell("a\nb", plain, wide), str)


@pytest.mark.parametrize("spaced", [0.82, 1.0, 1.12])
def test_a_line_stands_at_one_height_across_its_row(spaced: float) -> None:
    """Beside words that are broken the first line stands no higher and no lower."""
    out = io.BytesIO()
    rows = [("alone", "word " * 30), (LINE, "once")]
    grid = table([("one", 0.5), ("other", 0.5)], rows, 400.0, spaced)
    SimpleDocTemplate(out, invariant=1).build([grid])
    seen: dict[str, float] = {}

    def at(words: str, page: list[float], own: list[float], *_: object) -> None:
        if words.strip():
            height = own[4] * page[1] + own[5] * page[3] + page[5]
            seen.setdefault(words.split(maxsplit=1)[0], height)

    PdfReader(out).pages[0].extract_text(visitor_text=at)
    assert seen["alone"] == pytest.approx(seen["word"], abs=0.1)

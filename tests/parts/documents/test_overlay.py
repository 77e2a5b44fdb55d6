"""Pages laid over pages, as an independent PDF reader sees the file: its text, and the axes in
which each is painted.
"""

from __future__ import annotations

import io

from pypdf import PdfReader, PdfWriter
from reportlab.pdfgen.canvas import Canvas
from soapstone.parts.documents.overlay import laid
from soapstone.parts.documents.stamp import stamped


def paper(*words: str) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(300, 200), invariant=1)
    for word in words:
        canvas.translate(7, 7)  # a page that leaves its axes turned and moved
        canvas.rotate(30)
        canvas.drawString(0, 0, word)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def test_stamped_once_and_again_every_page_says_all_of_it() -> None:
    good = paper("one", "two")
    twice = stamped(stamped(good, "SUPERSEDED"), "VOID")
    for page, word in zip(PdfReader(io.BytesIO(twice)).pages, ("one", "two"), strict=True):
        text = page.extract_text()
        assert word in text
        assert "SUPERSEDED: do not work from this page" in text
        assert "VOID: do not work from this page" in text
    assert twice == stamped(stamped(good, "SUPERSEDED"), "VOID")


def test_pages_lie_where_they_are_put_whatever_the_page_under_them_did_to_its_axes() -> None:
    book = PdfWriter(clone_from=PdfReader(io.BytesIO(paper("under"))))
    over = PdfReader(io.BytesIO(paper("left", "right")))
    laid(book, book.pages[0], [(over.pages[0], 0.0, 0.0), (over.pages[1], 150.0, 20.0)])
    out = io.BytesIO()
    book.write(out)
    (page,) = PdfReader(out).pages
    places: list[tuple[float, float]] = []

    def seen(operator: bytes, _: object, axes: list[float], *__: object) -> None:
        if operator == b"Do":
            assert axes[:4] == [1.0, 0.0, 0.0, 1.0]
            places.append((axes[4], axes[5]))

    assert page.extract_text(visitor_operand_before=seen).split() == ["under", "left", "right"]
    assert places == [(0.0, 0.0), (150.0, 20.0)]

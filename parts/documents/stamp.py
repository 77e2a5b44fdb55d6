"""A stamp over every page of a sheet that is no longer good."""

from __future__ import annotations

import io


def stamped(data: bytes, words: str) -> bytes:
    """The PDF with ``words`` across each page and along its top edge; same PDF and words, same
    bytes.
    """
    from pypdf import PdfReader, PdfWriter

    book = PdfWriter(clone_from=PdfReader(io.BytesIO(data)))
    over: dict[tuple[float, float], bytes] = {}
    for page in book.pages:
        size = (float(page.mediabox.width), float(page.mediabox.height))
        over.setdefault(size, _over(size, words))
        page.merge_page(PdfReader(io.BytesIO(over[size])).pages[0])
    out = io.BytesIO()
    book.write(out)
    return out.getvalue()


def _over(size: tuple[float, float], words: str) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    from ..drawing.fonts import face

    out = io.BytesIO()
    c = Canvas(out, pagesize=size, invariant=1, initialFontName=face(8)[0])
    c.setFont(*face(11, True))
    c.drawCentredString(size[0] / 2, size[1] - 16, f"{words}: do not work from this page")
    c.setFillGray(0.6, 0.5)
    c.setFont(*face(min(60.0, 1100.0 / max(1, len(words))), True))
    c.translate(size[0] / 2, size[1] / 2)
    c.rotate(35)
    c.drawCentredString(0, 0, words)
    c.save()
    return out.getvalue()

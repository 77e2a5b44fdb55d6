"""A stamp over every page of a sheet that is no longer good."""

from __future__ import annotations

import io

from .overlay import laid


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
        laid(book, page, [(PdfReader(io.BytesIO(over[size])).pages[0], 0.0, 0.0)])
    out = io.BytesIO()
    book.write(out)
    return out.getvalue()


def _over(size: tuple[float, float], words: str) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    from ..drawing.fonts import face

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=size, invariant=1, initialFontName=face(8)[0])
    canvas.setFont(*face(11, True))
    canvas.drawCentredString(size[0] / 2, size[1] - 16, f"{words}: do not work from this page")
    canvas.setFillGray(0.6, 0.5)
    canvas.setFont(*face(min(60.0, 1100.0 / max(1, len(words))), True))
    canvas.translate(size[0] / 2, size[1] / 2)
    canvas.rotate(35)
    canvas.drawCentredString(0, 0, words)
    canvas.save()
    return out.getvalue()

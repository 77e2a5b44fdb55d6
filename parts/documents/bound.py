"""A packet bound: its sheets, the drawings behind them, part drawings several to a large sheet; the
page's number on every page, and bookmarks.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ..drawing.display import TOOL
from .overlay import laid

if TYPE_CHECKING:
    from pypdf import PageObject, PdfWriter

NEARLY = 2.0
"""Points by which paper sizes of one series differ from halves of each other."""
DOWN, IN = 24.0, 36.0
"""From the paper's upper right corner to a page's number, points."""


class Bound(NamedTuple):
    """A drawing bound in: its bookmark, its PDF, and how many of its pages where not all."""

    title: str
    pdf: bytes
    most: int | None = None


class Names(NamedTuple):
    """What a packet says of itself: on every page before its number, its title, its author."""

    says: str
    title: str
    author: str


def bound(
    own: bytes,
    drawings: Sequence[Bound],
    parts: Sequence[Bound],
    large: tuple[float, float],
    called: Names,
) -> bytes:
    """One PDF with its pages counted.

    ``own``: the packet's own sheets, with their bookmarks; ``drawings``: a page or more each;
    ``parts``: laid together at full scale on sheets of ``large`` (width and height,
    points, either way round).
    """
    from pypdf import PdfReader, PdfWriter

    book = PdfWriter()
    book.append(io.BytesIO(own), import_outline=True)
    for each in drawings:
        book.append(
            io.BytesIO(each.pdf),
            outline_item=each.title,
            pages=(0, each.most) if each.most else None,
            import_outline=False,
        )
    if parts:
        first = len(book.pages)
        for titles in _together(book, parts, large):
            book.add_outline_item(
                title=", ".join(dict.fromkeys(titles)), page_number=len(book.pages) - 1
            )
        assert len(book.pages) > first
    _count(book, called.says)
    book.compress_identical_objects()
    book.add_metadata(
        {
            "/Title": called.title,
            "/Author": called.author,
            "/Creator": TOOL,
            "/Producer": TOOL,
        }
    )
    out = io.BytesIO()
    book.write(out)
    assert PdfReader(out).pages
    return out.getvalue()


def _together(
    book: PdfWriter, parts: Sequence[Bound], large: tuple[float, float]
) -> Iterator[list[str]]:
    """Pages added with drawings of one size side by side, as many as fit: what is on each."""
    from pypdf import PdfReader

    sizes: dict[tuple[int, int], list[tuple[str, PageObject]]] = {}
    for each in parts:
        for page in PdfReader(io.BytesIO(each.pdf)).pages[: each.most]:
            size = (round(float(page.mediabox.width)), round(float(page.mediabox.height)))
            sizes.setdefault(size, []).append((each.title, page))
    for (wide, tall), pages in sizes.items():
        paper, (across, up) = _grid(wide, tall, large)
        for start in range(0, len(pages), across * up):
            some = pages[start : start + across * up]
            rows = -(-len(some) // across)
            sheet = book.add_blank_page(width=paper[0], height=paper[1] * rows / up)
            places = (divmod(at, across) for at in range(len(some)))
            laid(
                book,
                sheet,
                [
                    (page, column * wide, (rows - 1 - row) * tall)
                    for (_, page), (row, column) in zip(some, places, strict=True)
                ],
            )
            yield [title for title, _ in some]


def _grid(
    wide: float, tall: float, large: tuple[float, float]
) -> tuple[tuple[float, float], tuple[int, int]]:
    """The large sheet the way round that holds more drawings, and how many across and up."""
    best = ((wide, tall), (1, 1))
    for paper in (large, large[::-1]):
        across, up = (
            int((room + NEARLY) // size) for room, size in zip(paper, (wide, tall), strict=True)
        )
        if across * up > best[1][0] * best[1][1]:
            best = (paper, (across, up))
    return best


def _count(book: PdfWriter, says: str) -> None:
    """The packet's name and the page's number in the upper right corner of every page."""
    from pypdf import PdfReader
    from reportlab.pdfgen.canvas import Canvas

    from ..drawing.fonts import face

    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, initialFontName=face(9)[0])
    for number, page in enumerate(book.pages, 1):
        wide, tall = float(page.mediabox.width), float(page.mediabox.height)
        canvas.setPageSize((wide, tall))
        canvas.setFont(*face(9, True))
        canvas.drawRightString(
            wide - IN, tall - DOWN, f"{says}, page {number} of {len(book.pages)}"
        )
        canvas.showPage()
    canvas.save()
    for page, over in zip(book.pages, PdfReader(out).pages, strict=True):
        laid(book, page, [(over, 0.0, 0.0)])

"""Words and tables of a sheet as the PDF library takes them: styles, paragraphs, cells, boxes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, TypedDict, Unpack

from ..drawing.fonts import face
from ..words.terms import spoken

if TYPE_CHECKING:
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Flowable


class StyleMore(TypedDict, total=False):
    """What a style of words may set besides its size."""

    bold: bool
    spaceBefore: float
    spaceAfter: float
    keepWithNext: int
    splitLongWords: int


LEADING, LEAST_LEADING = 1.22, 1.08
"""Line to line over the size of the letters, and at least."""


def style(name: str, size: float, spaced: float, **more: Unpack[StyleMore]) -> ParagraphStyle:
    """How words are set: ``size`` of the letters, points; ``spaced``: line to line as a share of
    what is usual.
    """
    from reportlab.lib.styles import ParagraphStyle

    font, set_at = face(size, more.pop("bold", False))
    leading = max(LEADING * spaced, LEAST_LEADING) * size
    return ParagraphStyle(name, fontName=font, fontSize=set_at, leading=leading, **more)


def safe(words: str) -> str:
    """Words as the PDF library takes them, whose own marks stand in corners."""
    return spoken(words).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def para(words: str, of: ParagraphStyle) -> Flowable:
    """Words in a style, broken into lines."""
    from reportlab.platypus import Paragraph

    return Paragraph(safe(words), of)


BESIDE = 2.5
"""Points beside the words of a cell."""


def cell(words: str, of: ParagraphStyle, width: float) -> Flowable | str:
    """The words of a cell: as they are where they fit on a line, which is most of them and a tenth
    of the work, else broken into lines.
    """
    from reportlab.pdfbase.pdfmetrics import stringWidth

    line = " ".join(word for word in spoken(words).split(" ") if word)
    fits = "\n" not in line and (stringWidth(line, of.fontName, of.fontSize) <= width - 2 * BESIDE)
    return line if fits else para(words, of)


def boxed(rows: list[Flowable], wide: float) -> Flowable:
    """Rows in a heavy frame, ``wide`` points across."""
    from reportlab.platypus import Table as Grid
    from reportlab.platypus import TableStyle

    grid = Grid([[row] for row in rows], colWidths=[wide])
    grid.setStyle(
        TableStyle(
            [
                ("FONT", (0, 0), (-1, -1), *face(8)),
                ("BOX", (0, 0), (-1, -1), 1.6, "black"),
                ("TOPPADDING", (0, 0), (-1, -1), 1.5),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
                ("LEFTPADDING", (0, 0), (-1, -1), 5),
            ]
        )
    )
    return grid


def table(
    columns: Sequence[tuple[str, float]], rows: Sequence[Sequence[str]], wide: float, spaced: float
) -> Flowable:
    """A table ``wide`` points across, its heading on every page: columns with their share of the
    width, rows of text.
    """
    from reportlab.platypus import Table as Grid
    from reportlab.platypus import TableStyle

    share = sum(width for _, width in columns)
    plain = style("cell", 8.2, spaced, splitLongWords=1)
    bold = style("bold", 8.2, spaced, bold=True)
    widths = [wide * width / share for _, width in columns]
    data = [
        [para(head, bold) for head, _ in columns],
        *(
            [cell(str(words), plain, width) for words, width in zip(row, widths, strict=True)]
            for row in rows
        ),
    ]
    grid = Grid(data, colWidths=widths, repeatRows=1)
    grid.setStyle(
        TableStyle(
            [
                ("FONT", (0, 0), (-1, -1), plain.fontName, plain.fontSize, plain.leading),
                ("GRID", (0, 0), (-1, -1), 0.35, "black"),
                ("LINEBELOW", (0, 0), (-1, 0), 1.0, "black"),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), BESIDE),
                ("RIGHTPADDING", (0, 0), (-1, -1), BESIDE),
                ("TOPPADDING", (0, 0), (-1, -1), 1.2 * spaced),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2 * spaced),
            ]
        )
    )
    return grid

"""Shop sheets from blocks of words, tables, tick lists and pictures: flowed over pages of the
shop's paper, each with job, title, level, page n of m and the cautions of its step. Text is
wrapped, never cut; a heading row stands on every page of its table.
"""

from __future__ import annotations

import io
import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from ..drawing.display import PAPERS, TOOL, Sheet, paint
from ..drawing.fonts import face
from ..geometry.kept import Keep, anew
from .grids import StyleMore, boxed, para, safe, style, table
from .heads import MARGIN, PageHead, exact, headed

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas
    from reportlab.platypus import Flowable, PageTemplate

TOP, BOTTOM = 64, 46
"""Paper kept for head and foot, points."""


class Words(NamedTuple):
    """Paragraphs under a heading ("" for none)."""

    title: str
    rows: Sequence[str]


class Table(NamedTuple):
    """Columns with their share of the width; every cell is text."""

    title: str
    columns: Sequence[tuple[str, float]]
    rows: Sequence[Sequence[str]]

    def without(self, *optional: str) -> Table:
        """The table less those of the named columns that stand empty in every row."""
        kept = [
            at
            for at, (head, _) in enumerate(self.columns)
            if head not in optional or any(row[at] for row in self.rows)
        ]
        return self._replace(
            columns=[self.columns[at] for at in kept],
            rows=[[row[at] for at in kept] for row in self.rows],
        )


class Ticks(NamedTuple):
    """Things to do in order, each with a box to tick and room for who and when."""

    title: str
    rows: Sequence[str]


class Fill(NamedTuple):
    """Values to write down beside what they should be: what, should be, allowed."""

    title: str
    rows: Sequence[tuple[str, str, str]]


class Drawn(NamedTuple):
    """A picture ``size`` points large, fitted to the page; ``exact`` ones alone, at full scale."""

    sheet: Sheet
    size: tuple[float, float]
    exact: bool = False


DocBlock = Words | Table | Ticks | Fill | Drawn


class Doc(NamedTuple):
    """One sheet: file name, title, stage it belongs to, who reads it, cautions of its step with
    their source, blocks.
    """

    name: str
    title: str
    stage: str
    reader: str
    cautions: Sequence[str]
    blocks: Sequence[DocBlock]


SHORT = 0.36
"""Share of a page below which the last of several is short, a third and a row."""
SPACED = (0.97, 0.94, 0.91, 0.88, 0.85, 0.82, 1.02, 1.04, 1.06, 1.08, 1.1, 1.12)
"""How a document whose last page is short is spaced, tried in turn: its lines, the room between
them and its pictures as shares of what is usual.
"""


def render(docs: Sequence[Doc], head: PageHead, counted: bool = True, keep: Keep = anew) -> bytes:
    """The documents in order as one PDF, each with its bookmark; same documents, same bytes. One
    that would end in a nearly empty page is spaced closer or wider. ``counted``: with each one's
    page n of m; a packet counts its pages itself. ``keep``: gives again what was rendered before.

    ValueError for a paper nobody knows.
    """
    if head.paper not in PAPERS:
        raise ValueError(f"no paper {head.paper!r}: {', '.join(PAPERS)}")
    told = list(map(_content, docs))
    return keep(lambda: _rendered(docs, head, counted, told, keep), "rendered", told, head, counted)


def _rendered(
    docs: Sequence[Doc], head: PageHead, counted: bool, told: Sequence[object], keep: Keep
) -> bytes:
    """The documents, each spaced as was found best for what it says, whatever its pages' heads do;
    one that needs no other is not built twice.
    """
    usual: list[bytes] = []

    def spacing() -> list[float]:
        spaced = [1.0] * len(docs)
        made, filled = _built(docs, head, counted, spaced)
        usual.append(made)
        for at, doc in enumerate(docs):
            if _short(filled[at]):
                tried = ((each, _built([doc], head, counted, [each])[1][0]) for each in SPACED)
                spaced[at] = next((each for each, pages in tried if not _short(pages)), 1.0)
        return spaced

    spaced = keep(spacing, "spaced", told, head.paper)
    if usual and set(spaced) == {1.0}:
        return usual[0]
    return _built(docs, head, counted, spaced)[0]


def _plain(rows: Sequence[tuple[object, ...]]) -> list[tuple[object, ...]]:
    """Rows without their names, which print in a third of the time."""
    return [tuple(row) for row in rows]


def _content(doc: Doc) -> object:
    """All that a document says and draws, so that it prints whole."""
    return doc[:-1], [
        (_plain(block.sheet.lines), _plain(block.sheet.texts), block.size, block.exact)
        if isinstance(block, Drawn)
        else (type(block).__name__, block)
        for block in doc.blocks
    ]


def _short(pages: Sequence[float]) -> bool:
    """Whether the last of several pages is nearly empty; ``pages``: how full each is, 0 to 1."""
    return len(pages) > 1 and pages[-1] < SHORT


def _built(
    docs: Sequence[Doc], head: PageHead, counted: bool, spaced: Sequence[float]
) -> tuple[bytes, list[list[float]]]:
    """The PDF, and how full each page of each document is, 0 to 1; ``spaced``: as
    ``SPACED`` says, of each.
    """
    from reportlab.platypus import BaseDocTemplate, NextPageTemplate, PageBreak

    size = PAPERS[head.paper]
    filled: list[list[float]] = [[] for _ in docs]

    class PagesTold(BaseDocTemplate):  # type: ignore[misc]  # the PDF library has no types
        def afterPage(self) -> None:  # noqa: N802  # the template's own name for it
            frame, called = self.frame, self.pageTemplate.id
            used = (frame._y2 - frame._y) / (frame._y2 - frame._y1)
            filled[int(called[1:])].append(1.0 if called[0] == "x" else used)

    out = io.BytesIO()
    book = PagesTold(
        out,
        pagesize=size,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=TOP,
        bottomMargin=BOTTOM,
        invariant=1,
        title=f"{head.chassis} {docs[0].title}",
        author=head.shop,
        creator=TOOL,
        producer=TOOL,
        subject="",
    )
    flow: list[Flowable] = []
    for index, doc in enumerate(docs):
        book.addPageTemplates(_page_templates(index, head, doc, size))
        kind = "x" if _bare(doc) else "d"
        flow += [NextPageTemplate(f"{kind}{index}"), *([PageBreak()] if index else [])]
        flow += _flow(doc, size, index, spaced[index])
    book.build(flow, canvasmaker=_counting(counted))
    return out.getvalue(), filled


def _page_templates(
    index: int, head: PageHead, doc: Doc, size: tuple[float, float]
) -> list[PageTemplate]:
    """The two kinds of page of the ``index``-th document: ``d<i>`` with its head and foot, ``x<i>``
    bare to the paper's edge.
    """
    from reportlab.platypus import Frame, PageTemplate

    bare = dict.fromkeys(("leftPadding", "rightPadding", "topPadding", "bottomPadding"), 0)
    wide, high = size
    inner = Frame(MARGIN, BOTTOM, wide - 2 * MARGIN, high - BOTTOM - TOP, id=f"f{index}", **bare)
    whole = Frame(0, 0, wide, high, id=f"b{index}", **bare)
    both = [
        PageTemplate(id=f"d{index}", frames=[inner], onPage=headed(head, doc, size)),
        PageTemplate(id=f"x{index}", frames=[whole], onPage=exact(head, doc, size)),
    ]
    return both[::-1] if _bare(doc) else both


def _bare(doc: Doc) -> bool:
    """Whether a document begins with a page at full size, which has no head."""
    first = doc.blocks[0] if doc.blocks else None
    return isinstance(first, Drawn) and first.exact


def _counting(counted: bool) -> type[Canvas]:
    """A canvas that knows, when it is saved, how many pages each document has."""
    from reportlab.pdfgen.canvas import Canvas

    class Counting(Canvas):  # type: ignore[misc]  # the PDF library has no types
        def __init__(self, *given: object, **named: object) -> None:
            super().__init__(*given, **{**named, "invariant": 1, "initialFontName": face(8)[0]})
            self._kept: list[dict[str, object]] = []

        def showPage(self) -> None:  # noqa: N802  # the canvas's own name for it
            self._kept.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            names = [kept.get("sheet_name", "") for kept in self._kept]
            for index, page in enumerate(self._kept):
                self.__dict__.update(page)
                name = names[index]
                first = names.index(name)
                self.setFont(*face(8))
                self.setFillGray(0.0)
                if counted:
                    self.drawRightString(
                        self._pagesize[0] - MARGIN,
                        24 if page["bare"] else self._pagesize[1] - 50,
                        f"page {index - first + 1} of {names.count(name)}",
                    )
                super().showPage()
            super().save()

    return Counting


def _flow(doc: Doc, size: tuple[float, float], index: int, spaced: float) -> list[Flowable]:
    """The ``index``-th document as the flow its pages are filled from, spaced as asked."""
    from reportlab.platypus import CondPageBreak, NextPageTemplate, PageBreak, Spacer

    own, bare = f"d{index}", f"x{index}"
    wide = size[0] - 2 * MARGIN
    flow: list[Flowable] = []
    if doc.cautions:
        rows = [para(said, style("caution", 8.5, spaced)) for said in doc.cautions]
        flow += [boxed(rows, wide), Spacer(1, 6)]
    on_bare, begun = False, not _bare(doc)
    for block, following in itertools.zip_longest(doc.blocks, doc.blocks[1:]):
        if isinstance(block, Drawn) and block.exact:
            flow += [NextPageTemplate(bare), PageBreak()] if begun else []
            flow.append(_flowable(block, size, 1.0))
            begun = on_bare = True
            continue
        if on_bare:
            flow += [NextPageTemplate(own), PageBreak()]
            on_bare = False
        if isinstance(block, Drawn):
            flow += [_flowable(block, (wide, size[1] - 140), spaced), Spacer(1, 4)]
            continue
        if isinstance(following, Drawn) and not following.exact:
            flow.append(CondPageBreak(BEGUN + spaced * following.size[1]))
        flow += _written(block, wide, spaced)
    return flow


BEGUN, ROWS = 96.0, 56.0
"""Points of paper a heading with the first rows of its table is begun on, besides what is drawn
over them where anything is; and those rows alone.
"""
CLEAR = 3.0
"""Points between a table and what stands below it."""
TICKED = (("done", 0.07), ("what", 0.68), ("by", 0.12), ("date", 0.13))
FILLED = (("what", 0.36), ("should be", 0.16), ("allowed", 0.24), ("measured", 0.14), ("by", 0.1))
"""Columns of things to tick and of values to write down."""


def _written(block: Words | Table | Ticks | Fill, wide: float, spaced: float) -> list[Flowable]:
    """A block of words or rows under its heading, ``wide`` points across; a table begins where its
    heading and some rows find room, not on a page of its own.
    """
    from reportlab.platypus import CondPageBreak, Paragraph, Spacer

    words = isinstance(block, Words)
    kept: StyleMore = {"bold": True, "keepWithNext": int(words)}
    kept["spaceBefore"], kept["spaceAfter"] = 8 * spaced, 3 * spaced
    heading = style("head", 10.5, spaced, **kept)
    flow: list[Flowable] = [] if words else [CondPageBreak(BEGUN if block.title else ROWS)]
    flow += [Paragraph(safe(block.title), heading)] if block.title else []
    if isinstance(block, Words):
        flow += [para(row, style("body", 9.0, spaced)) for row in block.rows]
    elif isinstance(block, Table):
        flow.append(table(block.columns, block.rows, wide, spaced))
    elif isinstance(block, Ticks):
        flow.append(table(TICKED, [("[  ]", row, "", "") for row in block.rows], wide, spaced))
    else:
        flow.append(table(FILLED, [(*row, "", "") for row in block.rows], wide, spaced))
    return flow if words else [*flow, Spacer(1, CLEAR * spaced)]


def _flowable(drawn: Drawn, room: tuple[float, float], spaced: float) -> Flowable:
    """A picture in its room, as much smaller as its document is spaced closer."""
    from reportlab.platypus import Flowable

    fitted = min(room[0] / drawn.size[0], room[1] / drawn.size[1], 1.35)
    scale = 1.0 if drawn.exact else min(1.0, spaced) * fitted

    class PictureOnPage(Flowable):  # type: ignore[misc]  # the PDF library has no types
        def wrap(self, _width: float, _height: float) -> tuple[float, float]:
            return (
                (room[0] - 1, room[1] - 1)
                if drawn.exact
                else (drawn.size[0] * scale, drawn.size[1] * scale)
            )

        def draw(self) -> None:
            self.canv.saveState()
            self.canv.scale(scale, scale)
            paint(self.canv, drawn.sheet)
            self.canv.restoreState()

    return PictureOnPage()

"""Head and foot of a sheet's pages: title, chassis, level, units, the mark across a draft, what
makes a print worthless.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple, Protocol

from ...layout.reader import metric
from ..drawing.display import width_of
from ..drawing.fonts import face
from ..model.terms import Level
from ..model.vectors import Vec2
from ..words.terms import spoken
from .levels import mark

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


MARGIN = 40.0
"""Points of paper left free round a page."""
COUNT = 70.0
"""Points that page n of m takes."""
FOOT = "Calculations, not an approval; local law decides, and whoever may sign must sign."


class PageHead(NamedTuple):
    """What stands on every page. ``level``: what was signed for, see ``levels``; ``says``: in
    words; ``void``: what makes a print worthless.
    """

    chassis: str
    date: str
    level: Level
    says: str
    paper: str
    void: str = ""
    shop: str = ""


class HeadedDoc(Protocol):
    """What of a document its pages' heads say, see ``engine.Doc``."""

    @property
    def name(self) -> str:
        """File name, and what its bookmark is called by."""

    @property
    def title(self) -> str:
        """What stands at the head."""

    @property
    def stage(self) -> str:
        """Of the job, as ``survey.STAGES`` has it."""

    @property
    def reader(self) -> str:
        """Who reads it."""


def _watermark(canvas: Canvas, words: str, size: tuple[float, float]) -> None:
    if not words:
        return
    canvas.saveState()
    canvas.setFont(*face(min(64.0, 560.0 / max(1, len(words)) * 1.9), True))
    canvas.setFillGray(0.88)
    canvas.translate(size[0] / 2, size[1] / 2)
    canvas.rotate(52)
    canvas.drawCentredString(0, -20, words)
    canvas.restoreState()


def _begun(canvas: Canvas, doc: HeadedDoc, bare: bool) -> None:
    """Which document a page is of, and whether it has no head; its first gets the bookmark."""
    canvas.bare = bare
    if getattr(canvas, "sheet_name", "") != doc.name:
        canvas.bookmarkPage(doc.name)
        canvas.addOutlineEntry(spoken(doc.title), doc.name)
    canvas.sheet_name = doc.name


def headed(head: PageHead, doc: HeadedDoc, size: Vec2) -> Callable[[Canvas, object], None]:
    """What draws head and foot of a page of a document; ``size``: of the paper, points."""

    def on(canvas: Canvas, _: object) -> None:
        _begun(canvas, doc, False)
        _watermark(canvas, mark(doc.stage, head.level), size)
        top = size[1] - 36
        canvas.setFillGray(0.0)
        canvas.setFont(*face(13, True))
        canvas.drawString(MARGIN, top, spoken(doc.title))
        room = size[0] - 2 * MARGIN
        named = f"chassis {head.chassis}"
        _set(canvas, named, 10, room - 12 - width_of(doc.title, 13, True), True)
        canvas.drawRightString(size[0] - MARGIN, top, named)
        said = (
            f"{doc.stage}; for {doc.reader}. {head.says}. Dated {head.date or 'not dated'}."
            f" {'Millimeters' if metric() else 'Inches'} unless a unit stands beside."
        )
        _set(canvas, said, 8, room - COUNT)
        canvas.drawString(MARGIN, top - 14, spoken(said))
        canvas.setLineWidth(0.8)
        canvas.line(MARGIN, top - 20, size[0] - MARGIN, top - 20)
        canvas.line(MARGIN, 38, size[0] - MARGIN, 38)
        canvas.setFont(*face(7))
        canvas.drawString(MARGIN, 28, FOOT)
        _set(canvas, head.void, 7, room)
        canvas.drawString(MARGIN, 19, head.void)

    return on


def exact(head: PageHead, doc: HeadedDoc, size: Vec2) -> Callable[[Canvas, object], None]:
    """What draws the foot of a page at full size, which has no head; ``size``: points."""

    def on(canvas: Canvas, _: object) -> None:
        _begun(canvas, doc, True)
        canvas.setFillGray(0.0)
        room = size[0] - 2 * MARGIN
        said = f"chassis {head.chassis}, {doc.title}, {head.says}. Print at 100 %, no fitting."
        for y, words, free in ((24, said, room - COUNT), (14, head.void, room)):
            _set(canvas, words, 7, free)
            canvas.drawString(MARGIN, y, spoken(words))

    return on


def _set(canvas: Canvas, words: str, size: float, room: float, bold: bool = False) -> None:
    """The canvas's lettering for words: ``size``, smaller where they would run past ``room``."""
    canvas.setFont(*face(min(size, size * room / max(1.0, width_of(words, size, bold))), bold))

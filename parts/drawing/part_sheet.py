"""One sheet a plate: its view at the largest standard scale that fits the smallest paper, notes,
title block.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from ...layout.reader import fine, measure
from ..geometry import outline
from ..model.assembly import Part, Weld
from ..model.body import Plate
from ..model.vectors import Vec2
from ..stock import Shop
from ..words.cautions import of_part
from . import hands, wording
from .bevel_section import bevels, section_view
from .canvas import POINTS
from .dimensions import dimensions
from .display import Sheet
from .features import Features, ends_within, features
from .field import Box
from .folded import folded_view
from .lettering import NARROW, SIZE
from .part_notes import elsewhere, hand_words, weld_notes, welded_to, where
from .picture_of_plate import WeldLine, picture, weld_lines
from .placed_view import PlacedView
from .plate_view import attempt
from .revisions import Revision
from .scales import Scale, papers, scales
from .title import MARGIN, Title, block_height, draw_notes, draw_title, lay_out

AIR = 6.0
"""Points between the frame and what stands in it."""
LOWEST = 100.0
"""Points of height the drawing area has at least."""
MUCH_SMALLER, ENOUGH = 0.15, 250.0
"""From this scale down a part is drawn that many points long at least while a larger sheet is left
to try: an eighth of its size is hard to read.
"""
SMALLEST = 100.0
"""Points the longer side of a part is drawn at least while a larger sheet is left to try."""


class TitleHead(NamedTuple):
    """What a sheet's title block says besides the part's own."""

    chassis: str
    revision: str = ""
    date: str = ""
    level: str = ""
    revisions: tuple[Revision, ...] = ()


def plate_sheet(
    part: Part,
    welds: Sequence[Weld],
    head: TitleHead,
    shop: Shop,
    numbers: Mapping[str, str],
    aside: Sequence[str] = (),
    twin: Part | None = None,
) -> Sheet:
    """The drawing of one plate.

    ``numbers``: weld's or bolt's id -> its number on maps and lists; ``aside``: said first;
    ``twin``: the right part this left one is drawn for too.
    """
    found = features(part)
    dims, shown = dimensions(found), picture(part, found)
    rows = weld_lines(part, found, welds, dict(numbers))
    lines = _notes(part, found, rows, welds, numbers, aside, twin)
    title = plate_title(part, head, shop, twin)
    body = part.member.body
    assert isinstance(body, Plate)
    thickness = shop.plate(body.stock).thickness
    folded = folded_view(body, thickness)
    cuts = bevels(rows)
    left, low, right, high = outline.bbox(body.outline)

    def fit(attempted: Try) -> PlacedView | None:
        return attempt(
            found,
            dims,
            shown,
            rows,
            area=attempted.area,
            scale=attempted.scale.ratio * POINTS,
            patient=attempted.patient,
            sides=[
                *([folded] if folded else []),
                *(
                    section_view(letter, row, thickness, attempted.scale.ratio)
                    for letter, row in cuts
                ),
            ],
        )

    return on_the_smallest(shop.paper, title, lines, max(right - left, high - low), fit)


def _notes(
    part: Part,
    found: Features,
    rows: Sequence[WeldLine],
    welds: Sequence[Weld],
    numbers: Mapping[str, str],
    aside: Sequence[str],
    twin: Part | None,
) -> list[str]:
    """What is said beside a plate's view, in its order."""
    return [
        *aside,
        f"Datum A: {found.datum.first}. Datum B: {found.datum.second}."
        if found.disc is None
        else "Turned or cut round; sizes from its middle.",
        where(part),
        *elsewhere(part, welds, numbers),
        *welded_to(part, welds, numbers),
        *weld_notes(rows),
        *(
            ["Tick across a side: a weld, or what stands there, ends."]
            if ends_within(found)
            else []
        ),
        *(hands.notes(part, twin, welds, numbers) if twin else ()),
        *of_part(part, tuple(welds)),
    ]


def on_the_smallest(
    paper: str,
    title: Title,
    lines: Sequence[str],
    longest: float,
    fit: Callable[[Try], PlacedView | None],
) -> Sheet:
    """The part on the smallest sheet, at the largest scale, that ``fit`` finds room for its view
    on. ``longest``: of the part's sizes, mm.
    """
    for attempted in tries(paper, title, lines, longest):
        view = fit(attempted)
        if view:
            return drawn(view, attempted, title, lines)
    raise AssertionError(f"no sheet is large enough for {title.number}")


class Try(NamedTuple):
    """A sheet with a scale to try: paper, drawing area; ``patient``: the last round."""

    size: Vec2
    scale: Scale
    area: Box
    patient: bool


def tries(paper: str, title: Title, lines: Sequence[str], longest: float) -> Iterator[Try]:
    """Sheets with scales, the smallest sheet first, on each the largest scale first; once more all
    of them with patience. ``longest``: of the part's sizes, mm.
    """
    sizes = papers(paper)
    for patient in (False, True):
        for name, size in sizes:
            notes = lay_out(lines, size[0] - 2 * MARGIN)
            foot = MARGIN + block_height(title, size[0]) + notes.height + AIR
            area = Box(MARGIN + AIR, foot, size[0] - MARGIN - AIR, size[1] - MARGIN - AIR)
            for scale in scales():
                drawn_long = longest * POINTS * scale.ratio
                least = ENOUGH if scale.ratio < MUCH_SMALLER else SMALLEST
                too_small = drawn_long < least and name != sizes[-1][0] and scale.ratio < 1.0
                if area.high - area.low > LOWEST and not too_small:
                    yield Try(size, scale, area, patient)


def plate_title(part: Part, head: TitleHead, shop: Shop, twin: Part | None = None) -> Title:
    """The title block of a plate, or of both hands of one."""
    body = part.member.body
    assert isinstance(body, Plate)
    plate = shop.plate(body.stock)
    left, low, right, high = outline.bbox(body.outline)
    title = part_title(
        part,
        head,
        shop,
        steel=plate.steel,
        thickness=fine(plate.thickness),
        size=" x ".join(
            wording.length(size_) for size_ in sorted((right - left, high - low))[::-1]
        ),
    )
    if twin is None:
        return title
    both = f"{part.quantity} + {twin.quantity}"
    return title._replace(hand=hands.words(part, twin), quantity=both)


def part_title(
    part: Part, head: TitleHead, shop: Shop, *, steel: str, thickness: str, size: str
) -> Title:
    """The title block of a part cut for one place or for several alike."""
    return Title(
        owner=shop.name or "shop ________",
        title=part.member.title,
        chassis=head.chassis,
        number=part.number,
        revision=head.revision,
        date=head.date,
        level=head.level,
        hand=hand_words(part),
        material=steel,
        thickness=thickness,
        mass=measure(part.mass, "mass", 2),
        quantity=str(part.quantity),
        size=size,
        revisions=head.revisions,
    )


def drawn(view: PlacedView, attempted: Try, title: Title, lines: Sequence[str]) -> Sheet:
    """Frame, view, notes and title block on a sheet."""
    size, scale = attempted.size, attempted.scale
    sheet = Sheet(f"{title.chassis} {title.number} {title.title}", size)
    sheet.foot = (SIZE, NARROW)
    sheet.box(MARGIN, MARGIN, size[0] - 2 * MARGIN, size[1] - 2 * MARGIN)
    draw_title(sheet, title, scale.words, "1 of 1")
    notes = lay_out(lines, size[0] - 2 * MARGIN)
    top = MARGIN + block_height(title, size[0]) + notes.height
    draw_notes(sheet, notes, Box(MARGIN, top - notes.height, size[0] - MARGIN, top))
    show(sheet, view)
    return sheet


def show(sheet: Sheet, view: PlacedView) -> None:
    """A view's lines and dimensions on its sheet."""
    sheet.view = view
    for points, kind in view.lines:
        sheet.line(*points, kind=kind)
    for each in view.placed:
        for points, kind in each.lines:
            sheet.line(*points, kind=kind)
        for head in each.arrows:
            sheet.head(head)
        sheet.texts += each.texts

"""Names of 60 characters and parts from half an inch to sixty: nothing over anything, nothing off
the paper, standard scale, still read back.
"""

from __future__ import annotations

import io
import math
from copy import copy
from dataclasses import replace

import drawing_reader
import pytest
from drawn_assemblies import grouped, placed, solved
from drawn_parts import job_of, sheets
from on_a_sheet import one_on_another
from papers import HEAD, every, made
from pdf_text import pages as pages_of
from pypdf import PdfReader
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.reader import System, reading_in
from soapstone.parts import documents, drawing
from soapstone.parts.design.finish import finish
from soapstone.parts.documents import engine
from soapstone.parts.drawing import measuring
from soapstone.parts.drawing.assembled import assembly_sheet, general_sheet
from soapstone.parts.drawing.canvas import POINTS
from soapstone.parts.drawing.display import Sheet, width_of
from soapstone.parts.drawing.part_sheet import TitleHead
from soapstone.parts.drawing.revisions import Revision
from soapstone.parts.drawing.setout import setout_pdf
from soapstone.parts.geometry import contours
from soapstone.parts.model.assembly import Assembly, Member, Part
from soapstone.parts.model.body import Edge, Plate
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import default_shop

LONG = "a name that is sixty characters long, as nobody should write"
CHASSIS = "X" * 60
REVISIONS = tuple(Revision(letter, LONG, "2026-01-15", LONG) for letter in "AB")
LONG_HEAD = TitleHead(CHASSIS, "d123456", "2026-01-15", "DRAFT - not released", REVISIONS)
STANDARD = {
    System.INCH: {4.0, 2.0, 1.0, 0.5, 0.25, 0.125},
    System.METRIC: {5.0, 2.0, 1.0, 0.5, 0.2, 0.1},
}
IN = 25.4


def right(sheet: Sheet, *said: str) -> None:
    """Nothing over anything, and no name cut."""
    assert one_on_another(sheet) == []
    words = " ".join(text.words for text in sheet.texts)
    for name in said:
        assert name in words, f"{name} is cut"


def test_long_names_on_drawings() -> None:
    assert len(LONG) == len(CHASSIS) == 60
    shop = default_shop()._replace(name=LONG)
    truck, _ = job_of("demo")
    for part in [part for part in truck.parts if part.number in ("LT1", "AR1", "ST5", "WW1")]:
        sheet = drawing.sheet(part, (), LONG_HEAD, shop)
        right(sheet, LONG, f"{CHASSIS}-{part.number}", part.member.title)


def test_long_names_on_assembly_drawings() -> None:
    whole = placed("demo")
    named = copy(whole)
    named.shop = whole.shop._replace(name=LONG)
    own = solved("demo")
    rows = [(group, f"{CHASSIS}-A{number}") for number, (group, _) in enumerate(grouped("demo"), 2)]
    for drawn in (
        assembly_sheet(named, rows[-1][0], LONG_HEAD, own, rows[-1][1]),
        general_sheet(named, rows, LONG_HEAD, own, f"{CHASSIS}-A1"),
    ):
        right(drawn.sheet, f"{CHASSIS}-A", drawn.group.name)
        assert drawn.left == ()


def off_the_paper(pdf: bytes) -> list[str]:
    """Words that run past the paper's edge, by the font's own widths."""
    found: list[str] = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        wide = float(page.mediabox[2])

        def look(text, cm, tm, font, size, wide=wide):
            level = abs(tm[1]) < 1e-6 and abs(cm[1]) < 1e-6
            line = text.strip("\n").split("\n")[0]
            x = tm[4] * cm[0] + cm[4]
            bold = "Bold" in str((font or {}).get("/BaseFont", ""))
            if level and line.strip() and x + width_of(line, size * cm[0], bold) > wide + 1:
                found.append(line)

        page.extract_text(visitor_text=look)
    return found


@pytest.mark.long
def test_long_names_on_shop_sheets_and_the_layout_sheet() -> None:
    void = (
        f"Draft of chassis {CHASSIS}: void as soon as a reading changes or a revision is released."
    )
    head = HEAD._replace(chassis=CHASSIS, void=void, shop=LONG)
    facts = replace(made(), chassis=CHASSIS)
    named = documents.every(facts, []).docs
    for doc in named:
        if doc.name in ("labels", "templates", "quote", "cut-sheet", "clearance", "hand-over"):
            pdf = engine.render([doc], head)
            assert off_the_paper(pdf) == [], doc.name
            assert "released." in "".join(pages_of(pdf))
    pdf = setout_pdf(CHASSIS, "2026-01-15", solved("demo"), [], "letter", [LONG], void)
    assert off_the_paper(pdf) == []


def test_an_overlong_line_is_found() -> None:
    """The check has teeth: a foot that was once printed past the labels' edge."""
    sheet = Sheet("toy")
    sheet.text(600.0, 20.0, LONG, 9.0)
    assert off_the_paper(drawing.pdf([sheet])) == [LONG]


def test_no_label_loses_a_word() -> None:
    labels = next(doc for doc in every() if doc.name == "labels")
    texts = [
        text
        for each in labels.blocks
        if isinstance(each, engine.Drawn)
        for text in each.sheet.texts
    ]
    assert texts and not [text.words for text in texts if text.words.endswith("...")]


def bar(long: float, wide: float, hole: float) -> Part:
    """A plate of any size with a corner cut off and a hole."""
    loop = (
        Edge("base", (0.0, 0.0)),
        Edge("end", (long, 0.0)),
        Edge("top", (long, wide)),
        Edge("slope", (wide / 3, wide)),
        Edge("front", (0.0, 2 * wide / 3)),
    )
    circle = contours.circle((long / 2, wide / 2), hole)
    place = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    member = Member("ZZ1.L", "toy", "ZZ", Plate("3/16 A36", loop, (circle,)), place)
    return finish(Assembly((member,)), default_shop(), "DEMO1")[0]


@pytest.mark.parametrize("system", list(System))
@pytest.mark.parametrize("long", [0.5, 60.0])
def test_half_an_inch_and_sixty_inches_are_drawn_to_a_standard_scale(
    long: float, system: System
) -> None:
    """Legible: lettering is the same on every sheet, the part at least an inch long on it, and read
    back.
    """
    shop = default_shop()._replace(paper="letter" if system is System.INCH else "A4")
    wide = long * IN if long < 1 else 6 * IN
    with reading_in(system):
        sheet = drawing.sheet(bar(long * IN, wide, wide / 3), (), TitleHead("DEMO1"), shop)
        right(sheet)
        assert sheet.view is not None
        ratio = sheet.view.scale / POINTS
        assert any(math.isclose(ratio, one) for one in STANDARD[system]), ratio
        assert long * IN * ratio > 25.0
        read = drawing_reader.read(drawing.dxf(sheet, system.value))
    assert [len(loop) for loop in read.loops] == [5] and len(read.circles) == 1
    corners = {(round(x / IN, 2), round(y / IN, 2)) for x, y, _ in read.loops[0]}
    far = max(math.dist(one, two) for one in corners for two in corners)
    assert far == pytest.approx(math.hypot(long, wide / IN), abs=0.03)


def test_a_beveled_edge_is_shown_cut_with_its_true_angles() -> None:
    """The section's lines against the weld's own groove: bevel, root face, depth, all by ratio."""
    truck, shop = job_of("demo")
    beveled = {w.on: w.groove for w in truck.assembly.welds if w.groove and w.groove.bevel}
    seen = 0
    for part, sheet in sheets("demo"):
        groove = beveled.get(part.id)
        if groove is None or sheet.view is None:
            continue
        words = " | ".join(text.words for text in sheet.texts)
        assert "section C-C, edge foot, " in words and "root face" in words and "throat" in words
        assert f"bevel {math.degrees(groove.bevel):.0f}°" in words
        cut = next(
            points for points, kind in sheet.view.lines if kind == "wide" and len(points) == 5
        )
        _, toe, root, corner, _ = cut
        assert isinstance(part.member.body, Plate)
        thick = shop.plate(part.member.body.stock).thickness
        scale = abs(toe[1] - corner[1]) / thick
        assert abs(root[1] - corner[1]) / scale == pytest.approx(groove.land)
        angle = math.atan2(abs(root[0] - toe[0]), abs(toe[1] - root[1]))
        assert angle == pytest.approx(groove.bevel, abs=1e-6)
        assert any(math.isclose(scale / POINTS, one) for one in STANDARD[System.INCH])
        seen += 1
    assert seen >= 2


def test_every_box_to_tick_stands_in_its_column_with_its_word() -> None:
    """Of every field that has words: on paper four of "round along y" ran over the next column."""
    room = sum(wide for name, wide in measuring.COLUMNS if name in ("left", "right", "again"))
    asked = [field for field in FIELDS.values() if 0 < len(field.words) <= measuring.FEW]
    assert len(asked) > 20
    for field in asked:
        row = measuring.PaperRow(field.name, field, {}, "", ("what",))
        sheet = Sheet("ticks")
        measuring._ticks(sheet, row, 0.0, row.high)
        assert len(sheet.texts) == len(field.words)
        for text in sheet.texts:
            end = text.at[0] + width_of(text.words, text.size)
            assert end < room and text.at[1] > 0, (field.name, text.words)

"""One quantity, one value: a whole build is read back, file by file, and every fact found twice is
the same fact.

Readers: pypdfium2 (sheets), ezdxf (cut files, drawings), the kernel (solids), csv, json, openpyxl
(workbook), the page's HTML. Each collector gives (what, whose, which) -> value with the file it
stands in; ``Told.apart`` compares. A fact of the trade here is common practice, no source.
"""

from __future__ import annotations

import io
import re
from collections import defaultdict
from functools import cache

import pytest
from built_jobs import NAMES, made, metric, typed_mm
from designs import designed_of
from pdf_text import heights
from pdf_text import pages as pages_of
from pypdf import PdfReader
from soapstone.layout.job.field import key_of
from soapstone.layout.job.fields import FIELDS, pattern
from soapstone.parts.model.assembly import Part
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.model.numbering import numbered_bolts, numbered_welds
from soapstone.parts.model.terms import When
from soapstone.parts.truck import fasteners
from soapstone.parts.truck.truck import is_plate
from soapstone.parts.verdict.cut_today import when
from soapstone.parts.words import names
from soapstone.parts.words.readings import NAME, SETTING
from told import Told, words_of
from told_by_all import told_by_all
from told_by_tables import rows_of


@cache
def told(name: str) -> Told:
    return told_by_all(made(name))


@pytest.mark.parametrize("name", NAMES)
def test_no_fact_has_two_values(name: str) -> None:
    assert told(name).apart() == []


@pytest.mark.parametrize("name", NAMES)
def test_facts_are_found_where_they_are_said_to_be(name: str) -> None:
    """A collector that finds nothing shows nothing: every fact stands in every kind of file that
    should carry it.
    """
    t = told(name)
    for what, which, kinds in (
        (
            "weld",
            "leg",
            {"schedule/csv", "schedule/json", "sheet/xlsx", "sheet/pdf", "drawing/dxf"},
        ),
        ("weld", "on", {"schedule/csv", "sheet/pdf"}),
        ("bolt", "size", {"schedule/csv", "schedule/json", "sheet/xlsx", "sheet/pdf"}),
        ("bolt", "length", {"schedule/csv", "sheet/pdf"}),
        ("bolt", "grade", {"schedule/csv", "sheet/pdf"}),
        ("tube", "length", {"schedule/csv", "sheet/xlsx", "sheet/pdf", "drawing/dxf"}),
        (
            "part",
            "holes",
            {"schedule/csv", "cut/dxf", "drawing/dxf", "solid/step", "picture/faces"},
        ),
        ("part", "quantity", {"cut/dxf", "drawing/dxf"}),
        ("part", "revision", {"cut/dxf", "drawing/dxf"}),
    ):
        assert kinds <= t.places(what, which), (what, which, t.places(what, which))
    m = made(name)
    torqued = [k for k in t.facts if k[0] == "bolt" and k[2] == "torque"]
    assert len(torqued) == len(numbered_bolts(m.truck.assembly))


@pytest.mark.parametrize("name", NAMES)
def test_every_weld_of_a_plate_stands_on_its_drawing(name: str) -> None:
    """With its leg; a right one that is its left one's mirror image, and a twin at another place,
    are called under the number of the one that is drawn.
    """
    t, m = told(name), made(name)
    welds = numbered_welds(m.truck.assembly)
    drawn = {
        number
        for (what, number, which), found in t.facts.items()
        if (what, which) == ("weld", "leg")
        and any(place.startswith("drawing/") for rows in found.values() for place in rows)
    }
    on = {w.on.partition(".")[0] for number, w in welds.items() if number in drawn}
    numbers = {p.id.partition(".")[0]: p.number for p in m.truck.parts}
    plates = {p.id.partition(".")[0] for p in m.truck.parts if isinstance(p.member.body, Plate)}
    asked = {w.on.partition(".")[0] for w in welds.values()} & plates
    drawn_numbers = {numbers[code] for code in on if code in numbers}
    assert {code for code in asked if numbers[code] not in drawn_numbers} == set()


@pytest.mark.parametrize("name", NAMES)
def test_every_leg_is_of_the_shops_list_and_within_its_walls(name: str) -> None:
    """AISC 360 J2.2b for the thinner wall (read); the list is the shop's."""
    m = made(name)
    by = {x.code: x for x in m.truck.assembly.members}
    for w in m.truck.assembly.welds:
        assert w.leg in m.shop.legs, (w.id, w.leg)
        for code in (w.on, w.to):
            body = by[code].body if code in by else None
            if isinstance(body, Plate):
                assert w.leg <= m.shop.plate(body.stock).thickness + 1e-6, w.id
            if isinstance(body, Tube):
                assert w.leg <= m.shop.tube(body.stock).wall + 1e-6, w.id


@pytest.mark.parametrize("name", NAMES)
def test_what_is_nested_is_what_is_billed(name: str) -> None:
    """Pieces on the sheets, in the bill and on the cut files' names, by part."""
    m = made(name)
    nested: dict[str, int] = defaultdict(int)
    for r in rows_of(m, "nest"):
        words = r["parts"].split()
        for code, count in zip(words[::2], words[1::2], strict=True):
            nested[code] += int(count.removeprefix("x"))
    billed = {r["item"]: int(r["quantity"]) for r in rows_of(m, "material") if r["make"] == "make"}
    for p in filter(is_plate, m.truck.parts):
        if m.judged.cut(p.id)[0]:
            assert nested[p.called] == billed[p.id] == p.quantity, p.id
    remnants = [r["remnant"] for r in rows_of(m, "nest")]
    assert len(remnants) == len(set(remnants)), "no two remnants share a name"


@pytest.mark.parametrize("name", NAMES)
def test_every_sheet_says_whose_it_is_and_what_it_may_be_used_for(name: str) -> None:
    m = made(name)
    for path, data in m.files.items():
        if path.startswith(("sheet/", "drawing/")) and path.endswith(".pdf"):
            text = words_of(data)
            assert m.job.chassis in text, path
            said = "RELEASED A" if m.letters else "DRAFT"
            assert re.search(rf"{said}|released, for|NOT FOR CUTTING", text), path


@pytest.mark.parametrize("name", NAMES)
def test_paper_names_readings_by_their_words(name: str) -> None:
    """No name of the job file, of a result or of a point of the model on any sheet or the page: a
    reading stands there by its number on the measuring sheet; no table of the shop's settings.
    """
    m = made(name)
    results = {key.name for key in m.solved.every_key()}
    for path, data in m.files.items():
        if path.endswith((".pdf", ".html")) and "/stage-" not in path:
            words = words_of(data) if path.endswith(".pdf") else shown_words(data.decode())
            assert not SETTING.findall(words), (path, SETTING.findall(words))
            found = {key_of(hit[0]).name for hit in NAME.finditer(words)}
            wrong = {own for own in found if own in results or pattern(own) in FIELDS}
            assert not wrong, (path, wrong)


def shown_words(page: str) -> str:
    """What a page shows: neither its scripts nor its tags."""
    return re.sub(r"(?s)<(script|style)\b.*?</\1>|<[^>]*>", " ", page)


@pytest.mark.again
def test_sizes_of_metric_bolts_are_in_millimeters() -> None:
    """A metric bolt is called by mm, an inch bolt by inches, on every list."""
    m = designed_of(*metric())
    each = [x for x in fasteners.every(m.truck, m.shop) if x.length and x.made == "bolt"]
    assert {x.bolt.size.startswith("M") for x in each} == {True, False}
    for x in each:
        assert x.name.endswith(f" mm {x.bolt.grade}") == x.bolt.size.startswith("M"), x.name


def test_a_shop_in_millimeters_buys_no_inch_bolt() -> None:
    """Every bolt, stud and dowel of the job typed in mm; dowels are bars of whole millimeters."""
    m = designed_of(*typed_mm())
    each = fasteners.every(m.truck, m.shop)
    assert {x.made for x in each} == {"bolt", "stud", "dowel"}
    for x in each:
        assert x.bolt.size.startswith("M"), x.name
    assert {x.call.partition(" x ")[0] for x in each if x.made == "dowel"} == {"12 mm"}


MOST_PAGES, MOST_BYTES = 80, 2 * 2**20
"""Pages of the packets of a truck, and bytes of one."""
HEAD, FOOT = 64.0, 46.0
"""Points of a page that its head and foot take."""


@pytest.mark.parametrize("name", NAMES)
def test_packets_are_short_counted_and_marked(name: str) -> None:
    pages = 0
    for stage in range(1, 9):
        data = made(name).files[f"sheet/stage-{stage}.pdf"]
        book = PdfReader(io.BytesIO(data))
        assert len(data) < MOST_BYTES and len(book.outline) > 0, stage
        for number, words in enumerate(pages_of(data), 1):
            said = f"packet {stage}, page {number} of {len(book.pages)}"
            assert said in words, (stage, number)
            assert "oid " in words, "each page says what makes it void"
        pages += len(book.pages)
    assert pages <= MOST_PAGES


@pytest.mark.parametrize("name", NAMES)
def test_no_page_of_a_packet_is_under_a_third_full(name: str) -> None:
    """How far down the words of each page reach, of those with head and foot on the shop's own
    paper: drawings are laid together on sheets cut to them, templates are pictures.
    """
    full = {}
    for stage in range(1, 9):
        data = made(name).files[f"sheet/stage-{stage}.pdf"]
        book = PdfReader(io.BytesIO(data))
        every = zip(book.pages, heights(data), pages_of(data), strict=True)
        for number, (page, high, words) in enumerate(every, 1):
            if re.search(rf"Stage {stage}, [^;\n]*; for ", words):
                top = float(page.mediabox.height) - HEAD
                reach = top - min(height for height in high if height > FOOT)
                full[stage, number] = reach / (top - FOOT)
    assert {stage for stage, _ in full} == {*range(1, 9)}
    assert {page: share for page, share in full.items() if share < 1 / 3} == {}


@pytest.mark.parametrize("name", NAMES)
def test_what_is_not_for_cutting_says_so_at_full_size(name: str) -> None:
    """Templates of parts that wait or fail are marked as their drawings are, no others."""
    m = made(name)
    words = " ".join(words_of(m.files["sheet/templates.pdf"]).split())
    coped = [part for part in m.truck.parts if "cope" in ends_of(part)]
    tools = [part for part in m.truck.parts if part.member.fixed_after == "tool"]
    for part in (*coped, *tools):
        titled = re.escape(f"{names.made(part)} {part.member.title}, rev ")
        marked = re.search(rf"{titled}\S+?(, NOT FOR CUTTING)?(?:,| THIS| end)", words)
        assert marked, part.id
        assert bool(marked[1]) == (when(part, m.judged) is When.WAITS), part.id


def ends_of(part: Part) -> list[str]:
    """How the ends of a tube are made; of a plate none."""
    return [end.kind for end in getattr(part.member.body, "ends", ())]


@pytest.mark.parametrize("name", NAMES)
def test_what_was_looked_for_in_stock_is_told_once(name: str) -> None:
    """Why a part is not for cutting names its rows, and once what else there is; the sheets name
    this once for all the parts it is about.
    """
    m = made(name)
    for part, why in m.judged.barred().items():
        for way in {*m.strength.ways.values()}:
            assert why.count(way) <= 1, (part, why)
    for path in ("sheet/owed.pdf", "sheet/cut-sheet.pdf"):
        words = " ".join(words_of(m.files[path]).split())
        told_ = re.findall(r"nothing else in stock for .*? passes", words)
        ways = {way for part, way in m.strength.ways.items() if part in m.judged.barred()}
        assert len(told_) == sum(way.startswith("nothing else in stock") for way in ways), path


@pytest.mark.parametrize("name", NAMES)
def test_no_sheet_asks_for_sleeves_there_are_none_of(name: str) -> None:
    """An open rail is bolted without them; its packet has none to put in."""
    m = made(name)
    made_ = any("sleeve" in member.title for member in m.truck.assembly.members)
    for path in ("sheet/crossmember.pdf", "sheet/stage-5.pdf"):
        assert ("crush sleeve" in words_of(m.files[path])) == made_, path

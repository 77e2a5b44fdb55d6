"""Shop sheets: cautions on the sheet of
the step, nothing off the page, templates at full size, torque as published.

Readers: pypdf for PDF, openpyxl for the workbook. What stands on the sheets: common practice, no
source, where no standard is named.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import code_reader
import pytest
from again import once
from papers import HEAD, SHOP, every, made, pictured
from pdf_text import pages
from pypdf import PdfReader
from soapstone.layout.quantities import Key
from soapstone.parts import documents
from soapstone.parts.documents import cutting, engine, finish, labels, levels, ordering, survey
from soapstone.parts.documents.workbook import workbook
from soapstone.parts.drawing.display import width_of
from soapstone.parts.model import numbering
from soapstone.parts.model.terms import Level
from soapstone.parts.stock.torque import LBF_FT, newton_mm, torque
from soapstone.parts.truck import fasteners
from soapstone.parts.words import names
from trucks import NAMES


def text_of(pdf: bytes) -> list[str]:
    return [*pages(pdf)]


@pytest.mark.parametrize("name", once(NAMES))
def test_every_made_part_is_on_its_cut_sheet_and_its_label(name: str) -> None:
    f = made(name)
    docs = {d.name: d for d in every(name)}

    def rows(sheet: str) -> list[Sequence[str]]:
        tables = [b for b in docs[sheet].blocks if isinstance(b, engine.Table)]
        return [row for table in tables for row in table.rows]

    sheets = [b.sheet for b in docs["labels"].blocks if isinstance(b, engine.Drawn)]
    labelled = [text.words for sheet in sheets for text in sheet.texts]
    for p in f.truck.parts:
        code = p.number
        assert labelled.count(f"{f.chassis} {names.made(p)}") == p.quantity, p.id
        assert any(r[0] == code for r in rows("cut-sheet")) or any(
            r[0] == names.made(p) for r in rows("tubes")
        ), p.id


def test_a_label_says_to_a_phone_what_it_says_in_letters() -> None:
    """Read by a reader written from the standard, ISO/IEC 18004."""
    f = made()
    for part in f.truck.parts[:12]:
        said = code_reader.read(labels.modules(labels.coded(f, part)))
        assert said == f"{f.chassis} {names.made(part)} rev {f.revisions[part.id]}"


def test_cautions_stand_on_the_sheet_of_the_step() -> None:
    by = {d.name: " ".join(d.cautions) for d in every()}
    for name, words in (
        ("welds", "Battery off"),
        ("welds", "fire watch"),
        ("welds", "heat-treated"),
        ("axle", "1910.244"),
        ("vehicle", "1910.252"),
        ("vehicle", "coil"),
        ("set-down", "nobody under"),
        ("arms", "coil"),
        ("hand-over", "not an approval"),
        ("cut-sheet", "35 ft"),
        ("bolts", "thread"),
    ):
        assert words.lower() in by[name].lower(), (name, words)
    schedule = next(d for d in every() if d.name == "welds")
    letters = dict(
        r.split("  ", 1)
        for b in schedule.blocks
        if isinstance(b, engine.Words) and b.title.startswith("Letters")
        for r in b.rows
    )
    rows = next(b.rows for b in schedule.blocks if isinstance(b, engine.Table))
    used = {c for r in rows for c in r[6].split()}
    assert used <= set(letters), "a letter beside a weld is explained on the same sheet"
    f = made()
    for r in rows:
        w = f.welds()[r[0]]
        if "bushing out" in w.care:
            assert "A" in r[6].split() and "B" in r[6].split()


def test_nothing_runs_off_the_page_and_pages_are_counted() -> None:
    """Every text box within the paper, by the font's own widths; page n of m on each."""
    for d in every():
        pdf = engine.render([d], HEAD)
        reader = PdfReader(io.BytesIO(pdf))
        for i, page in enumerate(reader.pages, 1):
            wide, tall = map(float, page.mediabox[2:])
            seen: list[tuple[float, float, str, float]] = []

            def look(text, cm, tm, font, size, seen=seen):
                if text.strip() and abs(tm[1]) < 1e-6 and abs(cm[1]) < 1e-6:
                    x, y = tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5]
                    bold = "Bold" in str((font or {}).get("/BaseFont", ""))
                    seen.extend(
                        (x, y - 1.22 * size * k, line, width_of(line, size * cm[0], bold))
                        for k, line in enumerate(text.strip("\n").split("\n")[:1])
                    )

            page.extract_text(visitor_text=look)
            text = page.extract_text()
            assert f"page {i} of {len(reader.pages)}" in text, d.name
            assert all(x >= 0 and x + w <= wide + 1 and 0 <= y <= tall for x, y, _, w in seen), (
                d.name,
                [s for s in seen if s[0] + s[3] > wide + 1 or s[0] < 0][:3],
            )


@pytest.mark.parametrize("paper", list(engine.PAPERS))
def test_papers(paper: str) -> None:
    pdf = engine.render(
        [next(d for d in every() if d.name == "traveler")], HEAD._replace(paper=paper)
    )
    assert [float(x) for x in PdfReader(io.BytesIO(pdf)).pages[0].mediabox[2:]] == pytest.approx(
        engine.PAPERS[paper], abs=0.01
    )
    with pytest.raises(ValueError, match="letter"):
        engine.render(every()[:1], HEAD._replace(paper="A7"))


def test_same_documents_same_bytes() -> None:
    docs = [d for d in every() if d.name in ("welds", "decisions", "material")]
    assert engine.render(docs, HEAD) == engine.render(docs, HEAD)
    assert workbook(docs, {}) == workbook(docs, {})


def test_watermark_by_level() -> None:
    assert levels.mark("Stage 7, weld", Level.DRAFT) == "DRAFT"
    assert (
        levels.mark("Stage 7, weld", Level.TACK) == "NOT FOR WELD YET"
        and levels.mark("Stage 7, weld", Level.WELD) == ""
    )
    assert (
        levels.mark("Stage 3, axle", Level.TACK) == ""
        and levels.mark("Stage 8, finish", Level.WELD) == "NOT FOR FINAL YET"
    )
    assert (
        levels.part_level("set-down", Level.WELD, False) is Level.TACK
        and levels.part_level("set-down", Level.WELD, True) is Level.WELD
        and levels.part_level("plates in", Level.WELD, False) is Level.WELD
    )
    d = next(d for d in every() if d.name == "distortion")
    assert "NOT FOR WELD YET" in text_of(engine.render([d], HEAD._replace(level=Level.TACK)))[0]
    assert "NOT FOR" not in text_of(engine.render([d], HEAD._replace(level=Level.WELD)))[0]


@pytest.mark.parametrize("name", once(NAMES))
def test_numbers_are_the_order_of_the_job(name: str) -> None:
    """Weld numbers never go back a stage, never leave a family and come back to it, and within a
    family follow its order; bolts likewise.
    """
    a = made(name).truck.assembly
    by = {m.code: m for m in a.members}
    families = list(dict.fromkeys(m.family for m in a.members))

    def family(*codes: str) -> int:
        return max(families.index(by[c].family) for c in codes if c in by)

    welds = list(numbering.numbered_welds(a).values())
    stages = [numbering.STAGES.index(numbering.weld_stage(a, w)) for w in welds]
    assert stages == sorted(stages) and set(stages) == set(range(5))
    for stage in range(5):
        mine = [w for w, s in zip(welds, stages, strict=True) if s == stage]
        last = [w for w in mine if numbering.AFTER in w.care]
        assert mine[len(mine) - len(last) :] == last, "what waits for the set-down comes last"
        rest = [(family(w.on, w.to), w.order) for w in mine[: len(mine) - len(last)]]
        assert rest == sorted(rest)
    later = [w.id for w in welds if w.id.startswith(("coil.seat.", "coil.gusset."))]
    assert later[0].startswith("coil.gusset") and later[-1].startswith("coil.seat")
    assert {n for n in numbering.numbered_welds(a)} == {f"W{i}" for i in range(1, len(a.welds) + 1)}
    bolts = list(numbering.numbered_bolts(a).values())
    went = [
        max(numbering.STAGES.index(numbering.stage_of(by[c])) for c in b.through if c in by)
        for b in bolts
        if all(by[c].fixed_after not in ("existing", "tool") for c in b.through if c in by)
    ]
    assert went == sorted(went)


def test_bolt_lengths_by_hand() -> None:
    """Grip, two washers of 0.177, locknut 1.2 d, two threads, next quarter inch; thread 2 d + 1/4
    (ASME B18.2.1, from memory): 5/8-11 through 2.5 with 2.427 plain: 2.5 + 0.354 + 0.75 + 0.182 =
    3.786, so 4; its plain shank is 4 - 1.5 = 2.5. 3/4-10 through 2.875 with 2.802 plain: 4.329
    would be 4 1/2 with 2.75 plain, so 4 3/4. M16 through 60: 60 + 9 + 19.2 + 4 = 92.2, so 100 (ISO
    888).
    """
    inch = 25.4
    assert fasteners.length_of("5/8-11", 2.5 * inch, 2.427 * inch) == pytest.approx(4 * inch)
    assert fasteners.length_of("3/4-10", 2.875 * inch, 2.802 * inch) == pytest.approx(4.75 * inch)
    assert fasteners.length_of("M16x2", 60.0, 0.0) == 100.0
    assert fasteners.length_of("1/2-13", 400.0, 0.0) == 0.0


def test_what_is_ordered_is_what_is_fitted() -> None:
    """Every bolt and dowel of the list is bought once with its length, the stop's stud is not; a
    dowel has no nut; nothing waits for a reading.
    """
    f = made()
    each = fasteners.every(f.truck, SHOP)
    bought = fasteners.ordered(f.truck, SHOP)
    assert sum(n for _, n in bought) == sum(x.made != "stud" for x in each) < len(each)
    for x in each:
        assert x.made != "dowel" or (
            not x.nut
            and x.length == x.grip
            and "nut" not in fasteners.with_it(x).replace("no nut", "")
        )
        assert x.length > x.grip or x.owed or x.made != "bolt"
        if x.made == "bolt" and x.length:
            assert x.length - fasteners.threaded(x.bolt.size, x.length) >= x.shank - 1e-6
    assert not any(x.owed for x in each)


def test_every_sheet_to_be_ordered_has_its_size() -> None:
    f = made()
    table = next(x for x in ordering.order(f).blocks if getattr(x, "title", "") == "Plate")
    said = {str(row[0]): str(row[2]) for row in table.rows}
    bought = Counter(
        (x.sheet.stock, x.sheet.width, x.sheet.length) for x in f.nest.sheets if not x.of_rest
    )
    assert bought and {stock for stock, _, _ in bought} == set(said)
    for (stock, width, length), count in bought.items():
        inches = f"{width / 25.4:.0f} x {length / 25.4:.0f} in"
        assert re.search(rf"\b{count} sheets? {inches}", said[stock]), said[stock]


@pytest.mark.parametrize("paper", ["letter", "A4"])
def test_what_is_not_to_be_cut_says_so_on_one_line(paper: str) -> None:
    """Printed and read back, every column there that a sheet may have."""
    sheet = next(doc for doc in every() if doc.name == "cut-sheet")
    said, table, heads = cutting.SAID[cutting.When.WAITS], None, []
    for table in (x for x in sheet.blocks if isinstance(x, engine.Table)):
        heads = [head for head, _ in table.columns]
        if "when" in heads:
            break
    assert table is not None
    at = heads.index("when")
    rows = [(*row[:at], said, *row[at + 1 :]) for row in table.rows]
    alone = sheet._replace(blocks=[table._replace(rows=rows)])
    pdf = engine.render([alone], HEAD._replace(paper=paper))
    lines = [
        line
        for page in PdfReader(io.BytesIO(pdf)).pages
        for line in page.extract_text().splitlines()
    ]
    assert sum(said in line for line in lines) == len(rows) > 0


def test_torque_as_published() -> None:
    """5/8-11 grade 8, 75 % of 120 ksi proof, At 0.226, K 0.20: 20 340 lb and 212 ft lb (published
    table): read.
    """
    assert newton_mm("5/8-11", "grade 8", "dry") / LBF_FT == pytest.approx(212, rel=3e-3)
    f = made()
    b = next(b for b in f.bolts().values() if b.size == "1/2-13" and b.grade == "grade 8")
    assert torque(b, f.shop) == "-" and any(
        "No torque is given" in r
        for x in finish.bolts(f).blocks
        if isinstance(x, engine.Words)
        for r in x.rows
    )
    dry, oiled = (float(torque(b, SHOP._replace(friction=k)).split()[0]) for k in ("dry", "oiled"))
    assert oiled == pytest.approx(0.75 * dry, abs=1.0)


def test_the_workbook_through_another_reader() -> None:
    import openpyxl

    book = openpyxl.load_workbook(
        io.BytesIO(documents.files(made(), HEAD, [])[0]["sheet/tables.xlsx"])
    )
    tabs = book.sheetnames
    assert len(tabs) == len(set(tabs)) > 20
    lists: dict[str, list[str]] = {}
    for name in tabs:
        things = {str(row[0].value).split()[0] for row in book[name].iter_rows(min_row=2)}
        if len(things) > 20:
            lists.setdefault(" ".join(sorted(things)), []).append(name)
    for tabs_of_one in lists.values():
        kinds = [name.split()[0] for name in tabs_of_one]
        assert len(set(kinds)) == len(kinds), f"told twice: {tabs_of_one}"
    page = next(book[n] for n in tabs if n == "tacks")
    assert [c.value for c in page[1]][:3] == ["weld", "on", "to"] and page.max_row - 1 == len(
        made().strength.tacks
    )


def test_numbers_of_sheets_are_numbers_in_the_workbook() -> None:
    import openpyxl

    table = engine.Table("", (("a", 1), ("b", 1)), [("7", "-0.35"), ("1/4", "007")])
    doc = engine.Doc("d", "D", "Stage 2, cut", "", (), [table])
    rows = [*openpyxl.load_workbook(io.BytesIO(workbook([doc], {})))["d"].values]
    assert rows == [("a", "b"), (7, -0.35), ("1/4", "007")]


def test_odd_words_are_sane() -> None:
    """A title of 300 characters, signs no font has, markup: wrapped or boxed, never a crash, never
    markup.
    """
    f = replace(made(), words={"job.title": "W" * 300 + " \u4e2d\u6587 <b>&x</b>"})
    pages = text_of(engine.render([survey.traveler(f, pictured()[0])], HEAD))
    assert "<b>&x</b>" in " ".join(pages).replace("\n", " ")


@pytest.mark.parametrize("name", once(NAMES))
def test_what_a_result_hangs_on_is_named_once_and_no_more_than_all_of_it(name: str) -> None:
    """Along, across and up of one point are one reading to whoever tapes it again."""
    told = next(doc for doc in every(name) if doc.name == "decisions").blocks
    table = next(block for block in told if isinstance(block, engine.Table))
    for row in table.rows:
        shares = re.findall(r"(.+?) (\d+) %(?:, |$)", row[-1])
        assert len({what for what, _ in shares}) == len(shares), row
        assert sum(int(share) for _, share in shares) <= 101, row
    assert any(row[-1].count("%") > 1 for row in table.rows)


@pytest.mark.parametrize(
    ("sheet", "asked"),
    [
        ("alignment", "caster camber inclination toe thrust stops wheel brake mph"),
        ("hand-over", "done load tire mi: bolt joint shimmy approval photographs received"),
    ],
)
def test_a_sheet_asks_what_its_reader_expects(sheet: str, asked: str) -> None:
    """What an alignment shop fills in and what a customer takes along (common practice, no
    source).
    """
    doc = next(doc for doc in every() if doc.name == sheet)
    said = " ".join(text_of(engine.render([doc], HEAD))).lower()
    assert not [word for word in asked.split() if word not in said]


def test_what_is_owed_is_asked_in_words() -> None:
    """The sheet a man with a tape carries names the reading, not its name in the job file."""
    found = made()
    bare = replace(
        found,
        truck=found.truck._replace(
            waiting={"transmission pad": (Key("driveline.mount.weight", "C"),)}
        ),
    )
    asked = next(block for block in finish.owed(bare).blocks if isinstance(block, engine.Table))
    assert asked.rows[0][0] == "reading D-28 (weight the mount carries)"
    assert bare.said("waits for axle.kpi") != "waits for axle.kpi"
    assert bare.said("see sheet/tables.xlsx, 1.5 of it") == "see sheet/tables.xlsx, 1.5 of it"

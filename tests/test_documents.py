"""Shop sheets: every weld and bolt once on its map and once in its list, cautions on the sheet of the step, nothing off the page, templates at full size, torque as published.

Readers: pypdf for PDF, openpyxl for the workbook. What stands on the sheets: common practice, no source, where no standard is named."""

from __future__ import annotations

import io
import math
import re
from functools import cache

import numpy as np
import pytest
from pypdf import PdfReader
from soapstone.cli.looking import look
from soapstone.parts import documents, levels, nest
from soapstone.parts.documents import engine, facts, finish, maps, templates, welding
from soapstone.parts.drawing.display import width_of
from soapstone.parts.model import TubeEnd
from soapstone.parts.rules.bolts import FRICTION, PROOF, tightening
from soapstone.parts.stock import bolt, default_shop
from soapstone.parts.strength import strength
from trucks import NAMES, job, truck

SHOP = default_shop()
HEAD = engine.Head("DEMO1", "2026-01-15", "draft", "DRAFT - not released", "letter")


@cache
def made(name: str = "demo") -> facts.Facts:
    t, s = truck(name)
    j = job(name)
    return facts.Facts(
        j.chassis,
        "2026-01-15",
        j.words,
        j.readings,
        s,
        t,
        SHOP,
        strength(t, s, SHOP),
        nest.nest(t.parts, SHOP),
        {p.id: "A" for p in t.parts},
        look(j, s, t, SHOP, strength(t, s, SHOP)).judged,
    )


@cache
def every(name: str = "demo") -> list[engine.Doc]:
    return documents.every(made(name), [("drag link and shelf", "full bump", "0.04", "0.50")])


def text_of(pdf: bytes) -> list[str]:
    return [p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize("name", NAMES)
def test_every_weld_and_bolt_once_on_its_map_and_once_in_its_list(name: str) -> None:
    f = made(name)
    for doc, numbers, letter in (
        (welding.schedule(f), f.welds(), "W"),
        (finish.bolts(f), f.bolts(), "B"),
    ):
        on_map = [
            t.words
            for b in doc.blocks
            if isinstance(b, engine.Drawn)
            for t in b.sheet.texts
            if re.fullmatch(rf"{letter}\d+", t.words)
        ]
        in_list = [r[0] for b in doc.blocks if isinstance(b, engine.Table) for r in b.rows]
        assert sorted(on_map) == sorted(numbers) == sorted(in_list), set(numbers) ^ set(on_map)
    assert len(f.welds()) == len(f.truck.assembly.welds)


@pytest.mark.parametrize("name", NAMES)
def test_every_made_part_is_on_its_stage_its_cut_sheet_and_its_label(name: str) -> None:
    f = made(name)
    docs = {d.name: d for d in every(name)}
    rows = lambda d: [r for b in docs[d].blocks if isinstance(b, engine.Table) for r in b.rows]  # noqa: E731
    placed = [r[0] for d in ("axle", "vehicle", "crossmember", "arms", "set-down") for r in rows(d)]
    for m in f.truck.assembly.members:
        if m.fixed_after not in ("existing", "tool"):
            assert placed.count(m.code) == 1, m.code
    for p in f.truck.parts:
        code = p.id.partition(".")[0]
        assert any(r[0].endswith(f" {code}") for r in rows("labels")), p.id
        assert any(r[0] == code for r in rows("cut-sheet")) or any(
            r[0] == p.id for r in rows("tubes")
        ), p.id


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

            def look(text, cm, tm, font, size, seen=seen):  # type: ignore[no-untyped-def]
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
            assert all(0 <= x and x + w <= wide + 1 and 0 <= y <= tall for x, y, _, w in seen), (
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
    assert engine.workbook(docs, {}) == engine.workbook(docs, {})


def test_watermark_by_level() -> None:
    assert levels.mark("Stage 7, weld", "draft") == "DRAFT"
    assert (
        levels.mark("Stage 7, weld", "tack") == "NOT FOR WELD YET"
        and levels.mark("Stage 7, weld", "weld") == ""
    )
    assert (
        levels.mark("Stage 3, axle", "tack") == ""
        and levels.mark("Stage 8, finish", "weld") == "NOT FOR FINAL YET"
    )
    assert (
        levels.part_level("set-down", "weld", False) == "tack"
        and levels.part_level("set-down", "weld", True) == "weld"
        and levels.part_level("plates in", "weld", False) == "weld"
    )
    d = next(d for d in every() if d.name == "distortion")
    assert "NOT FOR WELD YET" in text_of(engine.render([d], HEAD._replace(level="tack")))[0]
    assert "NOT FOR" not in text_of(engine.render([d], HEAD._replace(level="weld")))[0]


def test_scale_bars_are_four_inches_and_a_hundred_millimetres_on_paper() -> None:
    """Measured in the PDF's own drawing commands: no scaling, one point a point."""
    doc = next(d for d in every() if d.name == "templates")
    reader = PdfReader(io.BytesIO(engine.render([doc], HEAD)))
    assert len(reader.pages) == 1 + sum(isinstance(b, engine.Drawn) for b in doc.blocks) > 3
    for page in list(reader.pages)[1:]:
        text = page.get_contents().get_data().decode("latin-1")
        assert not [
            m
            for m in re.findall(r"([\d.]+) 0 0 ([\d.]+) [\d.]+ [\d.]+ cm", text)
            if (float(m[0]), float(m[1])) != (1.0, 1.0)
        ]
        runs = re.findall(r"n ([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l", text)
        level = {round(abs(float(c) - float(a)), 2) for a, b, c, d in runs if b == d}
        upright = {round(abs(float(d) - float(b)), 2) for a, b, c, d in runs if a == c}
        assert any(x == pytest.approx(288.0, abs=0.02) for x in level), "4.000 in"
        assert any(x == pytest.approx(100 / 25.4 * 72, abs=0.02) for x in upright), "100.0 mm"


def test_cope_of_a_square_joint_is_the_handbook_formula() -> None:
    """A tube of bore radius r on a round of radius R, square to it: from crown to side the cut falls by R - sqrt(R2 - r2) (any descriptive-geometry text)."""
    od, wall, onto = 50.0, 5.0, 80.0
    back = templates.cope(TubeEnd("cope", onto, math.pi / 2), od, wall, 360)
    depth = onto / 2 - math.sqrt((onto / 2) ** 2 - (od / 2 - wall) ** 2)
    assert float(back.max()) == pytest.approx(depth, abs=1e-6), "crown to side by the tube's bore"
    half = np.roll(back, -int(np.argmax(back)))[:91]
    want = np.sqrt(
        (onto / 2) ** 2 - ((od / 2 - wall) * np.sin(np.linspace(0, math.pi / 2, 91))) ** 2
    )
    assert half - half.min() == pytest.approx(want - want.min(), abs=1e-6)


def test_torque_as_published() -> None:
    """5/8-11 grade 8, 75 % of 120 ksi proof, At 0.226, K 0.20: 20 340 lb and 212 ft lb (published table): read."""
    s = bolt("5/8-11")
    assert float(
        tightening(d_mm=s.d, area_mm2=s.area, proof_MPa=PROOF["8"], k=FRICTION["dry"])
    ) / 1355.818 == pytest.approx(212, rel=3e-3)
    f = made()
    b = next(b for b in f.bolts().values() if b.size == "1/2-13" and b.grade == "8")
    assert finish.torque(f, b) == "-" and any(
        "No torque is given" in r
        for x in finish.bolts(f).blocks
        if isinstance(x, engine.Words)
        for r in x.rows
    )
    dry, oiled = (
        float(finish.torque(f._replace(shop=SHOP._replace(friction=k)), b).split()[0])
        for k in ("dry", "oiled")
    )
    assert oiled == pytest.approx(0.75 * dry, abs=1.0)


def test_the_workbook_through_another_reader() -> None:
    import openpyxl

    book = openpyxl.load_workbook(
        io.BytesIO(documents.files(made(), HEAD, [])[0]["sheet/tables.xlsx"])
    )
    names = book.sheetnames
    assert len(names) == len(set(names)) > 20
    page = next(book[n] for n in names if n == "tacks")
    assert [c.value for c in page[1]][:3] == ["weld", "on", "to"] and page.max_row - 1 == len(
        made().strength.tacks
    )


def test_odd_words_are_sane() -> None:
    """A title of 300 characters, signs no font has, markup: wrapped or boxed, never a crash, never markup."""
    f = made()._replace(words={"job.title": "W" * 300 + " \u4e2d\u6587 <b>&x</b>"})
    pages = text_of(
        engine.render([d for d in documents.every(f, []) if d.name == "traveler"], HEAD)
    )
    assert "<b>&x</b>" in " ".join(pages).replace("\n", " ")


def test_maps_know_every_family() -> None:
    t, _ = truck()
    lost = {w.on for w in t.assembly.welds if maps.place_of(w.on) is None}
    assert not lost

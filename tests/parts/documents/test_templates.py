"""Templates at full size: scale bars, how they lie on the paper, wraps of coped tube ends against
the handbook formula and the solids.
"""

from __future__ import annotations

import io
import itertools
import math
import random
import re
from dataclasses import replace

import numpy as np
import pytest
import shapely
from again import once
from on_a_sheet import box, lines
from papers import HEAD, made
from pdf_text import pages as pages_of
from pypdf import PdfReader
from soapstone.layout.reader import System, reading_in
from soapstone.parts.documents import engine, full_size, templates
from soapstone.parts.drawing.display import PAPERS
from soapstone.parts.geometry.cope import cope
from soapstone.parts.model.body import TubeEnd
from soapstone.parts.words import names
from trucks import NAMES


@pytest.mark.parametrize("system", System)
def test_scale_bars_both_ways_in_the_readers_unit(system: System) -> None:
    """4 in or 100 mm, measured in the PDF's own drawing commands: no scaling, one point a point."""
    long = 288.0 if system is System.INCH else 100 / 25.4 * 72
    with reading_in(system):
        doc = templates.docs(made())[0]
        reader = PdfReader(io.BytesIO(engine.render([doc], HEAD)))
    assert len(reader.pages) == sum(isinstance(b, engine.Drawn) for b in doc.blocks) > 2
    for page in reader.pages:
        text = page.get_contents().get_data().decode("latin-1")
        assert not [
            m
            for m in re.findall(r"([\d.]+) 0 0 ([\d.]+) [\d.]+ [\d.]+ cm", text)
            if (float(m[0]), float(m[1])) != (1.0, 1.0)
        ]
        runs = re.findall(r"n ([\d.]+) ([\d.]+) m ([\d.]+) ([\d.]+) l", text)
        level = {round(abs(float(c) - float(a)), 2) for a, b, c, d in runs if b == d}
        upright = {round(abs(float(d) - float(b)), 2) for a, b, c, d in runs if a == c}
        assert any(x == pytest.approx(long, abs=0.02) for x in level)
        assert any(x == pytest.approx(long, abs=0.02) for x in upright)


def closed_form(r: float, radius: float, out: float, angle: float, a: np.ndarray) -> np.ndarray:
    """Where a tube's surface meets a round whose axis lies ``angle`` (90 deg = square) from it in
    the plane of 90 deg: z / sin + y / tan (any descriptive-geometry text), from the plane that
    stands ``out`` short of the round's axis. ``a``: from the side that touches, clockwise seen from
    outside.
    """
    depth = np.sqrt(np.maximum(r * r - (radius * np.cos(a)) ** 2, 0.0)) / math.sin(angle)
    return depth + radius * np.sin(a) / math.tan(angle) - out


@pytest.mark.parametrize("slant", [0.0, 4.0, -7.0, 12.0])
@pytest.mark.parametrize(("od", "onto"), [(50.0, 50.0), (50.0, 80.0), (32.0, 51.0)])
def test_cope_is_the_handbook_formula(slant: float, od: float, onto: float) -> None:
    """Crown to side a square joint falls by R - sqrt(R2 - r2) (any descriptive-geometry text);
    aslant by the general form.
    """
    angle, n = math.pi / 2 + math.radians(slant), 361
    a = np.linspace(0.0, math.tau, n)
    back = cope(TubeEnd("cope", onto, angle), 0, od, od / 2, a)
    out = math.sqrt((onto / 2) ** 2 - (od / 2) ** 2)
    if not slant:
        assert float(back.max()) == pytest.approx(onto / 2 - out, abs=1e-6)
        assert float(back.min()) == pytest.approx(0.0, abs=1e-6)
    want = np.maximum(closed_form(onto / 2, od / 2, out, angle, a), 0.0)
    other = np.maximum(closed_form(onto / 2, od / 2, out, math.pi - angle, a), 0.0)
    assert back == pytest.approx(want, abs=1e-6) or back == pytest.approx(other, abs=1e-6)


NEAREST = 14.0
"""Points from the paper's edge that printers leave bare: common practice, no source."""


@pytest.mark.parametrize("system", System)
@pytest.mark.parametrize("paper", ["letter", "A4"])
@pytest.mark.parametrize("name", once(NAMES))
def test_nothing_stands_on_lettering_and_everything_on_the_paper(
    name: str, paper: str, system: System
) -> None:
    f = made(name)
    with reading_in(system):
        doc = templates.docs(replace(f, shop=f.shop._replace(paper=paper)))[0]
    wide, high = PAPERS[paper]
    bare = shapely.box(NEAREST, NEAREST, wide - NEAREST, high - NEAREST)
    for drawn in doc.blocks:
        drawn_lines, texts = lines(drawn.sheet), [(box(t), t.words) for t in drawn.sheet.texts]
        assert all(bare.contains(shape) for shape in (*drawn_lines, *(t for t, _ in texts)))
        tree = shapely.STRtree(drawn_lines)
        crossed = [words for t, words in texts if len(tree.query(t, predicate="intersects"))]
        over = [
            (one, two) for (a, one), (b, two) in itertools.combinations(texts, 2) if a.intersects(b)
        ]
        assert crossed == over == []


@pytest.mark.parametrize("seed", range(20))
def test_pieces_lie_whole_and_apart(seed: int) -> None:
    """Whatever their sizes: on the paper beside the bars, none over another, all of them; and a
    page is begun for none that an earlier one has room for beside what lies there.
    """
    rng, paper = random.Random(seed), PAPERS["letter"]
    laid: dict[object, list[shapely.Polygon]] = {}

    def piece(wide: float, high: float) -> full_size.FullSize:
        def draw(sheet, corner) -> None:
            x, y = corner
            laid.setdefault(sheet, []).append(shapely.box(x, y, x + wide, y + high))

        return full_size.FullSize([full_size.Lying((wide, high), draw)], ["how it is used"])

    sizes = [(rng.uniform(40, 500), rng.uniform(40, 600)) for _ in range(rng.randint(1, 12))]
    sheets = [*full_size.packed([piece(*size) for size in sizes], paper)]
    every = [shape for shapes in laid.values() for shape in shapes]
    assert sorted(s.area for s in every) == pytest.approx(sorted(w * h for w, h in sizes))
    bars_and_words = [
        shapely.union_all([*lines(sheet), *map(box, sheet.texts)]) for sheet in sheets
    ]
    for shapes, rest in zip(laid.values(), bars_and_words, strict=True):
        assert all(shapely.box(0, 0, *paper).contains(shape) for shape in shapes)
        for one, two in itertools.combinations((*shapes, rest), 2):
            assert one.distance(two) > 1.0


@pytest.mark.parametrize("name", once(NAMES))
def test_pages_hold_more_than_one_template_where_they_fit(name: str) -> None:
    """Two of these tubes' wraps lie side by side on a letter page, as do two of the drill
    templates: no page holds one alone but the last.
    """
    doc = templates.docs(made(name))[0]
    pages = pages_of(engine.render([doc], HEAD))
    held = [len(re.findall(r", rev [^\n]*", page)) for page in pages]
    assert min(held[:-1]) > 1 and sum(held) >= 2 * len(held) - 1


def strips(name: str = "demo") -> dict[str, list[np.ndarray]]:
    """Wraps read from the PDF's own drawing commands, in the order of a page's words: tube and end
    -> outside, bore and zero line in mm, as drawn. Each names its revision too.
    """
    doc = templates.docs(made(name))[0]
    found = {}
    for page in PdfReader(io.BytesIO(engine.render([doc], HEAD))).pages:
        said = re.findall(
            r"([A-Z]+\d+(?: left| right)?) [^\n]*, rev \S+, end ([AB])[^\n]*: wrap round",
            page.extract_text(),
        )
        data = page.get_contents().get_data().decode("latin-1")
        paths = [
            np.array(re.findall(r"([-\d.]+) ([-\d.]+) [ml]", path), dtype=float) / 72 * 25.4
            for path in re.findall(r"n ((?:[-\d.]+ [-\d.]+ [ml]\s*)+)", data)
        ]
        wide = [at for at, path in enumerate(paths) if len(path) > 60][::2]
        for words, at in zip(said, wide, strict=True):
            found[" ".join(words)] = paths[at : at + 3]
    return found


@pytest.mark.parametrize("name", once(NAMES))
def test_wraps_are_the_ends_of_the_solids(name: str) -> None:
    """Every coped tube: the wide line of its wrap, measured in the PDF from its zero line, against
    the points of the STEP kernel's own edges on the outside, the dashed line against those in the
    bore; and the blank of the cut list reaches exactly to the zero line.
    """
    from soapstone.parts.export import step

    f, drawn = made(name), strips(name)
    coped = [
        (p, n)
        for p in f.truck.parts
        for n, e in enumerate(getattr(p.member.body, "ends", ()))
        if e.kind == "cope"
    ]
    assert len(coped) >= 2 and set(drawn) == {f"{names.made(p)} {'AB'[n]}" for p, n in coped}
    for p, n in coped:
        wide, dashed, zero = drawn[f"{names.made(p)} {'AB'[n]}"]
        upright = abs(zero[0][0] - zero[1][0]) < 1e-6
        t = f.shop.tube(p.member.body.stock)
        solid = step.body(p.member, p, f.shop)
        box = solid.BoundingBox()
        assert box.xmax - box.xmin == pytest.approx(p.member.body.length, abs=0.02)
        for line, radius in ((wide, t.od / 2), (dashed, t.od / 2 - t.wall)):
            around = line[:, 1] - zero[0][1] if upright else line[:, 0] - zero[0][0]
            back = zero[0][0] - line[:, 0] if upright else line[:, 1] - zero[0][1]
            assert around[-1] == pytest.approx(math.pi * t.od, abs=0.05), "once round"
            points = np.array(
                [
                    e.positionAt(k).toTuple()
                    for e in solid.Edges()
                    if e.geomType() != "LINE"
                    for k in np.linspace(0, 1, 80)
                    if abs(math.hypot(*e.positionAt(k).toTuple()[1:]) - radius) < 0.01
                ]
            )
            x = points[:, 0] if n == 0 else p.member.body.length - points[:, 0]
            end = x < 2 * t.od
            turn = np.arctan2(-points[:, 1] * (1 if n == 0 else -1), points[:, 2])[end] % math.tau
            fine = np.linspace(0, len(around) - 1, 20 * len(around))
            u, v = (np.interp(fine, np.arange(len(around)), q) for q in (around, back))
            off = [
                np.min(np.hypot(u - a * t.od / 2, v - b)) for a, b in zip(turn, x[end], strict=True)
            ]
            assert len(off) > 100 and max(off) < 0.15, (p.id, max(off))
            assert float(back.max()) == pytest.approx(float(x[end].max()), abs=0.05)

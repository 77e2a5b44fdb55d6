"""Drawings as files: read by pypdf and ezdxf."""

from __future__ import annotations

import io

import pytest
from pdf_text import pages as pages_of
from soapstone.layout.job.load import Job
from soapstone.layout.setout import solve
from soapstone.parts import stock
from soapstone.parts.drawing.hands import twins
from soapstone.parts.truck.truck import Truck, is_plate

SHOP = stock.default_shop()


def test_drawings_through_pypdf(truck: Truck, made: dict[str, bytes]) -> None:

    from pypdf import PdfReader

    names = [n for n in made if n.startswith("drawing/") and n.endswith(".pdf")]
    drawn_with = twins(truck.parts, truck.assembly.welds)
    fewest = len(truck.parts) - len(drawn_with)
    assert fewest <= len(names) < len(truck.parts), "one sheet an outline, not a hand"
    for part in filter(is_plate, truck.parts):
        if part.id in drawn_with:
            continue
        name = next(n for n in names if f"d{part.cut_fingerprint[:6]}" in n)
        page = PdfReader(io.BytesIO(made[name])).pages[0]
        assert float(page.mediabox.width) in (792.0, 1224.0)
        (text,) = pages_of(made[name])
        steel = part.member.body.stock.rpartition(" ")[2]
        for words in (part.member.title, steel, "not an approval", "DRAFT", "void as soon"):
            said = words in text or (words == "DRAFT" and "NOT FOR CUTTING" in text)
            assert said, (part.id, words)


def test_set_out_sheet_says_where_every_point_is(job: Job, made: dict[str, bytes]) -> None:
    """pypdf: page size, points, diagonals that are equal on the even truck (a right and a left
    triangle of the same legs).
    """

    from pypdf import PdfReader
    from soapstone.parts.drawing.setout import diagonals, points

    pages = PdfReader(io.BytesIO(made["sheet/setout.pdf"])).pages
    assert [float(v) for v in pages[0].mediabox[2:]] == [792.0, 612.0]
    words = pages_of(made["sheet/setout.pdf"])[0]
    assert (
        "17 1/8 ahead" in words
        and "33 1/8" in words
        and "33.127" not in words
        and "not an approval" in words
    )
    solved = solve(job)
    for _, one, two in diagonals(points(solved)):
        assert one == pytest.approx(two)


def test_no_two_files_of_a_build_share_a_name_and_a_solid_says_mm(made: dict[str, bytes]) -> None:
    names = [n.rpartition("/")[2] for n in made if n.endswith((".dxf", ".step"))]
    assert len(names) == len(set(names))
    assert all(n.endswith("-mm.step") for n in names if n.endswith(".step"))


def test_every_page_says_what_makes_it_void(made: dict[str, bytes]) -> None:
    """All sheets, drawings, nests, travel, strength and layout: a print that lies about says which
    chassis it is of and when it is no longer good. Stages are made of these.
    """
    sheets = [p for p in made if p.endswith(".pdf") and not p.startswith("sheet/stage-")]
    assert len(sheets) > 90
    for path in sheets:
        for n, words in enumerate(pages_of(made[path]), 1):
            assert "Draft of chassis DEMO1: void as soon as" in words, f"{path}, page {n}"

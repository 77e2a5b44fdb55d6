"""Drawings as files: read by pypdf and ezdxf."""

from __future__ import annotations

import io

import numpy as np
import pytest
from soapstone.layout.job.load import Job
from soapstone.layout.setout import solve
from soapstone.parts import stock
from soapstone.parts.geometry import outline
from soapstone.parts.truck.truck import Truck, is_plate

SHOP = stock.default_shop()


def test_drawings_through_pypdf(truck: Truck, made: dict[str, bytes]) -> None:
    import io

    from pypdf import PdfReader

    names = [n for n in made if n.startswith("drawing/") and n.endswith(".pdf")]
    assert len(names) == len(truck.parts)
    for part in filter(is_plate, truck.parts):
        name = next(n for n in names if f"d{part.cut_fingerprint[:6]}" in n)
        page = PdfReader(io.BytesIO(made[name])).pages[0]
        assert (float(page.mediabox.width), float(page.mediabox.height)) == (792.0, 612.0)
        text = page.extract_text()
        x0, _, x1, _ = outline.bbox(part.member.body.outline)  # type: ignore[union-attr]
        for words in (
            part.member.title,
            part.member.body.stock,
            "not an approval",
            "DRAFT",
            f"({(x1 - x0) / 25.4:.3f})",
        ):  # type: ignore[union-attr]
            said = words in text or (words == "DRAFT" and "NOT FOR CUTTING" in text)
            assert said, (part.id, words)
        for i in range(1, len(part.holes) + 1):
            assert f"H{i}" in text


def test_no_drawing_text_runs_off_its_sheet_or_over_another(truck: Truck) -> None:
    """Boxes of all texts by the font's own widths: inside the frame, none on another."""
    from soapstone.parts.drawing import display, sheet

    shop = stock.default_shop()
    head = {
        "chassis": "DEMO1",
        "revision": "d123456",
        "date": "2026-01-15",
        "level": "DRAFT - not released",
    }
    for part in truck.parts:
        s = sheet(
            part, tuple(w for w in truck.assembly.welds if part.id in (w.on, w.to)), head, shop
        )
        boxes = []
        for t in s.texts:
            w = display.width_of(t.words, t.size, t.bold)
            x = t.at[0] - {"start": 0.0, "middle": w / 2, "end": w}[t.anchor]
            boxes.append(
                (x, t.at[1], x + w, t.at[1] + 0.7 * t.size, t.words)
                if not t.turn
                else (t.at[0] - 0.7 * t.size, t.at[1] - w / 2, t.at[0], t.at[1] + w / 2, t.words)
            )
        for i, a in enumerate(boxes):
            assert a[0] >= 36 and a[2] <= 756 and a[1] >= 36 and a[3] <= 576, (part.id, a)
            for c in boxes[i + 1 :]:
                assert a[2] <= c[0] or c[2] <= a[0] or a[3] <= c[1] or c[3] <= a[1], (part.id, a, c)


def test_set_out_sheet_says_where_every_point_is(job: Job, made: dict[str, bytes]) -> None:
    """pypdf: page size, points, diagonals that are equal on the even truck (a right and a left
    triangle of the same legs).
    """
    import io

    from pypdf import PdfReader
    from soapstone.parts.drawing.setout import diagonals, points

    pages = PdfReader(io.BytesIO(made["sheet/setout.pdf"])).pages
    assert [float(v) for v in pages[0].mediabox[2:]] == [792.0, 612.0]
    words = pages[0].extract_text()
    assert (
        "17 1/8 ahead" in words
        and "33 1/8" in words
        and "33.127" not in words
        and "not an approval" in words
    )
    solved = solve(job)
    for _, one, two in diagonals(points(solved)):
        assert one == pytest.approx(two)


def test_drawings_as_dxf_have_the_same_words(truck: Truck, made: dict[str, bytes]) -> None:
    import io

    import ezdxf

    for name in (n for n in made if n.startswith("drawing/") and n.endswith(".dxf")):
        words = {
            e.dxf.text
            for e in ezdxf.read(io.StringIO(made[name].decode())).modelspace().query("TEXT")
        }
        assert "Chassis" in words and any("not an approval" in w for w in words)


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_drawing_file_is_one_to_one_and_never_named_as_the_cut_file(
    truck: Truck, made: dict[str, bytes], unit: str
) -> None:
    """The outline in the drawing's model space has the size of the cut file's, from its own lower
    left, in the unit of its header and name; no two files of a build share a name, and a solid says
    mm.
    """
    import io

    import ezdxf
    from soapstone.parts import drawing

    names = [n.rpartition("/")[2] for n in made if n.endswith((".dxf", ".step"))]
    assert len(names) == len(set(names))
    assert all(n.endswith("-mm.step") for n in names if n.endswith(".step"))
    k = 25.4 if unit == "in" else 1.0
    for part in [p for p in truck.parts if is_plate(p)][::6]:
        sheet = drawing.sheet(part, (), {"chassis": "DEMO1"}, SHOP)
        doc = ezdxf.read(io.StringIO(drawing.dxf(sheet, unit).decode()))
        assert doc.units == (1 if unit == "in" else 4)
        x0, y0, x1, y1 = outline.bbox(part.member.body.outline)  # type: ignore[union-attr]
        found = [
            np.array([v[:2] for v in e.get_points()])
            for e in doc.modelspace().query("LWPOLYLINE")
            if e.dxf.layer == "VISIBLE"
        ]
        assert any(
            (*p.min(axis=0), *p.max(axis=0))
            == pytest.approx((0, 0, (x1 - x0) / k, (y1 - y0) / k), abs=0.05 / k)
            for p in found
        ), part.id


def test_every_page_says_what_makes_it_void(made: dict[str, bytes]) -> None:
    """All sheets, drawings, nests, travel, strength and layout: a print that lies about says which
    chassis it is of and when it is no longer good. Stages are made of these.
    """
    from pypdf import PdfReader

    sheets = [p for p in made if p.endswith(".pdf") and not p.startswith("sheet/stage-")]
    assert len(sheets) > 90
    for path in sheets:
        for n, page in enumerate(PdfReader(io.BytesIO(made[path])).pages, 1):
            words = page.extract_text()
            assert "Draft of chassis DEMO1: void as soon as" in words, f"{path}, page {n}"

"""Part drawings: the outline can be rebuilt from what is printed, texts do not lie on each other,
nothing runs off, weld symbols carry the size of the weld.
"""

from __future__ import annotations

import itertools
import math

import pytest
from papers import sheet
from soapstone.parts.drawing.display import PAGE, Text, crosses, width_of
from soapstone.parts.drawing.sheet import MARGIN
from soapstone.parts.geometry import outline
from soapstone.parts.model.body import Plate
from soapstone.parts.model.numbering import numbered_welds
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import is_plate
from trucks import NAMES, truck

SHOP = default_shop()
IN = 25.4
HEAD = {"chassis": "DEMO1", "revision": "A", "date": "2026-01-15", "level": "tack"}


def box(t: Text) -> tuple[float, float, float, float]:
    w, h = width_of(t.words, t.size, t.bold), 0.7 * t.size
    x0 = {"start": 0.0, "middle": -w / 2, "end": -w}[t.anchor]
    c, s = math.cos(math.radians(t.turn)), math.sin(math.radians(t.turn))
    pts = [
        (t.at[0] + x * c - y * s, t.at[1] + x * s + y * c) for x in (x0, x0 + w) for y in (0.0, h)
    ]
    return (
        min(p[0] for p in pts),
        min(p[1] for p in pts),
        max(p[0] for p in pts),
        max(p[1] for p in pts),
    )


@pytest.mark.parametrize("name", NAMES)
def test_texts_do_not_lie_on_each_other_and_stay_on_the_sheet(name: str) -> None:
    t, _ = truck(name)
    for p in t.parts:
        s = sheet(t, p)
        boxes = [(box(x), x.words) for x in s.texts]
        for (x0, y0, x1, y1), words in boxes:
            assert (
                x0 >= MARGIN - 1
                and x1 <= PAGE[0] - MARGIN + 1
                and y0 >= MARGIN - 1
                and y1 <= PAGE[1] - MARGIN + 1
            ), (p.id, words)
        for i, (a, one) in enumerate(boxes):
            for b, two in boxes[i + 1 :]:
                over = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
                assert not (over[0] > 1.0 and over[1] > 1.0), (p.id, one, two)


@pytest.mark.parametrize("name", NAMES)
def test_no_line_runs_through_a_text(name: str) -> None:
    t, _ = truck(name)
    for p in t.parts:
        s = sheet(t, p)
        for x in s.texts:
            b = box(x)
            inner = (b[0] + 0.6, b[1] + 0.6, b[2] - 0.6, b[3] - 0.6)
            for ln in (k for k in s.lines if not k.white):
                pts = (*ln.points, ln.points[0]) if ln.closed else ln.points
                assert not any(crosses(u, v, inner) for u, v in itertools.pairwise(pts)), (
                    p.id,
                    x.words,
                )


@pytest.mark.parametrize("name", NAMES)
def test_each_outline_is_rebuilt_from_the_corners_printed(name: str) -> None:
    """Start points and radii from the sheet's own text; the turn of an arc by which of its two
    circles closes the area.
    """
    t, _ = truck(name)
    for p in filter(is_plate, t.parts):
        body = p.member.body
        assert isinstance(body, Plate)
        s = sheet(t, p)
        rows: dict[int, dict[float, str]] = {}
        for x in s.texts:
            if x.size == 7.5 and not x.bold and x.at[0] in (528.0, 554.0, 600.0, 646.0):
                rows.setdefault(round(x.at[1] * 100), {})[x.at[0]] = x.words
        table = [
            r
            for r in rows.values()
            if set(r) == {528.0, 554.0, 600.0, 646.0} and r[528.0].isdigit()
        ]
        want = len(body.outline)
        if len(table) < want:
            continue  # more corners than a sheet takes: the schedule has them
        corners = [
            (float(r[554.0]), float(r[600.0]), 0.0 if r[646.0] == "straight" else float(r[646.0]))
            for r in sorted(table, key=lambda r: int(r[528.0]))[:want]
        ]
        true = [e.start for e in body.outline]
        x0, y0, *_ = outline.bbox(body.outline)
        for (x, y, r), e, q in zip(corners, body.outline, (*true[1:], true[0]), strict=True):
            assert (x * IN + x0, y * IN + y0) == pytest.approx(e.start, abs=0.02), p.id
            if r:
                assert r * IN == pytest.approx(
                    outline.arc_of(e.start, q, e.bulge).radius, abs=0.02
                ), p.id
        chords = (
            abs(
                sum(
                    a[0] * b[1] - a[1] * b[0]
                    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)
                )
            )
            / 2
            * IN**2
        )
        bows = sum(
            (r * IN) ** 2 * (a - math.sin(a)) / 2 * way
            for (x, y, r), e, q in zip(corners, body.outline, (*true[1:], true[0]), strict=True)
            if r
            for a, way in [(4 * math.atan(abs(e.bulge)), math.copysign(1, e.bulge))]
        )
        assert chords + bows == pytest.approx(outline.area(body.outline), rel=2e-3), p.id


@pytest.mark.parametrize("name", NAMES)
def test_weld_symbols_say_the_leg_and_the_stitch(name: str) -> None:
    from soapstone.layout.units import tape as fraction

    t, _ = truck(name)
    numbers = {w.id: n for n, w in numbered_welds(t.assembly).items()}
    for p in filter(is_plate, t.parts):
        words = [x.words for x in sheet(t, p).texts]
        for w in t.assembly.welds:
            if w.on == p.id and numbers[w.id] in words:
                size = f"{fraction(w.groove.depth)} " if w.groove else ""
                said = f"{size}({fraction(w.leg)})" if w.groove else fraction(w.leg)
                assert said in words, (p.id, w.id)
                if w.run:
                    assert f"{fraction(w.run)}-{fraction(w.pitch)}" in words, (p.id, w.id)

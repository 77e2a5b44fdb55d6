"""Part drawings as sheets: nothing stands on anything, scale and lettering are standard, each says
what its maker must know.
"""

from __future__ import annotations

import io
import math
import re

import ezdxf
import pytest
import shapely
import shapely.affinity
from drawn_parts import JOBS, job_of, reading, sheet_of, sheets
from on_a_sheet import one_on_another, tall
from soapstone.layout.reader import metric
from soapstone.layout.units import tape as fraction
from soapstone.parts import drawing
from soapstone.parts.drawing.canvas import POINTS
from soapstone.parts.drawing.hands import twins
from soapstone.parts.geometry import outline
from soapstone.parts.model.assembly import Part
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.model.numbering import numbered_welds
from soapstone.parts.rules.welds import leg_text
from soapstone.parts.truck.truck import is_plate

EIGHTH, THREE_MM = 9.0, 8.504
"""Least height of lettering, points: 1/8 in; 3 mm (ISO 3098, ASME Y14.2)."""
INCH = {4.0, 2.0, 1.0, 0.5, 0.25, 0.125}
ISO = {5.0, 2.0, 1.0, 0.5, 0.2, 0.1}
"""Standard scales: an inch shop's full, half, quarter, eighth and enlarged; ISO 5455."""
PAPERS = {
    "letter": {(792.0, 612.0), (1224.0, 792.0), (1584.0, 1224.0)},
    "A4": {(841.89, 595.28), (1190.55, 841.89), (1683.78, 1190.55)},
}


@pytest.mark.parametrize("name", JOBS)
def test_nothing_stands_on_anything(name: str) -> None:
    """No text on a text, on a line or over the frame."""
    for part, sheet in sheets(name):
        assert one_on_another(sheet) == [], part.id


@pytest.mark.parametrize("name", JOBS)
def test_no_leader_runs_across_the_part(name: str) -> None:
    """But to what lies within it: a hole, a slot, an opening or its weld."""
    for part, sheet in sheets(name):
        view = sheet.view
        assert view is not None
        if not view.exact:
            continue
        rings = [
            [
                (view.origin[0] + view.scale * x, view.origin[1] + view.scale * y)
                for x, y in outline.flatten(loop, 0.02)
            ]
            for loop in view.exact
        ]
        steel = shapely.Polygon(rings[0], rings[1:]).buffer(-1.5)
        rim = shapely.LinearRing(rings[0])
        for placed in view.placed:
            if placed.measured.what in ("x", "y", "linear") or not placed.lines:
                continue
            tip = placed.measured.points[-1]
            within = rim.distance(shapely.Point(tip)) > 3.0
            if not within:
                leader = shapely.LineString(placed.lines[0][0])
                assert leader.intersection(steel).length < 2.0, (part.id, placed.measured.words)


@pytest.mark.parametrize("name", JOBS)
def test_scale_paper_and_lettering_are_standard(name: str) -> None:
    _, shop = job_of(name)
    standard, least = (ISO, THREE_MM) if name == "mm" else (INCH, EIGHTH)
    small = 0
    for part, sheet in sheets(name):
        assert sheet.size in PAPERS[shop.paper], part.id
        small += sheet.size == min(PAPERS[shop.paper])
        assert sheet.view is not None
        ratio = sheet.view.scale / POINTS
        assert any(math.isclose(ratio, one) for one in standard), (part.id, ratio)
        for text in sheet.texts:
            assert tall(text) >= least - 0.01, (part.id, text.words)
    assert small > 0.6 * len(sheets(name)), "most parts come on the smallest sheet"


@pytest.mark.parametrize("name", JOBS)
def test_each_sheet_says_what_its_maker_must_know(name: str) -> None:
    for part, sheet in sheets(name):
        words = [text.words for text in sheet.texts]
        for label in (
            "drawing",
            "rev",
            "sheet",
            "material",
            "mass",
            "scale",
            "projection",
            "finish",
        ):
            assert label in words, (part.id, label)
        for label in ("drawn by", "checked by", "approved by", "tolerances", "level"):
            assert label in words, (part.id, label)
        for label in ("what changed: none released yet", "by", "date"):
            assert label in words, (part.id, label)
        assert f"DEMO1-{part.number}" in words and part.member.title in words
        assert ("millimeters" if name == "mm" else "inches") in words
        assert any("not an approval" in w for w in words), part.id


@pytest.mark.parametrize("name", JOBS)
def test_every_weld_of_a_plate_has_its_symbol_with_leg_and_stitch(name: str) -> None:
    made, _ = job_of(name)
    numbers = {w.id: n for n, w in numbered_welds(made.assembly).items()}
    with reading(name):
        for part, sheet in sheets(name):
            if not is_plate(part):
                continue
            words = [text.words for text in sheet.texts]
            for weld in made.assembly.welds:
                if weld.on != part.id:
                    continue
                assert numbers[weld.id] in words, (part.id, weld.id)
                leg, unit = leg_text(weld.leg), " mm" if metric() else ""
                if weld.groove:
                    deep = f"{fraction(weld.groove.depth)}{unit}"
                    assert f"{deep} deep, throat {leg}" in words or not weld.groove.bevel, part.id
                    leg = f"{deep} ({leg})"
                assert leg in words, (part.id, weld.id)
                if weld.run:
                    assert f"{fraction(weld.run)}-{fraction(weld.pitch)}" in words, part.id


@pytest.mark.parametrize("name", JOBS)
def test_edges_are_called_by_words(name: str) -> None:
    """No name of the model's edges on a drawing, datums and welds' edges alike: none of a tab's
    ("seat_tab0a"), of what is left of a parted edge ("front~"), of a lock ("lock_CM2_0").
    """
    code = re.compile(r"[a-z]\d+[a-z]\b|[a-z]_[a-z]|\w~|\block ")
    for part, sheet in sheets(name):
        said = [text.words for text in sheet.texts]
        revised = r"\bd[0-9a-f]{6}\b"
        assert not [w for w in said if code.search(re.sub(revised, "", w))], part.id


@pytest.mark.parametrize("name", JOBS)
def test_a_drawing_file_is_the_part_one_to_one_and_the_sheet_as_a_layout(name: str) -> None:
    """Model space holds the very outline of the part; the layout looks at it to the scale stated;
    layers are those of ISO 128's line types; ezdxf's audit finds nothing.
    """
    _, shop = job_of(name)
    mm = 25.4 if shop.unit == "in" else 1.0
    for part, sheet in sheets(name)[::4]:
        with reading(name):
            doc = ezdxf.read(io.StringIO(drawing.dxf(sheet, shop.unit).decode()))
        audit = doc.audit()
        assert not audit.errors and not audit.fixes, part.id
        assert doc.units == (1 if shop.unit == "in" else 4)
        assert sheet.view is not None
        if is_plate(part):
            assert _outline_area(doc, mm) == pytest.approx(_true_area(part), rel=1e-6), part.id
        paper = doc.layout("Layout1")
        ports = [p for p in paper.viewports() if p.dxf.id != 1]
        assert len(ports) == 1
        ratio = ports[0].dxf.height / (ports[0].dxf.view_height * mm)
        assert ratio == pytest.approx(sheet.view.scale / POINTS), part.id
        kinds = {e.dxftype() for e in doc.modelspace()}
        assert "DIMENSION" in kinds
        assert {e.dxf.layer for e in doc.modelspace()} <= {layer.dxf.name for layer in doc.layers}
        words = {e.dxf.text for e in paper.query("TEXT")}
        assert f"DEMO1-{part.number}" in words


def _outline_area(doc, mm: float) -> float:
    """The largest loop of the visible edges, mm2: chords and the segments of their arcs."""
    space, found = doc.modelspace(), []
    for line in space.query("LWPOLYLINE"):
        if line.dxf.layer != "01.2-VISIBLE" or not line.closed:
            continue
        rows, total = line.get_points("xyb"), 0.0
        for (x, y, bulge), (x2, y2, _) in zip(rows, [*rows[1:], rows[0]], strict=True):
            sweep, chord = 4 * math.atan(bulge), math.hypot(x2 - x, y2 - y)
            total += (x * y2 - x2 * y) / 2
            if bulge:
                radius = chord / (2 * math.sin(abs(sweep) / 2))
                total += radius**2 * (sweep - math.sin(sweep)) / 2
        found.append(abs(total) * mm * mm)
    found += [math.pi * (c.dxf.radius * mm) ** 2 for c in space.query("CIRCLE")]
    return max(found)


def _true_area(part: Part) -> float:
    assert isinstance(part.member.body, Plate)
    return outline.area(part.member.body.outline)


@pytest.mark.parametrize("name", JOBS)
def test_a_tube_is_drawn_to_scale_with_both_its_ends(name: str) -> None:
    for part, sheet in sheets(name):
        body = part.member.body
        if not isinstance(body, Tube):
            continue
        words = " | ".join(text.words for text in sheet.texts)
        assert "end A: " in words and "end B: " in words and "wall " in words, part.id
        assert sheet.view is not None
        long = next(p for p in sheet.view.placed if p.measured.what == "linear")
        assert long.measured.size == pytest.approx(body.length)
        shown = math.dist(*long.measured.points[:2]) / sheet.view.scale
        assert shown == pytest.approx(body.length), part.id
        for end in body.ends:
            assert ("cope to Ø" in words) or end.kind != "cope", part.id


def test_one_drawing_for_both_hands_only_where_one_is_the_other_mirrored() -> None:
    """By a library: the mirrored outline laid on the other within a tenth of a millimeter."""
    made, shop = job_of("demo")
    pairs = twins(made.parts, made.assembly.welds)
    by_id = {part.id: part for part in made.parts}
    assert len(pairs) > 10
    for right, left in pairs.items():
        one, two = by_id[left].member.body, by_id[right].member.body
        assert isinstance(one, Plate) and isinstance(two, Plate)
        own = shapely.Polygon(outline.flatten(one.outline, 0.01))
        other = shapely.Polygon([(x, -y) for x, y in outline.flatten(two.outline, 0.01)])
        assert _laid(own, other) < 0.1, right
    left = by_id[pairs["AB1.R"]]
    sheet = sheet_of(made, left, shop, by_id["AB1.R"])
    words = [text.words for text in sheet.texts]
    assert "AB1 left as drawn, AB1 right mirrored" in words and "1 + 1" in words
    assert any(w.startswith("On AB1 right, mirrored: W") for w in words)
    moved = by_id["AB1.R"]._replace(holes=())
    assert "AB1.R" not in twins([left, moved], made.assembly.welds)


def _laid(own: shapely.Polygon, other: shapely.Polygon) -> float:
    """How far apart two outlines are once centroids and the best of the turns by a vertex agree."""
    a, b = own.centroid, other.centroid
    far = max(own.exterior.coords, key=lambda p: math.dist(p, (a.x, a.y)))
    reach, at = math.dist(far, (a.x, a.y)), math.atan2(far[1] - a.y, far[0] - a.x)
    best = math.inf
    for x, y in other.exterior.coords:
        if abs(math.dist((x, y), (b.x, b.y)) - reach) < 0.2:
            turn = at - math.atan2(y - b.y, x - b.x)
            laid = shapely.affinity.translate(
                shapely.affinity.rotate(other, turn, origin=b, use_radians=True),
                a.x - b.x,
                a.y - b.y,
            )
            best = min(best, own.exterior.hausdorff_distance(laid.exterior))
    return best

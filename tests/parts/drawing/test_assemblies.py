"""Assembly drawings: every part, weld and bolt on one of them, pointed at where it is in sight,
nothing over anything, to a standard scale, the same numbers as the layout sheet.
"""

from __future__ import annotations

import io
import itertools
import math
from collections import Counter
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from again import once
from drawn_assemblies import JOBS, assemblies, general, grouped, placed, reading, solved
from drawn_parts import job_of
from on_a_sheet import one_on_another, tall
from soapstone.layout.units import tape
from soapstone.parts import drawing
from soapstone.parts.drawing.assembled import DrawnGroup, StepLook, shown, steps
from soapstone.parts.drawing.assembled.lists import waits
from soapstone.parts.drawing.assembled.marks import weld_points
from soapstone.parts.drawing.assembled.pictures import scene
from soapstone.parts.drawing.canvas import POINTS
from soapstone.parts.drawing.setout import points
from soapstone.parts.model.body import Existing, Helix
from soapstone.parts.truck.truck import families

INCH = {1.0, 0.5, 0.25, 0.125}
ISO = {1.0, 0.5, 0.2, 0.1}
"""Standard scales: an inch shop's full, half, quarter, eighth; ISO 5455."""
PAPERS = {
    "demo": {(1224.0, 792.0), (1584.0, 1224.0), (2448.0, 1584.0)},
    "mm": {(1190.55, 841.89), (1683.78, 1190.55), (2383.94, 1683.78)},
}
"""ANSI B, C, D and ISO A3, A2, A1, lying, points."""


def every(name: str) -> tuple[DrawnGroup, ...]:
    return (*assemblies(name), general(name))


@pytest.mark.parametrize("name", once(JOBS))
def test_nothing_found_no_room(name: str) -> None:
    for drawn in every(name):
        assert drawn.left == (), drawn.group.name


@pytest.mark.parametrize("name", once(JOBS))
def test_no_text_stands_on_a_text_or_a_line(name: str) -> None:
    for drawn in every(name):
        assert one_on_another(drawn.sheet) == [], drawn.group.name


@pytest.mark.parametrize("name", once(JOBS))
def test_every_view_says_from_where_it_is_seen(name: str) -> None:
    for drawn in every(name):
        said = {text.words for text in drawn.sheet.texts}
        looks = {each.direction.words for each in drawn.board.pictures}
        assert looks <= said and len(looks) >= 3, drawn.group.name


@pytest.mark.parametrize("name", once(JOBS))
def test_every_part_weld_and_bolt_stands_on_one_sheet(name: str) -> None:
    """But tools, which do not stay on the truck, and what was there already."""
    whole = placed(name)
    members = Counter(m.code for g, _ in grouped(name) for m in g.members)
    right = {f"{c[:-1]}R" for g, _ in grouped(name) if g.both for c in (m.code for m in g.members)}
    made, _ = job_of(name)
    for code, member in whole.members.items():
        if isinstance(member.body, Existing) or isinstance(
            getattr(member.body, "solid", None), Helix
        ):
            assert code not in members
        else:
            assert members[code] + (code in right) == 1, code
    for what, numbers in (("welds", whole.welds), ("bolts", whole.bolts)):
        found = Counter(n for g, _ in grouped(name) for n in getattr(g, what))
        twins = [
            whole.other_side(x.id)
            for g, _ in grouped(name)
            if g.both
            for x in getattr(g, what).values()
        ]
        found.update(twins)
        assert found == dict.fromkeys(numbers, 1), what
    assert {m.code for m in made.assembly.members} - set(whole.members) == {
        m.code for m in made.assembly.members if m.fixed_after == "tool"
    }


def test_every_family_names_the_sheet_its_parts_stand_on() -> None:
    """A new family gets its drawing for nothing; only tools and what is there already have none."""
    made, _ = job_of("demo")
    there = ("tool", "existing")
    own = {made.made_by[m.code] for m in made.assembly.members if m.fixed_after not in there}
    bare = set(made.made_by.values()) - own
    for name, family in families():
        assert bool(family.sheet) == (name not in bare), name


@pytest.mark.parametrize("name", once(JOBS))
def test_every_balloon_is_on_its_list_and_every_item_has_one(name: str) -> None:
    for drawn in assemblies(name):
        ringed = [
            placed_.texts[0].words
            for placed_ in drawn.board.placed
            if placed_.texts and any(len(points) > 30 for points, _ in placed_.lines)
        ]
        listed = [item.number for item in drawn.ready.items]
        assert sorted(ringed) == sorted(listed), drawn.group.name
        words = [text.words for text in drawn.sheet.texts]
        codes = {code for item in drawn.ready.items for code in item.codes}
        assert codes == {m.code for m in drawn.group.members}
        for item in drawn.ready.items:
            assert item.mark in words and item.drawing in words, (drawn.group.name, item)


@pytest.mark.parametrize("name", once(JOBS))
def test_every_weld_and_bolt_has_its_number_once_and_in_its_list(name: str) -> None:
    for drawn in assemblies(name):
        words = Counter(text.words for text in drawn.sheet.texts)
        for number in (*drawn.group.welds, *drawn.group.bolts):
            assert words[number] == 2, (drawn.group.name, number)


@pytest.mark.parametrize("name", once(JOBS))
def test_every_arrow_of_a_weld_stands_on_its_bead_in_sight(name: str) -> None:
    """But what lies inside once all is in place, which its sheet says."""
    for drawn in assemblies(name):
        looked = scene(placed(name), drawn.group)
        aslant = drawn.ready.pictorial
        assert aslant is not None
        out = set(drawn.ready.hidden)
        said = " ".join(drawn.ready.notes)
        assert not out or "Out of sight once all is in place" in said, drawn.group.name
        assert not out, (drawn.group.name, out)
        tips = {
            p.measured.words.split()[0]: p.measured.points[0]
            for p in drawn.board.placed
            if p.measured.points
        }
        for number, weld in drawn.group.welds.items():
            spot = drawn.ready.spots[number]
            direction = drawn.board.pictures[spot.view].direction
            own, seen_with = placed(name), looked
            if spot.view == len(drawn.ready.pictures):
                own, seen_with = aslant.placed, scene(aslant.placed, aslant.group)
            beads = weld_points(own, weld).reshape(-1, 3)
            beads = beads[~seen_with.hides(direction.view, beads)]
            seen = np.column_stack((beads @ direction.view.right, beads @ direction.view.up))
            x, y = drawn.board.laid.origins[spot.view]
            on_paper = seen * drawn.board.scales[spot.view] + np.array((x, y))
            off = np.hypot(*(on_paper - np.array(tips[number])).T).min()
            assert off < 0.1, (drawn.group.name, number, off)


@pytest.mark.parametrize("name", once(JOBS))
def test_scale_paper_and_lettering_are_standard(name: str) -> None:
    least = 8.504 if name == "mm" else 9.0
    for drawn in every(name):
        assert drawn.sheet.size in PAPERS["mm" if name == "mm" else "demo"]
        ratio = drawn.board.scale / POINTS
        assert any(math.isclose(ratio, one) for one in (ISO if name == "mm" else INCH)), ratio
        for text in drawn.sheet.texts:
            assert tall(text) >= least - 0.01, (drawn.group.name, text.words)
        words = [text.words for text in drawn.sheet.texts]
        assert ("millimeters" if name == "mm" else "inches") in words
        for label in ("drawing", "rev", "sheet", "scale", "projection", "level", "drawn by"):
            assert label in words, (drawn.group.name, label)
        assert any("not an approval" in w for w in words), drawn.group.name


@pytest.mark.parametrize("name", once(JOBS))
def test_positions_are_those_of_the_layout_sheet(name: str) -> None:
    """A pivot's station, offset and height on its assembly drawing read as on the layout sheet."""
    own = solved(name)
    with reading(name):
        found = {(p.name, p.side): p for p in points(own)}
        for drawn in assemblies(name):
            words = {text.words for text in drawn.sheet.texts}
            for bolt in drawn.group.bolts.values():
                key = (bolt.id.partition("#")[0], bolt.id[-1])
                if key not in found or drawn.group.side == "C":
                    continue
                along, across, up = found[key].at
                hole = own.values[next(k for k in own.values if str(k).startswith("frame.datum"))]
                assert tape(up) in words, (drawn.group.name, bolt.id)
                assert tape(across) in words, (drawn.group.name, bolt.id)
                assert tape(along - hole) in words, (drawn.group.name, bolt.id)


@pytest.mark.parametrize("name", once(JOBS))
def test_the_general_arrangement_has_every_point_and_four_diagonals(name: str) -> None:
    drawn = general(name)
    words = Counter(text.words for text in drawn.sheet.texts)
    found = points(solved(name))
    assert len(found) > 12
    for n, _ in enumerate(found, 1):
        assert words[f"P{n}"] == 2, n
    assert words["D1"] == words["D2"] == 2 and words["center line"] == 1
    for _, number in grouped(name):
        assert words[number] == 1


def test_what_waits_for_the_set_down_is_held() -> None:
    for drawn in assemblies("demo"):
        late = [n for n, w in drawn.group.welds.items() if waits(placed("demo"), w)]
        said = " ".join(drawn.ready.notes)
        assert "HOLD: " in said, drawn.group.name
        assert ("tacked only" in said) == bool(late), drawn.group.name


def test_fonts_are_in_the_file() -> None:
    from pypdf import PdfReader

    with reading("demo"):
        data = drawing.pdf([d.sheet for d in every("demo")], "letter", "void")
    for page in PdfReader(io.BytesIO(data)).pages:
        for font in page["/Resources"]["/Font"].values():
            own = font.get_object()
            assert "/FontFile2" in own["/FontDescriptor"], own["/BaseFont"]


@pytest.mark.parametrize("name", once(JOBS))
def test_its_file_is_whole_and_measures_what_its_words_say(name: str) -> None:
    """ezdxf: no error, nothing to mend; each ordinate measured by the library from its own points
    is the size lettered; one sheet that looks at the views through a viewport to scale.
    """
    unit, one = ("mm", 1.0) if name == "mm" else ("in", 25.4)
    for drawn in every(name):
        doc = ezdxf.read(io.StringIO(drawing.dxf(drawn.sheet, unit).decode()))
        audit = doc.audit()
        assert not audit.errors and not audit.fixes, drawn.group.name
        sizes = [p.measured for p in drawn.board.placed if p.measured.what in ("x", "y")]
        found = list(doc.modelspace().query("DIMENSION"))
        assert [d.dxf.text for d in found] == [m.words for m in sizes], drawn.group.name
        for dimension, measured in zip(found, sizes, strict=True):
            away = dimension.get_measurement()
            size = abs(away.x if measured.what == "x" else away.y) * one
            assert size == pytest.approx(abs(measured.size), abs=1e-6), (measured.words, size)
        (port,) = doc.layout("Layout1").query("VIEWPORT")
        ratio = port.dxf.height / (port.dxf.view_height * one)
        assert ratio == pytest.approx(drawn.board.scale / POINTS), drawn.group.name


@pytest.mark.parametrize("name", once(JOBS))
def test_a_second_reader_finds_the_same_lines_and_numbers(name: str, tmp_path: Path) -> None:
    """GDAL's DXF driver (pyogrio): every weld's, bolt's and item's number, layers of ISO 128 line
    types, and as much visible edge as is drawn.
    """
    import pyogrio
    from shapely import from_wkb

    unit, one = ("mm", 1.0) if name == "mm" else ("in", 25.4)
    path = tmp_path / "assembly.dxf"
    for drawn in assemblies(name):
        path.write_bytes(drawing.dxf(drawn.sheet, unit))
        meta, _, shapes, fields = pyogrio.raw.read(path)
        columns = dict(zip(meta["fields"], fields, strict=True))
        words = Counter(columns["Text"])
        for number in (*drawn.group.welds, *drawn.group.bolts):
            assert words[number] == 2, (drawn.group.name, number)
        long = sum(
            from_wkb(shape).length
            for shape, layer in zip(shapes, columns["Layer"], strict=True)
            if layer == "01.2-VISIBLE"
        )
        wide = sum(
            math.dist(start, end)
            for points, kind in drawn.board.lines
            if kind == "wide"
            for start, end in itertools.pairwise(points)
        )
        assert long * one == pytest.approx(wide / drawn.board.scale, rel=1e-6), drawn.group.name
        assert {"02.1-HIDDEN", "01.1-DIMENSION", "04.1-CENTER"} & set(columns["Layer"])


@pytest.mark.parametrize("name", once(JOBS))
def test_a_bolted_stack_is_drawn_apart(name: str) -> None:
    """Where a bolt clamps pieces of a group its sheet shows them apart: each piece that moves at
    least as far as it was drawn away, none of it through what stays, to the sheet's own numbers.
    """
    stacked = {"axle brackets", "track bar", "crossmember side", "arm bracket", "radius arm"}
    for drawn in assemblies(name):
        aslant = drawn.ready.pictorial
        assert aslant is not None
        sheet = drawn.group.name.partition(",")[0]
        assert aslant.apart or sheet not in stacked, drawn.group.name
        if not aslant.apart:
            continue
        assert len(drawn.board.pictures) == len(drawn.ready.pictures) + 1, drawn.group.name
        words = [text.words for text in drawn.sheet.texts]
        assert any(w.startswith("exploded, ") for w in words), drawn.group.name
        for bolt in drawn.group.bolts.values():
            for code in bolt.through:
                was, now = (p.shapes.get(code) for p in (placed(name), aslant.placed))
                if was is None or now is None or not len(was.corners):
                    continue
                away = np.linalg.norm(now.corners[0] - was.corners[0])
                assert away == pytest.approx(0.0, abs=1e-9) or away > 60.0, code


@pytest.mark.again
def test_every_weld_and_bolt_of_a_metric_job_is_pointed_at_in_one_step() -> None:
    """The maps: on the pictures of its step, in sight, and nowhere else; the other two jobs in
    ``tests/parts/documents/test_packets.py``.
    """
    name = "mm"
    whole = placed(name)
    with reading(name):
        told = [(s, shown(StepLook(whole, s), "DEMO1")) for s in steps(whole, grouped(name))]
    for step, pictures in told:
        assert pictures.hidden == () and pictures.left == (), (step.name, pictures)
    found = Counter(n for s, _ in told for n in (*s.group.welds, *s.group.bolts))
    for step, pictures in told:
        words = Counter(text.words for text in pictures.sheet.texts)
        for number in (*step.group.welds, *step.group.bolts):
            assert words[number] == 1, (step.name, number)
    twins = [
        whole.other_side(x.id)
        for s, _ in told
        if s.group.both
        for x in (*s.group.welds.values(), *s.group.bolts.values())
    ]
    found.update(twins)
    assert found == dict.fromkeys((*whole.welds, *whole.bolts), 1)

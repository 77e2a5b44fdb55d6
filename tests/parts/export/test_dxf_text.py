"""DXF written as group codes, held against ezdxf: the same tags as the library writes for the same
entities, nothing to mend in an audit, and a reader of our own that sees what the library sees.
"""

from __future__ import annotations

import io
from functools import cache

import ezdxf
import pytest
from again import once
from ezdxf.document import Drawing
from ezdxf.entities import DXFEntity
from ezdxf.lldxf.tagwriter import TagCollector
from ezdxf.math import Vec3
from soapstone.parts.drawing.drawing_file import drawing_dxf
from soapstone.parts.drawing.part_sheet import TitleHead, plate_sheet
from soapstone.parts.export import cut, dxf_read
from soapstone.parts.export.dxf_file import Dimension, DxfFile, Lettering
from soapstone.parts.export.dxf_frame import frame_of
from soapstone.parts.model.assembly import Part
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import is_plate
from trucks import truck

SHOP = default_shop()
RELEASES = ("R2010", "R12")
HANDLE, OWNER = 5, 330


@cache
def plates() -> tuple[Part, ...]:
    return tuple(filter(is_plate, truck()[0].parts))


def read(text: str) -> Drawing:
    return ezdxf.read(io.StringIO(text))


def again(doc: Drawing) -> Drawing:
    """The library's own document as a reader of its file gets it."""
    out = io.StringIO()
    doc.write(out)
    return read(out.getvalue())


def tags(entity: DXFEntity) -> list[tuple[int, object]]:
    """An entity's tags without its handle and its owner's."""
    assert entity.doc is not None
    into = TagCollector(dxfversion=entity.doc.dxfversion)
    entity.export_dxf(into)
    return [
        (t.code, tuple(Vec3(t.value)) if isinstance(t.value, (Vec3, tuple)) else t.value)
        for t in into.tags
        if t.code not in (HANDLE, OWNER)
    ]


def by_library(part: Part, release: str) -> Drawing:
    """A part's strokes put into a document by the library itself."""
    doc = ezdxf.new(release, units=1)
    for name, colour in cut.COLOURS.items():
        doc.layers.add(SHOP.layers[name], color=colour)
    space = doc.modelspace()
    dx, dy = min(x for x, *_ in corners(part)), min(y for _, y, *_ in corners(part))
    for stroke in cut.strokes(part):
        look = {"layer": SHOP.layers[stroke.layer]}
        rows = [((x - dx) / 25.4, (y - dy) / 25.4, b) for x, y, b in stroke.points]
        if stroke.diameter:
            space.add_circle(rows[0][:2], stroke.diameter / 2 / 25.4, dxfattribs=look)
        elif release == "R12":
            space.add_polyline2d(rows, format="xyb", close=stroke.closed, dxfattribs=look)
        else:
            space.add_lwpolyline(rows, format="xyb", close=stroke.closed, dxfattribs=look)
    return doc


def corners(part: Part) -> tuple[tuple[float, float], ...]:
    from soapstone.parts.geometry import outline

    x0, y0, x1, y1 = outline.bbox(part.member.body.outline)
    return (x0, y0), (x1, y1)


@pytest.mark.parametrize("release", once(RELEASES))
def test_a_cut_file_has_the_tags_the_library_writes(release: str) -> None:
    for part in plates():
        ours = read(cut.cut_text(part, SHOP._replace(dxf=release)))
        library = again(by_library(part, release))
        audit = ours.audit()
        assert not audit.errors and not audit.fixes, part.id
        assert [tags(e) for e in ours.modelspace()] == [tags(e) for e in library.modelspace()]


@pytest.mark.parametrize("release", once(RELEASES))
def test_our_reader_sees_what_the_library_sees(release: str) -> None:
    for part in plates():
        text = cut.cut_text(part, SHOP._replace(dxf=release))
        found = dxf_read.entities(text)
        library = list(read(text).modelspace())
        assert [(f.kind, f.layer) for f in found] == [(e.dxftype(), e.dxf.layer) for e in library]
        for ours, theirs in zip(found, library, strict=True):
            if ours.kind == "CIRCLE":
                assert ours.radius == theirs.dxf.radius
                assert ours.rows[0][:2] == tuple(theirs.dxf.center)[:2]
            elif ours.kind == "POLYLINE":
                assert ours.closed == theirs.is_closed
                assert ours.rows == tuple(
                    (*tuple(v.dxf.location)[:2], v.dxf.get("bulge", 0.0)) for v in theirs.vertices
                )
            else:
                assert ours.closed == theirs.closed
                assert ours.rows == tuple(theirs.get_points("xyb"))


@pytest.mark.parametrize("release", once(RELEASES))
def test_a_spoilt_file_is_not_read_as_whole(release: str) -> None:
    text = cut.cut_text(plates()[0], SHOP._replace(dxf=release))
    name = "POLYLINE" if release == "R12" else "LWPOLYLINE"
    first = text.index(f"  0\n{name}\n", text.index("ENTITIES"))
    second = text.index("  0\n", first + 4)
    corner = text.rindex(" 10\n", first, text.index("ENDSEC", first)) + 4
    spoilt = {
        "cut off": text[:-200],
        "cut off within a line": text[: first + 60],
        "an entity twice": text[:second] + text[first:second] + text[second:],
        "no entities": text.replace("ENTITIES", "OBJECTIVES"),
        "a number that is none": text[:corner] + "x" + text[corner:],
    }
    for how, changed in spoilt.items():
        assert cut.read_back(changed, plates()[0], "x.dxf", SHOP), how
        with pytest.raises(dxf_read.ReadError):
            dxf_read.entities(changed)


def test_every_drawing_file_passes_an_audit_and_shows_its_part() -> None:
    assembly = truck()[0].assembly
    head = TitleHead("T1", level="DRAFT")
    for unit in ("in", "mm"):
        for part in plates()[::5]:
            sheet = plate_sheet(part, assembly.welds, head, SHOP, {})
            doc = read(drawing_dxf(sheet, unit).decode())
            audit = doc.audit()
            assert not audit.errors and not audit.fixes, part.id
            assert sheet.view is not None
            space = doc.modelspace()
            measured = [p for p in sheet.view.placed if p.measured.what not in ("note", "weld")]
            dimensions = list(space.query("DIMENSION"))
            assert [d.dxf.text for d in dimensions] == [p.measured.words for p in measured]
            assert all(d.dxf.geometry in doc.blocks for d in dimensions)
            assert doc.units == (1 if unit == "in" else 4)
            (port,) = doc.layout("Layout1").query("VIEWPORT")
            assert port.dxf.layer == "VIEWPORT"


def written(kind: str) -> tuple[list[list[tuple[int, object]]], list[list[tuple[int, object]]]]:
    """One dimension by us and by the library."""
    doc = ezdxf.new("R2010")
    doc.styles.add("PLAIN", font="arial.ttf")
    file = DxfFile(frame_of(doc, "R2010"))
    one, two, words = (1.0, 2.0), (4.0, 6.0), "4 1/2"
    level = (2.0, 2.0)
    kinds = {
        "x": Dimension("AcDbOrdinateDimension", 102, (0.0, 0.0), {13: one, 14: two}),
        "y": Dimension("AcDbOrdinateDimension", 38, (0.0, 0.0), {13: one, 14: two}),
        "radius": Dimension("AcDbRadialDimension", 36, one, {15: two}),
        "diameter": Dimension("AcDbDiametricDimension", 35, two, {15: (-2.0, -2.0)}),
        "linear": Dimension(
            "AcDbRotatedDimension", 32, (-0.6, 3.2), {13: one, 14: two}, 53.13010235415598
        ),
        "angle": Dimension(
            "AcDb2LineAngularDimension", 34, two, {13: one, 14: level, 15: one, 16: (3.0, 3.0)}
        ),
    }
    space = doc.modelspace()
    made = {
        "x": lambda: space.add_ordinate_x_dim(one, offset=(3.0, 4.0)),
        "y": lambda: space.add_ordinate_y_dim(one, offset=(3.0, 4.0)),
        "radius": lambda: space.add_radius_dim(one, mpoint=two),
        "diameter": lambda: space.add_diameter_dim(one, mpoint=two),
        "linear": lambda: space.add_aligned_dim(one, two, distance=2.0),
        "angle": lambda: space.add_angular_dim_2l((3.0, 3.0), line1=(one, level), line2=(one, two)),
    }
    block = file.block()
    block.lettering(words, one, "0", Lettering(2.5, "middle", 90.0, "PLAIN", 0.8))
    block.solid((one, two, (0.0, 0.0)), "0")
    file.model.dimension(kinds[kind], words, (1.5, 1.5), block, "0", "Standard")
    file.model.leader((one, two), "0", "Standard")
    theirs = made[kind]().dimension
    own = doc.blocks.new_anonymous_block(type_char="D")
    theirs.dxf.geometry, theirs.dxf.text, theirs.dxf.text_midpoint = own.name, words, (1.5, 1.5)
    space.add_leader((one, two), "Standard")
    text = own.add_text(
        words, height=2.5, rotation=90.0, dxfattribs={"width": 0.8, "style": "PLAIN"}
    )
    text.set_placement(one, align=ezdxf.enums.TextEntityAlignment.CENTER)
    own.add_solid([one, two, (0.0, 0.0), (0.0, 0.0)])
    ours = read(file.text())
    assert not ours.audit().errors
    return tuple([tags(e) for e in (*d.modelspace(), *d.blocks["*D1"])] for d in (ours, again(doc)))


@pytest.mark.parametrize("kind", ["x", "y", "radius", "diameter", "linear", "angle"])
def test_a_dimension_has_the_tags_the_library_writes(kind: str) -> None:
    ours, theirs = written(kind)
    assert len(ours) == len(theirs) == 4
    for one, two in zip(ours, theirs, strict=True):
        assert [code for code, _ in one] == [code for code, _ in two]
        for (code, value), (_, value_too) in zip(one, two, strict=True):
            if isinstance(value, float | tuple):
                assert value == pytest.approx(value_too), code
            else:
                assert value == value_too

"""What a cut file holds stroke by stroke, of a made-up part, and what its reader refuses; group
codes as the published DXF reference has them, by ezdxf where it says more.
"""

from __future__ import annotations

import io
import math
import re

import ezdxf
import pytest
from soapstone.parts.export import cut, dxf_frame, dxf_read
from soapstone.parts.export.dxf_file import Dimension, DxfFile, Lettering
from soapstone.parts.geometry import contours
from soapstone.parts.model.assembly import Hole, Mark, Member, Part
from soapstone.parts.model.body import Bend, Plate, Tube, TubeEnd
from soapstone.parts.model.terms import Hand, HowMade
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import default_shop

SHOP = default_shop()._replace(unit="mm")
LOOP = contours.rectangle(10.0, 5.0, 210.0, 105.0)
CUT, DRILL = HowMade.CUT, HowMade.DRILL
HOLES = (
    Hole((40.0, 30.0), 14.0, 0.0, 0.0, CUT, 0.0, "a"),
    Hole((80.0, 30.0), 14.0, 19.0, 0.0, CUT, 0.0, "b"),
    Hole((120.0, 30.0), 12.0, 0.0, 0.0, DRILL, 0.0, "c"),
    Hole((160.0, 30.0), 12.0, 0.0, 0.0, DRILL, 0.0, "d"),
)
MARKS = (Mark("text", (((20.0, 80.0), (26.0, 80.0), (26.0, 86.0)), ((30.0, 80.0), (36.0, 80.0)))),)


def part(holes: tuple[Hole, ...] = HOLES, slots: bool = True) -> Part:
    """200 x 100 with a window, a round window, an interlock, a bend, letters and four holes."""
    windows = contours.rectangle(20.0, 40.0, 50.0, 60.0), contours.circle((90.0, 70.0), 20.0)
    bend = Bend("up", (150.0, 105.0), (150.0, 5.0), 1.0, 10.0)
    own = (contours.rectangle(170.0, 60.0, 180.0, 90.0), contours.circle((120.0, 80.0), 16.0))
    flat = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    member = Member("ZZ1.L", "plate", "ZZ", Plate("1/4 A36", LOOP, windows, (bend,)), flat)
    row = dict.fromkeys(Part._fields, ())
    row |= {"id": "ZZ1.L", "member": member, "hand": Hand.LEFT, "quantity": 1, "number": "ZZ1"}
    row |= {"holes": holes, "marks": MARKS, "slots": own if slots else (), "mass": 0.0}
    gone = 600.0 + 300.0 + math.pi / 4 * (20.0**2 + 16.0**2) if slots else 0.0
    gone += math.pi / 4 * 14.0**2 + (5.0 * 14.0 + math.pi / 4 * 14.0**2)
    row |= {"area_net": 0.0, "area_cut": 20000.0 - gone, "fingerprint": "", "cut_fingerprint": ""}
    return Part(**row)  # type: ignore[arg-type]


def test_every_stroke_of_a_part_is_on_its_layer() -> None:
    """One outline; openings round and not, from the plate, interlocks and holes; two strokes of a
    quarter inch at each drill point; the fold; the letters. Only arcs have a bulge.
    """
    found = list(cut.strokes(part()))
    by = {name: [own for own in found if own.layer == name] for name in cut.COLOURS}
    assert found[0] is by["OUTLINE"][0] and len(by["OUTLINE"]) == 1 and not by["NOT_CUT"]
    assert all(own.closed for own in by["OUTLINE"] + by["OPENING"])
    rounds = {(own.points[0][:2], own.diameter) for own in by["OPENING"] if own.diameter}
    assert rounds == {((90.0, 70.0), 20.0), ((120.0, 80.0), 16.0), ((40.0, 30.0), 14.0)}
    loops = [own for own in by["OPENING"] if not own.diameter]
    assert [len(own.points) for own in loops] == [4, 4, 4], "window, interlock, slotted hole"
    assert sorted(abs(p[2]) for p in loops[2].points) == pytest.approx([0.0, 0.0, 1.0, 1.0])
    drilled = [x for own in by["DRILL"] for p in own.points for x in p[:2]]
    reach = 25.4 / 8
    assert drilled == pytest.approx(
        [
            x
            for at in (120.0, 160.0)
            for x in (at - reach, 30.0, at + reach, 30.0, at, 30.0 - reach, at, 30.0 + reach)
        ]
    )
    assert [[p[:2] for p in own.points] for own in by["FOLD"]] == [[(150.0, 105.0), (150.0, 5.0)]]
    assert [tuple(p[:2] for p in own.points) for own in by["SCRIBE"]] == list(MARKS[0].strokes)
    straight = by["DRILL"] + by["FOLD"] + by["SCRIBE"] + by["OUTLINE"] + loops[:2]
    assert all(bulge == 0.0 for own in straight for *_, bulge in own.points)
    assert not any(own.closed or own.diameter for own in by["DRILL"] + by["FOLD"] + by["SCRIBE"])
    tube = Tube(SHOP.tubes[0].key, 100.0, (TubeEnd(), TubeEnd()))
    made = part()
    other = made._replace(member=made.member._replace(body=tube))
    assert cut.thickness_name(other, SHOP) == "", "a tube lies in no folder of plates"


@pytest.mark.parametrize("release", ["R2010", "R12"])
def test_what_was_written_is_read(release: str) -> None:
    """Two drill points, one or none; a line of a kind nobody cuts is told by its kind."""
    shop = SHOP._replace(dxf=release)
    for holes in (HOLES, HOLES[:3], HOLES[:2]):
        own = part(holes)
        text = cut.cut_text(own, shop)
        assert cut.read_back(text, own, "x.dxf", shop) == []
        more = part((*holes, HOLES[2]._replace(at=(60.0, 90.0))))
        assert cut.read_back(text, more, "x.dxf", shop), "a drill point less"
        assert cut.read_back(cut.cut_text(more, shop), own, "x.dxf", shop), "and one more"
    text, layer = cut.cut_text(part(), shop), shop.layers["OUTLINE"]
    at = text.index("ENTITIES\n") + len("ENTITIES\n")
    line = f"  0\nLINE\n  5\n1\n  8\n{layer}\n 10\n0.0\n 20\n0.0\n 11\n1.0\n 21\n1.0\n"
    (fault,) = cut.read_back(text[:at] + line + text[at:], part(), "x.dxf", shop)
    assert f"LINE on {layer}" in str(fault)
    (said,) = cut.read_back(cut.cut_text(part(slots=False), shop), part(), "x.dxf", shop)
    assert "1 outlines, 4 openings, 4 drill lines" in str(said)
    opened = [own._replace(closed=own.layer != "OPENING") for own in cut.strokes(part())]
    told = cut.read_back(cut.dxf_text(opened, shop), part(), "x.dxf", shop)
    assert sum("an open line on OPENING" in str(fault) for fault in told) == 3
    for entity in dxf_read.entities(text):
        assert (entity.radius > 0.0) == (entity.kind == "CIRCLE")


def test_a_file_without_its_end_or_with_a_handle_that_is_none() -> None:
    """The end of file is the last pair; handles are above zero (0 is the null handle of the
    published reference), once each and all below the seed.
    """
    text = cut.cut_text(part(), SHOP)
    whole = text.rstrip("\n")
    assert whole.endswith("\n  0\nEOF")
    for spoilt, said in (
        ("", "no end of file"),
        (whole.removesuffix("\n  0\nEOF"), "no end of file"),
        (f"{whole}\n999\nmore", "no end of file"),
        (f"{whole}\n999", "no pairs"),
    ):
        with pytest.raises(dxf_read.ReadError, match=said):
            dxf_read.entities(spoilt)
    at = text.index("ENTITIES\n")
    handles = re.findall(r"\n  5\n([0-9A-F]+)\n", text[at:])
    first = f"\n  5\n{handles[0]}\n"
    for own in ("\n", "\n  5\n0\n", f"\n  5\n{handles[1]}\n", "\n  5\nFFFFFF\n"):
        changed = text[:at] + text[at:].replace(first, own, 1)
        with pytest.raises(dxf_read.ReadError):
            dxf_read.entities(changed)
    spare = text[:at] + text[at:].replace(first, "\n  5\n1\n", 1)
    assert dxf_read.entities(spare) == dxf_read.entities(text)


@pytest.mark.parametrize("release", ["R2010", "R12"])
def test_a_corner_without_a_place_is_none(release: str) -> None:
    """Its y left out, or a number no table can go to."""
    text = cut.cut_text(part(), SHOP._replace(dxf=release))
    found = re.search(r" 20\n(?!0\.0\n)([-\d.]+)\n", text[text.index("ENTITIES") :])
    assert found
    for own in ("", " 20\ninf\n", " 20\nnan\n", " 20\nx\n"):
        with pytest.raises(dxf_read.ReadError, match="a corner"):
            dxf_read.entities(text.replace(found[0], own))


def test_units_are_said_and_the_same_part_is_the_same_bytes() -> None:
    """$MEASUREMENT 0 is English, 1 metric [published DXF reference]; R12 knows neither it nor a
    unit. Two frames made anew are the same: no clock, no drawn number.
    """
    layers = tuple((name, SHOP.layers[name]) for name in cut.COLOURS)
    for unit, code, metric in (("in", 1, 0), ("mm", 4, 1)):
        frame = cut._frame.__wrapped__("R2010", unit, layers)
        assert cut._frame.__wrapped__("R2010", unit, layers) == frame
        doc = ezdxf.read(io.StringIO(DxfFile(frame).text()))
        assert (doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]) == (code, metric)
        assert "$MEASUREMENT" not in "".join(cut._frame.__wrapped__("R12", unit, layers).pieces)


def test_a_frame_that_is_not_sound_is_not_used() -> None:
    """A layer of a color nobody knows is mended by an audit: such a frame is refused."""
    doc = ezdxf.new("R2010")
    doc.layers.add("X", linetype="NOBODYS")
    assert ezdxf.read(io.StringIO(dxf_frame.text_of(doc))).audit().fixes
    with pytest.raises(AssertionError):
        dxf_frame.frame_of(doc, "R2010")
    assert "Defpoints" not in dxf_frame.text_of(ezdxf.new("R12", setup=True))


@pytest.mark.parametrize(
    ("anchor", "align"), [("start", "LEFT"), ("middle", "CENTER"), ("end", "RIGHT")]
)
def test_a_text_is_held_where_it_says(anchor: str, align: str) -> None:
    frame = dxf_frame.frame_of(ezdxf.new("R2010"), "R2010")
    file = DxfFile(frame)
    file.model.lettering("A 1", (3.0, 4.0), "0", Lettering(2.5, anchor, 0.0, "Standard", 1.0))
    file.model.polyline(((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (1.0, 1.0, 0.0)), "0")
    text, line = ezdxf.read(io.StringIO(file.text())).modelspace()
    where, first, _ = text.get_placement()
    assert where.name == align and tuple(first)[:2] == (3.0, 4.0)
    assert not line.closed, "a line is open where nothing is said"
    for words in ("A\nB", "A\rB"):
        look = Lettering(2.5, anchor, 0.0, "Standard", 1.0)
        with pytest.raises(ValueError, match="one line"):
            file.model.lettering(words, (0.0, 0.0), "0", look)


def test_a_level_dimension_is_not_turned() -> None:
    """Group code 50 of a rotated dimension is 0 where it is left out."""
    file = DxfFile(dxf_frame.frame_of(ezdxf.new("R2010"), "R2010"))
    points = {13: (1.0, 2.0), 14: (4.0, 2.0)}
    level = Dimension("AcDbRotatedDimension", 32, (1.0, 5.0), points)
    file.model.dimension(level, "3", (2.5, 5.0), file.block(), "0", "Standard")
    (own,) = ezdxf.read(io.StringIO(file.text())).modelspace()
    assert own.dxf.get("angle", 0.0) == 0.0 and own.get_measurement() == pytest.approx(3.0)

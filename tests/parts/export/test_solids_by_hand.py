"""Solids of made-up bodies by the volumes of geometry (cylinder, ball, prism, pipe), where they
lie, and the same bytes for the same solid however the kernel numbered it.
"""

from __future__ import annotations

import math
import random
import re
import tempfile
from pathlib import Path

import pytest
from soapstone.parts.export import step, witness
from soapstone.parts.export.canonical import canonical
from soapstone.parts.geometry import contours
from soapstone.parts.model.assembly import Hole, Member, Part
from soapstone.parts.model.body import Bar, Bend, Body, Bought, Helix, Plate, Rod, Tube, TubeEnd
from soapstone.parts.model.terms import Hand, HowMade
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import default_shop

pytestmark = pytest.mark.slow
SHOP = default_shop()
FLAT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
TUBE = SHOP.tubes[0]


def member(body: Body, place: Frame = FLAT) -> Member:
    return Member("ZZ1.C", "body", "ZZ", body, place)


def bought(solid: Rod | Bar | Helix) -> Member:
    return member(Bought("body", solid))


def test_volumes_of_simple_bodies_and_where_they_lie() -> None:
    """Cylinder, pipe, ball and cylinder, prism with an opening, the sleeve a coil fills."""
    ring = math.pi / 4 * (20.0**2 - 8.0**2) * 60.0
    block = Bar(
        5.0, contours.rectangle(0.0, 0.0, 30.0, 20.0), (contours.circle((10.0, 10.0), 6.0),)
    )
    for solid, volume, ends in (
        (Rod(60.0, 20.0), math.pi * 100.0 * 60.0, (0.0, 60.0)),
        (Rod(60.0, 20.0, 8.0), ring, (0.0, 60.0)),
        (
            Rod(60.0, 20.0, domed=True),
            math.pi * 100.0 * 60.0 + 4 / 3 * math.pi * 1000.0,
            (-10.0, 70.0),
        ),
        (block, (600.0 - math.pi * 9.0) * 5.0, (0.0, 30.0)),
    ):
        shape = step.body(bought(solid), None, SHOP)
        around = shape.BoundingBox()
        assert shape.isValid() and shape.Volume() == pytest.approx(volume, rel=1e-6)
        assert (around.xmin, around.xmax) == pytest.approx(ends, abs=1e-3)
    helix = Helix(300.0, 120.0, 15.0, 6.0)
    shape = step.body(bought(helix), None, SHOP)
    outer, inner = helix.mean_diameter + helix.wire, helix.mean_diameter - helix.wire
    assert shape.Volume() == pytest.approx(math.pi / 4 * (outer**2 - inner**2) * helix.length)


def test_a_bent_plate_takes_its_place_with_its_holes() -> None:
    """A tab of 100 x 50 bent square 60 from its end: as much steel as its two flats and a quarter
    of a ring; moved with its frame.
    """
    thick = SHOP.plate("1/4 A36").thickness
    bend = Bend("up", (60.0, 50.0), (60.0, 0.0), math.pi / 2, 10.0)
    body = Plate("1/4 A36", contours.rectangle(0.0, 0.0, 100.0, 50.0), bends=(bend,))
    place = Frame((500.0, -30.0, 70.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    flat = step.placed(member(body, place), None, SHOP)
    around = flat.BoundingBox()
    # the base runs along y from -30; across, along -x, it is 50 wide
    assert around.ymin == pytest.approx(-30.0, abs=1e-3)
    assert (around.xmin, around.xmax) == pytest.approx((450.0, 500.0), abs=1e-3)
    assert around.zmin == pytest.approx(70.0, abs=1e-3) and around.zmax > 70.0 + 30.0
    assert flat.isValid() and flat.Volume() == pytest.approx(100.0 * 50.0 * thick, rel=0.02)
    hole = Hole((20.0, 25.0), 12.0, 0.0, 0.0, HowMade.CUT, 0.0, "zz")
    drilled = step.body(member(body), part(member(body), holes=(hole,)), SHOP)
    whole = step.body(member(body), None, SHOP)
    assert whole.Volume() - drilled.Volume() == pytest.approx(math.pi * 36.0 * thick, rel=1e-6)


def part(of: Member, holes: tuple[Hole, ...] = (), area: float = 0.0) -> Part:
    row = dict.fromkeys(Part._fields, ())
    row |= {"id": of.code, "member": of, "hand": Hand.EITHER, "quantity": 1, "holes": holes}
    row |= {"area_net": area, "area_cut": area, "mass": 0.0, "number": "ZZ1"}
    return Part(**row | {"fingerprint": "", "cut_fingerprint": ""})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("angle", "offset", "clock"), [(90.0, 0.0, 0.0), (70.0, 4.0, 0.0), (110.0, 0.0, 50.0)]
)
def test_a_coped_end_lies_on_the_round_it_is_coped_onto(
    angle: float, offset: float, clock: float
) -> None:
    """The round's axis crosses the tube's at the angle, as far past its end as the long points ask
    (Pythagoras): the coped tube touches the round, no steel of it stands in the round.
    """
    import cadquery as cq

    onto, od, long = 1.5 * TUBE.od, TUBE.od, 8.0 * TUBE.od
    reach = math.sqrt((onto / 2) ** 2 - (od / 2) ** 2)
    turn, about = math.radians(angle), math.radians(clock)
    for end in (0, 1):
        ends = [TubeEnd(), TubeEnd()]
        ends[end] = TubeEnd("cope", onto, turn, offset, 0.0, about, "round")
        shape = step.body(member(Tube(TUBE.key, long, (ends[0], ends[1]))), None, SHOP)
        x = long + reach if end else -reach
        across = (-math.cos(about), math.sin(about))
        along = cq.Vector(math.cos(turn), *(math.sin(turn) * x for x in across))
        middle = cq.Vector(x, 0.0, offset)
        solid = cq.Solid.makeCylinder(onto / 2, 20 * od, middle - along * (10 * od), along)
        assert shape.intersect(solid).Volume() < 1e-3 and shape.distance(solid) < 1e-3
        around = shape.BoundingBox()
        square = (around.xmin, around.xmax)[1 - end]
        assert square == pytest.approx(0.0 if end else long, abs=1e-3)
        section = math.pi * (od - TUBE.wall) * TUBE.wall
        assert 0.8 * section * long < shape.Volume() < section * long


def test_what_a_solid_must_hold_by_its_own_numbers() -> None:
    """A flat plate and a straight tube to a ten-thousandth, a bent plate to two hundredths; of a
    coped tube a tenth may be gone.
    """
    thick = SHOP.plate("1/4 A36").thickness
    outline = contours.rectangle(0.0, 0.0, 100.0, 50.0)
    flat = Plate("1/4 A36", outline)
    bent = flat._replace(bends=(Bend("up", (60.0, 0.0), (60.0, 50.0), 1.0, 10.0),))
    square, cope = TubeEnd(), TubeEnd("cope", 60.0, 1.2)
    for body, volume, least, most in (
        (flat, 5000.0 * thick, 1e-4, 1e-4),
        (bent, 5000.0 * thick, 0.02, 0.02),
        (Tube(TUBE.key, 400.0, (square, square)), 5000.0 * 400.0, 1e-4, 1e-4),
        (Tube(TUBE.key, 400.0, (square, cope)), 5000.0 * 400.0, 0.1, 1e-4),
    ):
        found = witness.to_read(part(member(body), area=5000.0), b"", SHOP)
        assert (found.least, found.most) == pytest.approx(
            ((1 - least) * volume, (1 + most) * volume)
        )


def kernels() -> str:
    """A box with a hole as the kernel writes it."""
    import cadquery as cq

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.step"
        cq.exporters.export(cq.Workplane("XY").box(10, 20, 30).faces(">Z").hole(5), str(path))
        return path.read_text()


def test_the_same_solid_is_the_same_bytes_however_it_is_numbered() -> None:
    """Entities numbered otherwise, in another order, broken over lines, one of them twice, with a
    later clock and rounding left in zeros: the same file; another length is another file.
    """
    text = kernels()
    own = canonical(text, "ZZ1 it's", "the shop")
    assert own == canonical(text, "ZZ1 it's", "the shop")
    head, data = text.split("DATA;\n", 1)
    rows = re.findall(r"#(\d+) = (.*?);\n(?=#|ENDSEC)", data, re.S)
    assert len(rows) > 100
    draw = random.Random(5)
    numbers = {
        one: str(two)
        for (one, _), two in zip(rows, draw.sample(range(1, 9999), len(rows)), strict=True)
    }

    def renumbered(words: str) -> str:
        return re.sub(r"#(\d+)", lambda m: f"#{numbers[m[1]]}", words)

    mixed = [f"#{numbers[one]} = {renumbered(words)};\n" for one, words in rows]
    again = next(f"#10000 = {renumbered(words)};\n" for _, words in rows if "DIRECTION" in words)
    draw.shuffle(mixed)
    other = "".join((*mixed, again)).replace("0.E+000", "3.1E-17")
    late = re.sub(r"\d{4}-\d\d-\d\dT[\d:]+", "2031-02-03T04:05:06", head)
    assert (
        canonical(f"{late}DATA;\n{other}ENDSEC;\nEND-ISO-10303-21;\n", "ZZ1 it's", "the shop")
        == own
    )
    said = own.decode()
    assert "'ZZ1 it''s'" in said and "'the shop'" in said and "1970-01-01T00:00:00" in said
    assert "Open CASCADE" not in said and said.rstrip().endswith("END-ISO-10303-21;")
    found = [int(n) for n in re.findall(r"^#(\d+)=", said, re.M)]
    assert found == list(range(1, len(found) + 1)) and len(found) <= len(rows)
    assert canonical(text.replace("2.5", "2.6"), "ZZ1 it's", "the shop") != own
    tiny = canonical(text.replace("2.5", "2.5E-12"), "x"), canonical(text.replace("2.5", "0."), "x")
    assert tiny[0] != tiny[1]

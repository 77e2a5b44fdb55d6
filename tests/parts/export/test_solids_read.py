"""Solids written and read by the kernel, of made-up bodies: volumes by geometry and by the
divergence theorem, surfaces against the round they stand for.
"""

from __future__ import annotations

import hashlib
import math
import re
import tempfile
from pathlib import Path

import numpy as np
import pytest
from soapstone.layout.job.solid_file import SolidFile
from soapstone.parts.export import solid_read, step, witness
from soapstone.parts.geometry import contours
from soapstone.parts.model.assembly import Hole, Member, Part
from soapstone.parts.model.body import Bought, Existing, Plate, Rod, Tube, TubeEnd
from soapstone.parts.model.terms import Hand, HowMade, Role
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.roles import families_of

pytestmark = pytest.mark.slow
SHOP = default_shop()
FLAT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
THICK = SHOP.plate("1/4 A36").thickness


def file_of(*shapes: object) -> bytes:
    import cadquery as cq

    with tempfile.TemporaryDirectory() as folder:
        at = Path(folder) / "own.step"
        cq.exporters.export(cq.Workplane(obj=cq.Compound.makeCompound(shapes)), str(at))
        return at.read_bytes()


def box(x: float, y: float, z: float, at: float = 0.0) -> object:
    import cadquery as cq

    return cq.Solid.makeBox(x, y, z, cq.Vector(at, 0, 0))


def surface(data: bytes) -> tuple[np.ndarray, np.ndarray]:
    read = solid_read.solid_read(data)
    assert isinstance(read, SolidFile), read
    return read.arrays()


def volume(corners: np.ndarray, faces: np.ndarray) -> float:
    """Of a closed surface whose triangles look outward [divergence theorem]."""
    a, b, c = (corners[faces[:, n]] for n in range(3))
    return float((a * np.cross(b, c)).sum() / 6.0)


def test_a_file_with_two_boxes_is_both_of_them() -> None:
    """Twelve triangles and eight corners each, outward: 1000 and 250 cm3 together."""
    corners, faces = surface(file_of(box(100.0, 100.0, 100.0), box(50.0, 50.0, 100.0, 300.0)))
    assert (len(corners), len(faces)) == (16, 24)
    assert volume(corners, faces) == pytest.approx(1.25e6)
    assert corners.max(axis=0) == pytest.approx([350.0, 100.0, 100.0])
    assert corners.min(axis=0) == pytest.approx([0.0, 0.0, 0.0])


@pytest.mark.parametrize("radius", [3.0, 40.0, 150.0])
def test_a_round_is_met_from_inside_by_a_quarter_of_a_millimeter(radius: float) -> None:
    """Chords lie inside a round by 0.25 mm at most and turn by 0.35 rad at most (20 degrees)."""
    import cadquery as cq

    corners, faces = surface(file_of(cq.Solid.makeCylinder(radius, 30.0)))
    rim = corners[np.abs(corners[:, 2]) < 1e-6]
    angles = np.sort(np.arctan2(rim[:, 1], rim[:, 0]))
    turns = np.diff(np.append(angles, angles[0] + math.tau))
    assert turns.max() <= 0.35 + 1e-6
    assert radius * (1.0 - math.cos(turns.max() / 2)) <= 0.25 + 1e-6
    assert np.hypot(rim[:, 0], rim[:, 1]) == pytest.approx(radius)
    assert math.pi * radius**2 * 30.0 >= volume(corners, faces) > 0.9 * math.pi * radius**2 * 30.0


def test_corners_that_are_one_are_made_one_and_slivers_left_out() -> None:
    """Four triangles far from the origin: two share an edge whose corners differ by rounding, one
    has two corners alike, one lies on a line; and a file with more than 400,000 is refused.
    """
    square = np.array([(0, 0, 0), (8, 0, 0), (8, 5, 0), (0, 0, 1e-6), (8, 5, 1e-6), (0, 5, 0)])
    points = np.vstack((square, [(4, 0, 0)])) + 500.0
    rows = np.array([(0, 1, 2), (3, 4, 5), (0, 3, 1), (0, 6, 1)])
    found = solid_read._joined(points, rows, b"own")
    assert isinstance(found, SolidFile)
    corners, faces = found.arrays()
    assert len(corners) == 5 and len(faces) == 2
    a, b, c = (corners[faces[:, n]] for n in range(3))
    assert np.linalg.norm(np.cross(b - a, c - a), axis=1) == pytest.approx([40.0, 40.0])
    assert found.sha256 == hashlib.sha256(b"own").hexdigest()
    many = np.tile(rows[:1], (400_000, 1))
    assert isinstance(solid_read._joined(points, many, b""), SolidFile)
    said = solid_read._joined(points, np.vstack((many, rows[:1])), b"")
    assert isinstance(said, str) and "400000 triangles" in said


def test_a_face_that_has_no_triangles_adds_none() -> None:
    import cadquery as cq

    points, rows = solid_read._face(cq.Face.makePlane(50.0, 30.0).wrapped)
    assert points.shape == rows.shape == (0, 3)


def test_a_solid_is_told_from_what_it_should_be() -> None:
    """A cube of 100 mm, 1000 cm3: it passes within its bounds, whatever they are where none is
    said; two of them, less or more steel, a shell, what is no STEP and an empty file are told.
    """
    import cadquery as cq

    cube, to_read = file_of(box(100.0, 100.0, 100.0)), witness.SolidToRead
    good = to_read(cube, 0.9e6, 1.1e6)
    two = file_of(box(100.0, 100.0, 100.0), box(9.0, 9.0, 9.0, 300.0))
    shell = file_of(cq.Face.makePlane(50.0, 30.0))
    told = witness.read_back(
        {
            "good": good,
            "exact": to_read(cube, 1e6 - 1e-3, 1e6 + 1e-3),
            "any": to_read(two),
            "two": to_read(two, 0.9e6, 1.1e6),
            "more": to_read(cube, 1.001e6, 1.1e6),
            "less": to_read(cube, 0.9e6, 0.999e6),
            "shell": to_read(shell, 0.9e6, 1.1e6),
            "spoilt": to_read(b"ISO-10303-21; nothing", 0.9e6, 1.1e6),
        }
    )
    assert told == {
        "two": "holds 2 solids where it should hold one",
        "more": "has 1000.00 cm3 where its part has 1001.00 to 1100.00",
        "less": "has 1000.00 cm3 where its part has 900.00 to 999.00",
        "shell": "holds 0 solids where it should hold one",
        "spoilt": "is no STEP file the kernel reads",
    }
    empty = re.sub(rb"DATA;.*ENDSEC;", b"DATA;\nENDSEC;", cube, flags=re.S)
    assert witness.read_back({"x": to_read(empty)}) == {"x": "is no sound solid"}


def member(body: object, code: str = "ZZ1.C", family: str = "ZZ") -> Member:
    return Member(code, "body", family, body, FLAT)  # type: ignore[arg-type]


def part(of: Member, **more: object) -> Part:
    row = dict.fromkeys(Part._fields, ())
    row |= {"id": of.code, "member": of, "hand": Hand.EITHER, "quantity": 1, "number": "ZZ1"}
    row |= {"area_net": 0.0, "area_cut": 0.0, "mass": 0.0, "fingerprint": ""}
    return Part(**row | {"cut_fingerprint": ""} | more)  # type: ignore[arg-type]


def test_arcs_slots_and_interlocks_are_in_the_steel() -> None:
    """100 x 60 with corners of 12 mm (each takes (1 - pi/4) r2), an interlock of 20 x 8 and a slot
    12 wide and 30 long, from the lower face up.
    """
    plate = Plate("1/4 A36", contours.rectangle(0.0, 0.0, 100.0, 60.0, 12.0))
    slot = Hole((50.0, 40.0), 12.0, 30.0, 0.0, HowMade.CUT, 0.0, "zz")
    lock = contours.rectangle(20.0, 10.0, 40.0, 18.0)
    own = member(plate)
    shape = step.body(own, part(own, holes=(slot,), slots=(lock,)), SHOP)
    face = 6000.0 - (4.0 - math.pi) * 144.0
    gone = 160.0 + 18.0 * 12.0 + math.pi * 36.0
    assert shape.isValid() and shape.Volume() == pytest.approx((face - gone) * THICK)
    around = shape.BoundingBox()
    assert (around.xmin, around.xmax, around.ymin, around.ymax) == pytest.approx((0, 100, 0, 60))
    assert (around.zmin, around.zmax) == pytest.approx((0.0, THICK))
    assert step.body(own, None, SHOP).Volume() == pytest.approx(face * THICK)


def test_a_pipe_lies_about_its_own_axis() -> None:
    """60 long, 20 over, 8 in: its middle and box are those of its axis."""
    for solid in (Rod(60.0, 20.0, 8.0), Rod(60.0, 20.0), Rod(60.0, 20.0, domed=True)):
        shape = step.body(member(Bought("body", solid)), None, SHOP)
        around = shape.BoundingBox()
        assert shape.Center().toTuple() == pytest.approx((30.0, 0.0, 0.0), abs=1e-6)
        for ends in ((around.ymin, around.ymax), (around.zmin, around.zmax)):
            assert ends == pytest.approx((-10.0, 10.0), abs=1e-3)


@pytest.mark.parametrize(("onto", "angle"), [(1.5, 30.0), (1.5, 150.0), (0.6, 90.0), (1.0, 90.0)])
def test_a_cope_onto_a_shallow_round_and_a_smaller_one(onto: float, angle: float) -> None:
    """Onto a round that crosses at 30 degrees, and onto one no larger than the tube, whose axis
    lies in the plane of the end: no steel of the tube stands in it.
    """
    import cadquery as cq

    tube = SHOP.tubes[0]
    radius, long, turn = onto * tube.od / 2, 12.0 * tube.od, math.radians(angle)
    reach = math.sqrt(max(radius**2 - (tube.od / 2) ** 2, 0.0))
    end = TubeEnd("cope", 2 * radius, turn, 0.0, 0.0, 0.0, "round")
    shape = step.body(member(Tube(tube.key, long, (TubeEnd(), end))), None, SHOP)
    along = cq.Vector(math.cos(turn), -math.sin(turn), 0.0)
    middle = cq.Vector(long + reach, 0.0, 0.0)
    solid = cq.Solid.makeCylinder(radius, 40 * tube.od, middle - along * (20 * tube.od), along)
    assert shape.intersect(solid).Volume() < 1e-3 and shape.distance(solid) < 1e-3
    section = math.pi * (tube.od - tube.wall) * tube.wall
    whole = section * long
    assert 0.7 * whole < shape.Volume() < whole
    assert shape.BoundingBox().xmin == pytest.approx(0.0, abs=1e-3)


def colors(data: bytes) -> set[tuple[float, ...]]:
    rows = re.findall(r"COLOUR_RGB\('',([^)]*)\)", data.decode())
    return {tuple(round(float(x), 2) for x in row.split(",")) for row in rows}


def test_the_assembly_has_what_stays_on_the_truck_in_three_colors() -> None:
    """A plate with its hole, a rail of the truck and an arm, no template; the truck is gray, arms
    more red than green, plates more green than red.
    """
    plate = member(Plate("1/4 A36", contours.rectangle(0.0, 0.0, 100.0, 60.0)), "ZZ1.C")
    tool = plate._replace(code="ZZ2.C", fixed_after="tool")
    hole = Hole((50.0, 30.0), 12.0, 0.0, 0.0, HowMade.CUT, 0.0, "zz")
    rail = member(Existing("rail", Rod(200.0, 50.0)), "TR1.L", min(families_of(Role.TRUCK)))
    arm = member(Bought("arm", Rod(200.0, 30.0)), "AR9.L", min(families_of(Role.ARM)))
    upper = arm._replace(code="UA9.L", family=min(families_of(Role.UPPER_ARM)))
    data = step.assembly_text((plate, tool, rail, arm), (part(plate, holes=(hole,)),), SHOP, "T1")
    corners, faces = surface(data)
    want = (6000.0 - math.pi * 36.0) * THICK + math.pi * (25.0**2 + 15.0**2) * 200.0
    assert volume(corners, faces) == pytest.approx(want, rel=0.03)
    words = data.decode()
    assert "'chassis T1'" in words and "body" in words
    shades = {
        name: colors(step.assembly_text((own,), (part(plate),), SHOP, "T1"))
        for name, own in {"plate": plate, "rail": rail, "arm": arm, "upper": upper}.items()
    }
    ((red, green, blue),) = shades["rail"]
    assert max(red, green, blue) - min(red, green, blue) < 0.05
    ((red, green, blue),) = shades["arm"]
    assert red > 1.5 * green and shades["upper"] == shades["arm"]
    ((red, green, blue),) = shades["plate"]
    assert green > red and green > blue
    with pytest.raises(KeyError):
        step.assembly_text((plate,), (), SHOP, "T1")

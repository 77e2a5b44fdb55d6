"""Surfaces of triangles: against bodies whose distances are known, and against the kernel."""

from __future__ import annotations

import math

import numpy as np
import pytest
from soapstone.layout.job.solid_file import turn_of
from soapstone.parts.geometry import contours
from soapstone.parts.geometry.faceted import NEAR, Faceted
from soapstone.parts.geometry.prism import Prism
from soapstone.parts.model.vectors import Frame

X, Y, Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def box(x: float, y: float, z: float) -> Faceted:
    """A box about the origin, twelve triangles."""
    corners = np.array([(i, j, k) for i in (-x, x) for j in (-y, y) for k in (-z, z)])
    quads = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
    faces = [row for a, b, c, d in quads for row in ((a, b, c), (a, c, d))]
    return Faceted(corners, np.array(faces))


def test_distances_from_a_box_are_those_of_a_box() -> None:
    """Inside, outside, over faces, edges and corners: the box as loops over a height is exact."""
    body = box(90.0, 60.0, 40.0)
    known = Prism(
        Frame((0.0, 0.0, 0.0), X, Z), -40.0, 40.0, contours.rectangle(-90, -60, 90, 60), ()
    )
    points = np.random.default_rng(3).uniform(-160, 160, (3000, 3))
    got, want = body.signed(points), known.signed(points)
    near = np.abs(want) < NEAR - 5
    assert np.abs(got[near] - want[near]).max() < 1e-9
    assert (np.sign(got) == np.sign(want)).all() and (got <= want + 1e-9).all()
    assert (want - got).max() < 0.25, "further off a little short, never too far"
    assert np.abs(body.signed(body.skin(10.0))).max() < 1e-9
    starts, stops = body.edges()
    assert len(starts) == 12, "no edge across a flat face"
    assert np.linalg.norm(stops - starts, axis=1).sum() == pytest.approx(4 * 2 * (90 + 60 + 40))
    assert (body.signed(body.samples(5.0, 9.0)) < -5.0 + 1e-9).all() and body.samples(5.0, 9.0).size


def test_a_file_turns_to_the_truck_by_two_of_its_axes() -> None:
    for front, up in (("x", "z"), ("-y", "z"), ("z", "-x"), ("-z", "y")):
        turn = turn_of(front, up)
        assert turn is not None and np.linalg.det(turn) == pytest.approx(1.0), "never mirrored"
        for way, axis in ((front, X), (up, Z)):
            own = np.eye(3)["xyz".index(way[-1])] * (-1 if way[0] == "-" else 1)
            assert turn @ own == pytest.approx(axis)


def test_solids_read_from_step_are_as_far_as_the_kernel_says() -> None:
    """Against the kernel's own distance and inside, on a block with a bore and round corners and on
    a round: within the chord its triangles may lie inside.
    """
    import cadquery as cq
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape
    from soapstone.layout.job.solid_file import SolidFile
    from soapstone.parts.export.solid_read import CHORD, NO_SOLID, NO_STEP, solid_read

    block = cq.Workplane().box(200, 120, 90).faces(">Z").workplane().hole(50)
    for shape in (block.edges("|Z and (not %CIRCLE)").fillet(12), cq.Workplane().cylinder(200, 40)):
        read = solid_read(_step(shape))
        assert isinstance(read, SolidFile)
        body, own = Faceted(*read.arrays()), shape.val()
        shell = cq.Compound.makeCompound(own.Faces()).wrapped
        for point in np.random.default_rng(5).uniform(-130, 130, (150, 3)):
            far = BRepExtrema_DistShapeShape(cq.Vertex.makeVertex(*point).wrapped, shell).Value()
            want = -far if own.isInside(cq.Vector(*point)) else far
            (got,) = body.signed(point[None])
            if far < NEAR - 5 and far > CHORD:
                assert got == pytest.approx(want, abs=CHORD)
        assert body.corners.min(axis=0) == pytest.approx(
            [own.BoundingBox().xmin, own.BoundingBox().ymin, own.BoundingBox().zmin], abs=CHORD
        )
    assert solid_read(b"ISO-10303-21; nothing") == NO_STEP
    assert solid_read(_step(cq.Workplane().add(cq.Face.makePlane(50, 30)))) == NO_SOLID
    assert math.isclose(_inch_size(), 25.4 * 2, rel_tol=1e-6)


def _step(shape: object) -> bytes:
    import tempfile
    from pathlib import Path

    import cadquery as cq

    with tempfile.TemporaryDirectory() as folder:
        at = Path(folder) / "own.step"
        cq.exporters.export(shape, str(at))
        return at.read_bytes()


def _inch_size() -> float:
    """Width of a cube of two inches, written in inches, as read."""
    import cadquery as cq
    from soapstone.layout.job.solid_file import SolidFile
    from soapstone.parts.export.solid_read import solid_read

    data = _step(cq.Workplane().box(2, 2, 2)).replace(
        b"( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) )",
        b"( CONVERSION_BASED_UNIT('INCH',#9001) LENGTH_UNIT() NAMED_UNIT(#9002) )",
    )
    assert b"INCH" in data
    data = data.replace(
        b"ENDSEC;\nEND-ISO",
        b"#9001 = LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#9003);\n"
        b"#9002 = DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);\n"
        b"#9003 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );\nENDSEC;\nEND-ISO",
    )
    read = solid_read(data)
    assert isinstance(read, SolidFile)
    return float(np.ptp(read.arrays()[0][:, 0]))

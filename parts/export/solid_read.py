"""A shop's own solid, read by the kernel from a STEP file (ISO 10303-21): its surface."""

from __future__ import annotations

import hashlib

import numpy as np

from ...layout.arrays import Array, Integers
from ...layout.job.solid_file import SolidFile
from .step_read import shape_of

CHORD, TURN = 0.25, 0.35
"""mm a triangle may lie inside a round, and rad two of them may turn."""
SAME = 1e-4
"""mm: corners nearer than this are one."""
MOST_FACES = 400_000
NO_STEP = "is no STEP file the kernel reads"
NO_SOLID = "holds no solid, only surfaces or lines: save it as a solid"
TOO_FINE = f"is too fine, more than {MOST_FACES} triangles: save it without threads and small holes"


def solid_read(data: bytes) -> SolidFile | str:
    """The surface of every solid of a file, mm, or why there is none, in words.

    A round is met from outside by ``CHORD`` at most.
    """
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer

    shape = shape_of(data)
    if shape is None or shape.IsNull():
        return NO_STEP
    solids = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    if not solids.More():
        return NO_SOLID
    corners, faces, start = list[Array](), list[Integers](), 0
    while solids.More():
        BRepMesh_IncrementalMesh(solids.Current(), CHORD, False, TURN, False)
        each = TopExp_Explorer(solids.Current(), TopAbs_ShapeEnum.TopAbs_FACE)
        while each.More():
            points, rows = _face(each.Current())
            corners.append(points)
            faces.append(rows + start)
            start += len(points)
            each.Next()
        solids.Next()
    return _joined(np.vstack(corners), np.vstack(faces), data)


def _face(face: object) -> tuple[Array, Integers]:
    """Corners and triangles of one face, outward."""
    from OCP.BRep import BRep_Tool
    from OCP.TopAbs import TopAbs_Orientation
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS, TopoDS_Shape

    assert isinstance(face, TopoDS_Shape)
    place = TopLoc_Location()
    net = BRep_Tool.Triangulation_s(TopoDS.Face_s(face), place)
    if net is None:
        return np.empty((0, 3)), np.empty((0, 3), dtype=np.int64)
    move = place.Transformation()
    points = [net.Node(number).Transformed(move) for number in range(1, net.NbNodes() + 1)]
    rows = np.array(
        [net.Triangle(number).Get() for number in range(1, net.NbTriangles() + 1)], dtype=np.int64
    ).reshape(-1, 3)
    if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
        rows = rows[:, ::-1]
    return np.array([(p.X(), p.Y(), p.Z()) for p in points]).reshape(-1, 3), rows - 1


def _joined(points: Array, rows: Integers, data: bytes) -> SolidFile | str:
    """One surface: corners that are one made one, triangles without area left out."""
    _, first, own = np.unique(
        np.round(points / SAME), axis=0, return_index=True, return_inverse=True
    )
    corners, faces = points[first], own.ravel()[rows]
    a, b, c = (corners[faces[:, each]] for each in range(3))
    whole = np.linalg.norm(np.cross(b - a, c - a), axis=1) > SAME**2
    faces = faces[whole]
    if len(faces) > MOST_FACES:
        return TOO_FINE
    return SolidFile(
        corners.astype("<f8").tobytes(),
        faces.astype("<i8").tobytes(),
        hashlib.sha256(data).hexdigest(),
    )

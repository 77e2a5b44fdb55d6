"""Solids: each plate as STEP, at its place on the truck. The only user of the CAD kernel."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import Any

from .. import outline
from ..model import Loop, Part, Plate
from ..stock import plate


def _wire(cq: Any, loop: Loop) -> Any:
    edges = []
    for e, q in outline.spans(loop):
        p0, p1 = cq.Vector(*e.start, 0), cq.Vector(*q, 0)
        if e.bulge:
            a = outline.arc_of(e.start, q, e.bulge)
            import math

            m = a.start + a.sweep / 2
            edges.append(cq.Edge.makeThreePointArc(p0, cq.Vector(a.centre[0] + a.radius * math.cos(m), a.centre[1] + a.radius * math.sin(m), 0), p1))
        else:
            edges.append(cq.Edge.makeLine(p0, p1))
    return cq.Wire.assembleEdges(edges)


def solid(part: Part) -> Any:
    """The plate as a solid at its place on the truck, mm."""
    import cadquery as cq

    body = part.member.body
    assert isinstance(body, Plate)
    flat = cq.Solid.extrudeLinear(_wire(cq, body.outline), [_wire(cq, o) for o in body.openings], cq.Vector(0, 0, plate(body.stock).t))
    f = part.member.place
    return flat.moved(cq.Location(cq.Plane(origin=f.origin, xDir=f.x, normal=f.z)))


def step_text(part: Part) -> bytes:
    """STEP file of one part; header time fixed so that the same part gives the same bytes."""
    import cadquery as cq

    with tempfile.TemporaryDirectory() as tmp:
        path = Path(tmp) / "part.step"
        cq.exporters.export(cq.Workplane(obj=solid(part)), str(path))
        text = path.read_text()
    text = re.sub(r"FILE_NAME\('[^']*','[^']*'", f"FILE_NAME('{part.id}','1970-01-01T00:00:00'", text, count=1)
    return re.sub(r"Open CASCADE STEP translator ([\d.]+) [\d.]+", r"Open CASCADE STEP translator \1", text).encode()

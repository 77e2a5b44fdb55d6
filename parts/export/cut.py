"""Cut files: one part, one DXF, R2010, closed polylines with arc bulges, 1:1, and their read-back."""

from __future__ import annotations

import io
import math
import re

from ...layout.faults import Fault
from .. import outline
from ..model import Loop, Part, Plate, Scribe
from ..stock import IN, plate

LAYERS = {"OUTLINE": 7, "OPENING": 1, "SCRIBE": 3, "DRILL": 5, "FOLD": 6, "NOT_CUT": 8}


def cut_name(part: Part, chassis: str, revision: str) -> str:
    """Seven fields: chassis-part-revision-hand-thickness-quantity-unit."""
    assert isinstance(part.member.body, Plate)
    t = f"{plate(part.member.body.stock).t / IN + 1e-9:.3f}".replace(".", "p")
    fields = (chassis, part.member.code, revision, part.hand, f"{t}in", f"q{part.quantity}", "in")
    return "-".join(re.sub(r"[^A-Za-z0-9_]", "_", f) for f in fields) + ".dxf"


def _points(loop: Loop, dx: float, dy: float) -> list[tuple[float, float, float]]:
    return [((e.start[0] - dx) / IN, (e.start[1] - dy) / IN, e.bulge) for e in loop]


def cut_text(part: Part, scribes: tuple[Scribe, ...]) -> str:
    """The part's DXF in inches, lower-left at the origin."""
    import ezdxf

    assert isinstance(part.member.body, Plate)
    ezdxf.options.write_fixed_meta_data_for_testing = True
    doc = ezdxf.new("R2010", units=1)
    doc.header["$MEASUREMENT"] = 0
    for name, colour in LAYERS.items():
        doc.layers.add(name, color=colour)
    body, space = part.member.body, doc.modelspace()
    dx, dy, *_ = outline.bbox(body.outline)
    space.add_lwpolyline(_points(body.outline, dx, dy), format="xyb", close=True, dxfattribs={"layer": "OUTLINE"})
    for o in body.openings:
        space.add_lwpolyline(_points(o, dx, dy), format="xyb", close=True, dxfattribs={"layer": "OPENING"})
    for s in scribes:
        for line in s.strokes:
            space.add_lwpolyline([((x - dx) / IN, (y - dy) / IN) for x, y in line], dxfattribs={"layer": "SCRIBE"})
    out = io.StringIO()
    doc.write(out)
    return out.getvalue()


def read_back(text: str, part: Part, name: str) -> list[Fault]:
    """Re-open a cut file and hold it against the model: closed, area, box, openings."""
    import ezdxf

    assert isinstance(part.member.body, Plate)
    space = ezdxf.read(io.StringIO(text)).modelspace()
    faults: list[Fault] = []
    loops: dict[str, list[Loop]] = {"OUTLINE": [], "OPENING": []}
    for e in space:
        layer = e.dxf.layer
        if layer in loops:
            if e.dxftype() != "LWPOLYLINE" or not e.closed:
                faults.append(Fault(name, e.dxftype(), "closed polylines on the cut layers", "do not cut it; build again"))
                continue
            loops[layer].append(tuple(outline.Edge("", (x * IN, y * IN), b) for x, y, b in e.get_points("xyb")))
    want = part.member.body
    if len(loops["OUTLINE"]) != 1 or len(loops["OPENING"]) != len(want.openings):
        return [*faults, Fault(name, f"{len(loops['OUTLINE'])} outlines, {len(loops['OPENING'])} openings", f"1 and {len(want.openings)}", "build again")]
    area = outline.area(loops["OUTLINE"][0]) - sum(map(outline.area, loops["OPENING"]))
    if not math.isclose(area, part.area_cut, rel_tol=1e-6):
        faults.append(Fault(name, f"area {area:.1f} mm2", f"{part.area_cut:.1f} mm2", "the file is not the part: build again"))
    a, b = outline.bbox(loops["OUTLINE"][0]), outline.bbox(want.outline)
    if max(abs((a[2] - a[0]) - (b[2] - b[0])), abs((a[3] - a[1]) - (b[3] - b[1]))) > 0.01:
        faults.append(Fault(name, "size over all", "the model's", "the file is not the part: build again"))
    return faults

"""Hidden lines by the solid modeler's own algorithm (Open CASCADE, HLRBRep), the outside check of
those the drawings work out from facets.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from soapstone.parts.drawing.picture import View

Lines = list[shapely.LineString]
PITCH = 1.0
"""mm from one point of a curve to the next."""


def kernel_lines(solids: Sequence[Any], view: View) -> tuple[Lines, Lines, Lines]:
    """What is in sight and what is hidden of solids of the modeler, as seen, and edges between
    faces that run into one another smoothly, which a drawing shows only where they are an outline:
    three lists of lines.
    """
    from OCP.BRepLib import BRepLib
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape

    eye, right = (gp_Dir(*map(float, way)) for way in (view.eye, view.right))
    algorithm = HLRBRep_Algo()
    for solid in solids:
        BRepLib.EncodeRegularity_s(solid.wrapped, 0.05)
        algorithm.Add(solid.wrapped)
    algorithm.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(0, 0, 0), eye, right)))
    algorithm.Update()
    algorithm.Hide()
    found = HLRBRep_HLRToShape(algorithm)
    seen = (found.VCompound(), found.OutLineVCompound())
    hidden = (found.HCompound(), found.OutLineHCompound())
    smooth = (found.Rg1LineVCompound(), found.Rg1LineHCompound())
    return _lines(seen), _lines(hidden), _lines(smooth)


def _lines(compounds: Sequence[Any]) -> Lines:
    import cadquery as cq
    from OCP.BRepLib import BRepLib

    rows = []
    for compound in compounds:
        if compound is None or compound.IsNull():
            continue
        BRepLib.BuildCurves3d_s(compound)
        for edge in cq.Shape.cast(compound).Edges():
            count = max(2, int(edge.Length() / PITCH) + 1)
            points = edge.positions(np.linspace(0.0, 1.0, count))
            rows.append([(p.x, p.y) for p in points])
    return [shapely.LineString(row) for row in rows if len(row) > 1]

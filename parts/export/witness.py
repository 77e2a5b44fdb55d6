"""Solids read back by the kernel, from their files alone: one closed solid each, sound, of the
volume its plate or tube has by its own numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ..model.assembly import Part
from ..model.body import Plate, Tube
from ..stock import Shop
from .step_read import shape_of

EXACT, BENT, COPED = 1e-4, 0.02, 0.1
"""Share a volume may differ by: of a flat plate and a straight tube; of a bent plate, whose flat
length is the brake's, not the kernel's; of a tube that a cope takes from.
"""
MM3 = 1e3
"""mm3 in a cubic centimeter."""


class SolidToRead(NamedTuple):
    """A STEP file, and the least and largest volume it may have, mm3; both 0 where only that it is
    sound can be said.
    """

    data: bytes
    least: float = 0.0
    most: float = 0.0


def to_read(part: Part, data: bytes, shop: Shop) -> SolidToRead:
    """A part's file with the volume its outline and thickness, or section and length, give."""
    body = part.member.body
    if isinstance(body, Plate):
        volume = part.area_net * shop.plate(body.stock).thickness
        share = BENT if body.bends else EXACT
        return SolidToRead(data, (1 - share) * volume, (1 + share) * volume)
    assert isinstance(body, Tube)
    volume = part.area_net * body.length
    coped = any(end.kind == "cope" for end in body.ends)
    return SolidToRead(data, (1 - (COPED if coped else EXACT)) * volume, (1 + EXACT) * volume)


def read_back(solids: Mapping[str, SolidToRead]) -> dict[str, str]:
    """What is wrong with files, by their path; empty where nothing is."""
    every = ((path, _wrong(solid)) for path, solid in solids.items())
    return {path: wrong for path, wrong in every if wrong}


def _wrong(solid: SolidToRead) -> str:
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer

    shape = shape_of(solid.data)
    if shape is None:
        return "is no STEP file the kernel reads"
    if shape.IsNull() or not BRepCheck_Analyzer(shape).IsValid():
        return "is no sound solid"
    if not solid.most:
        return ""
    count, each = 0, TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    while each.More():
        count += 1
        each.Next()
    if count != 1:
        return f"holds {count} solids where it should hold one"
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props)
    volume = float(props.Mass())
    if not solid.least <= volume <= solid.most:
        return (
            f"has {volume / MM3:.2f} cm3 where its part has {solid.least / MM3:.2f} to"
            f" {solid.most / MM3:.2f}"
        )
    return ""

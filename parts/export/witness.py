"""Solids read back by the kernel, from their files alone: one closed solid each, sound, of the
volume its plate or tube has by its own numbers.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from ..model.assembly import Part
from ..model.body import Plate, Tube
from ..stock import Shop

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
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        for path, solid in solids.items():
            if wrong := _wrong(solid, Path(folder) / "read.step"):
                found[path] = wrong
    return found


def _wrong(solid: SolidToRead, at: Path) -> str:
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.STEPControl import STEPControl_Reader
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer

    at.write_bytes(solid.data)
    reader = STEPControl_Reader()
    if reader.ReadFile(str(at)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        return "is no STEP file the kernel reads"
    reader.TransferRoots()
    shape = reader.OneShape()
    if shape is None or shape.IsNull() or not BRepCheck_Analyzer(shape).IsValid():
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

"""A STEP file (ISO 10303-21) read by the kernel, from its bytes alone."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape


def shape_of(data: bytes) -> TopoDS_Shape | None:
    """What a file holds, mm, empty where it holds nothing; None where it is no STEP file."""
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Message import Message, Message_PrinterOStream
    from OCP.STEPControl import STEPControl_Reader

    # what the kernel finds wrong it would print itself, in color: the fault says it in ours
    Message.DefaultMessenger_s().RemovePrinters(Message_PrinterOStream.get_type_descriptor_s())
    with tempfile.TemporaryDirectory() as folder:
        at = Path(folder) / "read.step"
        at.write_bytes(data)
        reader = STEPControl_Reader()
        if reader.ReadFile(str(at)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            return None
        reader.TransferRoots()
        return reader.OneShape()

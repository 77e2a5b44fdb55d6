"""Files a command writes under a name that was typed: never over what somebody else wrote there."""

from __future__ import annotations

from pathlib import Path

from ..layout.faults import Exit, Fault, SoapstoneError
from . import disk


def ends_in(option: str, path: Path, *endings: str) -> None:
    """Fault (COMMAND_LINE) for a file that ends in none of ``endings``: a job file named where its
    sheet was meant would be written over.
    """
    if path.suffix.lower() not in endings:
        allowed = f"a name that ends in {' or '.join(endings)}"
        remedy = f"such as {path.stem or 'T1'}{endings[0]}; nothing was written"
        raise SoapstoneError(Exit.COMMAND_LINE, [Fault(option, path.name, allowed, remedy)])


def put_to_fill_in(path: Path, data: bytes, remedy: str) -> None:
    """A file that somebody fills in: written under a free name, or over one that is the same to
    the byte. Fault (DISK) with ``remedy`` else, since what was filled in would be lost.
    """
    if path.is_file() and path.read_bytes() == data:
        return
    try:
        disk.new_file(path, data)
    except FileExistsError:
        allowed = "a name that is free"
        raise SoapstoneError(Exit.DISK, [Fault(str(path), "", allowed, remedy)]) from None

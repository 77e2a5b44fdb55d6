"""Solids of what may be hit, where the shop has a file of them beside the job file."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from ...layout import reader
from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.solid_file import ROW, SolidFile, turn_of, ways_of
from ...layout.quantities import Key
from ...layout.units import IN
from .cache import Cache, key_of
from .worker import working

if TYPE_CHECKING:
    from ...layout.job.load import Job

MOST_BYTES = 100_000_000
LEAST_APART = IN / 4
"""A file and the tape may differ by this much, mm (judgment, no source)."""
HERE = "the name of a STEP file in the job file's folder"


def named_files(job: Job) -> dict[str, str]:
    """The file each row of the list names, by the row."""
    rows = (f"{ROW}.{number}" for number in range(1, job.counts.get(ROW, 0) + 1))
    return {row: name for row in rows if (name := job.words.get(f"{row}.file", ""))}


def with_solids(job: Job, path: Path) -> Job:
    """The job with the surface of every solid whose file it names; ``path``: the job file's.

    Raises SoapstoneError (JOB_FILE) with every file that is not there, cannot be read as a solid,
    or is not of the size that was taped.
    """
    faults = list[Fault]()
    solids = dict[str, SolidFile]()
    for row, name in named_files(job).items():
        found = _read(path.parent / name, name)
        if isinstance(found, SolidFile):
            solids[row] = found
            faults += _misfits(job, row, name, found)
        else:
            faults.append(Fault(f"{row}.file", name, HERE, found))
    if faults:
        raise SoapstoneError(Exit.JOB_FILE, faults)
    return job._replace(solids=solids) if solids else job


def _read(path: Path, name: str) -> SolidFile | str:
    """The solid of a file, or why there is none."""
    if Path(name).name != name or "\\" in name:
        return "put it beside the job file and name it without a folder: it is archived with it"
    try:
        if path.stat().st_size > MOST_BYTES:
            return f"it is larger than {MOST_BYTES // 1_000_000} MB: save it without inner parts"
        data = path.read_bytes()
    except OSError:
        return "there is no such file beside the job file; check the name"
    own = key_of("solid of a file", hashlib.sha256(data).hexdigest())
    return Cache().value(own, lambda: _by_kernel(data))


def _by_kernel(data: bytes) -> SolidFile | str:
    from ...parts.export.solid_read import solid_read

    with working(solid_read, data) as answer:
        found = answer()
    return found if isinstance(found, SolidFile) else f"it {found}"


def _misfits(job: Job, row: str, name: str, found: SolidFile) -> Iterator[Fault]:
    """What of a file does not fit the tape: another unit, or it lies another way."""
    front, up = ways_of(job.words, row)
    turn = turn_of(front, up)
    if turn is None:
        remedy = "say which axes of the file point forward and up: two different ones"
        yield Fault(f"{row}.up", up, f"an axis across {front}, which points forward", remedy)
        return
    corners, _ = found.arrays()
    placed = corners @ turn.T
    size = placed.max(axis=0) - placed.min(axis=0)
    shown = " x ".join(reader.fine(float(each)) for each in size)
    for number, axis in enumerate("xyz"):
        half = job.readings.get(Key(f"{row}.half.{axis}", "C"))
        if half is None:
            continue
        apart = abs(2 * half.value - float(size[number]))
        if apart > max(LEAST_APART, 2 * half.half_width):
            allowed = f"about {reader.fine(float(size[number]) / 2)}: {name} is {shown} as it lies"
            remedy = (
                "tape it again, or say which axes of the file point forward and up"
                " (front, up); a file in another unit is far off all three ways"
            )
            yield Fault(f"{row}.half.{axis}", " | ".join(half.typed), allowed, remedy)

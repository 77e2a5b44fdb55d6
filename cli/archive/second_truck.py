"""A truck like one that was released: which of its parts are the same, which only sit elsewhere,
which are cut anew, and why.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.truck.likeness import Compared, compare_rows
from .record import Record
from .store import Archive

if TYPE_CHECKING:
    from ..building.manifest import PartRow


class Inherited(NamedTuple):
    """What became of each part, and for each that is cut anew the readings behind it."""

    parts: Compared
    why: dict[str, list[str]]


def like_path(job: Path) -> Path:
    """Where a job says which release it is like."""
    return job.parent / f"{job.stem}.like.json"


def like_bytes(master: Record) -> bytes:
    """What stands in that file."""
    return (json.dumps({"chassis": master.chassis, "letter": master.letter}) + "\n").encode()


def like_of(job: Path) -> tuple[str, str] | None:
    """Chassis and letter the job is like; None if it is like nothing.

    Raises (JOB_FILE) for a file that cannot be read or was not written by ``new --like``.
    """
    path = like_path(job)
    if not path.is_file():
        return None
    try:
        data = json.loads(path.read_bytes())
        return str(data["chassis"]), str(data["letter"])
    except (ValueError, KeyError, TypeError):
        raise SoapstoneError(
            Exit.JOB_FILE,
            [
                Fault(
                    str(path),
                    "",
                    "as new --like wrote it",
                    "delete it (the truck is then like no other) or write it again with new --like",
                )
            ],
        ) from None


def inherited(parts: Sequence[PartRow], master: Record, typed: Mapping[str, str]) -> Inherited:
    """Parts against the master's; one with a new shape names the readings it rests on that
    differ.
    """
    old = master.data.get("typed", {})
    changed = {
        key
        for key in old.keys() | typed.keys()
        if old.get(key) != typed.get(key) and not key.startswith("job.")
    }
    rests = {row["part"]: set(row["rests_on"]) for row in parts}
    found = compare_rows(master.data["parts"], parts)
    why = {part: sorted(rests[part] & changed) or sorted(changed) for part in found.shape}
    return Inherited(found, why)


def master_of(store: Archive, job: Path) -> Record | None:
    """The release a job is like; None if it is like nothing."""
    named = like_of(job)
    return store.record(*named) if named else None

"""A truck like one that was released: which of its parts are the same, which only sit elsewhere,
which are cut anew, and why.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.truck.likeness import Compared, compare_rows
from .store import Archive, Record


class Likeness(NamedTuple):
    """What became of each part, and for each that is cut anew the readings behind it."""

    parts: Compared
    why: dict[str, list[str]]


def like_path(job: Path) -> Path:
    """Where a job says which release it is like."""
    return job.with_name(f"{job.stem}.like.json")


def like_of(job: Path) -> tuple[str, str] | None:
    """Chassis and letter the job is like; None if it is like nothing.

    Faults for a file that cannot be read.
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


def likeness(parts: list[dict[str, Any]], master: Record, typed: Mapping[str, str]) -> Likeness:
    """Parts against the master's; one with a new shape names the readings it rests on that differ."""
    old = master.data.get("typed", {})
    changed = {
        k
        for k in old.keys() | typed.keys()
        if old.get(k) != typed.get(k) and not k.startswith("job.")
    }
    rests = {p["part"]: set(p["rests_on"]) for p in parts}
    found = compare_rows(master.data["parts"], parts)
    return Likeness(found, {k: sorted(rests[k] & changed) or sorted(changed) for k in found.shape})


def firsts_of(
    parts: list[dict[str, Any]], master: Record | None, last: Record | None
) -> tuple[dict[str, str], dict[str, str]]:
    """Letter and first chassis of every part that is cut from a released part's file and so keeps
    its number: from this chassis' last revision, else from the master.
    """
    letters: dict[str, str] = {}
    firsts: dict[str, str] = {}
    for r in (master, last):
        if r is None:
            continue
        by = {p["part"]: p for p in r.data["parts"]}
        found = compare_rows(r.data["parts"], parts)
        for part in (*found.same, *found.moved):
            letters[part] = by[part]["revision"]
            firsts[part] = by[part].get("first", r.data["chassis"])
    return letters, firsts


def master_of(store: Archive, job: Path) -> Record | None:
    """The release a job is like; None if it is like nothing."""
    named = like_of(job)
    return store.record(*named) if named else None

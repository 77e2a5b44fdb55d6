"""A truck like one that was released: which of its parts are the same parts, which branch, and why."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

from soapstone.cli.archive import Archive, Record
from soapstone.layout.faults import Exit, Fault, SoapstoneError


class Branch(NamedTuple):
    """Parts reused as released, parts that branch with the readings behind each, parts only there, parts only here."""

    reused: list[str]
    branched: dict[str, list[str]]
    gone: list[str]
    come: list[str]


def like_path(job: Path) -> Path:
    """Where a job says which release it is like."""
    return job.with_name(f"{job.stem}.like.json")


def like_of(job: Path) -> tuple[str, str] | None:
    """Chassis and letter the job is like; None if it is like nothing. Faults for a file that cannot be read."""
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


def branches(parts: list[dict[str, Any]], master: Record, typed: Mapping[str, str]) -> Branch:
    """Fingerprints against the master's; a part that differs names the readings it rests on that differ."""
    was, now = master.fingerprints(), {p["part"]: p["fingerprint"] for p in parts}
    old = master.data.get("typed", {})
    changed = {
        k
        for k in old.keys() | typed.keys()
        if old.get(k) != typed.get(k) and not k.startswith("job.")
    }
    rests = {p["part"]: set(p["rests_on"]) for p in parts}
    return Branch(
        sorted(k for k in now if was.get(k) == now[k]),
        {
            k: sorted(rests[k] & changed) or sorted(changed)
            for k in sorted(now)
            if k in was and was[k] != now[k]
        },
        sorted(was.keys() - now.keys()),
        sorted(now.keys() - was.keys()),
    )


def firsts_of(
    parts: list[dict[str, Any]], master: Record | None, last: Record | None
) -> tuple[dict[str, str], dict[str, str]]:
    """Letter and first chassis of every part that keeps another truck's number: from this chassis' last revision, else from the master."""
    letters: dict[str, str] = {}
    firsts: dict[str, str] = {}
    for r in (master, last):
        if r is None:
            continue
        by = {p["part"]: p for p in r.data["parts"]}
        for p in parts:
            row = by.get(p["part"])
            if row is not None and row["fingerprint"] == p["fingerprint"]:
                letters[p["part"]] = row["revision"]
                owner = row.get("first", r.data["chassis"])
                firsts[p["part"]] = owner
    return letters, firsts


def master_of(store: Archive, job: Path) -> Record | None:
    """The release a job is like; None if it is like nothing."""
    named = like_of(job)
    return store.record(*named) if named else None

"""Two machines that wrote to one synced folder while they did not see each other: the program that
syncs keeps both files and gives one of them another name, which is found here and named.

No name of such a copy is known beforehand (they differ from program to program and from language to
language), so that a copy is told by what stands in it.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.load import SLUG
from .record import NAME, digest

LAST = "last.json"
"""The chassis' own list of hashes, see ``store``."""
OWN = ("contents", "objects")
"""Folders of the archive that are no chassis."""
LARGEST = 20_000_000
"""Bytes: no record is as large."""


def faults(folder: Path, chassis: str) -> Iterator[Fault]:
    """A fault for each record or event of a chassis that lies in its folder under another name.

    ``folder``: the archive's. OSError as it is.
    """
    own = folder / chassis
    for path in sorted(own.iterdir()) if own.is_dir() else ():
        if path.name == LAST or path.name.startswith(".") or NAME.fullmatch(path.name):
            continue
        facts = _facts(path)
        if not facts or str(facts.get("chassis")) != chassis:
            continue
        letter, kind = str(facts.get("letter")), "kind" in facts
        stem = _stem(path, letter) if kind else letter
        yield _fault(own, chassis, stem, path, facts)


def stop(folder: Path, chassis: str) -> None:
    """Raises (ARCHIVE_DAMAGED) where two machines wrote the same letter or number: whatever is
    written next would follow only one of the two.
    """
    found = list(faults(folder, chassis))
    if found:
        raise SoapstoneError(Exit.ARCHIVE_DAMAGED, found, "nothing was changed; both are kept")


def folders(folder: Path) -> Iterator[Fault]:
    """A fault for each folder with records in it whose name is no chassis'."""
    for path in sorted(folder.iterdir()) if folder.is_dir() else ():
        strange = path.is_dir() and path.name not in OWN and not SLUG.fullmatch(path.name)
        if strange and any(_facts(file) for file in path.glob("*.json")):
            yield Fault(
                f"folder {path.name[:60]}",
                "",
                "folders named as their chassis, 1 to 24 of A-Z a-z 0-9 _ -",
                "a program that syncs made it where two machines wrote at once: compare it with"
                " the chassis' own folder, keep it elsewhere, and release from its jobs again"
                " what the chassis' folder lacks",
            )


def _facts(path: Path) -> dict[str, object]:
    """What stands in a record, an event or a copy of one; nothing for any other file."""
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            return {}
        found = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) and {"letter", "before", "files"} <= set(found) else {}


def _stem(path: Path, letter: str) -> str:
    """Which event a copy is of: the number its name still begins with."""
    number = ""
    for sign in path.name.removeprefix(f"{letter}."):
        if not sign.isdigit():
            break
        number += sign
    return f"{letter}.{number}" if number else letter


def _fault(own: Path, chassis: str, stem: str, copy: Path, facts: dict[str, object]) -> Fault:
    there = own / f"{stem}.json"
    letter, _, number = stem.partition(".")
    who = f"{chassis} {letter}" + (f" event {number}" if number else "")
    if there.is_file() and there.read_bytes() == copy.read_bytes():
        allowed = f"one file of each; {copy.name[:80]} is the same as {there.name}"
        return Fault(f"{who}: there twice", "", allowed, f"delete {copy.name[:80]}")
    again = "enter what it says again" if number else "release its job again, to the next letter"
    listed = (
        f" delete {LAST} beside it, which names that one (it is made anew);"
        if _listed(own, stem) == digest(copy.read_bytes())
        else ""
    )
    return Fault(
        f"{who}: written on two machines",
        "",
        f"one of each; {there.name} is {_said(_facts(there))}, {copy.name[:80]} is {_said(facts)}",
        f"both are kept: move {copy.name[:80]} out of {own} and keep it;{listed} then {again}",
    )


def _listed(own: Path, stem: str) -> str:
    try:
        return str(json.loads((own / LAST).read_bytes())[stem])
    except (OSError, ValueError, KeyError, TypeError):
        return ""


def _said(facts: dict[str, object]) -> str:
    """Who wrote a record, when and why."""
    if not facts:
        return "not there"
    words = " ".join(str(facts.get(word, ""))[:60] for word in ("by", "date"))
    note = str(facts.get("note", ""))[:60]
    return f"by {words}" + (f" ({note})" if note else "")

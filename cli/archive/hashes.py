"""The chassis' own list, ``last.json``: the hash of every record ("A") and event ("A.1"), so that
the last of them, which nothing follows, cannot change unseen.

It is begun before the first record is written, so that a chassis without one has lost it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from .. import disk
from .clashes import LAST
from .record import NAME, digest, record_bytes

LISTED = 2
"""Records of this format and later have always had a list."""
ANEW = ".made anew"
"""What a list that was lost was made anew over; no record is called so."""


def stored(folder: Path) -> dict[str, str] | None:
    """The list in a chassis' folder as it is; None where there is none or it cannot be read."""
    try:
        found = json.loads((folder / LAST).read_bytes())
        return {str(stem): str(sha256) for stem, sha256 in found.items()}
    except (OSError, ValueError, AttributeError):
        return None


def of(folder: Path) -> dict[str, str]:
    """Hash by record and event; empty where there is no list that can be read."""
    found = stored(folder) or {}
    return {stem: sha256 for stem, sha256 in found.items() if stem != ANEW}


def lost(folder: Path) -> str:
    """Records and events that had a list, where it is gone or cannot be read; else empty."""
    return ", ".join(_listed(folder)) if stored(folder) is None else ""


def anew(folder: Path) -> str:
    """Records and events a list was made anew over once it had been lost; else empty."""
    return (stored(folder) or {}).get(ANEW, "")


def begin(folder: Path) -> None:
    """Before anything is written: begin a list where there is none, with what it cannot vouch for
    if one was lost. OSError as it is.
    """
    if stored(folder) is None:
        over = lost(folder)
        disk.put_file(folder / LAST, record_bytes({ANEW: over} if over else {}))


def note(folder: Path, stems: Iterable[str]) -> None:
    """Bring the list up to date.

    A stop before it leaves a record the list does not name yet: the next writer adds it.
    """
    was = stored(folder) or {}
    now = {stem: was.get(stem) or digest((folder / f"{stem}.json").read_bytes()) for stem in stems}
    now |= {ANEW: was[ANEW]} if ANEW in was else {}
    if now != was:
        disk.put_file(folder / LAST, record_bytes(now))


def _listed(folder: Path) -> list[str]:
    """Records and events by name, of the formats that had a list."""
    found = folder.iterdir() if folder.is_dir() else ()
    return sorted(
        path.stem for path in found if NAME.fullmatch(path.name) and _format(path) >= LISTED
    )


def _format(path: Path) -> int:
    try:
        return int(json.loads(path.read_bytes()).get("format", 0))
    except (OSError, ValueError, TypeError, AttributeError):
        return 0

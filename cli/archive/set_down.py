"""What a recorded set-down says of its truck, by the job as it was then and as it is now."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from ...layout import units
from .as_built import AsBuilt
from .record import digest

if TYPE_CHECKING:
    from ...layout.graph import Graph

AGAIN = "run correct again"
SUFFIX = ".asbuilt.json"
"""Of the file beside a job in which `correct` keeps the set-downs."""


def not_down(data: bytes | None) -> str:
    """Why a truck is not ready to be welded by its recorded set-down: what is out, what is to be
    read again, what was not read; empty if it is ready.
    """
    if data is None:
        return (
            "the set-down is not recorded: set the truck down, fill in the set-down file and run"
            " correct"
        )
    found = json.loads(data)
    said = found["not_right"] if "format" in found else _judged_again(found)
    return said and f"by its last set-down it does not stand right: {said}"


def not_down_now(data: bytes | None, solved: Graph, typed: bytes | None = None) -> str:
    """The same for the job as it is now: the readings of the last set-down against what this layout
    asks of each, which need not be what it asked when they were taken.

    ``typed``: the set-down file as it is now, if there is one; what was typed into it since
    `correct` read it stands nowhere else.
    """
    if (why := not_down(data)) or data is None:
        return why
    found: AsBuilt = json.loads(data)
    read_from = found.get("typed_sha256", "")
    if read_from and typed is not None and digest(typed) != read_from:
        return f"the set-down file was changed since it was read: {AGAIN}"
    said = _against(found, solved)
    return said and f"the job was changed since the set-down, and by it now {said}: {AGAIN}"


def _against(found: AsBuilt, solved: Graph) -> str:
    """What of the last set-down is not as a layout wants it; empty if everything is."""
    from ...layout.setdown import BY, judge, not_right, truck_of

    scale = {"length": units.IN, "angle": units.DEG}
    last = found["set_downs"][-1]["readings"] if found.get("set_downs") else {}
    read = {name: value * scale[BY[name].kind] for name, value in last.items() if name in BY}
    return not_right(judge(truck_of(solved).asked, read, found.get("take_again", ())))


def later(chassis: str, kept: bytes | None, folders: Iterable[Path]) -> str:
    """Why a truck does not stand right by a set-down that lies beside its archive and is not the
    one its revision keeps; empty where there is none or it stands right.
    """
    for path in sorted({p.resolve() for folder in folders for p in folder.glob(f"*{SUFFIX}")}):
        data = path.read_bytes()
        try:
            found = json.loads(data)
            if data == kept or found["chassis"] != chassis:
                continue
            why = not_down(data)
        except (ValueError, KeyError, TypeError, AttributeError):
            continue  # not a file of ours
        if why:
            return f"{path.name}, {why}"
    return ""


def _judged_again(found: AsBuilt) -> str:
    """The verdict of today on a set-down stored before every reading had one: what was off by how
    much stands in it, and nothing else.
    """
    from ...layout.setdown import ASKED, Targets, Window, judge, not_right

    last = found["set_downs"][-1]["readings"] if found.get("set_downs") else {}
    scale = {"length": units.IN, "angle": units.DEG}
    errors = found.get("errors", {})
    wanted, read = {}, {}
    for asked in ASKED:
        factor = scale[asked.kind]
        off = errors.get(asked.name)
        wanted[asked.name] = 0.0 if off is None else (last.get(asked.name, 0.0) - off) * factor
        if off is not None:
            read[asked.name] = last.get(asked.name, off) * factor
    rows = {
        asked.name: Window(wanted[asked.name] - asked.limit, wanted[asked.name] + asked.limit)
        for asked in ASKED
    }
    parallel = max(asked.limit for asked in ASKED if asked.name == "drag")
    return not_right(judge(Targets(wanted, rows, parallel), read, found.get("take_again", ())))

"""What a recorded set-down says of its truck."""

from __future__ import annotations

import json

from ...layout import units
from .as_built import AsBuilt


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

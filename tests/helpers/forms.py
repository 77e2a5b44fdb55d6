"""A blank job file filled in as a person would: a value between the quotes of each line."""

from __future__ import annotations

import json
import re
from typing import Any

_HEAD = re.compile(r"\[\[?([\w.]+)\]")
_LINE = re.compile(r"([\w.]+) = (\"\"|\{ left = \"\", right = \"\" \})$")


def filled(text: str, table: dict[str, Any]) -> tuple[str, list[str]]:
    """The text with the readings of ``table`` in its empty lines, and which lines these are."""
    made, names, head = [], [], ""
    rows: dict[str, int] = {}
    for line in text.splitlines():
        if found := _HEAD.match(line):
            head = found[1]
            if line.startswith("[["):
                rows[head] = rows.get(head, -1) + 1
        found = _LINE.match(line)
        value = _value(table, f"{head}.{found[1]}", rows.get(head, 0)) if found else None
        if found is None or value is None:
            made.append(line)
            continue
        names.append(f"{head}.{found[1]}")
        made.append(f"{found[1]} = {_toml(value)}")
    return "\n".join(made) + "\n", names


def _value(table: dict[str, Any], name: str, row: int) -> Any:
    here: Any = table
    for word in name.split("."):
        if isinstance(here, list):
            here = here[row] if row < len(here) else {}
        here = here.get(word) if isinstance(here, dict) else None
    return here


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{word} = {_toml(own)}" for word, own in value.items()) + " }"
    return json.dumps(value)

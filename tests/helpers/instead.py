"""What is said beside a part that cannot be made, as the lines it says to type."""

from __future__ import annotations

from anyjob import Change
from soapstone.layout.job.fields import FIELDS, pattern


def changes(said: str) -> list[list[Change]]:
    """Each way of a sentence as the lines it says to type."""
    text = said.partition(" made with ")[2].removesuffix(": read that again")
    return [_typed(way) for way in text.replace(", or with ", " or ").split(" or ")]


def _typed(way: str) -> list[Change]:
    """One change of a field as it is said: of the center, of a side, of both alike or each."""
    name, _, rest = way.partition(" ")
    now = rest.removeprefix("read as ").partition(" instead of ")[0]
    path, _, side = name.rpartition(".")
    if side in ("left", "right"):
        return [Change(path, side, now)]
    if now.startswith("left "):
        left, _, right = now.removeprefix("left ").partition(" and right ")
        return [Change(name, "left", left), Change(name, "right", right)]
    return [Change(name, "both" if FIELDS[pattern(name)].sided else "", now.strip('"'))]

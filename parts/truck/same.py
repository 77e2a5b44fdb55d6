"""Which parts of two trucks, or of two revisions of one, are the same: three answers kept apart,
since a plate that only sits elsewhere is cut from the same file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

WORDS = {
    "same": "the same",
    "moved": "same plate, another place",
    "shape": "new shape",
    "gone": "no longer there",
    "come": "new",
}
"""What each answer is called on screen and paper; "plate" covers tubes, which are cut to the same
length.
"""


class Compared(NamedTuple):
    """Part ids, sorted, each in exactly one of these: see ``WORDS``."""

    same: tuple[str, ...] = ()
    moved: tuple[str, ...] = ()
    shape: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    come: tuple[str, ...] = ()

    @property
    def differs(self) -> bool:
        """Whether anything at all does."""
        return any(self[1:])


def compare_parts(old: Iterable[Mapping[str, Any]], new: Iterable[Mapping[str, Any]]) -> Compared:
    """Rows of ``part``, ``fingerprint`` (what is cut, and its place) and ``cut`` (what is cut:
    outline, holes, bends, marks less revision text, stock), by part id. ``places``: fingerprint at
    every place a part goes to. A row of an earlier format has no ``cut``: where its fingerprint
    differs it counts as a new shape. KeyError for a row without part or fingerprint.
    """
    was, now = ({r["part"]: r for r in rows} for rows in (old, new))

    def word(k: str) -> str:
        if k not in now:
            return "gone"
        if k not in was:
            return "come"
        a, b = was[k], now[k]
        old, new = (r.get("places") or {k: r["fingerprint"]} for r in (a, b))
        if a["fingerprint"] == b["fingerprint"] and all(
            old[x] == new[x] for x in old.keys() & new.keys()
        ):
            return "same"
        return "moved" if a.get("cut") and a["cut"] == b.get("cut") else "shape"

    words = {k: word(k) for k in sorted(was.keys() | now.keys())}
    return Compared(*(tuple(k for k, v in words.items() if v == f) for f in Compared._fields))

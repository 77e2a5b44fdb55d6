"""What is held and by which row, what is not held and why, and what all of it assumes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from ...layout.reader import measure
from ..strength.result import NOT_CHECKED, Strength
from .paper import Paper
from .rows import Wording, mirrored

PART = re.compile(r"[A-Z]{2}\d+(\.[LRC])?")
"""The model's id of a made part."""


def write(pages: Paper, found: Strength, say: Wording, numbers: Mapping[str, str]) -> None:
    """Both lists: every made part, bolt and weld stands in one of them."""
    pages.chapter("held, and not held and why")
    pages.heading("Held, and by which row")
    for says, ids in _both_hands((says, tuple(ids)) for says, ids in found.held_by):
        pages.line(f"{say(says)}: {_called(ids, say, numbers)}.")
    pages.heading("Not held, and why")
    aside = ((f"{entry.why} ({entry.whose})", entry.ids) for entry in found.not_held)
    for why, ids in _both_hands(aside):
        pages.line(f"{_called(ids, say, numbers)}: {why}.")
    pages.heading("Not looked at by any row")
    pages.line(f"{'; '.join(NOT_CHECKED)}.")


def _both_hands(
    rows: Iterable[tuple[str, tuple[str, ...]]],
) -> list[tuple[str, tuple[str, ...]]]:
    """Rows; what a left one says and a right one says alike is said once, with the ids of both."""
    found: list[tuple[str, tuple[str, ...]]] = []
    for says, ids in rows:
        twin = (mirrored(says), tuple(map(mirrored, ids)))
        if twin in found and twin != (says, ids):
            found[found.index(twin)] = (_handless(says), (*twin[1], *ids))
        else:
            found.append((says, ids))
    return found


def _handless(says: str) -> str:
    """Words about both sides: members by their number alone."""
    return re.sub(r"\b([A-Z]{2}\d+)\.[LR]\b", r"\1", says)


def _called(ids: Iterable[str], say: Wording, numbers: Mapping[str, str]) -> str:
    """Parts by name, welds and bolts by number; a hole no bolt goes in has none."""
    known = [numbers.get(name) or (say(name) if PART.fullmatch(name) else "") for name in ids]
    return ", ".join(filter(None, dict.fromkeys(known))) or "holes without a bolt"


def assumptions(pages: Paper, found: Strength, aside: Sequence[str], say: Wording) -> None:
    """What nobody measured, rules set aside, the shop's own factors, what was made larger."""
    pages.chapter("assumptions")
    left = measure(max((force.residual for force in found.forces), default=0.0), "force", 3)
    for title, rows in (
        ("Assumed, nobody measured it", [say(str(one)) for one in found.assumed]),
        ("Rules set aside", list(map(say, aside))),
        ("Load factors of the shop's own", list(found.notes)),
        (
            "Made larger for its loads, over the lightest that fits",
            [say(str(one)) for one in found.grown],
        ),
        ("Closure", [f"Largest force left over in any case: {left}."]),
    ):
        if rows:
            pages.heading(title)
        for row in rows:
            pages.line(row)

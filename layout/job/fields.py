"""Every field of the job file, in file order."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence

from .field import Field, key_of, pattern
from .fields_arms import ARMS
from .fields_axle import AXLE
from .fields_drive import DRIVE
from .fields_frame import FRAME
from .fields_job import JOB, UNITS, WANTED
from .fields_spring import SPRING_TRAVEL

FIELDS: dict[str, Field] = {
    f.name: f for f in (*JOB, *UNITS, *WANTED, *FRAME, *AXLE, *DRIVE, *ARMS, *SPRING_TRAVEL)
}
LISTS: tuple[str, ...] = ("frame.station", "frame.notch.proud", "frame.hole", "travel.obstacle")
LEAST_ROWS = {"frame.station": 2, "frame.notch.proud": 2, "frame.hole": 0, "travel.obstacle": 0}
TABLES: tuple[str, ...] = (
    "job",
    "units",
    "wanted",
    "frame",
    "axle",
    "driveline",
    "arms",
    "steering",
    "track_bar",
    "spring",
    "travel",
)
OTHER_TABLES: tuple[str, ...] = ("fixed", "pin", "override")
MOST_NEAR = 6
"""Names an error lists at most."""
_LIKE = 0.8
"""How alike two words are where one was meant for the other (castor and caster are)."""
_SIDE = re.compile(r"[.](left|right)$")


def field_of(name: str) -> Field:
    """Field of a key's name, row numbers allowed. KeyError with the nearest known name.

    >>> field_of("frame.station.2.outer").name
    'frame.station.*.outer'
    """
    found = FIELDS.get(pattern(name))
    if found is None:
        raise KeyError(f"{name}: no such field; {nearest(name)}")
    return found


def is_second_way(name: str) -> bool:
    """Whether a field is taken only where one before it in the file, which serves as well, is not.

    >>> is_second_way("arms.offset_front"), is_second_way("arms.plan_slant")
    (True, False)
    """
    order = {own: place for place, own in enumerate(FIELDS)}
    return any(order[other] < order[name] for other in FIELDS[name].instead)


def nearest(name: str, known: tuple[str, ...] | None = None) -> str:
    """The known name that was meant, in words, or the few that share a word with it: whole paths
    first, then words, then last words.

    ``known``: names to look among, every field if None. Where nothing is near, how to see them
    all.

    >>> nearest("axle.kpo")
    'the nearest known one is axle.kpi'
    >>> nearest("castor low")
    'the nearest known one is wanted.caster_low'
    >>> nearest("castor")
    'near it are wanted.caster_high, wanted.caster_low, axle.caster_at_level_pinion'
    """
    names = tuple(FIELDS) if known is None else known
    short = pattern(name[:80])
    found = _as_near(short, difflib.get_close_matches(short, names, n=MOST_NEAR, cutoff=0.8))
    found = found or _sharing(short, names)
    found = found or difflib.get_close_matches(short, names, n=1, cutoff=0.6)
    if not found:
        last = {full.rpartition(".")[2]: full for full in reversed(names)}
        near = difflib.get_close_matches(short.rpartition(".")[2], list(last), n=1, cutoff=0.7)
        found = [last[word] for word in near]
    if not found:
        return "`new` writes a file with every field"
    if len(found) == 1:
        return f"the nearest known one is {found[0]}"
    more = len(found) - MOST_NEAR
    return f"near it are {', '.join(found[:MOST_NEAR])}" + (f" and {more} more" * (more > 0))


def _as_near(name: str, found: Sequence[str]) -> list[str]:
    """Those that are as near as the first, such as the same name along another axis."""
    near = [difflib.SequenceMatcher(None, name, each).ratio() for each in found]
    return [each for each, ratio in zip(found, near, strict=True) if ratio >= max(near) - 0.01]


def _sharing(name: str, names: Iterable[str]) -> list[str]:
    """Names with the most words of what was typed in them, sides left out, the shortest first."""
    typed = _words(name)
    every = {word for full in names for word in _words(full)}
    meant = {
        word: {word} & every or {*difflib.get_close_matches(word, every, n=1, cutoff=_LIKE)}
        for word in typed
    }
    shared = {
        bare: count
        for full in names
        if (bare := _SIDE.sub("", full))
        and (count := sum(bool(meant[w] & _words(full)) for w in typed))
    }
    most = max(shared.values(), default=0)
    found = [full for full, count in shared.items() if count == most]
    return sorted(found, key=lambda full: (len(_words(full)), full))


def _words(name: str) -> frozenset[str]:
    """The words a name is made of, letters of axes left out."""
    return frozenset(word for word in re.split(r"[^a-z0-9]+", name.lower()) if len(word) > 1)


def by_name() -> dict[str, str]:
    """Sheet code of every field."""
    return {field.name: field.sheet_code for field in FIELDS.values()}


__all__ = [
    "FIELDS",
    "LEAST_ROWS",
    "LISTS",
    "OTHER_TABLES",
    "TABLES",
    "Field",
    "by_name",
    "field_of",
    "is_second_way",
    "key_of",
    "nearest",
    "pattern",
]

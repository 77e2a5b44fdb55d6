"""Every field of the job file, in file order."""

from __future__ import annotations

import difflib

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
    """The nearest known name in words, comparing whole paths, then last words.

    ``known``: names to look among, every field if None. Where nothing is near, how to see them
    all.

    >>> nearest("axle.kpo")
    'the nearest known one is axle.kpi'
    """
    names = tuple(FIELDS) if known is None else known
    short = name[:80]
    found = difflib.get_close_matches(pattern(short), names, n=1, cutoff=0.6)
    if not found:
        last = {full.rpartition(".")[2]: full for full in reversed(names)}
        found = [
            last[near]
            for near in difflib.get_close_matches(
                short.rpartition(".")[2], list(last), n=1, cutoff=0.7
            )
        ]
    return (
        f"the nearest known one is {found[0]}" if found else "`new` writes a file with every field"
    )


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

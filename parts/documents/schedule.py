"""What a table of the bench is: each row a mapping; lengths and masses in the reader's units, which
the row names; a column ending in _mm or _kg is in that.
"""

from __future__ import annotations

from typing import NamedTuple

from ...layout.reader import metric, valued

ScheduleCell = str | float | None
ScheduleRow = dict[str, ScheduleCell]
"""A row: text or number by column, "" or None where there is none."""


class Schedule(NamedTuple):
    """A table of the bench: its name, its columns in order, its rows as mappings."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[ScheduleRow, ...]


def long_in(mm: float) -> float:
    """A length in the reader's unit, rounded as a table prints it."""
    return round(valued(mm, "length"), 2 if metric() else 4) + 0.0


def mass_in(kg: float) -> float:
    """A mass in the reader's unit, rounded as a table prints it."""
    return round(valued(kg, "mass"), 2)


def held(row: ScheduleRow, column: str) -> float:
    """The number a row holds in a column, 0 where it is blank."""
    value = row[column]
    return value if isinstance(value, (int, float)) else 0

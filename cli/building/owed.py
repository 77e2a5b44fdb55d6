"""What is still needed of a job, in lines: which reading, how it is taken, what waits for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from ...layout.faults import Exit, Fault, SoapstoneError

if TYPE_CHECKING:
    from ...layout.job.load import Job
    from ...layout.quantities import Key

BY_TITLE = 4
"""Parts named by their titles; more are named by their codes."""


def owed_lines(job: Job, family: str = "") -> list[str]:
    """A line for each reading that is owed, in the order of the walk with a heading for each stop:
    where and how it is taken, and the parts that wait for it; ``family``: only what those parts
    need.
    """
    from ...layout.job.fields import FIELDS, pattern
    from ...layout.job.walk import STOPS, stop_of

    found: list[str] = []
    stop = -1
    for key, parts in waiting_on(job, family).items():
        if (now := stop_of(key.name)) != stop:
            stop = now
            found.append(f"{STOPS[stop][0]}:")
        field = FIELDS[pattern(key.name)]
        codes = ", ".join(FIELDS[name].sheet_code for name in field.instead)
        other = f" (or {codes})" if codes else ""
        mark = "SAFETY " if field.safety else ""
        held = f"; for {_called(parts)}" if parts else ""
        found.append(f"needed {mark}{field.sheet_code} {key}{other}: {field.how}{held}")
    return found


def _called(parts: Mapping[str, str]) -> str:
    """Parts by their titles, or where they are many by their codes; ``parts``: title to code."""
    if len(parts) <= BY_TITLE:
        return ", ".join(parts)
    codes = dict.fromkeys(parts.values())
    return f"{len(parts)} parts: {' '.join(codes)}"


def waiting_on(job: Job, family: str = "") -> dict[Key, dict[str, str]]:
    """Every reading that is owed, in the order of the walk, with the title and code of every part
    that rests on it; ``family``: only what the parts of that code rest on.

    Faults (COMMAND_LINE) for a code no part has.
    """
    from ...layout.job.field import pattern
    from ...layout.job.walk import walked
    from ...parts.truck.needs import kept

    rows = kept()
    wanted = {row.code for row in rows if family and row.code == family.upper()}
    if family and not wanted:
        allowed = ", ".join(f"{row.code} {row.title}" for row in rows)
        remedy = "the two letters every part of it begins with"
        raise SoapstoneError(Exit.COMMAND_LINE, [Fault("--for", family[:20], allowed, remedy)])
    found: dict[Key, dict[str, str]] = {}
    for key in sorted(job.owed, key=lambda key: walked(key.name)):
        name = pattern(key.name)
        parts = {row.title: row.code for row in rows if name in row.fields}
        if not wanted or wanted & set(parts.values()):
            found[key] = parts
    return found


def nearest_lines(job: Job) -> Iterator[str]:
    """A line for how many readings each part still needs, those that need fewest first: what to
    measure to free the next part.
    """
    from ...layout.job.field import pattern
    from ...parts.truck.needs import kept

    owed = [pattern(key.name) for key in job.owed]
    rows = [(sum(name in row.fields for name in owed), row) for row in kept()]
    if waits := sorted((row for row in rows if row[0]), key=lambda row: row[0]):
        said = [f"{row.code} {count}" for count, row in waits]
        yield f"readings each part still needs, fewest first: {_joined(said)}"


def _joined(said: Sequence[str]) -> str:
    return ", ".join(dict.fromkeys(said))

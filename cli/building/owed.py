"""What is still needed of a job, in lines: which reading, how it is taken, what waits for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...layout.job.load import Job
    from ...layout.quantities import Key


def owed_lines(job: Job) -> list[str]:
    """A line for each reading that is owed: where and how it is taken, and the parts that wait for
    it.
    """
    from ...layout.job.fields import FIELDS, pattern

    found = []
    for key, parts in waiting_on(job).items():
        field = FIELDS[pattern(key.name)]
        codes = ", ".join(FIELDS[name].sheet_code for name in field.instead)
        other = f" (or {codes})" if codes else ""
        mark = "SAFETY " if field.safety else ""
        held = f"; for {', '.join(parts)}" if parts else ""
        found.append(f"needed {mark}{field.sheet_code} {key}{other}: {field.how}{held}")
    return found


def waiting_on(job: Job) -> dict[Key, list[str]]:
    """Every reading that is owed, with the titles of the parts that cannot be made without it."""
    if not job.owed:
        return {}
    from ...layout.setout import solve
    from ...parts.truck.truck import design

    # a part says only the first reading it misses, and half a survey misses hundreds: then nothing
    # can be said by name
    truck = design(solve(job), job.words, job.pins, job.chassis)
    found: dict[Key, list[str]] = {key: [] for key in job.owed}
    for who, keys in truck.waiting.items():
        title = who.rpartition(" ")[0]
        for key in keys:
            if key in found and title not in found[key]:
                found[key].append(title)
    return found

"""What is still needed of a job, in lines: which reading, how it is taken, what waits for it; which
further readings free which parts.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from ...layout.faults import Exit, Fault, SoapstoneError

if TYPE_CHECKING:
    from ...layout.job.load import Job
    from ...layout.quantities import Key
    from ...parts.truck.needs import Needs

BY_TITLE = 4
"""Parts named by their titles; more are named by their codes."""
LISTED = 60
"""Readings listed one by one whether the job file has a line for them or not."""


class OwedStep(NamedTuple):
    """Readings that free parts together: what is owed for it, the parts by code with their
    titles.
    """

    keys: tuple[Key, ...]
    parts: Mapping[str, str]


def first_plates() -> str:
    """What the short form serves, in words."""
    from ...parts.truck.needs import Cut, kept

    return " and ".join(f"{row.title} {row.code}" for row in kept() if row.cut is Cut.FIRST)


def owed_lines(job: Job, family: str = "", among: Collection[Key] | None = None) -> list[str]:
    """A line for each reading that is owed, in the order of the walk with a heading for each stop:
    where and how it is taken, and the parts that wait for it; ``family``: only what those parts
    need; ``among``: only these.
    """
    from ...layout.job.fields import FIELDS, pattern
    from ...layout.job.walk import STOPS, stop_of

    found: list[str] = []
    stop = -1
    for key, parts in waiting_on(job, family).items():
        if among is not None and key not in among:
            continue
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


def of_code(code: str, option: str) -> list[Needs]:
    """What the families of a code need; faults (COMMAND_LINE) for a code no part has, ``option``
    being where it was typed.
    """
    from ...parts.truck.needs import kept

    found = [row for row in kept() if row.code == code.upper()]
    if not found:
        allowed = ", ".join(f"{row.code} {row.title}" for row in kept())
        remedy = "the two letters every part of it begins with"
        raise SoapstoneError(Exit.COMMAND_LINE, [Fault(option, code[:20], allowed, remedy)])
    return found


def waiting_on(job: Job, family: str = "") -> dict[Key, dict[str, str]]:
    """Every reading that is owed, in the order of the walk, with the title and code of every part
    that rests on it; ``family``: only what the parts of that code rest on.

    Faults (COMMAND_LINE) for a code no part has.
    """
    from ...layout.job.field import pattern
    from ...layout.job.walk import walked
    from ...parts.truck.needs import kept

    wanted = {row.code for row in of_code(family, "--for")} if family else set()
    found: dict[Key, dict[str, str]] = {}
    for key in sorted(job.owed, key=lambda key: walked(key.name)):
        name = pattern(key.name)
        parts = {row.title: row.code for row in kept() if name in row.fields}
        if not wanted or wanted & set(parts.values()):
            found[key] = parts
    return found


def steps(job: Job) -> list[OwedStep]:
    """What to read next, step by step: what is cut first, then the most parts for the fewest
    readings, until every part is free.

    A reading that can be taken in either of two ways is owed once, as the first of them.
    """
    from ...layout.job.fields import is_second_way, pattern
    from ...parts.truck.needs import Cut, kept

    keys = [key for key in job.owed if not is_second_way(pattern(key.name))]
    rows = [row for row in kept() if row.cut is not Cut.NEVER]
    left = {
        row.code + row.title: (row, {key for key in keys if pattern(key.name) in row.fields})
        for row in rows
    }
    left = {name: own for name, own in left.items() if own[1]}
    found: list[OwedStep] = []
    while left:
        sets = [own for _, own in left.values()]
        # readings a part that is freed by them, and of several alike the fewest
        first = {key for row, own in left.values() if row.cut is Cut.FIRST for key in own}
        best = first or min(
            sets, key=lambda own: (len(own) / sum(each <= own for each in sets), len(own))
        )
        freed = {name: (row, own) for name, (row, own) in left.items() if own <= best}
        order = tuple(key for key in keys if key in best)
        # first the part that asks for all of it, whose lines free the others too
        rows = [row for row, _ in sorted(freed.values(), key=lambda pair: pair[1] != best)]
        found.append(OwedStep(order, {row.code: row.title for row in rows}))
        left = {name: (row, own - best) for name, (row, own) in left.items() if name not in freed}
    return found


def shown_first(job: Job, text: str) -> frozenset[Key]:
    """Readings listed one by one: all of them where they are few, else those the job's text has a
    line for and what frees the next part.
    """
    from ...layout.job.field import pattern
    from ...layout.job.form import has_line

    if len(job.owed) <= LISTED:
        return frozenset(job.owed)
    lines = has_line(text)
    own = {key for key in job.owed if pattern(key.name) in lines}
    return frozenset(own) | frozenset(steps(job)[0].keys)


def cut_now(job: Job) -> bool:
    """Whether readings are owed still, but none for what is cut first."""
    from ...layout.job.field import pattern
    from ...parts.truck.needs import first_fields

    first = first_fields()
    return bool(job.owed) and not any(pattern(key.name) in first for key in job.owed)


def step_lines(job: Job, file: str) -> Iterator[str]:
    """What to read next and what it frees, a line a step; ``file``: the job file as typed."""
    from ...layout.job.fields import is_second_way, pattern

    rest = steps(job)
    if rest:
        yield (
            "what further readings free: what is cut first, then the most parts for the fewest"
            " readings:"
        )
    free = {key for step in rest for key in step.keys}
    others = sum(key not in free for key in job.owed if not is_second_way(pattern(key.name)))
    for number, step in enumerate(rest, 1):
        count = len(step.keys)
        readings = f"{count} reading{'' if count == 1 else 's'}{' more' if number > 1 else ''}"
        titles = ", ".join(f"{title} {code}" for code, title in step.parts.items())
        code = next(iter(step.parts))
        yield f"  {number}. {readings}: {titles} (soapstone readings {file} --add {code})"
    if others:
        yield (
            f"{others} reading{'' if others == 1 else 's'} no part waits for, but travel, limits or"
            f" checks do (soapstone readings {file} --add all)"
        )

"""The short survey of a truck like one that was released: fifteen readings against the master's,
each with how far it may be off. What is within that keeps the master's reading, so that its parts
stay the same parts; what is not is a new reading of the new truck.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from .. import reader, units
from ..faults import Exit, Fault, SoapstoneError
from .fields import field_of, key_of
from .load import Job
from .sheet import paths_of
from .taped import COLUMNS, sheet_lines

MOST = 15
PICKED = (
    r"frame\.rake",
    r"frame\.station\.\d+\.outside",
    r"frame\.station\.\d+\.height",
    r"frame\.wheelbase",
    r"driveline\.output\.[xz]",
    r"driveline\.output_axis_down",
    r"steering\.pitman_ball\.x",
    r"travel\.obstacle\.1\.center\.z",
    r"axle\.wheel_track",
    r"axle\.caster_at_level_pinion",
    r"frame\.station\.\d+\.wall",
    r"axle\.pinion_joint\.[xz]",
    r"frame\.station\.\d+\.outer",
)
"""Common practice, no source: rake, rails at their stations, wheelbase, transfer case, steering,
oil pan, axle.
"""
ALLOWED = {"length": units.IN / 8, "angle": 0.5 * units.DEG}
"""How far a reading may be off and still be the master's, by kind (judgment, no source)."""
WALL = 0.010 * units.IN
"""The same of a wall's thickness, mm (judgment, no source)."""
SURVEY = (*COLUMNS[:7], "master", "allowed", *COLUMNS[7:])
_ROUNDING = 1e-9
_MOST_SAID = 80


class SurveyLine(NamedTuple):
    """One reading of the survey: path with its side, code, how, kind, the master's value as typed
    and in internal units, how far off it may be.
    """

    path: str
    code: str
    how: str
    kind: str
    typed: str
    value: float
    allowed: float


class Taken(NamedTuple):
    """Readings within what is allowed, and those that are not: path, as typed, how far off
    (internal units); ``owed``: paths left blank.
    """

    same: list[tuple[str, str, float]]
    off: list[tuple[str, str, float]]
    owed: list[str]


def lines(job: Job) -> list[SurveyLine]:
    """The readings of a master's short survey, the first of each kind that it has.

    In the order of ``PICKED``, at most ``MOST``; only lengths and angles that were typed, values
    and what is allowed in internal units.
    """
    every = list(_every_line(job))
    found: list[SurveyLine] = []
    for pattern in PICKED:
        sided = re.compile(pattern + r"(\.left|\.right)?")
        found += [line for line in every if sided.fullmatch(line.path) and line not in found]
    return found[:MOST]


def _every_line(job: Job) -> Iterator[SurveyLine]:
    """A line for each length and angle that was typed."""
    for field, path in paths_of(job):
        reading = job.readings.get(key_of(path))
        if field.is_word or reading is None or not reading.typed or reading.assumed:
            continue
        if field.kind in ALLOWED:
            wall = path.endswith((".wall", ".wall.left", ".wall.right"))
            yield SurveyLine(
                path=path,
                code=field.sheet_code,
                how=field.how,
                kind=field.kind,
                typed=reading.typed[0],
                value=float(reading.value),
                allowed=WALL if wall else ALLOWED[field.kind],
            )


def survey_csv(rows: Iterable[SurveyLine]) -> bytes:
    """The survey to fill in as CSV, UTF-8 with a byte order mark.

    Columns as ``SURVEY``: those of the measuring sheet with the master's value and how far off it
    may be, in the reader's units.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(SURVEY)
    for row in rows:
        field = field_of(re.sub(r"\.(left|right)$", "", row.path))
        low, _, high = field.range_text().partition(" .. ")
        unit = reader.unit(row.kind)
        allowed = shown(row.allowed, row.kind)
        said = (row.code, row.path, row.how, field.state, unit, low, high, row.typed, allowed)
        writer.writerow((*said, "", "", "", ""))
    return out.getvalue().encode("utf-8-sig")


def shown(off: float, kind: str) -> str:
    """How far off, as a shop says it: ``off`` in internal units of ``kind``, length or angle.

    >>> shown(0.5 * units.DEG, "angle")
    '0.50 deg'
    """
    return reader.fine(off) if kind == "length" else f"{off / units.DEG:.2f} deg"


def read(path: Path, rows: Sequence[SurveyLine], words: Mapping[str, str]) -> Taken:
    """A filled survey against the master.

    Raises (JOB_FILE) with every line that cannot be read; ``words``: the job's own units.
    """
    filled = sheet_lines(path, "the short survey", "new --like writes it beside the job file")
    found = {line.get("reading", ""): line.get("value", "") for line in filled}
    known = {row.path for row in rows}
    faults = [
        Fault(
            reading[:_MOST_SAID],
            value,
            "a reading of the survey",
            "leave the lines as they were written",
        )
        for reading, value in found.items()
        if reading not in known and value
    ]
    taken = Taken([], [], [])
    for row in rows:
        typed = found.get(row.path, "")
        if not typed:
            taken.owed.append(row.path)
            continue
        got = _read_line(row, typed, words)
        if isinstance(got, Fault):
            faults.append(got)
            continue
        within = abs(got - row.value) <= row.allowed + _ROUNDING
        (taken.same if within else taken.off).append((row.path, typed, got - row.value))
    if faults:
        raise SoapstoneError(Exit.JOB_FILE, faults, f"{path.name}: nothing was taken")
    return taken


def _read_line(row: SurveyLine, typed: str, words: Mapping[str, str]) -> float | Fault:
    """The value of one line in internal units, or what is wrong with it."""
    field = field_of(re.sub(r"\.(left|right)$", "", row.path))
    try:
        value = units.parse(typed, row.kind, words.get(f"units.{row.kind}"))
    except units.UnitError as error:
        return Fault(row.path, typed, field.range_text(), str(error))
    if not field.low - _ROUNDING <= value <= field.high + _ROUNDING:
        return Fault(row.path, typed, field.range_text(), field.remedy)
    return value


def settled(
    taken: Taken, before: Mapping[str, object], of_master: Mapping[str, object]
) -> dict[str, object]:
    """The taped readings a survey leaves: what is off as typed in it, what is the same as the
    master's taped file has it or not at all, whatever was taken earlier.

    ``before``: taped readings of the truck so far, ``of_master``: of the master. Blank lines change
    nothing.
    """
    rows = dict(before)
    for path, _, _ in taken.same:
        rows.pop(path, None)
        if path in of_master:
            rows[path] = of_master[path]
    return rows | {path: typed for path, typed, _ in taken.off}


def not_the_masters(
    job: Job, rows: Iterable[SurveyLine], paths: Iterable[str]
) -> dict[str, SurveyLine]:
    """Of these paths, those at which the job's reading is another than the master's, with the
    master's line.
    """
    asked = set(paths)
    found = {}
    for row in rows:
        reading = job.readings.get(key_of(row.path))
        if row.path not in asked or reading is None:
            continue
        if abs(float(reading.value) - row.value) > _ROUNDING:
            found[row.path] = row
    return found


def restated(job: Job, rows: Iterable[SurveyLine], taken: Taken) -> dict[str, str]:
    """The master's value for every reading that is the same though the job file says another: it
    has to stand in the taped file.
    """
    differing = not_the_masters(job, rows, [path for path, _, _ in taken.same])
    return {path: units.exact(row.value, row.kind) for path, row in differing.items()}

"""The measuring sheet of a job and its CSV."""

from __future__ import annotations

import csv
import io
from typing import NamedTuple

from .. import units
from .cells import as_shown
from .fields import FIELDS, LEAST_ROWS, LISTS, Field, key_of
from .load import Job
from .taped import COLUMNS


class SheetRow(NamedTuple):
    """One line of the measuring sheet.

    ``reading``: path with its side; ``value``: as typed so far.
    """

    code: str
    reading: str
    how: str
    state: str
    unit: str
    low: str
    high: str
    value: str


def paths_of(job: Job) -> list[tuple[Field, str]]:
    """Every reading and word of the sheet in file order: its field and its path, sides apart, rows
    of lists as many as the job has.
    """
    found = []
    for field in FIELDS.values():
        bases = [field.name]
        if "*" in field.name:
            name = next(list_name for list_name in LISTS if field.name.startswith(f"{list_name}.*"))
            bases = [
                field.name.replace("*", str(number))
                for number in range(1, max(job.counts.get(name, 0), LEAST_ROWS[name]) + 1)
            ]
        for base in bases:
            found += (
                [(field, f"{base}.{side}") for side in ("left", "right")]
                if field.sided and not field.is_word
                else [(field, base)]
            )
    return found


def sheet_rows(job: Job) -> list[SheetRow]:
    """The measuring sheet of a job, what it knows already filled in."""
    rows = []
    for field, path in paths_of(job):
        if not field.at_truck:
            continue
        typed = job.words.get(path, "") if field.is_word else _typed(job, path)
        # what a bare number in the job's file means, so that it means the same on the sheet
        unit = (
            "" if field.is_word else job.words.get(f"units.{field.kind}", units.readers(field.kind))
        )
        says = field.range_text(unit)
        low, _, high = ("", "", says) if field.is_word else says.partition(" .. ")
        rows.append(
            SheetRow(
                code=field.sheet_code,
                reading=path,
                how=field.how,
                state=_state(job, field, path),
                unit=unit,
                low=low,
                high=high,
                value=typed,
            )
        )
    return rows


def _state(job: Job, field: Field, path: str) -> str:
    """At which height the truck stands for a reading; empty where it makes no odds, or nobody
    said.
    """
    if field.state != "said":
        return "" if field.state == "any" else field.state
    got = job.readings.get(key_of(path))
    return got.state if got and not got.assumed else ""


def _typed(job: Job, path: str) -> str:
    got = job.readings.get(key_of(path))
    return got.typed[0] if got and got.typed and not got.assumed else ""


def sheet_csv(rows: list[SheetRow]) -> bytes:
    """The sheet as CSV, to fill in and take back, UTF-8 with a byte order mark.

    Columns as ``taped.COLUMNS``; those after the value stay empty. Spreadsheets of the office know
    UTF-8 by the mark.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow(
            (
                row.code,
                row.reading,
                row.how,
                row.state,
                row.unit,
                row.low,
                row.high,
                as_shown(row.value),
                "",
                "",
                "",
                "",
            )
        )
    return out.getvalue().encode("utf-8-sig")

"""The job file as a form: a blank job, and the measuring sheet and its CSV."""

from __future__ import annotations

import csv
import io
import json
from typing import NamedTuple

from .. import units
from .fields import FIELDS, LEAST_ROWS, LISTS, TABLES, Field, key_of
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


def blank_job(chassis: str) -> str:
    """A job file with every field, commented, that loads as it is: only chassis and units are
    filled in.
    """
    lines = [
        (
            "# Take the # away where you fill in. A reading on both sides: { left = .., right = .."
            " }, or { both = .. }; repeats:"
        ),
        (
            '# { value = "23 7/16", again = ["23 1/2"], plus_minus = "1/16", by = "..", date ='
            ' "2026-01-31" }'
        ),
        "",
    ]
    for table in TABLES:
        lines.append(f"[{table}]")
        lines += [
            line
            for field in FIELDS.values()
            if field.table == table and "*" not in field.name
            for line in _field_lines(field, chassis)
        ]
        lines.append("")
        for name in (table_name for table_name in LISTS if table_name.split(".")[0] == table):
            for number in range(max(1, LEAST_ROWS[name])):
                lines.append(
                    f"#[[{name}]]"
                    + (
                        "   # a row for each; at least two"
                        if number == 0 and LEAST_ROWS[name] > 1
                        else ""
                    )
                )
                lines += [
                    line
                    for field in FIELDS.values()
                    if field.name.startswith(f"{name}.*.")
                    for line in _field_lines(field, chassis, f"{name}.*.")
                ]
                lines.append("")
    return "\n".join(lines)


def _field_lines(field: Field, chassis: str, base: str = "") -> list[str]:
    name = field.name.removeprefix(base or field.table + ".")
    given = {
        "job.chassis": chassis,
        "units.length": "in",
        "units.angle": "deg",
        "units.force": "lbf",
        "units.rate": "lbf/in",
        "units.torsion": "in*lbf/deg",
    }.get(field.name)
    if given:
        return [f"{name} = {json.dumps(given)}   # {field.sheet_code} {field.how}"]
    hint = '"" ' if field.is_word or not field.sided else '{ left = "", right = "" } '
    need = (
        ""
        if field.needed and field.default is None
        else " (default)"
        if field.default is not None
        else " (if there is one)"
    )
    state = f", at {field.state} height" if field.state != "any" else ""
    return [
        f"#{name} = {hint}  # {field.sheet_code} {field.how}{state}; {field.range_text()}{need}"
    ]


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
        if field.table in ("job", "units"):
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
                field.sheet_code,
                path,
                field.how,
                "" if field.state == "any" else field.state,
                unit,
                low,
                high,
                typed,
            )
        )
    return rows


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
                row.value,
                "",
                "",
                "",
            )
        )
    return out.getvalue().encode("utf-8-sig")

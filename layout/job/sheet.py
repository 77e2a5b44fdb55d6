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
            for f in FIELDS.values()
            if f.table == table and "*" not in f.name
            for line in _field_lines(f, chassis)
        ]
        lines.append("")
        for name in (n for n in LISTS if n.split(".")[0] == table):
            for i in range(max(1, LEAST_ROWS[name])):
                lines.append(
                    f"#[[{name}]]"
                    + (
                        "   # a row for each; at least two"
                        if i == 0 and LEAST_ROWS[name] > 1
                        else ""
                    )
                )
                lines += [
                    line
                    for f in FIELDS.values()
                    if f.name.startswith(f"{name}.*.")
                    for line in _field_lines(f, chassis, f"{name}.*.")
                ]
                lines.append("")
    return "\n".join(lines)


def _field_lines(f: Field, chassis: str, base: str = "") -> list[str]:
    name = f.name.removeprefix(base or f.table + ".")
    given = {
        "job.chassis": chassis,
        "units.length": "in",
        "units.angle": "deg",
        "units.force": "lbf",
        "units.rate": "lbf/in",
        "units.torsion": "in*lbf/deg",
    }.get(f.name)
    if given:
        return [f"{name} = {json.dumps(given)}   # {f.sheet_code} {f.how}"]
    hint = '"" ' if f.is_word or not f.sided else '{ left = "", right = "" } '
    need = (
        ""
        if f.needed and f.default is None
        else " (default)"
        if f.default is not None
        else " (if there is one)"
    )
    state = f", at {f.state} height" if f.state != "any" else ""
    return [f"#{name} = {hint}  # {f.sheet_code} {f.how}{state}; {f.range_text()}{need}"]


def paths_of(job: Job) -> list[tuple[Field, str]]:
    """Every reading and word of the sheet in file order: its field and its path, sides apart, rows
    of lists as many as the job has.
    """
    found = []
    for f in FIELDS.values():
        bases = [f.name]
        if "*" in f.name:
            name = next(n for n in LISTS if f.name.startswith(f"{n}.*"))
            bases = [
                f.name.replace("*", str(i))
                for i in range(1, max(job.counts.get(name, 0), LEAST_ROWS[name]) + 1)
            ]
        for b in bases:
            found += (
                [(f, f"{b}.{side}") for side in ("left", "right")]
                if f.sided and not f.is_word
                else [(f, b)]
            )
    return found


def sheet_rows(job: Job) -> list[SheetRow]:
    """The measuring sheet of a job, what it knows already filled in."""
    rows = []
    for f, path in paths_of(job):
        if f.table in ("job", "units"):
            continue
        typed = job.words.get(path, "") if f.is_word else _typed(job, path)
        # what a bare number in the job's file means, so that it means the same on the sheet
        unit = "" if f.is_word else job.words.get(f"units.{f.kind}", units.readers(f.kind))
        says = f.range_text(unit)
        low, _, high = ("", "", says) if f.is_word else says.partition(" .. ")
        rows.append(
            SheetRow(
                f.sheet_code,
                path,
                f.how,
                "" if f.state == "any" else f.state,
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
    w = csv.writer(out, lineterminator="\n")
    w.writerow(COLUMNS)
    for r in rows:
        w.writerow((r.code, r.reading, r.how, r.state, r.unit, r.low, r.high, r.value, "", "", ""))
    return out.getvalue().encode("utf-8-sig")

"""Welds, bolts, inspection and alignment of a revision as one CSV: written blank, filled in at the
truck, taken back whole or not at all.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from ...layout import reader, units
from ...layout.faults import Fault
from ...layout.job.reading import day
from ...parts.words.names import part
from . import wrench
from .entries import LAID, numbered
from .log_sheets import AS_BUILT
from .record import Record
from .signature import NAME_MOST, Signer, good_name
from .store import Archive

COLUMNS = ("revision", "sheet", "number", "what", "wanted", "found", "by", "date")
SHEETS = ("weld", "bolt", "inspection", "alignment")
SOUND = "ok"
"""What is written beside a weld that was laid, looked at and found sound."""
FOUND_MOST = 60
"""Characters of what was found."""
ALIGNMENT = (
    ("caster, left", "caster.ride"),
    ("caster, right", "caster.ride"),
    ("camber, left", ""),
    ("camber, right", ""),
    ("steering axis inclination, left", ""),
    ("steering axis inclination, right", ""),
    ("thrust angle", ""),
    ("toe in, at the tread", ""),
    ("steering wheel straight, box centered", ""),
    ("lock stops, both sides", ""),
)
"""Lines of the alignment sheet, and the solved value each is held against."""
INSPECTED = (
    "bump, droop, roll and lock: everything has room",
    "hoses and leads slack at full droop with lock",
    "coil in its seats at full droop",
    "steering free lock to lock",
    "brakes bled, every joint tight",
    "rails waxed inside, drains open",
)
"""Lines of the inspection sheet that are looked at, not measured."""


class FormRow(NamedTuple):
    """One line of the form: its sheet, its number (of a weld or bolt), what, and what it should
    be.
    """

    sheet: str
    number: str
    what: str
    wanted: str


def form_rows(store: Archive, record: Record) -> list[FormRow]:
    """Every line of a revision's form, in the order of the sheets."""
    carried: dict[str, list[str]] = {}
    for own, numbers in record.data.get("welds", {}).items():
        for number in numbers:
            carried.setdefault(number, []).append(part(own))
    welds = sorted(record.welds(), key=lambda number: int(number[1:]))
    values: Mapping[str, str] = record.data.get("values", {})
    return [
        *(FormRow("weld", n, "at " + " and ".join(carried[n]), SOUND) for n in welds),
        *(FormRow("bolt", n, "what the wrench was set to", "") for n in record.data["bolts"]),
        *_inspection(store, record),
        *(FormRow("alignment", "", what, str(values.get(key, ""))) for what, key in ALIGNMENT),
    ]


def _inspection(store: Archive, record: Record) -> Iterator[FormRow]:
    """What the set-down asked, with its limits where one was recorded, and what is looked at."""
    from ...layout.setdown import BY

    kept = record.file(AS_BUILT)
    built = {} if kept is None else json.loads(store.content(kept))
    limits = {row["name"]: row for row in built.get("readings", ())}
    for name, asked in BY.items():
        limit = limits.get(name)
        wanted = "" if limit is None else f"{_said(asked.kind, limit)}"
        yield FormRow("inspection", "", asked.title, wanted)
    yield from (FormRow("inspection", "", what, SOUND) for what in INSPECTED)


def _said(kind: str, limit: Mapping[str, float]) -> str:
    low, high = float(limit["low"]), float(limit["high"])
    if kind == "angle":
        return f"{low:.1f} .. {high:.1f} deg"
    return f"{reader.fine(low * units.IN)} .. {reader.fine(high * units.IN)}"


def blank(store: Archive, record: Record) -> bytes:
    """The form to fill in, as CSV with a heading.

    One line for every weld, bolt and line of inspection and alignment, each with the revision it is
    of; found, by and date are left empty. It begins with the mark by which spreadsheets know UTF-8.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    of = f"{record.chassis} {record.letter}"
    writer.writerows((of, *row, "", "", "") for row in form_rows(store, record))
    return out.getvalue().encode("utf-8-sig")


def taken(
    path: Path, store: Archive, record: Record, signer: Signer
) -> tuple[list[dict[str, str]], list[Fault]]:
    """Rows to enter from a filled form, and everything that is wrong with it.

    A line with nothing in ``found`` is left for another day; who and when of a line hold over the
    signer's. Raises (JOB_FILE) for a file that is not there or cannot be read.
    """
    from ...layout.job.taped import sheet_lines

    lines = sheet_lines(path, "a filled log", "enter with --blank FILE.csv writes one to fill in")
    missing = [own for own in COLUMNS if own not in (lines[0] if lines else {})]
    if missing:
        remedy = "enter with --blank FILE.csv writes one: leave its columns as they are"
        allowed = "the columns " + ", ".join(COLUMNS)
        return [], [Fault(str(path), "", allowed, remedy)]
    known = form_rows(store, record)
    faults: list[Fault] = []
    found: dict[tuple[str, str], tuple[int, dict[str, str]]] = {}
    for count, line in enumerate(lines, 2):
        if not line["found"]:
            continue
        row, wrong = _row(line, f"line {count}", record, known, signer)
        faults += wrong
        key = (row["kind"], row["what"])
        before = found.setdefault(key, (count, row))
        if before[1] != row:
            faults.append(_twice(count, row, *before))
    if not found and not faults:
        remedy = "write what was found beside each weld, bolt and line that was looked at"
        faults.append(Fault(str(path), "", "at least one line with something in found", remedy))
    return [row for _, row in found.values()], faults


def signed(rows: Sequence[Mapping[str, str]], signer: Signer) -> Signer:
    """Who enters a log alone: the signer, or where one was not named whom its lines name, and the
    last day of them.
    """
    names = ", ".join(dict.fromkeys(row["by"].strip() for row in rows))
    if len(names) > NAME_MOST:
        names = f"{names[: NAME_MOST - 12].rpartition(', ')[0] or names[:40]} and others"
    last = max((row["date"] for row in rows), default="")
    return signer._replace(by=signer.by or names, date=signer.date or last)


def _twice(count: int, row: Mapping[str, str], first: int, before: Mapping[str, str]) -> Fault:
    differs = " and ".join(own for own in ("value", "by", "date") if row[own] != before[own])
    said = f"{row['value']}, {row['by']}, {row['date']}"
    was = f"{before['value']}, {before['by']}, {before['date']}"
    return Fault(
        f"line {count} {row['what']}",
        said,
        f"as line {first} says: {was}",
        f"{differs.replace('value', 'found')} differ: keep the line that is right",
    )


def _row(
    line: Mapping[str, str],
    where: str,
    record: Record,
    known: Sequence[FormRow],
    signer: Signer,
) -> tuple[dict[str, str], list[Fault]]:
    """One filled line as a row to enter, and its faults."""
    kind, number, value = line["sheet"], line["number"].upper(), line["found"]
    row = {
        "kind": kind,
        "what": number or line["what"],
        "value": LAID if kind == "weld" else value,
        "by": line["by"] or signer.by,
        "date": line["date"] or signer.date,
    }
    faults = [*_of_another(line, where, record), *_who(row, where)]
    if kind not in SHEETS:
        faults.append(Fault(f"{where} sheet", kind[:20], " | ".join(SHEETS), "use one of these"))
    elif kind in ("weld", "bolt"):
        have = record.welds() if kind == "weld" else record.data["bolts"]
        strange: list[Fault] = []
        runs = numbered(f"--{kind}", [number], have, strange)
        faults += [wrong._replace(field=f"{where} {kind}") for wrong in strange]
        if not strange and runs != [number]:
            remedy = "a line is of one number; enter --weld and --bolt take runs"
            faults.append(Fault(f"{where} {kind}", number, "one number", remedy))
    elif line["what"] not in {own.what for own in known if own.sheet == kind}:
        remedy = "leave the lines as they were written"
        faults.append(Fault(where, line["what"][:60], f"a line of the {kind} sheet", remedy))
    if kind == "weld" and value.lower() != SOUND:
        remedy = "a weld that is not sound is not logged as laid: mend it, and say it in a --note"
        faults.append(Fault(f"{where} {number}", value[:40], SOUND, remedy))
    if len(value) > FOUND_MOST or not value.isprintable():
        allowed = f"up to {FOUND_MOST} characters on one line"
        faults.append(Fault(f"{where} found", value[:40], allowed, "shorten it"))
    elif kind == "bolt":
        faults += wrench.wrong(f"{where} {number}", value)
    elif _number_wanted(line, known) and not any(sign.isdigit() for sign in value):
        allowed = "what was read, with its unit, such as 5.1 deg or 1/16 in"
        faults.append(Fault(f"{where} found", value[:40], allowed, "leave it empty if not read"))
    return row, faults


def _number_wanted(line: Mapping[str, str], known: Sequence[FormRow]) -> bool:
    """Whether a line is held against a number."""
    return any(
        any(sign.isdigit() for sign in own.wanted)
        for own in known
        if (own.sheet, own.what) == (line["sheet"], line["what"])
    )


def _of_another(line: Mapping[str, str], where: str, record: Record) -> list[Fault]:
    own = f"{record.chassis} {record.letter}"
    if line["revision"] == own:
        return []
    remedy = "this log is of another revision: enter it there"
    return [Fault(f"{where} revision", line["revision"][:40], own, remedy)]


def _who(row: Mapping[str, str], where: str) -> list[Fault]:
    faults = []
    if not good_name(row["by"]):
        remedy = "write who in the column by, or give --by"
        faults.append(Fault(f"{where} by", row["by"][:40], "a name of two letters or more", remedy))
    if day(row["date"]) is None:
        remedy = "write when in the column date, or give --date"
        faults.append(Fault(f"{where} date", row["date"][:20], "a day, as 2026-01-31", remedy))
    return faults

"""The short survey of a truck like one that was released: fifteen readings against the master's,
each with how far it may be off. What is within that keeps the master's reading, so that its parts
stay the same parts; what is not is a new reading of the new truck.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from .. import reader, units
from ..faults import Exit, Fault, SoapstoneError
from .fields import field_of
from .load import Job
from .sheet import COLUMNS, paths_of

MOST = 15
PICKED = (
    r"frame\.rake",
    r"frame\.station\.\d+\.outside",
    r"frame\.station\.\d+\.height",
    r"frame\.wheelbase",
    r"driveline\.output\.[xz]",
    r"driveline\.output_axis_down",
    r"steering\.pitman_ball\.x",
    r"travel\.obstacle\.1\.centre\.z",
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
WALL = 0.010 * units.IN
SURVEY = (*COLUMNS[:7], "master", "allowed", *COLUMNS[7:])


class Line(NamedTuple):
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
    (internal units).
    """

    same: list[tuple[str, str, float]]
    off: list[tuple[str, str, float]]
    owed: list[str]


def lines(job: Job) -> list[Line]:
    """The fifteen readings of a master, the first of each kind that it has."""
    rows = list(_all(job))
    found: list[Line] = []
    for pattern in PICKED:
        found += [
            r
            for r in rows
            if re.fullmatch(pattern + r"(\.left|\.right)?", r.path) and r not in found
        ]
    return found[:MOST]


def _all(job: Job) -> Iterator[Line]:
    from ..quantities import Key

    for f, path in paths_of(job):
        side = {"left": "L", "right": "R"}.get(path.rpartition(".")[2], "C")
        k = Key(
            path.rpartition(".")[0] if side != "C" and f.sided else path, side if f.sided else "C"
        )  # type: ignore[arg-type]
        r = job.readings.get(k)
        if not f.is_word and r is not None and r.typed and not r.assumed and f.kind in ALLOWED:
            yield Line(
                path,
                f.sheet_code,
                f.how,
                f.kind,
                r.typed[0],
                float(r.value),
                WALL if path.endswith((".wall", ".wall.left", ".wall.right")) else ALLOWED[f.kind],
            )


def survey_csv(rows: list[Line]) -> bytes:
    """The survey to fill in."""
    out = io.StringIO()
    w = csv.writer(out, lineterminator="\n")
    w.writerow(SURVEY)
    for r in rows:
        f = field_of(re.sub(r"\.(left|right)$", "", r.path))
        low, _, high = f.range_text().partition(" .. ")
        w.writerow(
            (
                r.code,
                r.path,
                r.how,
                f.state,
                reader.unit(r.kind),
                low,
                high,
                r.typed,
                shown(r.allowed, r.kind),
                "",
                "",
                "",
                "",
            )
        )
    return out.getvalue().encode("utf-8-sig")


def shown(x: float, kind: str) -> str:
    """How far off, as a shop says it."""
    return reader.fine(x) if kind == "length" else f"{x / units.DEG:.2f} deg"


def read(path: Path, rows: list[Line], words: dict[str, str]) -> Taken:
    """A filled survey against the master.

    Raises (JOB_FILE) with every line that cannot be read; ``words``: the job's own units.
    """
    try:
        found = {
            r.get("reading", ""): (r.get("value") or "").strip()
            for r in csv.DictReader(io.StringIO(path.read_bytes().decode("utf-8-sig")))
        }
    except FileNotFoundError:
        raise SoapstoneError(
            Exit.JOB_FILE,
            [Fault(str(path), "", "the short survey", "new --like writes it beside the job file")],
        ) from None
    except (UnicodeDecodeError, csv.Error) as e:
        raise SoapstoneError(
            Exit.JOB_FILE,
            [
                Fault(
                    str(path),
                    str(e),
                    "the short survey (CSV)",
                    "save it as CSV with comma and UTF-8",
                )
            ],
        ) from None
    known = {r.path for r in rows}
    faults = [
        Fault(str(p)[:80], v, "a reading of the survey", "leave the lines as they were written")
        for p, v in found.items()
        if p not in known and v
    ]
    taken = Taken([], [], [])
    for r in rows:
        typed = found.get(r.path, "")
        if not typed:
            taken.owed.append(r.path)
            continue
        f = field_of(re.sub(r"\.(left|right)$", "", r.path))
        try:
            value = units.parse(typed, r.kind, words.get(f"units.{r.kind}"))
        except units.UnitError as e:
            faults.append(Fault(r.path, typed, f.range_text(), str(e)))
            continue
        if not f.low - 1e-9 <= value <= f.high + 1e-9:
            faults.append(Fault(r.path, typed, f.range_text(), f.remedy))
            continue
        (taken.same if abs(value - r.value) <= r.allowed + 1e-9 else taken.off).append(
            (r.path, typed, value - r.value)
        )
    if faults:
        raise SoapstoneError(Exit.JOB_FILE, faults, f"{path.name}: nothing was taken")
    return taken

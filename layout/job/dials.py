"""Wishes and choices one turns while deciding: which readings each moves, how far, and the lines of
the job file that would change.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from typing import NamedTuple

from .. import units
from ..faults import Exit, Fault, SoapstoneError
from ..quantities import SIDE_WORD, Key
from .field import pattern
from .fields import FIELDS
from .load import Job

IN_HAND = {"length": 4 * units.IN, "angle": 4 * units.DEG}
"""How far each way a wish can be turned (judgment, no source); a rate by half of itself."""
STEP = {"length": units.IN / 16, "angle": 0.1 * units.DEG}
SAME = 1e-6
_TABLE = re.compile(r"^\s*\[\s*([A-Za-z0-9_.-]+)\s*\]")
_LINE = re.compile(r"^(\s*)([A-Za-z0-9_-]+)(\s*=\s*)(.*?)(\s*#[^\"']*)?(\r?\n?)$")


class Dial(NamedTuple):
    """One wish or choice: what it is called, the fields it moves alike (a pattern each), and why it
    is not written where it is not.
    """

    name: str
    title: str
    fields: str
    not_written: str = ""


DIALS: tuple[Dial, ...] = (
    Dial(
        "ride",
        "ride height, rail bottom at the first station",
        r"frame\.station\.\*\.bottom|driveline\.(output|mount)\.z|steering\.pitman_ball\.z"
        r"|travel\.(shock_z|obstacle\.\*\.center\.z)|arms\.joint_height",
        "block the frame at that height and tape again what is read at ride height",
    ),
    Dial("bump", "bump travel", r"travel\.bump"),
    Dial("droop", "droop travel", r"travel\.droop"),
    Dial("caster", "caster aimed for, least (the most moves along)", r"wanted\.caster_(low|high)"),
    Dial("behind", "frame joints behind the plumb line", r"arms\.joint_behind"),
    Dial("height", "frame joints above the floor", r"arms\.joint_height"),
    Dial("rate", "spring rate", r"spring\.rate"),
    Dial("free", "spring, free length", r"spring\.free_length"),
)


class DialSetting(NamedTuple):
    """A dial as it stands for a job: its readings, the value of the first, and its ends, all in
    internal units.
    """

    dial: Dial
    keys: tuple[Key, ...]
    kind: str
    now: float
    low: float
    high: float
    step: float


class NewLine(NamedTuple):
    """A line of the job file as it stands and as it would."""

    number: int
    was: str
    now: str


def turned(job: Job) -> tuple[DialSetting, ...]:
    """Every dial whose readings the job has, in the order they are shown."""
    found = []
    for dial in DIALS:
        keys = tuple(key for key in job.readings if re.fullmatch(dial.fields, pattern(key.name)))
        if not keys:
            continue
        fields = [FIELDS[pattern(key.name)] for key in keys]
        values = [float(job.readings[key].value) for key in keys]
        far = IN_HAND.get(fields[0].kind, values[0] / 2)
        down = max(field.low - value for field, value in zip(fields, values, strict=True))
        up = min(field.high - value for field, value in zip(fields, values, strict=True))
        found.append(
            DialSetting(
                dial=dial,
                keys=keys,
                kind=fields[0].kind,
                now=values[0],
                low=values[0] + max(down, -far),
                high=values[0] + min(up, far),
                step=STEP.get(fields[0].kind, abs(values[0]) / 100),
            )
        )
    return tuple(found)


def moved(job: Job, by: Mapping[str, float]) -> dict[Key, float]:
    """New values of readings when dials are turned by so much, internal units.

    ``by``: the name of a dial -> how far. Faults (COMMAND_LINE) for a dial the job has not, or one
    turned past its end.
    """
    there = {row.dial.name: row for row in turned(job)}
    values: dict[Key, float] = {}
    faults = []
    for name, far in by.items():
        row = there.get(name)
        if row is None or not row.low - SAME <= row.now + far <= row.high + SAME:
            allowed = ", ".join(there) if row is None else f"{row.low:g} .. {row.high:g} mm or rad"
            faults.append(Fault(name[:20], f"{far:g}", allowed, "turn it less far"))
            continue
        for key in row.keys:
            values[key] = values.get(key, float(job.readings[key].value)) + far
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults)
    return {key: value for key, value in values.items() if value != job.readings[key].value}


def written_dials(job: Job, by: Mapping[str, float]) -> dict[str, float]:
    """Those of the dials turned that are written into the job file."""
    never = {row.dial.name for row in turned(job) if row.dial.not_written}
    return {name: far for name, far in by.items() if far and name not in never}


def new_lines(text: str, job: Job, values: Mapping[Key, float]) -> list[NewLine]:
    """Lines of the job file's text that give these readings these values, nothing else touched.

    Faults (JOB_FILE) for a reading that stands on no line of its own, or with who and when beside.
    """
    names = dict.fromkeys(key.name for key in values)
    lines = text.splitlines(keepends=True)
    found, faults = [], []
    for name in names:
        number = _line_of(lines, name)
        if number is None:
            remedy = "change it by hand, or the measuring sheet it was taken from"
            faults.append(Fault(name, "", "a line of its own in the job file", remedy))
            continue
        match = _LINE.match(lines[number])
        if match is None:
            continue
        value = _valued(name, job, values)
        found.append(
            NewLine(
                number + 1,
                lines[number].rstrip("\r\n"),
                f"{match[1]}{match[2]}{match[3]}{value}{match[5] or ''}",
            )
        )
    if faults:
        raise SoapstoneError(Exit.JOB_FILE, faults, "nothing was written")
    return sorted(found)


def with_lines(text: str, new: list[NewLine]) -> str:
    """The text with these lines in place of those they are for."""
    lines = text.splitlines(keepends=True)
    for line in new:
        end = lines[line.number - 1][len(lines[line.number - 1].rstrip("\r\n")) :]
        lines[line.number - 1] = line.now + end
    return "".join(lines)


def _line_of(lines: list[str], name: str) -> int | None:
    """The line a field stands on: the last word of its path under the table of the rest."""
    table, _, word = name.rpartition(".")
    here, found = "", []
    for number, line in enumerate(lines):
        if head := _TABLE.match(line):
            here = head[1]
            continue
        if here != table or not (match := _LINE.match(line)) or match[2] != word:
            continue
        try:
            typed = tomllib.loads(f"x = {match[4]}")["x"]
        except tomllib.TOMLDecodeError:
            return None
        if isinstance(typed, dict) and not set(typed) <= {"left", "right", "both"}:
            return None
        if isinstance(typed, dict) and any(isinstance(value, dict) for value in typed.values()):
            return None
        found.append(number)
    return found[0] if len(found) == 1 else None


def _valued(name: str, job: Job, values: Mapping[Key, float]) -> str:
    """A reading's value as it is typed in the job file, its sides told apart where they differ."""
    field = FIELDS[pattern(name)]
    typed = {
        key.side: json.dumps(_typed(values.get(key, float(reading.value)), field.kind, job))
        for key, reading in job.readings.items()
        if key.name == name
    }
    if not field.sided:
        return typed["C"]
    if len(set(typed.values())) == 1:
        return f"{{ both = {next(iter(typed.values()))} }}"
    sides = ", ".join(f"{SIDE_WORD[side]} = {value}" for side, value in typed.items())
    return f"{{ {sides} }}"


def _typed(value: float, kind: str, job: Job) -> str:
    """A value with its unit: sixteenths where it is so many of them, else decimals."""
    unit = job.words.get(f"units.{kind}") or units.readers(kind)
    sixteenths = value / units.IN * 16
    inches = kind == "length" and units.factor(unit, kind) == units.IN
    if inches and abs(sixteenths - round(sixteenths)) < SAME:
        return f"{units.fraction(value)} in"
    return f"{units.to(value, kind, unit):.6g} {unit}"

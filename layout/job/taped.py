"""The taped file: readings that hold over the job file, which is never rewritten.

It stands beside the job file, ``JOB.taped.toml``, one table [taped] of field paths. A filled
measuring sheet is taken into it, the form of the phone, and the short survey of a second truck.
What was said beside a reading on the phone (why it cannot be measured, a remark, photos) stands in
[said], by the same paths.
"""

from __future__ import annotations

import copy
import csv
import json
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from ..faults import Exit, Fault, SoapstoneError
from ..quantities import SIDE_OF
from .cells import ShiftedError, lines_of
from .fields import field_of, nearest

MAX_ROWS = 60
"""Rows a list of the job file may have."""
COLUMNS = (
    "code",
    "reading",
    "where and how",
    "state",
    "unit",
    "from",
    "to",
    "value",
    "plus_minus",
    "by",
    "date",
    "with",
)
"""Columns of the measuring sheet."""
_HEAD = (
    "# Written by `soapstone readings --take` and `soapstone survey`. What stands here holds over"
    " the job file of the same name."
)
_MOST_SAID = 80


def taped_path(job: Path) -> Path:
    """Where the taped file of a job stands: beside it, whether there is one or not.

    >>> taped_path(Path("one.toml")).name
    'one.taped.toml'
    """
    return job.with_name(job.stem + ".taped.toml")


def taped_rows(text: str) -> dict[str, object]:
    """Readings of a taped file by path, as typed; none for an empty text.

    Raises TOMLDecodeError for what is no TOML.
    """
    return dict(tomllib.loads(text).get("taped", {}))


def said_rows(text: str) -> dict[str, object]:
    """What was said beside readings in a taped file, by path; none for an empty text.

    Raises TOMLDecodeError for what is no TOML.
    """
    return dict(tomllib.loads(text).get("said", {}))


def written(rows: Mapping[str, object], said: Mapping[str, object] | None = None) -> str:
    """The taped file of readings by path: text, or a table of ``value`` and what stands beside it;
    ``said``: what was said beside readings, by path.

    >>> print(written({"axle.wheel_track": "65 1/2"}).splitlines()[-1])
    "axle.wheel_track" = "65 1/2"
    """
    lines = [f"{_text(path)} = {_toml(rows[path])}" for path in sorted(rows)]
    beside = [f"{_text(path)} = {_toml(said[path])}" for path in sorted(said)] if said else []
    return "\n".join((_HEAD, "[taped]", *lines, *(("[said]", *beside) if beside else ()))) + "\n"


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def _toml(value: object) -> str:
    """A TOML value: text, number, list or inline table."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{word} = {_toml(part)}" for word, part in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return _text(value if isinstance(value, str | int | float) else str(value))


def overlaid(table: dict[str, object], taped: Mapping[str, object]) -> dict[str, object]:
    """The job's tables with taped readings set into them; rows of lists are added as far as they
    are named.
    """
    whole = copy.deepcopy(table)
    for path, value in taped.items():
        here: object = whole
        *steps, last = path.split(".")
        for number, word in enumerate(steps):
            if word.isdigit() and isinstance(here, list):
                here += [{} for _ in range(len(here), min(int(word), MAX_ROWS))]
                here = here[int(word) - 1] if 1 <= int(word) <= len(here) else {}
                continue
            if not isinstance(here, dict):
                break
            following = [*steps, last][number + 1]
            found = here.get(word)
            if not isinstance(found, dict | list):
                found = here[word] = [] if following.isdigit() else {}
            if isinstance(found, dict) and set(found) == {"both"} and last in SIDE_OF:
                found = here[word] = {"left": found["both"], "right": found["both"]}
            here = found
        if isinstance(here, dict):
            here[last] = value
    return whole


def sheet_lines(path: Path, title: str, remedy: str) -> list[dict[str, str]]:
    """Lines of a filled CSV by column, missing cells empty, with the separators and decimals of any
    country.

    ``title``: what the file should be, ``remedy``: what to do where there is none. Raises
    (JOB_FILE) for a file that is not there or cannot be read.
    """
    try:
        return lines_of(path.read_bytes().decode("utf-8-sig"))
    except FileNotFoundError:
        fault = Fault(str(path), "", title, remedy)
    except ShiftedError as error:
        fault = Fault(
            f"{path}, line {error}",
            "",
            "as many cells as there are columns",
            "a comma inside a cell ends it: write decimals with a point, or save the sheet as CSV"
            " with semicolons; nothing was taken",
        )
    except (UnicodeDecodeError, csv.Error):
        fault = Fault(
            f"{path}: it is no plain text",
            "",
            title,
            "save it as CSV UTF-8, with commas, semicolons or tabs between the cells",
        )
    raise SoapstoneError(Exit.JOB_FILE, [fault]) from None


def _twice(lines: Sequence[Mapping[str, str]]) -> Iterator[Fault]:
    """A fault for each line that says another value of a reading than one before it."""
    said: dict[str, tuple[int, str]] = {}
    for number, line in enumerate(lines, 2):
        path, value = line["reading"], line["value"]
        if not value:
            continue
        first, was = said.setdefault(path, (number, value))
        if value != was:
            remedy = "leave one of the two; what was read again goes into the job file's again"
            allowed = f"one value of a reading; line {first} says {was[:_MOST_SAID]}"
            yield Fault(f"line {number} {path}"[:_MOST_SAID], value, allowed, remedy)


def taped_text(csv_file: Path, before: str, known: Mapping[str, str]) -> str:
    """Taped file from a filled sheet and the taped file there was; later readings win.

    ``known``: what the job says already, by path: a line that repeats it is no new reading. Raises
    (JOB_FILE) with every bad line.
    """
    lines = sheet_lines(
        csv_file, "a measuring sheet (CSV)", "there is no such file; check the name"
    )
    if not lines or not {"reading", "value"} <= set(lines[0]):
        says = "the columns " + ", ".join(COLUMNS)
        remedy = "write a fresh sheet with readings --sheet and fill that in"
        raise SoapstoneError(Exit.JOB_FILE, [Fault(str(csv_file), "", says, remedy)])
    faults = list(_twice(lines))
    taken = taped_rows(before)
    for number, line in enumerate(lines, 2):
        path, value = line["reading"], line["value"]
        if not value or value == known.get(path):
            continue
        name = re.sub(r"\.(left|right)$", "", path)
        try:
            field = field_of(name)
        except KeyError:
            where = f"line {number} {path}"[:_MOST_SAID]
            faults.append(Fault(where, value, "a known field", nearest(name)))
            continue
        said = ("state",) * (field.state == "said")
        words = (*said, "plus_minus", "by", "date", "with")
        beside = {word: line[word] for word in words if line.get(word)}
        taken[path] = {"value": value, **beside} if beside and not field.is_word else value
    if faults:
        raise SoapstoneError(Exit.JOB_FILE, faults, f"{csv_file.name}: nothing was taken")
    return written(taken, said_rows(before))

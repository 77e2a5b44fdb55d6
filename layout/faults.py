"""Faults a fabricator can act on, and the exit codes they end in."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Sequence
from enum import IntEnum
from typing import NamedTuple


class Exit(IntEnum):
    """Process exit codes by kind of fault."""

    DONE = 0
    BUG = 1
    COMMAND_LINE = 2
    JOB_FILE = 3
    READINGS_OWED = 4
    NO_SOLUTION = 5
    CHECK_FAILS = 6
    DISK = 7
    ARCHIVE_DAMAGED = 8
    INTERRUPTED = 130


MOST_TYPED = 60
"""Characters of what was typed that a fault repeats."""
CUT = "..."
UNSEEN = (
    "there is a sign in it that does not print, such as a line end or a turn of the writing: type"
    " it anew"
)
"""What to do about a line of text that is not all to be seen."""


INCH_SIGN = re.compile(r'\d""')
"""An inch sign inside the quotes, which ends what was typed before its own quote does."""


def as_typed(value: object) -> str:
    """What was typed as its file has it: text as it stands, anything else in TOML.

    >>> as_typed({"x": [-6, 1.5], "side": "left", "own": True})
    '{ x = [-6, 1.5], side = "left", own = true }'
    """
    return value if isinstance(value, str) else _toml(value)


def _toml(value: object) -> str:
    """A value in TOML, a table on one line."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{word} = {_toml(own)}" for word, own in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, str):
        return f'"{value}"'
    return str(value).lower() if isinstance(value, bool) else str(value)


class Fault(NamedTuple):
    """One fault: where, what was typed, what is allowed, what to do."""

    field: str
    typed: str
    allowed: str
    remedy: str

    def __str__(self) -> str:
        """One line: where, what was typed, what is allowed, what to do."""
        typed = self.typed
        if len(typed) > MOST_TYPED:
            typed = typed[: MOST_TYPED - len(CUT)] + CUT
        parts = [self.field if self.field.isprintable() else repr(self.field)]
        if typed:
            parts.append(f"typed {typed!r}")
        if self.allowed:
            parts.append(f"allowed: {self.allowed}")
        if self.remedy:
            parts.append(self.remedy)
        return "; ".join(parts)


def tables_of(text: str) -> dict[str, object]:
    """The tables of TOML. Raises tomllib.TOMLDecodeError, for what ``no_toml`` then says; of
    brackets in brackets without end too, at which the reader itself gives up.
    """
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise tomllib.TOMLDecodeError("Nested too deep") from None


def no_toml(path: object, text: str, error: Exception) -> Fault:
    """Of a file that is no TOML: where, and what to do; ``text`` is what stands in it.

    An inch sign typed inside the quotes ends them too early, which the reader of TOML cannot say.
    """
    if isinstance(error, UnicodeDecodeError):
        remedy = (
            "open it in a text editor and save it as UTF-8; a sheet or a picture is no job file"
        )
        return Fault(f"{path}: it is no plain text", "", "TOML text", remedy)
    lines = text.splitlines()
    at = re.search(r"at line (\d+)", str(error))
    written = [number for number, own in enumerate(lines, 1) if own.strip()]
    number = min(int(at[1]) if at else (written or [1])[-1], max(1, len(lines)))
    line = lines[number - 1].partition("#")[0].strip() if lines else ""
    says, remedy = next(
        (one[1:] for one in NO_TOML if re.search(one[0], str(error))), ("it cannot be read", MEND)
    )
    if TWICE.search(str(error)):
        name, before = _stands_before(lines, number, line)
        says, remedy = f"{name} {says}", f"{before}{remedy}"
    if INCH_SIGN.search(line):
        remedy = 'leave the inch sign out, as in "1\' 11 1/2", or write \\" for it'
    return Fault(f"{path} line {number}: {says}", line, "TOML text", remedy)


MEND = "mend that line; text stands in quotes"
TWICE = re.compile("overwrite|twice|Duplicate|mutate")
NO_TOML = (
    ("overwrite|Duplicate|mutate", "is typed twice", "keep the one that holds, delete the other"),
    ("twice", "stands twice", "move the lines below the second under the first, delete its name"),
    (r"Unterminated|character '.n'", "a quote is opened and not closed", "close it on its line"),
    ("[cC]haracter", "a sign that does not print", "type that line again"),
    ("Unclosed|Expected ']'", "a bracket is opened and not closed", "close it"),
    ("Invalid value", "nothing readable behind the =", 'type "" for not read yet, text in quotes'),
    ("Expected newline", "more stands behind the value", "one value a line, text in quotes"),
    ("Expected '='", "no = behind the name", MEND),
    ("Nested", "brackets in brackets without end", "take them out: no field wants more than two"),
    ("Unescaped", "a \\ in quotes", "leave it out, or write two of them"),
)
"""What the reader of TOML says, in a fabricator's words, and what to do."""


def _stands_before(lines: Sequence[str], number: int, line: str) -> tuple[str, str]:
    """The name that is typed twice, and where it was typed first, as far as that can be told."""
    header = line.startswith("[")
    name = line.partition("]")[0].strip("[ ") if header else line.partition("=")[0].strip()
    if not header:
        names = re.findall(r"(\w+)\s*=", line)[1:]
        name = next((own for own in names if names.count(own) > 1), name)
    first = 0
    for place, own in enumerate(lines[: number - 1], 1):
        plain = own.partition("#")[0].strip()
        if header and plain.startswith("[") and plain.partition("]")[0].strip("[ ") == name:
            first = place
        elif not header and plain.startswith("["):
            first = 0
        elif not header and plain.partition("=")[0].strip() == name:
            first = place
    shown = f"[{name}]" if header else name
    return shown[:60], f"it stands in line {first} already: " if first else ""


class SoapstoneError(Exception):
    """A fault that ends the command with ``code``; carries every fault found in the run."""

    def __init__(self, code: Exit, faults: Iterable[Fault], title: str = "") -> None:
        self.code = code
        self.faults = tuple(faults)
        self.title = title
        super().__init__(title or "; ".join(str(fault) for fault in self.faults))

"""Faults a fabricator can act on, and the exit codes they end in."""

from __future__ import annotations

from collections.abc import Iterable
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


class SoapstoneError(Exception):
    """A fault that ends the command with ``code``; carries every fault found in the run."""

    def __init__(self, code: Exit, faults: Iterable[Fault], title: str = "") -> None:
        self.code = code
        self.faults = tuple(faults)
        self.title = title
        super().__init__(title or "; ".join(str(fault) for fault in self.faults))

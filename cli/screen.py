"""The screen while a command works and when it is done: a line of progress, what to do next."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

from . import interrupt

WIDE = 78
"""Characters of a line of progress: a terminal has 80."""


def say(text: str) -> None:
    """A line of progress, on a terminal only; and the place where a Ctrl-C that was swallowed is
    raised again.
    """
    interrupt.stop_if_pressed()
    if sys.stderr.isatty():
        print(f"\r\033[K{text[:WIDE]}", end="", file=sys.stderr, flush=True)


def said() -> None:
    """End of the progress line."""
    if sys.stderr.isatty():
        print("\r\033[K", end="", file=sys.stderr, flush=True)


WHY_FAILS = "why it fails, and what would do"


def then(*words: str | Path, why: str = "") -> None:
    """What to do next, as it is typed; to the error stream, so that what a command prints can be
    taken by another.
    """
    line = " ".join(shlex.quote(str(word)) for word in words)
    print(f"next: {f'{why}: ' if why else ''}soapstone {line}", file=sys.stderr)

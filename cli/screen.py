"""The screen while a command works and when it is done: a line of progress, what to do next."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from . import interrupt

WIDE = 78
"""Characters of a line of progress: a terminal has 80. The line before is written over with blanks:
not every console knows another way.
"""


def say(text: str) -> None:
    """A line of progress, on a terminal only; and the place where a Ctrl-C that was swallowed is
    raised again.
    """
    interrupt.stop_if_pressed()
    if sys.stderr.isatty():
        print(f"\r{text[:WIDE]:{WIDE}}", end="", file=sys.stderr, flush=True)


def said() -> None:
    """End of the progress line."""
    if sys.stderr.isatty():
        print(f"\r{'':{WIDE}}\r", end="", file=sys.stderr, flush=True)


WHY_FAILS = "why it fails, and what would do"


def typed(words: Sequence[str], windows: bool) -> str:
    """Words as they are typed: the console of Windows takes no single quotes for quotes.

    >>> typed(["solve", "my truck.toml"], False), typed(["solve", "my truck.toml"], True)
    ("solve 'my truck.toml'", 'solve "my truck.toml"')
    """
    return subprocess.list2cmdline(words) if windows else shlex.join(words)


def then(*words: str | Path, why: str = "") -> None:
    """What to do next, as it is typed; to the error stream, so that what a command prints can be
    taken by another.
    """
    line = typed([str(word) for word in words], os.name == "nt")
    print(f"next: {f'{why}: ' if why else ''}soapstone {line}", file=sys.stderr)

"""Options every command shares, and the way from a job file to a designed truck.

Heavy modules are imported where they are used.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from . import interrupt

if TYPE_CHECKING:
    pass

JobFile = Annotated[Path, typer.Argument(help="the chassis' job file (TOML)")]
Json = Annotated[bool, typer.Option("--json", help="print data instead of text")]
Out = Annotated[Path, typer.Option("--out", help="folder the chassis folder goes into")]
ShopFile = Annotated[
    Path | None,
    typer.Option(
        "--shop", help="the shop's settings (TOML); shop.toml beside the job file if there is one"
    ),
]
ArchiveDir = Annotated[
    Path | None,
    typer.Option(
        "--archive",
        help="folder of released revisions; else the shop's, else archive beside the job file",
    ),
]


def say(text: str) -> None:
    """A line of progress, on a terminal only; and the place where a Ctrl-C that was swallowed is
    raised again.
    """
    interrupt.stop_if_pressed()
    if sys.stderr.isatty():
        print(f"\r\033[K{text[:78]}", end="", file=sys.stderr, flush=True)


def said() -> None:
    """End of the progress line."""
    if sys.stderr.isatty():
        print("\r\033[K", end="", file=sys.stderr, flush=True)

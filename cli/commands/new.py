"""new: start a job file with every field in it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from soapstone.layout.faults import Exit, Fault, SoapstoneError


def new(chassis: Annotated[str, typer.Argument(help="short name of the chassis: letters, digits, - or _")],
        out: Annotated[Path | None, typer.Option("--out", help="file to write; CHASSIS.toml here if not given")] = None) -> None:
    """Write a job file with every field, each with where and how to measure it; fill in and take the # away."""
    from soapstone.cli import disk
    from soapstone.layout.job.load import SLUG
    from soapstone.layout.job.sheet import blank_job

    if not SLUG.fullmatch(chassis):
        raise SoapstoneError(Exit.COMMAND_LINE, [Fault("CHASSIS", chassis, "1 to 24 of A-Z a-z 0-9 _ -", "it names the folder and every part: no spaces, dots or slashes")])
    path = out or Path(f"{chassis}.toml")
    try:
        disk.new_file(path, blank_job(chassis).encode())
    except FileExistsError:
        raise SoapstoneError(Exit.DISK, [Fault(str(path), "", "a name that is free", "there is a file already: choose another with --out; nothing was changed")]) from None
    print(f"{path}: fill in what you measure, then: soapstone readings {path}")

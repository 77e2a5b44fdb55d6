"""demo: the invented truck, built."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ..options import NoCache, Out
from ..screen import then

PLACE = 100


def demo(
    out: Out = Path("out"),
    uneven: Annotated[
        bool, typer.Option("--uneven", help="the second invented truck, its rails unequal")
    ] = False,
    no_cache: NoCache = False,
) -> None:
    """Build the invented truck; needs nothing else."""
    from importlib.resources import as_file, files

    from ..building.draft import make_draft

    name = "demo_uneven.toml" if uneven else "demo.toml"
    with as_file(files("soapstone.layout.data") / name) as job:
        judged = make_draft(job, out, None, "soapstone check JOB --all")
    if judged.exit_code:
        raise typer.Exit(judged.exit_code)
    then("new", "T1", why="a truck of your own")

"""cycle: bump, droop, roll and steer."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated

import typer

from ..building.design import designed, loaded
from ..options import AsJson, JobFile, NoCache, ShopFile
from ..screen import said, say, then

PLACE = 50


def cycle(
    job: JobFile,
    *,
    shop: ShopFile = None,
    no_cache: NoCache = False,
    line: Annotated[
        bool,
        typer.Option(
            "--joint-line", help="rank where the frame joints could go, and print only that"
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Cycle the axle: bump, droop, roll, steer; what ends each, what comes closest, how sure it
    is.
    """
    from ..building import travel_report

    if line:
        _joint_line(job)
        return
    truck = designed(job, shop)
    looked = truck.looked(say)
    judged = looked.judged
    said()
    if as_json:
        print(json.dumps(travel_report.as_json(looked.cycle, truck.solved, judged), indent=1))
    else:
        print("\n".join(travel_report.lines(looked.cycle, truck.solved)))
    print(judged.headline, file=sys.stderr)
    if judged.exit_code:
        raise typer.Exit(judged.exit_code)
    then("check", job)


def _joint_line(job: Path) -> None:
    from ...layout.setout import solve
    from ...parts.placed.travel_rows import line_words

    got, _ = loaded(job)
    print("\n".join(line_words(got, solve(got))))

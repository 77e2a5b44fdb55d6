"""cycle: bump, droop, roll and steer."""

from __future__ import annotations

import json
import sys
from typing import Annotated

import typer

from ..building.designing import designed, loaded
from ..options import JobFile, Json, ShopFile, said, say


def cycle(
    job: JobFile,
    shop: ShopFile = None,
    line: Annotated[
        bool,
        typer.Option(
            "--joint-line", help="rank where the frame joints could go, and print only that"
        ),
    ] = False,
    as_json: Json = False,
) -> None:
    """Cycle the axle: bump, droop, roll, steer; what ends each, what comes closest, how sure it is."""
    from ..building import travel_report as cycling

    if line:
        _line(job)
        return
    d = designed(job, shop)
    c, judged = d.looked(say)
    said()
    print(
        json.dumps(cycling.as_json(c, d.solved, judged), indent=1)
        if as_json
        else "\n".join(cycling.lines(c, d.solved))
    )
    print(judged.headline, file=sys.stderr)
    if judged.exit_code:
        raise typer.Exit(judged.exit_code)


def _line(job) -> None:  # type: ignore[no-untyped-def]
    from ...layout.setout import solve
    from ..building import travel_report as cycling

    got, _ = loaded(job)
    print("\n".join(cycling.line_words(got, solve(got))))

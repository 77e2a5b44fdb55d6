"""explain: why a number is what it is."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from ..building.design import loaded
from ..options import Json, job_and_words

PLACE = 60


def explain(
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="[JOB] NAME...",
            help=(
                "names as `solve` prints them, fields of the job file, or at_bump.caster.left;"
                " before them the job file, if there is more than one in the folder"
            ),
        ),
    ],
    as_json: Json = False,
) -> None:
    """Explain a number: formula, the numbers put in, source, the readings under it and its
    plus-minus.
    """
    from ...layout.explain import explained, find, with_travel
    from ...layout.setout import solve

    job, names = job_and_words(words)
    got, _ = loaded(job)
    solved = solve(got)
    if any(name.startswith("at_") for name in names):
        from ...layout.travel import study
        from ...layout.travel.sure import sure

        travel = study(got, solved)
        solved = with_travel(solved, travel, sure(solved, travel.places))
    rows = {str(key): explained(solved, key) for name in names for key in find(solved, name)}
    if as_json:
        print(json.dumps(rows, indent=1))
    else:
        print("\n".join(line for lines in rows.values() for line in lines))

"""explain: why a number, a part, a bolt, a weld or a hole is what it is."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ..building.design import loaded
from ..options import Json, job_and_words

PLACE = 60
THING = re.compile(r"[A-Za-z]{2}\d+([. ]\w+)?(:[hH]\d+)?|[wWbB]\d+")
"""How a part, a hole, a weld or a bolt is typed; no number's name is without a point."""


def explain(
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="[JOB] NAME...",
            help=(
                "names as `solve` prints them, fields of the job file, at_bump.caster.left, a part"
                " (CM2), bolt (B3), weld (W12) or hole (CS1:H2); before them the job file, if there"
                " is more than one in the folder"
            ),
        ),
    ],
    as_json: Json = False,
) -> None:
    """Explain a number: formula, the numbers put in, source, the readings under it and its
    plus-minus. Of a part, bolt, weld or hole: why this size, which rule, what it rests on.
    """
    from ...layout.explain import explained, find, with_travel
    from ...layout.setout import solve

    job, names = job_and_words(words)
    things = [name for name in names if THING.fullmatch(name)]
    names = [name for name in names if name not in things]
    rows = _things(job, things) if things else {}
    got, _ = loaded(job)
    solved = solve(got)
    if any(name.startswith("at_") for name in names):
        from ...layout.travel import study
        from ...layout.travel.sure import sure

        travel = study(got, solved)
        solved = with_travel(solved, travel, sure(solved, travel.places))
    rows |= {str(key): explained(solved, key) for name in names for key in find(solved, name)}
    if as_json:
        print(json.dumps(rows, indent=1))
    else:
        print("\n".join(line for lines in rows.values() for line in lines))


def _things(job: Path, typed: Sequence[str]) -> dict[str, list[str]]:
    """Lines of parts, bolts, welds and holes, from the truck designed for its loads.

    Faults (COMMAND_LINE) for every one that there is not.
    """
    from ...parts.verdict.because import Asked, because, holes_of, known
    from ..building.design import designed
    from ..building.only import unknown

    found = designed(job, None)
    asked = Asked(found.job, found.solved, found.truck, found.strength, found.shop)
    rows: dict[str, list[str]] = {}
    faults = []
    for name in typed:
        told = because(asked, name)
        rows |= {lines[0].partition(":")[0]: lines for lines in told}
        if not told and ":" in name and (count := holes_of(asked.truck, name)) is not None:
            allowed = f":H1 to :H{count}" if count else "a part that has holes"
            faults.append(Fault(name, "", allowed, "its drawing numbers its holes"))
        elif not told:
            faults += unknown("NAME", name, known(found.truck)).faults
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults)
    return rows

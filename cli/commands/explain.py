"""explain: why a number, a part, a bolt, a weld or a hole is what it is."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.words.names import sentence
from ..building.design import loaded
from ..options import AsJson, job_and_words
from ..screen import said, say

if TYPE_CHECKING:
    from ...parts.verdict.because import Grounds

PLACE = 60
THING = re.compile(r"[A-Za-z]{2}\d*([. ]\w+)?(:[hH]\d+)?|[wWbB]\d+")
"""How a part, a family of parts, a hole, a weld or a bolt is typed; no number has such
a name.
"""


def explain(
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="[JOB] NAME...",
            help=(
                "names as `solve` prints them, fields of the job file, at_bump.caster.left, a part"
                " (CM2), bolt (B3), weld (W12) or hole (CS1:H2), or the two letters of parts"
                " (LS), for a list of them, or for what would pass if they cannot be made; before"
                " them the job file, if there is more than one in the folder"
            ),
        ),
    ],
    as_json: AsJson = False,
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
        from ...layout.travel.sure import as_built

        travel = study(got, solved)
        solved = with_travel(solved, travel, as_built(solved, travel.places))
    rows |= {str(key): explained(solved, key) for name in names for key in find(solved, name)}
    if as_json:
        print(json.dumps(rows, indent=1))
    else:
        print("\n".join(line for lines in rows.values() for line in lines))


def _things(job: Path, typed: Sequence[str]) -> dict[str, list[str]]:
    """Lines of parts, bolts, welds and holes, from the truck designed for its loads.

    Faults (COMMAND_LINE) for every one that there is not.
    """
    from ...parts.verdict.because import Grounds, because, family, holes_of, is_asked, known
    from ..building.design import designed
    from ..building.only import code_of, unknown

    found = designed(job, None)
    asked = Grounds(found.job, found.solved, found.truck, found.strength, found.shop)
    rows: dict[str, list[str]] = {}
    faults = []
    for name in typed:
        told = because(asked, name) if is_asked(name) else []
        if told and ":" not in name:
            told[0] += _clear(asked, code_of(name))
        told = told or _instead(asked, code_of(name)[:2])
        told = told or family(asked.truck, code_of(name))
        rows |= {lines[0].partition(":")[0]: lines for lines in told}
        if not told and ":" in name and (count := holes_of(asked.truck, name)) is not None:
            allowed = f":H1 to :H{count}" if count else "a part that has holes"
            faults.append(Fault(name, "", allowed, "its drawing numbers its holes"))
        elif not told:
            faults += unknown("NAME", name, known(found.truck)).faults
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults)
    return rows


def _clear(asked: Grounds, code: str) -> Iterator[str]:
    """Of a part that stands in another, what it stands in and the nearest change with which the two
    stand clear.
    """
    from ...parts.verdict.apart import MOST_TRIED, clear, overlapping
    from ..building.cache import Cache, key_of
    from ..building.design import inputs

    rows = Cache().value(
        key_of("overlaps", *inputs(asked.job, asked.shop)),
        lambda: overlapping(asked.truck, asked.shop, asked.solved.values),
    )
    for found in [row for row in rows if code in {own.partition(".")[0] for own in row.of}][:1]:
        say(f"looking for what stands clear: {MOST_TRIED} changes at most")
        near = clear(asked.job, asked.shop, asked.truck, found)
        said()
        yield f"  {sentence(str(found))}"
        yield from (f"  they stand clear with {way.says}" for way in near)
        if not near:
            yield "  no single change of a choice was found with which they stand clear"


def _instead(asked: Grounds, letters: str) -> list[list[str]]:
    """Why the parts of two letters cannot be made, and the nearest changes with which they can."""
    from ...parts.verdict.nearest_size import failed_of, ways

    found = []
    for who, why in list(failed_of(asked.truck, letters).items())[:1]:
        say("looking for what passes instead")
        near = ways(asked.job, asked.shop, asked.truck, who)
        said()
        lines = [f"{sentence(who)}: {why}"]
        lines += [f"  can be made with {way.says}" for way in near]
        found.append(
            lines
            if near
            else [*lines, "  no single change of a choice, a wish or a reading makes it"]
        )
    waits = [
        f"{sentence(who)}: waits for {', '.join(map(str, keys))}"
        for who, keys in asked.truck.waiting.items()
        if who.rpartition(" ")[2].partition(".")[0] == letters
    ]
    return found or [[line] for line in waits[:1]]

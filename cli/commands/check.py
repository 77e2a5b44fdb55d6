"""check: rules with margins, and whether the placed parts fit together."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.model.verdict import Verdict
from ...parts.words.names import code, numbers, sentence
from ...parts.words.numbers import unit_of, worded
from ..building.design import Designed, designed
from ..options import AsJson, JobFile, NoCache, ShopFile
from ..screen import WHY_FAILS, said, say, then

if TYPE_CHECKING:
    from ...parts.design.sizing import Check
    from ...parts.strength.ear import Loaded

PLACE = 80
PRINTED = {"memory": ", unverified source", "read*": ", second-hand"}
"""How a clause's source was seen, where that is less than read."""
DECIMALS = {"in": 3, "lbf": 0, "lbf/in": 0, "lbf*in": 0, "ksi": 1, "N": 0, "N/mm": 0, "MPa": 0}
"""Decimals of a demand by its unit; two for any other."""
FEW, EVERY = 24, 10**6
"""Findings printed without and with --all."""
MUCH = 0.8
"""Use above which a row that passes is printed without --all."""


Elements = Annotated[
    list[str] | None,
    typer.Option(
        "--elements",
        help='an ear to work in finite elements too, such as "LT1 left"; as often as needed',
    ),
]
StressPicture = Annotated[
    Path | None, typer.Option("--picture", help="PDF of those ears' stress and weld force")
]
Every = Annotated[bool, typer.Option("--all", help="every row and every finding, however many")]


def shown(demand: float, capacity: float, unit: str) -> tuple[str, str, str]:
    """Demand and capacity in what the shop reads: in the units of the reader, or a bare ratio."""
    word, scale = unit_of(unit)
    places = DECIMALS.get(word, 2)
    one, two = (f"{value / scale + 1e-9:.{places}f}" for value in (demand, capacity))
    return one, two, word


def by_part(rows: Iterable[Check]) -> list[Check]:
    """Rows in groups of one part each, the part with the least margin first, least margin first
    within it.
    """
    worst: dict[str, float] = {}
    every = list(rows)
    for row in every:
        worst[row.part] = max(worst.get(row.part, 0.0), row.utilisation)
    return sorted(every, key=lambda row: (-worst[row.part], row.part, -row.utilisation))


def check(
    job: JobFile,
    *,
    shop: ShopFile = None,
    no_cache: NoCache = False,
    elements: Elements = None,
    picture: StressPicture = None,
    every: Every = False,
    as_json: AsJson = False,
) -> None:
    """Rules with margins, plate against frame, whether the placed parts fit together, and the
    verdict of all of it.
    """
    from ...parts.strength.result import NOT_CHECKED
    from ..building.data_rows import check_row, load_rows
    from ..building.verdict import tell

    found = designed(job, shop)
    strength = found.strength
    meshed = _meshed(found, elements or [], picture)
    own = tuple(row for cheek in meshed.values() for row in cheek.checks)
    rows = by_part((*found.truck.checks, *strength.checks, *own))
    told = rows if every else [row for row in rows if matters(row) or row in own]
    judged = found.looked(say).judged
    said()
    if as_json:
        facts = {
            "checks": [check_row(row) for row in rows],
            **judged.as_json(),
            "loads": load_rows(strength),
            "assumed": [*map(str, strength.assumed)],
            "load_notes": list(strength.notes),
            "waits": list(map(str, strength.waits)),
            "not_checked": list(NOT_CHECKED),
        }
        print(json.dumps(facts, indent=1))
    else:
        _tell(found, told, job, every=every)
        if rest := len(rows) - len(told):
            print(f"{rest} more rows pass with {MUCH} or less used: soapstone check {job} --all")
    tell(judged, f"soapstone check {job} --all", EVERY if every else FEW)
    for one in strength.grown:
        print(f"made larger for its loads: {sentence(str(one))}", file=sys.stderr)
    if judged.exit_code:
        if judged.first_failing:
            then("explain", job, judged.first_failing, why=WHY_FAILS)
        raise typer.Exit(judged.exit_code)
    then("build", job)


def matters(row: Check) -> bool:
    """Whether a row is printed unasked: it fails, wants confirming, is much used, or rests on what
    nobody read.
    """
    return row.verdict is not Verdict.OK or row.utilisation > MUCH or "bushings" in row.case


def _tell(found: Designed, rows: Sequence[Check], job: Path, *, every: bool) -> None:
    from ...parts.strength.result import NOT_CHECKED

    known = numbers(found.truck.assembly)
    for row in rows:
        demand, capacity, unit = shown(row.demand, row.capacity, row.unit)
        case = f", {row.case}" if row.case else ""
        print(
            f"{sentence(row.part, known):15} {row.verdict:8} {row.utilisation:5.2f} "
            f" {sentence(worded(row.what), known)}: {demand} of {capacity} {unit}{case}"
            f"  [{row.clause}{PRINTED.get(row.tag, '')}]"
        )
    print(f"placed assembly: {len(found.truck.assembly.members)} members")
    assumed = found.strength.assumed
    if assumed and not every:
        print(f"ASSUMED: {len(assumed)} things nobody read: soapstone check {job} --all lists them")
    for line in (*(assumed if every else ()), *found.strength.notes):
        print(line)
    print(f"not held against anything: {', '.join(NOT_CHECKED)}")
    print("These are calculations, not an approval; local law decides.")


def _meshed(found: Designed, parts: Sequence[str], picture: Path | None) -> dict[str, Loaded]:
    """Cheeks in finite elements, by part; their picture to a file if one is named."""
    from ...parts.design.site import Refused
    from ...parts.strength.ear import under_load
    from ...parts.strength.evaluate import rows
    from ...parts.strength.work import Work
    from ..out_file import ends_in

    if picture is not None:
        ends_in("--picture", picture, ".pdf")
    if picture is not None and not parts:
        fault = Fault(
            "--picture",
            str(picture),
            "a picture of what --elements names",
            'add --elements "LT1 left", or leave --picture out',
        )
        raise SoapstoneError(Exit.COMMAND_LINE, [fault])
    if not parts or found.strength.waits:
        return {}
    work = Work(found.truck, found.shop, found.solved.values, found.strength.forces)
    list(rows(work))
    meshed, faults = {}, []
    for part in dict.fromkeys(map(code, parts)):
        try:
            meshed[part] = under_load(work, part)
        except Refused as e:
            faults.append(Fault("--elements", part, "an ear with a pivot bolt", str(e)))
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults)
    if picture is not None:
        _draw(found, meshed, picture)
    return meshed


def _draw(found: Designed, meshed: dict[str, Loaded], picture: Path) -> None:
    from ...parts.drawing.stress import cheeks_pdf
    from .. import disk

    job = found.job
    day = job.words.get("job.date", "")
    disk.put_file(picture, cheeks_pdf(job.chassis, day, meshed, found.shop.paper))

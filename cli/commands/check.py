"""check: rules with margins, and whether the placed parts fit together."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.words.names import code, numbers, sentence
from ...parts.words.numbers import unit_of, worded
from ..building.designing import Designed, designed
from ..options import JobFile, Json, ShopFile, said, say

if TYPE_CHECKING:
    from ...parts.design.sizing import Check


def shown(demand: float, capacity: float, unit: str) -> tuple[str, str, str]:
    """Demand and capacity in what the shop reads: in the units of the reader, or a bare ratio."""
    word, k = unit_of(unit)
    one, two = (f"{v / k + 1e-9:.{PLACES.get(word, 2)}f}" for v in (demand, capacity))
    return one, two, word


PRINTED = {"memory": ", unverified source", "read*": ", second-hand"}
"""How a clause's source was seen, where that is less than read."""
PLACES = {"in": 3, "lbf": 0, "lbf/in": 0, "lbf*in": 0, "ksi": 1, "N": 0, "N/mm": 0, "MPa": 0}


def by_part(rows: Iterable[Check]) -> list[Check]:
    """Rows in groups of one part each, the part with the least margin first, least margin first
    within it.
    """
    worst: dict[str, float] = {}
    every = list(rows)
    for c in every:
        worst[c.part] = max(worst.get(c.part, 0.0), c.utilisation)
    return sorted(every, key=lambda c: (-worst[c.part], c.part, -c.utilisation))


def _meshed(d: Designed, parts: list[str], picture: Path | None) -> dict[str, Any]:
    """Cheeks in finite elements, by part; their picture to a file if one is named."""
    from ...parts.design.site import Refused
    from ...parts.drawing.strength import cheeks_pdf
    from ...parts.strength.elements.ear import under_load
    from ...parts.strength.rows import Work
    from .. import disk

    if picture is not None and not parts:
        raise SoapstoneError(
            Exit.COMMAND_LINE,
            [
                Fault(
                    "--picture",
                    str(picture),
                    "a picture of what --elements names",
                    'add --elements "LT1 left", or leave --picture out',
                )
            ],
        )
    if not parts or d.strength.waits:
        return {}
    w = Work(d.truck, d.shop, d.solved.values, d.strength.forces)
    list(w.all())
    found, faults = {}, []
    for p in dict.fromkeys(map(code, parts)):
        try:
            found[p] = under_load(w, p)
        except Refused as e:
            faults.append(Fault("--elements", p, "an ear with a pivot bolt", str(e)))
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults)
    if picture is not None:
        disk.put_file(
            picture, cheeks_pdf(d.job.chassis, d.job.words.get("job.date", ""), found, d.shop.paper)
        )
    return found


def check(
    job: JobFile,
    shop: ShopFile = None,
    elements: Annotated[
        list[str] | None,
        typer.Option(
            "--elements",
            help='an ear to work in finite elements too, such as "LT1 left"; as often as needed',
        ),
    ] = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", help="PDF of those ears' stress and weld force")
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="every finding that is not ok, however many")
    ] = False,
    as_json: Json = False,
) -> None:
    """Rules with margins, plate against frame, whether the placed parts fit together, and the
    verdict of all of it.
    """
    from ...parts.strength.rows import NOT_CHECKED
    from ..building.build import check_row, load_rows
    from ..building.looking import tell

    d = designed(job, shop)
    meshed = _meshed(d, elements or [], picture)
    rows = by_part(
        (*d.truck.checks, *d.strength.checks, *(c for m in meshed.values() for c in m.checks))
    )
    judged = d.looked(say).judged
    said()
    if as_json:
        print(
            json.dumps(
                {
                    "checks": [check_row(c) for c in rows],
                    **judged.as_json(),
                    "loads": load_rows(d.strength),
                    "assumed": [*map(str, d.strength.assumed)],
                    "load_notes": list(d.strength.notes),
                    "waits": list(map(str, d.strength.waits)),
                    "not_checked": list(NOT_CHECKED),
                },
                indent=1,
            )
        )
    else:
        known = numbers(d.truck.assembly)
        for c in rows:
            demand, capacity, unit = shown(c.demand, c.capacity, c.unit)
            print(
                f"{sentence(c.part, known):15} {c.verdict:8} {c.utilisation:5.2f} "
                f" {sentence(worded(c.what), known)}: {demand} of {capacity}"
                f" {unit}{', ' + c.case if c.case else ''}  [{c.clause}{PRINTED.get(c.tag, '')}]"
            )
        print(f"placed assembly: {len(d.truck.assembly.members)} members")
        for a in d.strength.assumed:
            print(a)
        for n in d.strength.notes:
            print(n)
        print(f"not held against anything: {', '.join(NOT_CHECKED)}")
        print("These are calculations, not an approval; local law decides.")
    tell(judged, f"soapstone check {job} --all", 10**6 if every else 24)
    for g in d.strength.grown:
        print(f"made larger for its loads: {sentence(g)}", file=sys.stderr)
    if judged.exit_code:
        raise typer.Exit(judged.exit_code)

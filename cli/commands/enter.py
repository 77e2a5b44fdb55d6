"""enter: heats, welds, bolts, concessions and notes of a released revision."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from ...layout.faults import Exit, SoapstoneError
from ...parts.words.names import sentence
from ..archive.acceptance import at_least
from ..archive.signature import Signer
from ..options import ArchiveFolder, By, Chassis, Day, Letter, Note

PLACE = 150
SHOWN = 12
"""Rows of one entry that are printed: a run of welds has many."""


Heats = Annotated[
    list[str] | None,
    typer.Option("--heat", help="heat number of each --sheet and --part; several may be given"),
]
Sheets = Annotated[
    list[str] | None,
    typer.Option("--sheet", help="nested sheet or stock the heats are of; several"),
]
PartsOfHeat = Annotated[
    list[str] | None,
    typer.Option(
        "--part", help='part the heats are of, such as "CS1 left"; CS1 for both sides; several'
    ),
]
Welds = Annotated[
    list[str] | None,
    typer.Option("--weld", help="welds that were laid and looked at: W12, W1-W38; several"),
]
Bolts = Annotated[
    list[str] | None,
    typer.Option("--bolt", help="bolts that were tightened to --torque: B3, B1-B12; several"),
]
Torque = Annotated[str, typer.Option("--torque", help="what the wrench was set to, with its unit")]
Concessions = Annotated[
    list[str] | None,
    typer.Option("--concession", help="part used though it is not as drawn; --note says why"),
]


def enter(  # noqa: PLR0913  # each is an argument or option of the command line
    chassis: Chassis,
    letter: Letter,
    *,
    heat: Heats = None,
    sheet: Sheets = None,
    part: PartsOfHeat = None,
    weld: Welds = None,
    bolt: Bolts = None,
    torque: Torque = "",
    concession: Concessions = None,
    by: By = "",
    date: Day = "",
    note: Note = "",
    archive: ArchiveFolder = Path("archive"),
) -> None:
    """Enter heats, welds, bolts, concessions or a note to a released revision: all of it, or
    nothing where anything is wrong. Nothing entered before is replaced.
    """
    from ..archive.entries import EntryRequest, taken
    from ..archive.store import Archive

    store = Archive(archive)
    record = store.record(chassis, letter)
    signer = Signer(by, date, note)
    asked = EntryRequest(
        heat=heat or (),
        sheet=sheet or (),
        part=part or (),
        weld=weld or (),
        bolt=bolt or (),
        torque=torque,
        concession=concession or (),
        note=note,
    )
    rows, wrong = taken(asked, record.data)
    if faults := [*signer.faults(), *wrong]:
        raise SoapstoneError(Exit.COMMAND_LINE, faults, "nothing was entered")
    store.happened(chassis, letter, {"kind": "entered", "rows": rows, **signer._asdict()})
    for row in rows[:SHOWN]:
        print(sentence(f"{chassis} {letter}: {row['kind']} {row['what']} {row['value']}").rstrip())
    if len(rows) > SHOWN:
        print(f"{chassis} {letter}: and {len(rows) - SHOWN} more, {len(rows)} in all")
    if told := _ahead(store.level(chassis, letter), [row["kind"] for row in rows]):
        print(told)


def _ahead(level: str, kinds: Sequence[str]) -> str:
    """What was welded stays on record, but that nobody had released it for welding is said; ""
    where somebody had.
    """
    if "weld" not in kinds or at_least(level, "weld"):
        return ""
    return (
        f"NOT RELEASED FOR WELD: this revision is for {level} only, and welds of it are entered as"
        " laid. Stop, set the truck down, run correct, release or sign for weld before the"
        " next one"
    )

"""enter: what is logged of a released revision: heats, welds, bolts, inspection, concessions."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.model.terms import Level
from ...parts.words.names import sentence
from ..archive.signature import Signer, before_first
from ..options import ArchiveFolder, By, Chassis, Day, DryRun, Letter, Note
from ..screen import then

if TYPE_CHECKING:
    from ..archive.entries import EntryRequest
    from ..archive.facts import RecordFacts
    from ..archive.record import Record
    from ..archive.store import Archive

PLACE = 150
STAGES = ("axle", "frame", "crossmember", "arms", "set-down")
"""Stages a weld is laid in, as its schedule names them."""
SHOWN = 12
"""Rows of one entry that are printed: a run of welds has many."""


HeatNumbers = Annotated[
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
Stages = Annotated[
    list[str] | None,
    typer.Option(
        "--stage",
        help=f"every weld of a stage, laid and looked at: {', '.join(STAGES)}; several",
    ),
]
Bolts = Annotated[
    list[str] | None,
    typer.Option("--bolt", help="bolts that were tightened to --torque: B3, B1-B12; several"),
]
Torque = Annotated[str, typer.Option("--torque", help="what the wrench was set to, with its unit")]
Concessions = Annotated[
    list[str] | None,
    typer.Option("--concession", help="part that is not as drawn; --note says why it may stay"),
]
AsMeasured = Annotated[str, typer.Option("--measured", help="of a --concession: what was measured")]
RuleBroken = Annotated[
    str, typer.Option("--rule", help="of a --concession: the rule or drawing it is against")
]
Decision = Annotated[
    str, typer.Option("--decision", help="of a --concession: use, repair or scrap")
]
LogFile = Annotated[
    Path | None,
    typer.Option(
        "--log", help="a filled log (CSV): welds, bolts, inspection and alignment; all or nothing"
    ),
]
Blank = Annotated[
    Path | None,
    typer.Option("--blank", help="write the log of this revision to fill in (CSV), for --log"),
]


def enter(  # noqa: PLR0913  # each is an argument or option of the command line
    chassis: Chassis,
    letter: Letter,
    *,
    heat: HeatNumbers = None,
    sheet: Sheets = None,
    part: PartsOfHeat = None,
    weld: Welds = None,
    stage: Stages = None,
    bolt: Bolts = None,
    torque: Torque = "",
    concession: Concessions = None,
    measured: AsMeasured = "",
    rule: RuleBroken = "",
    decision: Decision = "",
    log: LogFile = None,
    blank: Blank = None,
    by: By = "",
    date: Day = "",
    note: Note = "",
    archive: ArchiveFolder = Path("archive"),
    dry_run: DryRun = False,
) -> None:
    """Enter heats, welds, bolts, inspection, alignment, concessions or a note to a released
    revision: all of it, or nothing where anything is wrong. Nothing entered before is replaced.
    """
    from ..archive.entries import EntryRequest
    from ..archive.store import Archive

    store = Archive(archive, dry=dry_run)
    record, signer = store.record(chassis, letter), Signer(by, date, note)
    if blank is not None:
        _blank(store, record, blank)
        return
    faults: list[Fault] = []
    welds = (*(weld or ()), *_welds_of(store, record, stage or (), faults))
    asked = EntryRequest(
        heat=heat or (),
        sheet=sheet or (),
        part=part or (),
        weld=welds,
        bolt=bolt or (),
        torque=torque,
        concession=concession or (),
        note=note,
        conceded=(measured, rule, decision),
    )
    rows, signer = _rows(store, record, asked, log, signer, faults)
    _refuse(faults)
    _store(store, record, {**signer.facts(), "kind": "entered", "rows": rows}, rows)


def _refuse(faults: list[Fault]) -> None:
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults, "nothing was entered")


def _store(
    store: Archive, record: Record, event: RecordFacts, rows: Sequence[Mapping[str, str]]
) -> None:
    """Keep what is entered, and say what it was and what it means."""
    from ..archive import dry

    stored = store.happened(record.chassis, record.letter, event)
    _tell(f"{record.chassis} {record.letter}", rows)
    if told := _ahead(store.level(record), [row["kind"] for row in rows]):
        print(told)
    if store.dry:
        dry.tell(store, stored, {})


def _tell(revision: str, rows: Sequence[Mapping[str, str]]) -> None:
    """What was entered, the first ``SHOWN`` rows of it one by one."""
    for row in rows[:SHOWN]:
        print(sentence(f"{revision}: {row['kind']} {row['what']} {row['value']}").rstrip())
    if len(rows) > SHOWN:
        print(f"{revision}: and {len(rows) - SHOWN} more, {len(rows)} in all")


def _rows(
    store: Archive,
    record: Record,
    asked: EntryRequest,
    log: Path | None,
    signer: Signer,
    faults: list[Fault],
) -> tuple[list[dict[str, str]], Signer]:
    """Rows to enter, of the options and of a filled log, and who enters them: where nothing but a
    log is entered, whom it names; adds what is wrong with them.
    """
    from ..archive import log_form
    from ..archive.entries import EntryRequest, taken

    alone = log is not None and asked == EntryRequest(note=asked.note)
    rows, wrong = ([], []) if alone else taken(asked, record.data)
    if log is not None:
        logged, slips = log_form.taken(log, store, record, signer)
        rows += logged
        wrong += slips
        if alone:
            signer = log_form.signed(logged, signer)
    # what a line of the log lacks is said at that line
    told = ("--by", "--date") if alone and wrong else ()
    faults += [fault for fault in signer.faults() if fault.field not in told]
    faults += wrong
    days = {row.get("date", signer.date) for row in rows if row["kind"] in ("weld", "bolt")}
    first = store.records(record.chassis)[:1]
    faults += [fault for day in sorted(days) for fault in before_first(day, first)]
    return rows, signer


def _welds_of(
    store: Archive, record: Record, stages: Sequence[str], faults: list[Fault]
) -> list[str]:
    """Numbers of the welds of some stages, as the revision's own schedule says; adds what is
    wrong with them.
    """
    if not stages:
        return []
    kept = record.file("schedule/welds.json")
    rows = [] if kept is None else json.loads(store.content(kept))
    found: dict[str, list[str]] = {}
    for row in rows:
        found.setdefault(str(row["stage"]), []).append(str(row.get("weld", "")))
    remedy = "the weld schedule names the stage of every weld"
    faults += [
        Fault("--stage", stage[:20], " | ".join(found), remedy)
        for stage in stages
        if stage not in found
    ]
    return [number for stage in stages for number in found.get(stage, ())]


def _blank(store: Archive, record: Record, path: Path) -> None:
    from .. import disk
    from ..archive import dry, log_form, revision_files

    revision_files.shop_of(store, record)
    data = log_form.blank(store, record)
    try:
        if not store.dry:
            disk.new_file(path, data)
        elif path.exists():
            raise FileExistsError
    except FileExistsError:
        fault = Fault(str(path), "", "a name that is free", "nothing was changed")
        raise SoapstoneError(Exit.DISK, [fault]) from None
    print(f"{path}: every weld, bolt and line of inspection and alignment; ok beside a sound weld")
    if store.dry:
        return print(dry.LAST)
    own = (record.chassis, record.letter)
    then("enter", *own, "--log", path, why="fill in found, by and date, then")


def _ahead(level: Level, kinds: Sequence[str]) -> str:
    """What was welded stays on record, but that nobody had released it for welding is said; ""
    where somebody had.
    """
    if "weld" not in kinds or level.at_least(Level.WELD):
        return ""
    return (
        f"NOT RELEASED FOR WELD: this revision is for {level} only, and welds of it are entered as"
        " laid. Stop, set the truck down, run correct, release or sign for weld before the"
        " next one"
    )

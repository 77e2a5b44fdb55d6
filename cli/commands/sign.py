"""sign: a released revision signed for a higher level. Nothing released changes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from ...layout.faults import Exit, SoapstoneError
from ..archive.acceptance import accepted, needs_acceptance, reasons, refusals
from ..archive.signature import (
    Signer,
    accepted_before,
    answered,
    answers,
    level_faults,
    open_at,
    open_faults,
)
from ..options import Accept, ArchiveFolder, By, Chassis, Day, Letter, Out
from ..screen import then

PLACE = 140
WRITTEN_AGAIN = ("sheet/", "drawing/", "nest/")
"""Folders of a build whose sheets carry the watermark of their level."""


def sign(  # noqa: PLR0913  # each is an argument or option of the command line
    chassis: Chassis,
    letter: Letter,
    *,
    level: Annotated[str, typer.Option("--level", help="mock-up, tack, weld or final")] = "",
    by: By = "",
    date: Day = "",
    note: Annotated[str, typer.Option("--note", help="what is worth knowing")] = "",
    accept: Accept = None,
    archive: ArchiveFolder = Path("archive"),
    out: Out = Path("out"),
) -> None:
    """Sign a released revision for a level; its sheets are written again without the watermark that
    level takes away. The revision itself stays.
    """
    from .. import disk
    from ..archive import current, revision_files
    from ..archive.store import Archive

    store = Archive(archive)
    record = store.record(chassis, letter)
    signer = Signer(by, date, note)
    faults = signer.faults()
    given = reasons(accept or (), faults)
    open_now = open_at(store, record, level)
    wanting = open_now.wanting(answered(store, record))
    wrong = level_faults(level, store.level(chassis, letter), open_now)
    faults += wrong or open_faults(wanting, given)
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults, "not signed")
    again = revision_files.redesigned(store, record)
    judged = again.looked.judged
    before = accepted_before(store, record)
    refused = refusals(judged, level)
    if faults := refused + needs_acceptance(judged, level, given.findings, before):
        code = Exit.CHECK_FAILS if refused else Exit.COMMAND_LINE
        raise SoapstoneError(code, faults, "not signed")
    took = accepted(judged, by, date, given.findings, before)
    made = _sheets(revision_files.rebuilt(store, record, level, again, took))
    event = {
        "kind": "signed",
        "value": level,
        **signer._asdict(),
        "headline": judged.headline,
        "accepted": took[len(before) :],
        "open": answers(wanting, given, signer),
    }
    if level == "final":
        made |= revision_files.log_files(store, record, level, [event])
    store.happened(chassis, letter, event, made)
    for path, data in made.items():
        disk.put_file(out / chassis / letter / path, data)
    current.write(store, chassis, out)
    _tell(event, out / chassis / letter)
    _next(chassis, letter, level)


def _sheets(made: dict[str, bytes]) -> dict[str, bytes]:
    """Of a build, what carries the watermark of its level."""
    return {
        path: data
        for path, data in made.items()
        if path.startswith(WRITTEN_AGAIN) or path == "index.html"
    }


def _tell(event: dict[str, Any], folder: Path) -> None:
    print(
        f"{folder.parent.name} {folder.name} is signed for {event['value']} by {event['by']}; its"
        f" sheets are in {folder / 'sheet'}"
    )
    print(event["headline"])
    if took := event["accepted"]:
        print(f"{len(took)} findings accepted, kept in the record: {took[0]['why']}")
    for row in event["open"]:
        print(f"{row['subject']} accepted as it is, kept in the record: {row['why']}")
    print("A signature here is a record, not an approval; local law decides.")


def _next(chassis: str, letter: str, level: str) -> None:
    if level == "weld":
        then("enter", chassis, letter, "--weld", "W1-W9", why="log each weld as it is laid")
    elif level == "final":
        then("export", chassis, f"{chassis}.zip", why="hand the log over, keep a copy elsewhere")

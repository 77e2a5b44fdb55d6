"""sign: a released revision signed for a higher level. Nothing released changes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.model.terms import Level
from ..archive.acceptance import accepted, needs_acceptance, reasons, refusals, told
from ..archive.signature import (
    Signer,
    accepted_before,
    answered,
    answers,
    level_faults,
    level_of,
    open_at,
    open_faults,
    too_early,
)
from ..options import Accept, ArchiveFolder, By, Chassis, Day, DryRun, Letter, Note, Out
from ..screen import then

if TYPE_CHECKING:
    from ..archive.acceptance import Subject
    from ..archive.facts import RecordFacts
    from ..archive.record import Record
    from ..archive.store import Archive

PLACE = 140
WRITTEN_AGAIN = ("sheet/", "drawing/", "nest/")
"""Folders of a build whose sheets carry the watermark of their level."""


SignedLevel = Annotated[str, typer.Option("--level", help="mock-up, tack, weld or final")]


def sign(  # noqa: PLR0913  # each is an argument or option of the command line
    chassis: Chassis,
    letter: Letter,
    *,
    level: SignedLevel = "",
    by: By = "",
    date: Day = "",
    note: Note = "",
    accept: Accept = None,
    archive: ArchiveFolder = Path("archive"),
    out: Out = Path("out"),
    dry_run: DryRun = False,
) -> None:
    """Sign a released revision for a level; its sheets are written again without the watermark that
    level takes away. The revision itself stays.
    """
    from ..archive import dry, revision_files
    from ..archive.store import Archive

    store = Archive(archive, dry=dry_run)
    record, signer = store.record(chassis, letter), Signer(by, date, note)
    events = [event.data for event in store.events(chassis, letter)]
    if events and _is_same(events[-1], level, signer):
        return _write_again(store, record, out)
    faults = signer.faults() + too_early(date, record, events)
    given = reasons(accept or (), faults)
    asked, wanting, wrong = _asked(store, record, level)
    if faults := faults + (wrong or open_faults(wanting, given)):
        raise SoapstoneError(Exit.COMMAND_LINE, faults, "not signed")
    again = revision_files.redesigned(store, record)
    judged, before = again.looked.judged, accepted_before(store, record)
    _refuse(refusals(judged, asked), needs_acceptance(judged, asked, given, before))
    took = accepted(judged, by, date, given, before)
    made = _sheets(revision_files.rebuilt(store, record, asked, again, took))
    event: RecordFacts = {
        "kind": "signed",
        "value": asked,
        **signer.facts(),
        "headline": judged.headline,
        "accepted": took[len(before) :],
        "open": answers(wanting, given, signer),
    }
    if asked is Level.FINAL:
        made |= revision_files.log_files(store, record, asked, [event])
    stored = store.happened(chassis, letter, event, made)
    folder = _put(store, record, made, out)
    _tell(event, folder, dry=dry_run)
    if dry_run:
        return dry.tell(store, stored, {folder: made})
    _next(chassis, letter, asked)


def _is_same(last: RecordFacts, level: str, signer: Signer) -> bool:
    """Whether what happened last is this very signature: typed again where a stop came between it
    and its sheets.
    """
    same = {**last, **signer.facts()} == last
    return last["kind"] == "signed" and last["value"] == level and same


def _write_again(store: Archive, record: Record, out: Path) -> None:
    """The sheets of the last signature, as they are kept."""
    from ..archive import dry

    event = store.events(record.chassis, record.letter)[-1].data
    made = {row["path"]: store.content(row["sha256"]) for row in event["files"]}
    again = "would be" if store.dry else "were"
    print(f"this signature is kept already; its sheets {again} written once more")
    _tell(event, _put(store, record, made, out), dry=False)
    if store.dry:
        print(dry.LAST)


def _put(store: Archive, record: Record, made: Mapping[str, bytes], out: Path) -> Path:
    """The signed sheets over those of the level before, in the folder of the revision."""
    from .. import disk
    from ..archive import current

    folder = out / record.chassis / record.letter
    if store.dry:
        return folder
    for path, data in made.items():
        disk.put_file(folder / path, data)
    current.write(store, record.chassis, out)
    return folder


def _asked(
    store: Archive, record: Record, typed: str
) -> tuple[Level, dict[Subject, str], list[Fault]]:
    """The level typed, what it wants words for, and why it cannot be signed for whatever the
    words.
    """
    level, unknown = level_of(typed)
    open_now = open_at(store, record, level)
    now = store.level(record)
    good = store.record(record.chassis).letter
    wrong = unknown or level_faults(level, now, open_now, good, record.letter)
    return level, open_now.wanting(answered(store, record)), wrong


def _refuse(refused: list[Fault], unanswered: list[Fault]) -> None:
    """Faults for what nobody can sign for, and for what nobody gave a reason for."""
    if refused or unanswered:
        code = Exit.CHECK_FAILS if refused else Exit.COMMAND_LINE
        raise SoapstoneError(code, refused + unanswered, "not signed")


def _sheets(made: dict[str, bytes]) -> dict[str, bytes]:
    """Of a build, what carries the watermark of its level."""
    return {
        path: data
        for path, data in made.items()
        if path.startswith(WRITTEN_AGAIN) or path == "index.html"
    }


def _tell(event: RecordFacts, folder: Path, *, dry: bool) -> None:
    own = f"{folder.parent.name} {folder.name} {'would be' if dry else 'is'}"
    print(
        f"{own} signed for {event['value']} by {event['by']}; its sheets are in {folder / 'sheet'}"
    )
    print(event["headline"])
    for line in told(event["accepted"]):
        print(line)
    for row in event["open"]:
        print(f"{row['subject']} accepted as it is, kept in the record: {row['why']}")
    print("A signature here is a record, not an approval; local law decides.")


def _next(chassis: str, letter: str, level: Level) -> None:
    if level is Level.WELD:
        then("enter", chassis, letter, "--weld", "W1-W9", why="log each weld as it is laid")
    elif level is Level.FINAL:
        then("export", chassis, f"{chassis}.zip", why="hand the log over, keep a copy elsewhere")

"""release: a build stored as a revision of its chassis."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.model.terms import Level
from ..archive.acceptance import (
    Reasons,
    Subject,
    accepted,
    needs_acceptance,
    reasons,
    refusals,
    told,
)
from ..archive.letters import letter_of
from ..archive.releasing import (
    Lettered,
    Signed,
    archive_of,
    inputs_of,
    lettered,
    release_files,
    same_inputs,
)
from ..archive.signature import (
    Open,
    Signer,
    answers,
    before_last,
    level_of,
    not_logged,
    open_faults,
)
from ..building.design import Designed, designed
from ..options import Accept, ArchiveDir, DryRun, JobFile, NoCache, Out, ShopFile
from ..screen import said, say, then

if TYPE_CHECKING:
    from ...parts.verdict.findings import Judged
    from ..archive.facts import RecordFacts
    from ..archive.record import Record
    from ..archive.store import Archive

PLACE = 130


WhatChanged = Annotated[str, typer.Option("--note", help="what changed and why; required")]
ReleasedBy = Annotated[str, typer.Option("--by", help="who releases it; required")]
ReleaseDay = Annotated[
    str,
    typer.Option("--date", help="day of the release (2026-01-31); else the job's date"),
]
ReleasedLevel = Annotated[
    str, typer.Option("--level", help="what it may be used for: mock-up, tack, weld or final")
]


def release(  # noqa: PLR0913  # each is an argument or option of the command line
    job: JobFile,
    *,
    note: WhatChanged = "",
    by: ReleasedBy = "",
    day: ReleaseDay = "",
    level: ReleasedLevel = "tack",
    accept: Accept = None,
    out: Out = Path("out"),
    archive: ArchiveDir = None,
    shop: ShopFile = None,
    no_cache: NoCache = False,
    dry_run: DryRun = False,
) -> None:
    """Store the build as the next revision of the chassis. What is released never changes."""
    from .. import disk
    from ..archive.store import Archive
    from ..building.nest_files import nest_kept

    disk.ready(out)
    found = designed(job, shop)
    signer = Signer(by, day or found.job.words.get("job.date", ""), note)
    looked = found.looked(say)
    said()
    store = Archive(archive_of(archive, found.shop.archive, job), dry=dry_run)
    inputs, chassis = inputs_of(job, shop, found.job), found.job.chassis
    faults = signer.faults(note_needed=True) + before_last(signer.date, store.records(chassis))
    given = reasons(accept or (), faults)
    asked, unknown = level_of(level)
    wanting, not_down = _open(found, asked), _not_down(found, job)
    faults += unknown or _level_faults(asked, not_down)
    faults += open_faults(wanting, _answering(given, not_down))
    faults += _verdict_faults(looked.judged, asked, given) + _stale(looked.judged, found, out)
    _refuse(faults)
    by_name = accepted(looked.judged, by, signer.date, given)
    signed = Signed(asked, signer, by_name, answers(wanting, given, signer))
    with store.lock(chassis):
        new = lettered(store, found, job)
        _something_new(new, inputs, chassis)
        record, made = release_files(
            store, found, looked, new, signed, inputs=inputs, kept=nest_kept(job)
        )
        stored = store.add(chassis, record, {**made, **inputs})
        page = _written(store, stored, made, out)
    _tell(new, store, chassis)
    _tell_signed(looked.judged, signed, record)
    if dry_run:
        return _would(new, store, stored, {page.parent / new.letter: made})
    _tell_use(new, asked, not not_down, page.parent / new.letter, page)
    _next(chassis, new.letter, asked, job)


def _written(store: Archive, record: Record, made: Mapping[str, bytes], out: Path) -> Path:
    """Its folder beside those of the revisions before, and the page that says which is good."""
    from .. import disk
    from ..archive import current
    from ..building.manifest import named

    if not store.dry:
        base, ours = out / record.chassis, frozenset(made)
        disk.swap_in(base, record.letter, made, ours | named(base / record.letter))
        current.write(store, record.chassis, out)
    return out / record.chassis / current.NAME


def _next(chassis: str, letter: str, level: Level, job: Path) -> None:
    if level.at_least(Level.WELD):
        then("enter", chassis, letter, "--weld", "W1-W9", why="log each weld as it is laid")
    else:
        then("correct", job, "--blank", why="tack, set the truck on its wheels, then")


def _open(found: Designed, level: Level) -> dict[Subject, str]:
    """What wants words of its own: for final, the welds and bolts, of which a new revision has none
    logged. A set-down that is not within its limits is no matter of words at a release.
    """
    from ...parts.model.numbering import numbered_bolts, numbered_welds

    if level is not Level.FINAL:
        return {}
    assembly = found.truck.assembly
    welds = not_logged("weld", set(numbered_welds(assembly)), ())
    return Open("", welds, not_logged("bolt", set(numbered_bolts(assembly)), ())).wanting({})


def _answering(given: Reasons, not_down: str) -> Reasons:
    """The reasons without one for the set-down where that is open: it is refused with the level,
    whatever the words.
    """
    left = {s: why for s, why in given.of.items() if s != Subject.SET_DOWN or not not_down}
    return given._replace(of=left)


def _level_faults(level: Level, not_down: str) -> list[Fault]:
    """Weld before the truck stands right."""
    if level.at_least(Level.WELD) and not_down:
        remedy = f"nothing is released for weld yet: {not_down}"
        return [Fault("--level", level, "mock-up or tack", remedy)]
    return []


def _verdict_faults(judged: Judged, level: Level, given: Reasons) -> list[Fault]:
    """What nobody can sign for, and what nobody signed for yet."""
    return refusals(judged, level) + needs_acceptance(judged, level, given)


def _refuse(faults: list[Fault]) -> None:
    """Every reason not to release, in one go."""
    if faults:
        typed = all(fault.field.startswith("--") for fault in faults)
        code = Exit.COMMAND_LINE if typed else Exit.CHECK_FAILS
        raise SoapstoneError(code, faults, "not released")


def _stale(judged: Judged, found: Designed, out: Path) -> list[Fault]:
    """No draft, or a draft of another job, or one that said another verdict."""
    folder = out / found.job.chassis / "draft"
    try:
        draft = json.loads((folder / "manifest.json").read_bytes())
        built = {place: own for part in draft["parts"] for place, own in part["places"].items()}
        seen = draft["job_sha256"], draft["headline"]
    except (OSError, ValueError, KeyError):
        remedy = "run build first and look at what comes out"
        return [Fault(str(folder), "", "a build of this job", remedy)]
    parts = {part.id: part.fingerprint for part in found.truck.singles}
    if (built, seen) == (parts, (found.job.sha256, judged.headline)):
        return []
    remedy = "readings or stock changed since: build again and look at it before it is released"
    return [Fault(str(folder), "", "a build of the job as it is now", remedy)]


def _something_new(new: Lettered, inputs: Mapping[str, bytes], chassis: str) -> None:
    """A fault where nothing changed since the last revision."""
    if new.last is None or new.since.differs or not same_inputs(new.last, inputs):
        return
    remedy = (
        f"nothing changed since revision {new.last.letter}: there is nothing to release; sign"
        " raises its level"
    )
    fault = Fault(chassis, "", "a part, a reading or a set-down that changed", remedy)
    raise SoapstoneError(Exit.CHECK_FAILS, [fault])


def _not_down(found: Designed, job: Path) -> str:
    """Why the truck does not stand right by its set-down and its job as they are now."""
    from ...layout.setdown.file import down_path
    from ..archive.set_down import SUFFIX, not_down_now

    kept, typed = (
        path.read_bytes() if path.is_file() else None
        for path in (job.with_name(job.stem + SUFFIX), down_path(job))
    )
    return not_down_now(kept, found.solved, typed)


def _tell(new: Lettered, store: Archive, chassis: str) -> None:
    """What became of the parts, and of an archive that begins with them who else can read it."""
    from ...parts.truck.likeness import Likeness
    from .. import disk

    said()
    print(
        f"{chassis} revision {new.letter}: {len(new.changed)} parts new or with a new shape,"
        f" {len(new.since.moved)} {Likeness.MOVED}, {len(new.since.same)} {Likeness.SAME},"
        f" {len(new.since.gone)} gone; {'to be ' * store.dry}stored in {store.folder}"
    )
    if new.firsts:
        print(
            f"{len(new.firsts)} parts are parts of {', '.join(sorted(set(new.firsts.values())))}"
            f" and keep their numbers: {', '.join(sorted(new.firsts))}"
        )
    begins = not store.dry and new.letter == letter_of(0) and store.chassis() == [chassis]
    if begins and disk.seen_by_others(store.folder):
        print(f"others who use this computer can read the archive: chmod -R o-rwx {store.folder}")


def _would(
    new: Lettered, store: Archive, stored: Record, made: Mapping[Path, Mapping[str, bytes]]
) -> None:
    """Every part whose letter the next revision changes, with the one before; what is kept."""
    from ..archive import dry

    was = new.last.revisions() if new.last else {}
    rows = [
        f"{part} {was.get(part) or 'new'} -> {letter}"
        for part, letter in sorted(new.letters.items())
        if was.get(part) != letter
    ]
    print(f"letters that change: {', '.join(rows) or 'none'}")
    dry.tell(store, stored, made)


def _tell_signed(judged: Judged, signed: Signed, record: RecordFacts) -> None:
    """The verdict, what was accepted, and how the solids were read back."""
    print(judged.headline)
    print(f"solids: {record['solids']}")
    for line in told(signed.accepted):
        print(line)
    for row in signed.open:
        print(f"{row['subject']} accepted as it is, kept in the record: {row['why']}")


def _tell_use(new: Lettered, level: Level, down: bool, folder: Path, page: Path) -> None:
    """What the revision may be used for, and what it makes void."""
    from ...parts.documents.levels import part_level

    held = sorted(
        {
            part.number
            for part in new.truck.singles
            if part_level(part.member.fixed_after, level, down) != level
        }
    )
    if held:
        print(f"stay at tack until the truck stands right: {', '.join(held)}")
    print(f"to cut from: {folder}; {page} says which revision is good")
    if new.last:
        print(
            f"prints of {new.last.letter} and before are void, but for drawings of parts that keep"
            " their letter"
        )
    print(
        "A release is a record, not an approval; local law decides, and whoever may sign must sign."
    )

"""survey: the short survey of a truck like one that was released."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ..options import ArchiveFolder, JobFile, ShopFile
from ..screen import then

if TYPE_CHECKING:
    from ...layout.job.survey import SurveyLine, Taken
    from ..archive.record import Record
    from ..archive.second_truck import Inherited
    from ..building.design import Designed

PLACE = 20
REASONS = 6
"""Readings named as the reason of a new shape."""


def survey(
    job: JobFile,
    archive: ArchiveFolder = Path("archive"),
    shop: ShopFile = None,
) -> None:
    """Take in the short survey: what is within its allowance keeps the master's reading; then which
    parts differ from the released ones: the same, same plate at another place, or new shape, and
    why.
    """
    from ...layout.job.survey import read
    from ...layout.job_file import load
    from ..archive import second_truck
    from ..archive.revision_files import stored
    from ..archive.store import Archive
    from ..building.design import designed, read_for

    store = Archive(archive)
    master = second_truck.master_of(store, job)
    if master is None:
        allowed = "a job that new --like wrote"
        fault = Fault(str(job), "", allowed, "this one is like no released truck")
        raise SoapstoneError(Exit.COMMAND_LINE, [fault])
    read_for(job, shop)
    files = stored(store, master)
    rows = _lines(files)
    got = read(job.with_name(f"{job.stem}.survey.csv"), rows, load(job).words)
    own = _settle(job, rows, got, files.get("input/job.taped.toml", b"").decode())
    _tell(got, {row.path: row.kind for row in rows}, own)
    found = designed(job, shop)
    judged = found.looked().judged
    _tell_parts(_likeness(found, master), f"{master.chassis}:{master.letter}")
    if got.owed:
        print(
            f"{len(got.owed)} of {len(rows)} readings are still needed: until they are taken this"
            " truck is only believed to be like the other"
        )
    print(judged.headline)
    if judged.exit_code or got.owed:
        raise typer.Exit(judged.exit_code or Exit.READINGS_OWED)
    then("build", job)


def _lines(files: Mapping[str, bytes]) -> list[SurveyLine]:
    """The readings of the short survey, from the master's own job file."""
    from ...layout.job.survey import lines
    from ...layout.job_file import load
    from ..archive.revision_files import inputs

    with tempfile.TemporaryDirectory(prefix="soapstone-") as folder:
        return lines(load(inputs(files, Path(folder))[0]))


def _settle(job: Path, rows: list[SurveyLine], got: Taken, of_master: str) -> dict[str, str]:
    """Leave in the taped file what the survey says: what differs, and for what is the same the
    master's reading again, whatever was taken earlier.

    Returns what holds at the lines left blank where it is not the master's.
    """
    from ...layout.job.fields import key_of
    from ...layout.job.survey import not_the_masters, restated, settled
    from ...layout.job.taped import said_rows, taped_path, taped_rows, written
    from ...layout.job_file import load
    from .. import disk

    path = taped_path(job)
    old = path.read_text(encoding="utf-8-sig") if path.exists() else ""
    before = taped_rows(old)
    taped = settled(got, before, taped_rows(of_master))
    taped |= restated(load(job, written(taped)), rows, got)
    now = load(job, written(taped))
    if taped != before:
        disk.put_file(path, written(taped, said_rows(old)).encode())
    own = not_the_masters(now, rows, got.owed)
    return {name: " | ".join(now.readings[key_of(name)].typed) for name in own}


def _likeness(found: Designed, master: Record) -> Inherited:
    from ..archive.releasing import typed_of
    from ..archive.second_truck import inherited
    from ..building.manifest import part_rows

    return inherited(part_rows(found.truck, found.shop, {}), master, typed_of(found.job))


def _tell(got: Taken, kinds: dict[str, str], own: dict[str, str]) -> None:
    """What the survey says of each reading.

    ``own``: what holds at lines left blank where it is not the master's.
    """
    from ...layout.job.survey import shown

    for path, typed, by in got.same:
        print(
            f"same      {path}: {typed} ({shown(by, kinds[path])} off): the master's reading stays"
        )
    for path, typed, by in got.off:
        print(
            f"differs   {path}: {typed} ({shown(by, kinds[path])} off): taken as this truck's own"
        )
    for path in got.owed:
        said = ""
        if path in own:
            said = f": blank here; {own[path]}, taken before, holds until it is read"
        print(f"needed    {path}{said}")


def _tell_parts(found: Inherited, master: str) -> None:
    from ...parts.truck.likeness import Likeness
    from ...parts.words.names import part as name_of
    from ..archive.differences import part_lines

    print(f"against {master}, part by part:")
    print("\n".join(f"  {line}" for line in part_lines(found.parts, (Likeness.SHAPE,))))
    by_reason: dict[tuple[str, ...], list[str]] = {}
    for part, why in found.why.items():
        by_reason.setdefault(tuple(why), []).append(part)
    print(f"  {Likeness.SHAPE}: {len(found.why)}")
    for reasons, parts in by_reason.items():
        named = f"{', '.join(reasons[:REASONS])}{' ...' if len(reasons) > REASONS else ''}"
        print(f"    since {named} differs: {', '.join(map(name_of, parts))}")
    if found.parts.moved:
        print(
            f"{Likeness.MOVED} means: cut from the file {master.partition(':')[0]} has; where it"
            " goes on this truck stands in this truck's own papers"
        )

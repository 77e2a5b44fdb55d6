"""A released revision again: its stored files, or built anew from its stored inputs and held
against them.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.model.terms import Level
from . import history
from .facts import RecordFacts
from .record import Record, digest, released_at
from .store import Archive

if TYPE_CHECKING:
    from ...layout.graph import Graph
    from ...parts.documents.heads import PageHead
    from ...parts.export.nest import KeptNest
    from ...parts.stock import Shop
    from ..building.design import Designed
    from ..building.verdict import Looked

INPUT = "input/"
"""Folder of a record under which it keeps what it was made from."""


def stored(store: Archive, record: Record) -> dict[str, bytes]:
    """Every file of a revision as it was stored.

    Raises (ARCHIVE_DAMAGED) naming each that is missing or altered.
    """
    found, faults = {}, []
    for file in record.data["files"]:
        try:
            found[file["path"]] = store.content(file["sha256"])
        except SoapstoneError as e:
            what = e.faults[0].field.partition(": ")[2]
            field = f"{record.chassis} {record.letter} {file['path']}: {what}"
            faults.append(e.faults[0]._replace(field=field))
    if faults:
        raise SoapstoneError(
            Exit.ARCHIVE_DAMAGED, faults, "the archive is damaged; nothing was written"
        )
    return found


def inputs(files: Mapping[str, bytes], folder: Path) -> tuple[Path, Path | None]:
    """A revision's inputs written to a folder: its job file, and the shop's settings if it had
    any.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for path, data in files.items():
        if path.startswith(INPUT) and "/" not in path.removeprefix(INPUT):
            (folder / path.removeprefix(INPUT)).write_bytes(data)
    shop = folder / "shop.toml"
    return folder / "job.toml", shop if shop.is_file() else None


def cut_before(store: Archive, earlier: Iterable[Record], paths: Iterable[str]) -> dict[str, bytes]:
    """Cut files that were released before under the very same name, in whatever folder of cut/: a
    part that keeps its letter keeps its file to the byte, not only to the hundredth of a
    millimeter.
    """
    wanted = {path.rpartition("/")[2]: path for path in paths if path.startswith("cut/")}
    return {
        wanted[name]: store.content(file["sha256"])
        for record in earlier
        for file in record.data["files"]
        if file["path"].startswith("cut/") and (name := file["path"].rpartition("/")[2]) in wanted
    }


class Redesigned(NamedTuple):
    """A revision designed anew by this version from its stored inputs: with its travel and verdict,
    and the places of its nest.
    """

    designed: Designed
    looked: Looked
    kept: dict[str, KeptNest]
    master: Record | None


def redesigned(store: Archive, record: Record) -> Redesigned:
    """The revision designed and looked at anew, before anything of it is drawn."""
    from ..building.design import designed
    from ..building.nest_files import nest_kept
    from .second_truck import master_of

    files = stored(store, record)
    with tempfile.TemporaryDirectory(prefix="soapstone-") as folder:
        job, shop = inputs(files, Path(folder))
        found = designed(job, shop)
        return Redesigned(found, found.looked(), nest_kept(job), master_of(store, job))


def solved_again(store: Archive, record: Record) -> Graph:
    """The layout of a revision, solved anew from its stored inputs."""
    from ...layout.setout import solve
    from ..building.design import loaded

    kept = [file for file in record.data["files"] if file["path"].startswith(INPUT)]
    files = {file["path"]: store.content(file["sha256"]) for file in kept}
    with tempfile.TemporaryDirectory(prefix="soapstone-") as folder:
        return solve(loaded(*inputs(files, Path(folder)))[0])


def rebuilt(
    store: Archive,
    record: Record,
    level: Level | None = None,
    found: Redesigned | None = None,
    accepted: Sequence[Mapping[str, str]] | None = None,
) -> dict[str, bytes]:
    """The revision built anew by this version from its stored inputs, at its own level or another;
    ``found``: as ``redesigned`` gave it; ``accepted``: what is signed for by then, else what the
    release carried.
    """
    from ...parts.truck.truck import relettered
    from ..building.build import Build, Issue
    from ..building.every_file import files as every_file
    from ..building.manifest import manifest

    again, looked, kept, master = found or redesigned(store, record)
    letters = {
        part.id: record.revisions().get(part.id, record.letter) for part in again.truck.singles
    }
    firsts = {row["part"]: row["first"] for row in record.data["parts"] if "first" in row}
    truck = relettered(again.truck, again.shop, again.job.chassis, letters, firsts)
    level = level or released_at(record.data)
    earlier = store.records(record.chassis)
    before = earlier[: [each.letter for each in earlier].index(record.letter)]
    upto = [history.of_record(each) for each in (*before, record)]
    whole, own = history.blocks(upto, firsts)
    issue = Issue(
        letters=letters,
        firsts=firsts,
        says=f"RELEASED {record.letter}, for {level}",
        level=level,
        revision=record.letter,
        accepted=record.data.get("accepted", ()) if accepted is None else accepted,
        revisions=whole,
        history=own,
    )
    build = Build(again, looked, truck=truck, issue=issue, kept=kept)
    made = every_file(build)
    build.again.keep(made)
    made |= cut_before(store, (*([master] if master else []), *before), made)
    made["manifest.json"] = manifest(build, made)
    return made


def at_level(store: Archive, record: Record, level: str = "") -> tuple[dict[str, bytes], Level]:
    """A revision's files as they were signed for a level, the last it was signed for if none is
    named; and that level. Faults (COMMAND_LINE) for one it was never signed for.
    """
    found, now = stored(store, record), released_at(record.data)
    signed = [
        event
        for event in store.events(record.chassis, record.letter)
        if event.data["kind"] == "signed"
    ]
    levels = [now, *(Level(event.data["value"]) for event in signed)]
    wanted = next((each for each in levels if each == level), None) if level else levels[-1]
    if wanted is None:
        fault = Fault(
            "--level",
            level,
            " | ".join(levels),
            "it was signed for these; leave it out for the last",
        )
        raise SoapstoneError(Exit.COMMAND_LINE, [fault])
    for event in signed[: levels.index(wanted)]:
        found |= {file["path"]: store.content(file["sha256"]) for file in event.data["files"]}
    return found, wanted


def of_part(record: Record, files: Mapping[str, bytes], typed: str) -> dict[str, bytes]:
    """Cut file, drawing and solid of one part of a revision, of both hands; ``typed``: the code of
    any place it goes to.

    Faults (COMMAND_LINE) for a code the revision has no part of.
    """
    from ..building.only import code_of, unknown

    numbers: dict[str, set[str]] = {}
    for row in record.data["parts"]:
        number = str(row.get("number", row["part"])).partition(".")[0]
        for place in (row["part"], *row.get("places", ())):
            numbers.setdefault(place.partition(".")[0], set()).add(number)
    if code_of(typed) not in numbers:
        raise unknown("--part", typed, list(numbers))
    folders = ("cut/", "drawing/", "solid/")
    return {
        path: data
        for path, data in files.items()
        if path.startswith(folders)
        and any(f"-{number}-" in path.rpartition("/")[2] for number in numbers[code_of(typed)])
    }


def superseded(letter: str) -> str:
    """What is stamped over a revision when ``letter`` is the good one."""
    return f"SUPERSEDED BY {letter}"


def over(files: Mapping[str, bytes], words: str) -> dict[str, bytes]:
    """Every page of every PDF stamped."""
    from ...parts.documents.stamp import stamped

    return {
        path: stamped(data, words) if path.endswith(".pdf") else data
        for path, data in files.items()
    }


def shop_of(store: Archive, record: Record) -> Shop:
    """The shop's settings a revision was made with; from here on screen and paper speak its
    units.
    """
    from ..building.design import read_for

    with tempfile.TemporaryDirectory(prefix="soapstone-") as folder:
        for name in ("shop.toml", "job.toml"):
            if (sha256 := record.file(f"{INPUT}{name}")) is not None:
                (Path(folder) / name).write_bytes(store.content(sha256))
        return read_for(Path(folder) / "job.toml")


def log_files(
    store: Archive, record: Record, level: Level, more: Sequence[RecordFacts] = ()
) -> dict[str, bytes]:
    """Log sheets of a stored revision; ``more``: an event about to be written."""
    from ...parts.documents import log
    from . import log_sheets

    paper = shop_of(store, record).paper
    head = log_head(record.chassis, record.data.get("date", ""), record.letter, level, paper)
    return log.files(log_sheets.of(store, record, level, more), head)


def log_head(chassis: str, date: str, letter: str, level: Level, paper: str) -> PageHead:
    """What stands on every page of the log sheets."""
    from ...parts.documents.heads import PageHead
    from ...parts.documents.levels import void

    says = f"Revision {letter}, for {level}"
    return PageHead(chassis, date, level, says, paper, void(chassis, letter))


def differing(old: Mapping[str, bytes], new: Mapping[str, bytes]) -> dict[str, list[str]]:
    """Files that differ, are only stored, are only built; inputs and logs, which no build makes,
    left out, and the list that names the logs.
    """
    logs = any(path.startswith("log/") for path in old)
    own, now = (
        {
            path: digest(data)
            for path, data in files.items()
            if not path.startswith((INPUT, "log/")) and not (logs and path == "manifest.json")
        }
        for files in (old, new)
    )
    return {
        "differ": sorted(path for path in own.keys() & now.keys() if own[path] != now[path]),
        "only stored": sorted(own.keys() - now.keys()),
        "only built now": sorted(now.keys() - own.keys()),
    }


def named(store: Archive, words: str) -> Record:
    """The revision "T1:A", or the last of "T1". Faults (COMMAND_LINE) if there is none."""
    chassis, _, letter = words.partition(":")
    if not chassis:
        raise SoapstoneError(
            Exit.COMMAND_LINE,
            [
                Fault(
                    "revision",
                    words,
                    "CHASSIS or CHASSIS:LETTER",
                    ", ".join(store.chassis()) or "nothing is released yet",
                )
            ],
        )
    return store.record(chassis, letter)

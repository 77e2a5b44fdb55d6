"""new: a job file started, with every field in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ..building.owed import first_plates
from ..options import ArchiveFolder
from ..screen import then

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ..archive.record import Record

PLACE = 10
OWN = ("title", "by", "date", "note")
"""What a truck says of itself: never taken from another."""


def new(
    chassis: Annotated[
        str, typer.Argument(help="short name of the chassis: letters, digits, - or _")
    ],
    *,
    out: Annotated[
        Path | None, typer.Option("--out", help="file to write; CHASSIS.toml here if not given")
    ] = None,
    like: Annotated[
        str, typer.Option("--like", help="a released chassis this truck is like, or CHASSIS:LETTER")
    ] = "",
    every: Annotated[
        bool,
        typer.Option("--all", help="every field at once, not only what the first plates rest on"),
    ] = False,
    archive: ArchiveFolder = Path("archive"),
) -> None:
    """Write a job file to fill in, each reading with where and how to take it: the short form, what
    the layout and the first plates rest on, or with --all every field. With --like, that of a
    released truck and a short survey of fifteen readings.
    """
    from ...layout.job.form import blank_job
    from ...layout.job.load import SLUG
    from .. import disk
    from ..building.schema import write_beside

    if not SLUG.fullmatch(chassis):
        remedy = "it names the folder and every part: no spaces, dots or slashes"
        fault = Fault("CHASSIS", chassis, "1 to 24 of A-Z a-z 0-9 _ -", remedy)
        raise SoapstoneError(Exit.COMMAND_LINE, [fault])
    path = out or Path(f"{chassis}.toml")
    if like:
        _like(chassis, path, like, archive)
        return
    try:
        disk.new_file(path, blank_job(chassis, None if every else _first()).encode())
    except FileExistsError:
        raise _taken([path]) from None
    write_beside(path)
    if every:
        print(f"{path}: every field, in the order of a walk round the truck")
    else:
        print(
            f"{path}: the short form, in the order of a walk round the truck; what the layout and"
            f" the first plates rest on: {first_plates()}"
        )
    then("readings", path, why="fill in what you measure, then")


def _first() -> frozenset[str]:
    """Fields of the short form."""
    from ...layout.job.fields import is_second_way
    from ...parts.truck.needs import first_fields

    return frozenset(name for name in first_fields() if not is_second_way(name))


def _taken(paths: Iterable[Path]) -> SoapstoneError:
    remedy = "there is a file already: choose another with --out; nothing was changed"
    return SoapstoneError(
        Exit.DISK, [Fault(str(path), "", "a name that is free", remedy) for path in paths]
    )


def _like(chassis: str, path: Path, like: str, archive: Path) -> None:
    """The job file of a released truck with this one's name, and the short survey of it."""
    from ...layout.job.survey import lines, survey_csv
    from ...layout.job_file import load
    from .. import disk
    from ..archive.revision_files import named
    from ..archive.store import Archive
    from ..building.design import read_for

    store = Archive(archive)
    master = named(store, like)
    if master.chassis == chassis:
        fault = Fault("CHASSIS", chassis, "a name of its own", "the new truck is another chassis")
        raise SoapstoneError(Exit.COMMAND_LINE, [fault])
    made = _files(chassis, path, like, master, archive)
    survey = path.with_name(f"{path.stem}.survey.csv")
    if taken := [own for own in (*made, survey) if own.exists()]:
        raise _taken(taken)
    for own, data in made.items():
        disk.new_file(own, data)
    read_for(path)
    rows = lines(load(path))
    disk.new_file(survey, survey_csv(rows))
    print(
        f"{path}: as {master.chassis}:{master.letter}. Write its own title and date into it, take"
        f" the {len(rows)} readings of {survey}, then: soapstone survey {path}"
    )


def _files(chassis: str, path: Path, like: str, master: Record, archive: Path) -> dict[Path, bytes]:
    """The files that make a truck like its master, by where they go."""
    from ..archive.revision_files import stored
    from ..archive.second_truck import like_bytes, like_path
    from ..archive.store import Archive

    files = stored(Archive(archive), master)
    made = {
        path: _as_its_own(files["input/job.toml"].decode(), chassis, like).encode(),
        like_path(path): like_bytes(master),
    }
    if "input/job.taped.toml" in files:
        made[path.with_name(f"{path.stem}.taped.toml")] = files["input/job.taped.toml"]
    return made


def _as_its_own(text: str, chassis: str, like: str) -> str:
    """A master's job file with this truck's chassis, and title, date, name and note left to be
    filled in. Faults if a line of them cannot be found.
    """
    import re
    import tomllib

    made = []
    table = ""
    for line in text.splitlines(keepends=True):
        head = re.match(r"\s*\[\s*([^\[\]]+?)\s*\]", line)
        table = head[1] if head else table
        if table != "job":
            made.append(line)
            continue
        blank = re.sub(rf"^\s*({'|'.join(OWN)})\s*=.*", r'#\1 = ""   # of this truck', line)
        name = rf'\1"{chassis}"'
        made.append(re.sub(r"^(\s*chassis\s*=\s*)(\"[^\"]*\"|'[^']*')", name, blank))
    try:
        job = tomllib.loads("".join(made))["job"]
    except (tomllib.TOMLDecodeError, KeyError):
        job = {}
    if job.get("chassis") != chassis or any(word in job for word in OWN):
        fault = Fault(
            "job.chassis",
            like,
            "a [job] table with a line each for chassis, title, by, date, note",
            "copy the master's job file by hand and change these",
        )
        raise SoapstoneError(Exit.JOB_FILE, [fault])
    return "".join(made)

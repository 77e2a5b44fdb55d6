"""reissue: a released revision again, to the byte as it was stored."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from ..options import ArchiveFolder, Chassis, Out
from ..screen import said, say

PLACE = 200
SHOWN = 12
"""Files that differ named in one line."""


AsSigned = Annotated[
    str, typer.Option("--level", help="as it was signed for this level; the last if not given")
]
OnePart = Annotated[
    str, typer.Option("--part", help="the files of one part alone, such as CM2, both hands")
]
Rebuild = Annotated[
    bool,
    typer.Option(
        "--rebuild",
        help=("build it anew as well and say what differs; always where another version stored it"),
    ),
]


def reissue(
    chassis: Chassis,
    letter: Annotated[str, typer.Argument(help="revision letter; the last one if not given")] = "",
    *,
    archive: ArchiveFolder = Path("archive"),
    out: Out = Path("out"),
    level: AsSigned = "",
    part: OnePart = "",
    rebuild: Rebuild = False,
) -> None:
    """Write a released revision again, as it was last signed, to the byte as it was stored, with
    its log sheets; one that another revision has superseded says so on every page. With another
    version of the tool, say what this one would make differently.
    """
    from .. import disk
    from ..archive import current, revision_files
    from ..archive.store import Archive
    from ..building.manifest import VERSION, named
    from ..building.only import code_of

    store = Archive(archive)
    record = store.record(chassis, letter)
    files = revision_files.stored(store, record)
    signed, now = revision_files.at_level(store, record, level)
    given = {at: data for at, data in signed.items() if not at.startswith(revision_files.INPUT)}
    if part:
        given = revision_files.of_part(record, given, part)
    else:
        given |= revision_files.log_files(store, record, now)
    good = store.record(chassis).letter
    words = "" if good == record.letter else revision_files.superseded(good)
    printed = revision_files.over(given, words) if words else given
    name = f"{record.letter}-{code_of(part)}" if part else record.letter
    folder = out / chassis / name
    disk.swap_in(folder.parent, name, printed, frozenset(printed) | named(folder))
    page = current.write(store, chassis, out)
    print(
        f"{chassis} {record.letter}, as signed for {now}: {len(given)} files as they were stored,"
        f" in {folder}"
    )
    print(
        f"{words}: every page says so" if words else f"it is the good revision of {chassis}: {page}"
    )
    tool = str(record.data.get("tool"))
    if rebuild or tool != VERSION:
        say("building it anew")
        rows = revision_files.differing(files, revision_files.rebuilt(store, record))
        said()
        _differing(rows, f"version {tool} then, {VERSION} now")


def _differing(rows: Mapping[str, list[str]], versions: str) -> None:
    if not any(rows.values()):
        print("built anew from its inputs it is the same to the byte")
    for word, paths in rows.items():
        if paths:
            named = f"{', '.join(paths[:SHOWN])}{' ...' if len(paths) > SHOWN else ''}"
            print(f"{word}, {versions}: {len(paths)}: {named}")

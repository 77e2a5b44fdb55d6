"""export: one chassis with all its revisions as a single file, or one revision to look at."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ..options import ArchiveFolder, Chassis
from ..screen import then

if TYPE_CHECKING:
    from ..archive.store import Archive

PLACE = 220


def export(
    chassis: Chassis,
    file: Annotated[Path, typer.Argument(help="zip to write; a page (.html) with --read-only")],
    *,
    looked_at: Annotated[
        bool,
        typer.Option(
            "--read-only",
            help=(
                "the last revision as one page with its drawings and sheets in it, for a customer"
                " or an engineer, who can leave remarks: no cut files, no prices"
            ),
        ),
    ] = False,
    archive: ArchiveFolder = Path("archive"),
) -> None:
    """One chassis with all its revisions as a single file; with --read-only the last revision as
    one page to look at.
    """
    from .. import disk
    from ..archive import store as archives
    from ..archive.transfer import packed
    from ..out_file import ends_in

    ends_in("FILE", file, *((".html", ".htm") if looked_at else (".zip",)))
    if looked_at:
        disk.put_file(file, data := _page(archives.Archive(archive), chassis))
        print(f"{file}: {chassis}, one page with its drawings and sheets, {len(data)} bytes")
        then("import", f"{chassis}-remarks.json", why="remarks come back as a file; then")
        return
    data = packed(archives.Archive(archive), chassis)
    disk.put_file(file, data)
    print(f"{file}: {chassis}, {len(data)} bytes")
    then("import", file, why="where it is to go in")


def _page(store: Archive, chassis: str) -> bytes:
    """The last revision of a chassis, as it was last signed, as one page that takes remarks."""
    from ..archive import revision_files
    from ..archive.read_only import read_only
    from ..archive.remarks import with_remarks

    record = store.record(chassis)
    files, level = revision_files.at_level(store, record)
    files |= revision_files.log_files(store, record, level)
    says = (
        f"Chassis {chassis}, revision {record.letter}, for {level}: to look at. Nothing is cut from"
        " this file; ask the shop which revision is good."
    )
    return with_remarks(read_only(files, says).decode(), record).encode()

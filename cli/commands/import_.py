"""import: a chassis that export wrote, or remarks on a revision, into this archive."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ..options import ArchiveFolder
from ..screen import then

PLACE = 230


def import_(
    file: Annotated[
        Path, typer.Argument(help="file that export wrote, or remarks saved in its page")
    ],
    archive: ArchiveFolder = Path("archive"),
) -> None:
    """Take a chassis in, or the remarks somebody left in the page of a revision.

    Nothing is written outside the archive, and nothing if anything in the file is not what it says.
    """
    if file.suffix.lower() == ".json":
        _remarks(file, archive)
        return
    from ..archive.store import Archive
    from ..archive.transfer import taken_in

    name, new = taken_in(Archive(archive), file)
    print(f"{name}: {new} revisions were new")
    then("revisions", name)


def _remarks(file: Path, archive: Path) -> None:
    """Remarks into the record of their revision, and what was new of them."""
    from ..archive.remarks import take_remarks
    from ..archive.store import Archive

    record, new = take_remarks(Archive(archive), file)
    of = f"{record.chassis} {record.letter}"
    for row in new:
        print(f"{of}: {row['what']}: {row['value']} ({row['by']}, {row['date']})")
    print(f"{of}: {len(new)} {'remark was' if len(new) == 1 else 'remarks were'} new")
    if new:
        then("reissue", record.chassis, record.letter, why="they stand under Notes in its log")

"""import: a chassis that export wrote, into this archive."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ..options import ArchiveFolder
from ..screen import then

PLACE = 230


def import_(
    file: Annotated[Path, typer.Argument(help="file that export wrote")],
    archive: ArchiveFolder = Path("archive"),
) -> None:
    """Take a chassis in.

    Nothing is written outside the archive, and nothing if anything in the file is not what it says.
    """
    from ..archive.store import Archive
    from ..archive.transfer import taken_in

    name, new = taken_in(Archive(archive), file)
    print(f"{name}: {new} revisions were new")
    then("revisions", name)

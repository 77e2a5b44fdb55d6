"""export: one chassis with all its revisions as a single file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ..options import ArchiveFolder, Chassis
from ..screen import then

PLACE = 220


def export(
    chassis: Chassis,
    file: Annotated[Path, typer.Argument(help="zip to write")],
    archive: ArchiveFolder = Path("archive"),
) -> None:
    """One chassis with all its revisions as a single file."""
    from .. import disk
    from ..archive.store import Archive
    from ..archive.transfer import packed

    data = packed(Archive(archive), chassis)
    disk.put_file(file, data)
    print(f"{file}: {chassis}, {len(data)} bytes")
    then("import", file, why="where it is to go in")

"""search: any field of any released revision."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ...parts.words.names import sentence
from ..options import ArchiveFolder, AsJson

PLACE = 170


def search(
    words: Annotated[
        list[str], typer.Argument(help="every one of these must stand in a field's name or value")
    ],
    archive: ArchiveFolder = Path("archive"),
    as_json: AsJson = False,
) -> None:
    """Find revisions by any reading as typed, solved value, part, stock, note, name, heat number or
    concession; each where it first came in.
    """
    from ..archive import index
    from ..archive.store import Archive

    hits = index.search(index.open_index(Archive(archive)), words) if archive.is_dir() else []
    if as_json:
        print(index.as_json(hits))
        return
    for hit in hits:
        print(sentence(f"{hit.chassis:16} {hit.letter:3} {hit.name}: {hit.value}"))
    if not hits:
        print(f"nothing with {' and '.join(words)} in {archive}")

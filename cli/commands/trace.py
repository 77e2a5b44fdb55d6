"""trace: a heat number to its sheets, parts, welds and trucks, and back."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from ...parts.words.names import code
from ...parts.words.names import part as name_of
from ..options import ArchiveFolder, AsJson

PLACE = 180


def trace(
    what: Annotated[str, typer.Argument(help="a heat number, sheet, part, weld or chassis")],
    archive: ArchiveFolder = Path("archive"),
    as_json: AsJson = False,
) -> None:
    """Both ways: from a heat number to the sheets, parts, welds and trucks it is in, or from any of
    these to the rest.
    """
    from ..archive import index
    from ..archive.store import Archive

    rows = index.trace(index.open_index(Archive(archive)), code(what)) if archive.is_dir() else []
    if as_json:
        print(json.dumps(rows, indent=1))
        return
    for row in rows:
        letters = row["revisions"].split()
        run = letters[0] if len(letters) == 1 else f"{letters[0]} to {letters[-1]}"
        print(
            f"{row['chassis']:16} {run:8} {name_of(row['number']):8} sheet {row['sheet'] or '-'},"
            f" heat {row['heat'] or 'not entered'}, welds {row['welds'] or '-'}"
        )
    if not rows:
        print(f"{what} is in no released revision in {archive}")

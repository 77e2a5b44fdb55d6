"""compare: two released revisions or two chassis side by side."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ..options import ArchiveFolder, AsJson

if TYPE_CHECKING:
    from ..archive.differences import Differences
    from ..archive.record import Record

PLACE = 190
SHOWN = 14
"""Files that differ named in one line."""


def compare(
    one: Annotated[str, typer.Argument(help="CHASSIS:LETTER, or CHASSIS for its last")],
    two: Annotated[str, typer.Argument(help="the same")],
    *,
    archive: ArchiveFolder = Path("archive"),
    picture: Annotated[
        Path | None,
        typer.Option("--picture", help="PDF of every plate that changed, old dashed, new solid"),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """What differs between two revisions or two chassis: readings as typed, solved values, parts,
    sheets; outlines drawn over each other.
    """
    from .. import disk
    from ..archive import differences, revision_files
    from ..archive.store import Archive
    from ..out_file import ends_in

    if picture is not None:
        ends_in("--picture", picture, ".pdf")
    store = Archive(archive)
    old, new = (revision_files.named(store, words) for words in (one, two))
    found = differences.differences(old, new)
    if picture is not None:
        pages = differences.overlays(store, old, new, found)
        if not pages:
            fault = Fault(
                "--picture",
                str(picture),
                "a plate whose outline changed",
                "no outline differs: there is nothing to draw",
            )
            raise SoapstoneError(Exit.COMMAND_LINE, [fault])
        disk.put_file(picture, pages)
    if as_json:
        print(json.dumps({**found._asdict(), "parts": found.parts._asdict()}, indent=1))
    else:
        _tell(old, new, found)


def _tell(old: Record, new: Record, found: Differences) -> None:
    from ..archive.differences import called, part_lines

    for title, rows in (("readings", found.readings), ("solved values", found.values)):
        print(f"{title}: {len(rows)} differ")
        for key, was, now in rows:
            print(f"  {key:34} {was or 'none':>18} -> {now or 'none'}")
    sides = " and ".join(f"{record.chassis}:{record.letter}" for record in (old, new))
    print(f"parts of {sides}:")
    print("\n".join(f"  {line}" for line in part_lines(found.parts, named=called(old, new))))
    named = f"{', '.join(found.files[:SHOWN])}{' ...' if len(found.files) > SHOWN else ''}"
    print(
        f"sheets and files that differ: {len(found.files)}" + (f": {named}" if found.files else "")
    )

"""revisions and verify: what the archive holds, and whether it is still what was stored."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer
from soapstone.cli.options import Json
from soapstone.layout.faults import Exit, SoapstoneError

Folder = Annotated[Path, typer.Option("--archive", help="folder of released revisions")]
Chassis = Annotated[str, typer.Argument(help="one chassis; all of them if not given")]


def revisions(chassis: Chassis = "", archive: Folder = Path("archive"), as_json: Json = False) -> None:
    """List released revisions: letter, day, who, why, and how many parts changed."""
    from soapstone.cli.archive import Archive

    store = Archive(archive)
    rows = [r.data for c in ([chassis] if chassis else store.chassis()) for r in store.records(c)]
    if as_json:
        print(json.dumps([{k: r[k] for k in ("chassis", "letter", "date", "by", "note", "changed", "gone")} for r in rows], indent=1))
        return
    if not rows:
        print(f"no released revision of {chassis or 'any chassis'} in {archive}")
    for r in rows:
        print(f"{r['chassis']:16} {r['letter']:3} {r['date']:11} {r['by']:16} {len(r['changed']):3} of {len(r['parts'])} parts  {r['note']}")


def verify(chassis: Chassis = "", archive: Folder = Path("archive")) -> None:
    """Hash everything released again and say what is not as it was stored."""
    from soapstone.cli.archive import Archive

    store = Archive(archive)
    names = [chassis] if chassis else store.chassis()
    faults = [f for c in names for f in store.check(c)]
    if faults:
        raise SoapstoneError(Exit.ARCHIVE_DAMAGED, faults, "the archive is damaged; nothing was changed")
    count = sum(len(store.records(c)) for c in names)
    print(f"{count} revisions of {len(names)} chassis: every file is as it was stored")

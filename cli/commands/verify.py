"""verify: whether everything released is still what was stored."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ..options import ArchiveFolder, OneChassis
from ..screen import said, say

PLACE = 210


def verify(
    chassis: OneChassis = "",
    archive: ArchiveFolder = Path("archive"),
    out: Annotated[
        Path,
        typer.Option(
            "--out", help="folder of the chassis folders, whose copies are held against the archive"
        ),
    ] = Path("out"),
) -> None:
    """Hash everything released again, in the archive and in its copies under --out, and say what is
    not as it was stored.
    """
    from ..archive import clashes, integrity
    from ..archive.store import Archive

    store = Archive(archive)
    names = [chassis] if chassis else store.chassis()
    faults = [] if chassis else list(clashes.folders(archive))
    faults += [fault for name in names for fault in integrity.check(store, name, say)]
    if faults:
        said()
        raise SoapstoneError(
            Exit.ARCHIVE_DAMAGED, faults, "the archive is damaged; nothing was changed"
        )
    if not names:
        says = "there is nothing in it to verify; is this the folder?"
        fault = Fault("--archive", str(archive), "a folder with released revisions", says)
        raise SoapstoneError(Exit.COMMAND_LINE, [fault])
    count = sum(1 for name in names for _ in store.each(name))
    if chassis and not count:
        allowed = ", ".join(store.chassis()) or "a released chassis"
        fault = Fault("CHASSIS", chassis, allowed, f"nothing of it is in {archive}")
        raise SoapstoneError(Exit.COMMAND_LINE, [fault])
    faults = [fault for name in names for fault in integrity.copies(store, name, out, say)]
    said()
    if faults:
        raise SoapstoneError(
            Exit.ARCHIVE_DAMAGED,
            faults,
            "the archive is whole; copies made from it are not as it has them",
        )
    for told in filter(None, (integrity.made_anew(store, name) for name in names)):
        print(told)
    print(f"{count} revisions of {len(names)} chassis: every file is as it was stored")

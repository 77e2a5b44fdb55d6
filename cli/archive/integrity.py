"""Everything released hashed again: what the archive holds, and the copies in ``out`` held against
it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from ...layout.faults import Fault, SoapstoneError
from . import clashes, hashes, revision_files
from .clashes import LAST
from .facts import KeptFile
from .record import damaged, digest
from .store import Archive


def check(
    store: Archive, chassis: str, say: Callable[[str], None] = lambda _: None
) -> Iterator[Fault]:
    """Re-hash everything a chassis has.

    Its list of hashes, copies a synced folder made, its records and events, and every content they
    name, each content once. ``say``: is told how far it is. Every fault found, none raised: the
    caller ends with ARCHIVE_DAMAGED if there is any. Where a record cannot be read, no content is
    looked at.
    """
    yield from _list_of(store, chassis)
    yield from clashes.faults(store.folder, chassis)
    named: dict[str, tuple[str, str]] = {}
    listing = store.listing(chassis)
    try:
        for record in store.each(chassis):
            _name(named, record.letter, record.data["files"])
            try:
                for event in store.events(chassis, record.letter, listing):
                    _name(named, record.letter, event.data["files"])
            except SoapstoneError as e:
                yield from e.faults
    except SoapstoneError as e:
        yield from e.faults
        return
    for number, (sha256, (letter, path)) in enumerate(named.items(), 1):
        say(f"{chassis} {letter}: file {number} of {len(named)}")
        try:
            store.content(sha256)
        except SoapstoneError as e:
            found = e.faults[0].field.rpartition(": ")[2]
            yield e.faults[0]._replace(field=f"{chassis} {letter} {path}: {found}")


def _name(named: dict[str, tuple[str, str]], letter: str, files: Iterable[KeptFile]) -> None:
    """Note the revision and path by which each content is named first."""
    for file in files:
        named.setdefault(file["sha256"], (letter, file["path"]))


def _list_of(store: Archive, chassis: str) -> Iterator[Fault]:
    folder = store.folder / chassis
    over = hashes.lost(folder)
    if over or ((folder / LAST).exists() and hashes.stored(folder) is None):
        there = (folder / LAST).exists()
        yield damaged(
            f"{chassis} {LAST}",
            "cannot be read" if there else "missing",
            "the hashes of its records, without which a last record or event that was changed"
            " meanwhile cannot be told",
            "bring it back from your copy of the archive; without a copy"
            f"{' delete it:' if there else ''} the next release or entry makes it anew from the"
            " records as they are now, and verify goes on saying so",
        ).faults[0]


def made_anew(store: Archive, chassis: str) -> str:
    """What a list of hashes that was lost and made anew cannot vouch for, in a sentence; empty
    where none was.
    """
    over = hashes.anew(store.folder / chassis)
    return over and (
        f"{chassis} {LAST} was lost once and made anew over {over}: whether the last record, or the"
        " last event of a record, was changed before that cannot be told here; compare them with"
        " your copy of the archive"
    )


def copies(
    store: Archive, chassis: str, out: Path, say: Callable[[str], None] = lambda _: None
) -> Iterator[Fault]:
    """Files of ``out/<chassis>/<letter>`` that are not as the archive has them: changed, or gone
    though the folder is there. What a signature or a reissue wrote over a released file is as good
    as the released one; files nobody released are left alone.
    """
    records = store.records(chassis)
    for number, record in enumerate(records):
        folder = out / chassis / record.letter
        if not folder.is_dir():
            continue
        say(f"{folder}")
        later = [other.letter for other in records[number + 1 :]]
        remedy = AGAIN.format(chassis, record.letter)
        good: dict[str, set[str]] = {}
        events = [event.data["files"] for event in store.events(chassis, record.letter)]
        for file in (*record.data["files"], *(file for files in events for file in files)):
            if not file["path"].startswith("input/"):
                good.setdefault(file["path"], set()).add(file["sha256"])
        for path, allowed in sorted(good.items()):
            copy = folder / path
            if not copy.is_file():
                yield Fault(str(copy), "missing", "as it was released", remedy)
            elif digest(copy.read_bytes()) not in allowed | _stamped(store, path, allowed, later):
                yield Fault(str(copy), "changed", "as it was released", remedy)


AGAIN = "do not use it; write it again: soapstone reissue {} {}"


def _stamped(store: Archive, path: str, allowed: set[str], later: list[str]) -> set[str]:
    """Hashes of a PDF as reissue writes it once a later revision has superseded it."""
    if not path.endswith(".pdf"):
        return set()
    return {
        digest(
            revision_files.over({path: store.content(sha256)}, revision_files.superseded(letter))[
                path
            ]
        )
        for sha256 in allowed
        for letter in later
    }

"""Everything released hashed again: what the archive holds, and the copies in ``out`` held against
it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from ...layout.faults import Fault, SoapstoneError
from . import revision_files
from .facts import KeptFile
from .record import damaged, digest
from .store import LAST, Archive


def check(
    store: Archive, chassis: str, say: Callable[[str], None] = lambda _: None
) -> Iterator[Fault]:
    """Re-hash everything a chassis has.

    Its list of hashes, its records and events, and every content they name, each content once.
    ``say``: is told how far it is. Every fault found, none raised: the caller ends with
    ARCHIVE_DAMAGED if there is any. Where a record cannot be read, no content is looked at.
    """
    yield from _list_of(store, chassis)
    try:
        records = store.records(chassis)
    except SoapstoneError as e:
        yield from e.faults
        return
    seen: set[str] = set()
    every: list[tuple[str, KeptFile]] = []
    for record in records:
        every += [(record.letter, file) for file in record.data["files"]]
        try:
            every += [
                (record.letter, file)
                for event in store.events(chassis, record.letter)
                for file in event.data["files"]
            ]
        except SoapstoneError as e:
            yield from e.faults
    for number, (letter, file) in enumerate(every, 1):
        if file["sha256"] in seen:
            continue
        seen.add(file["sha256"])
        say(f"{chassis} {letter}: file {number} of {len(every)}")
        try:
            store.content(file["sha256"])
        except SoapstoneError as e:
            found = e.faults[0].field.rpartition(": ")[2]
            yield e.faults[0]._replace(field=f"{chassis} {letter} {file['path']}: {found}")


def _list_of(store: Archive, chassis: str) -> Iterator[Fault]:
    path = store.folder / chassis / LAST
    if path.exists() and not store.last(chassis):
        yield damaged(
            f"{chassis} {LAST}",
            "cannot be read",
            "the hashes of its records",
            "bring it back from your copy of the archive; without a copy delete it: the next"
            " release makes it anew",
        ).faults[0]


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

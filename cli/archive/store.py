"""The archive: released revisions of every chassis, kept by content and never changed.

    <archive>/contents/<sha256>.z   one file a content, named by its sha256, packed (RFC 1950); one
                                    that does not pack, and formats 2 and 3, without the .z;
                                    formats 0 and 1 kept it as objects/ab/cdef.., which is read
    <archive>/<chassis>/A.json      record of a revision: who, when, why, parts, files, and the
                                    hash of the record before
    <archive>/<chassis>/A.1.json    something that happened to it since: signed for a level, heat
                                    number, weld, concession; with the hash of what came before
    <archive>/<chassis>/last.json   hash of every record and event, so that the last of them cannot
                                    change unseen; see ``Archive.last``
    <archive>/<chassis>/.lock       somebody is releasing right now
    <archive>/index.sqlite          only for searching; may be deleted at any time, see ``index``

A record is written last and never replaced, so a stopped release leaves at most contents nobody
names.
"""

from __future__ import annotations

import contextlib
import json
import zlib
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager
from pathlib import Path
from typing import NamedTuple

from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.load import SLUG
from ...parts.model.terms import Level
from .. import disk
from . import clashes, hashes, lock
from .clashes import LAST, OWN
from .facts import KeptFile, RecordFacts
from .letters import letter_of
from .record import (
    COPY,
    FORMAT,
    NAME,
    Record,
    damaged,
    digest,
    read_record,
    record_bytes,
    released_at,
)

PACKED, SAVES = ".z", 0.9
"""Ending of a packed content; packed if it takes less than this share."""
LARGEST = 1_000_000_000
"""Bytes: no content is as large."""


def _unpacked(path: Path) -> bytes | None:
    """A content as it was before it was packed; None for one that cannot be unpacked.
    FileNotFoundError if it is not there.
    """
    raw = path.read_bytes()
    if path.suffix != PACKED:
        return raw
    work = zlib.decompressobj()
    try:
        data = work.decompress(raw, LARGEST)
    except zlib.error:
        return None
    return data if work.eof and not work.unused_data else None


def _unknown(field: str, found: str, allowed: str, remedy: str) -> SoapstoneError:
    return SoapstoneError(Exit.COMMAND_LINE, [Fault(field, found, allowed, remedy)])


def _taken(who: str, allowed: str, remedy: str) -> SoapstoneError:
    return SoapstoneError(Exit.DISK, [Fault(who, "", allowed, remedy)])


def _listed(last: Mapping[str, str], stem: str, sha256: str, who: str) -> None:
    """Raises (ARCHIVE_DAMAGED) if the chassis' list names another hash."""
    if last.get(stem, sha256) != sha256:
        raise damaged(
            who,
            "was changed since it was stored",
            f"as {LAST} beside it says",
            "compare both files with your copy of the archive: one of the two was altered",
        )


class Listing(NamedTuple):
    """What a chassis has: letters of its records and numbers of their events by file name, and the
    hashes its own list names.
    """

    letters: list[str]
    events: Mapping[str, list[int]]
    last: Mapping[str, str]

    @property
    def every(self) -> set[str]:
        """Letters of which there is a record or should be one."""
        return {*self.letters, *(stem for stem in self.last if "." not in stem)}


class Archive:
    """A folder of released revisions. ``dry``: everything is looked at and made, nothing stored."""

    def __init__(self, folder: Path, *, dry: bool = False) -> None:
        self.folder, self.dry = folder, dry

    def names(self, chassis: str) -> tuple[list[str], dict[str, list[int]]]:
        """Letters of a chassis' records, and the numbers of each letter's events, by file name
        alone. Faults (COMMAND_LINE) for what is no chassis' name.
        """
        if not SLUG.fullmatch(chassis):
            raise _unknown(
                "CHASSIS",
                chassis[:40],
                "1 to 24 of A-Z a-z 0-9 _ -",
                "`soapstone revisions` lists what there is",
            )
        if chassis in OWN:
            raise _unknown(
                "CHASSIS", chassis, "another name", "the archive's own folder is called that"
            )
        letters: list[str] = []
        events: dict[str, list[int]] = {}
        folder = self.folder / chassis
        for path in folder.iterdir() if folder.is_dir() else ():
            found = NAME.fullmatch(path.name)
            if found and found[2]:
                events.setdefault(found[1], []).append(int(found[2]))
            elif found:
                letters.append(found[1])
        return letters, {letter: sorted(numbers) for letter, numbers in events.items()}

    def _told_apart(self, chassis: str) -> None:
        """Faults (COMMAND_LINE) for a new name that differs from a chassis' by capitals alone: to
        half of all desks they are one folder.
        """
        there = [path.name for path in self.folder.iterdir()] if self.folder.is_dir() else []
        alike = [name for name in there if name.casefold() == chassis.casefold()]
        if alike and chassis not in alike:
            says = "capitals alone do not tell two folders apart on every computer"
            raise _unknown("CHASSIS", chassis, f"another name, or {alike[0]}", says)

    def last(self, chassis: str) -> dict[str, str]:
        """Hash of every record ("A") and event ("A.1") by the chassis' own list; empty where it has
        none yet or it cannot be read, which ``verify`` names.
        """
        return hashes.of(self.folder / chassis)

    def note_last(self, chassis: str) -> None:
        """Bring the chassis' list up to date."""
        letters, events = self.names(chassis)
        numbered = (f"{letter}.{number}" for letter, own in events.items() for number in own)
        hashes.note(self.folder / chassis, (*letters, *numbered))

    def chassis(self) -> list[str]:
        """Every chassis with a released revision; a folder of another name is ``clashes``'."""
        if not self.folder.is_dir():
            return []
        return sorted(
            path.name
            for path in self.folder.iterdir()
            if path.is_dir()
            and path.name not in OWN
            and SLUG.fullmatch(path.name)
            and any(path.glob("[A-Z]*.json"))
        )

    def listing(self, chassis: str) -> Listing:
        """What a chassis has, by file name and by its own list. Faults as ``names``."""
        return Listing(*self.names(chassis), self.last(chassis))

    def records(self, chassis: str) -> list[Record]:
        """Revisions of a chassis, oldest first.

        Raises (ARCHIVE_DAMAGED) if one is missing, cannot be read, or follows another than it says.
        """
        return list(self.each(chassis))

    def each(self, chassis: str) -> Iterator[Record]:
        """``records``, one at a time: a chassis of many revisions never stands in memory whole."""
        listing, before = self.listing(chassis), ""
        for number in range(len(listing.every)):
            record = self._read(chassis, letter_of(number), before, listing)
            yield record
            before = record.sha256

    def _read(self, chassis: str, letter: str, before: str, listing: Listing) -> Record:
        """One record, which follows ``before`` (a hash)."""
        who = f"{chassis} {letter}"
        try:
            raw = (self.folder / chassis / f"{letter}.json").read_bytes()
        except FileNotFoundError:
            wanted = f"a record for each of {', '.join(sorted(listing.every))}"
            raise damaged(who, "no record", wanted, COPY) from None
        record = read_record(raw, who, before, "record")
        _listed(listing.last, letter, record.sha256, who)
        return record

    def record(self, chassis: str, letter: str = "") -> Record:
        """One revision, the last without a letter. Faults (COMMAND_LINE) if there is none."""
        listing = self.listing(chassis)
        letters = [letter_of(number) for number in range(len(listing.every))]
        if not letters:
            raise _unknown(
                "CHASSIS",
                chassis,
                ", ".join(self.chassis()) or "a released chassis",
                f"nothing of it is in {self.folder}",
            )
        if letter and letter not in letters:
            raise _unknown(
                "revision", letter, ", ".join(letters), f"{chassis} has no such revision"
            )
        wanted = letter or letters[-1]
        if set(letters) == set(listing.letters) and all(own in listing.last for own in letters):
            place = letters.index(wanted)
            before = listing.last[letters[place - 1]] if place else ""
            return self._read(chassis, wanted, before, listing)
        return next(record for record in self.records(chassis) if record.letter == wanted)

    def events(self, chassis: str, letter: str, listing: Listing | None = None) -> list[Record]:
        """What happened to a revision since, oldest first.

        ``listing``: the chassis', where many revisions are asked after. Raises (ARCHIVE_DAMAGED)
        for one that is missing, unreadable or follows another than it says.
        """
        found: list[Record] = []
        there = listing or self.listing(chassis)
        numbers = {
            *there.events.get(letter, []),
            *(int(own.rpartition(".")[2]) for own in there.last if own.startswith(f"{letter}.")),
        }
        last = digest((self.folder / chassis / f"{letter}.json").read_bytes()) if numbers else ""
        for number in range(1, len(numbers) + 1):
            who = f"{chassis} {letter} event {number}"
            try:
                raw = (self.folder / chassis / f"{letter}.{number}.json").read_bytes()
            except FileNotFoundError:
                raise damaged(who, "missing", "every event in order", COPY) from None
            event = read_record(raw, who, last, "event")
            _listed(there.last, f"{letter}.{number}", event.sha256, who)
            last = event.sha256
            found.append(event)
        return found

    def happened(
        self,
        chassis: str,
        letter: str,
        event: RecordFacts,
        files: Mapping[str, bytes] | None = None,
    ) -> Record:
        """Add an event to a revision; ``files``: contents it brings.

        The event as stored, under the next free number, with chassis, letter and the hash of what
        it follows put to its facts. Raises (COMMAND_LINE) for a revision there is none of,
        (ARCHIVE_DAMAGED) for one that is not as it was stored, (DISK) if somebody wrote the same
        number at the same moment.
        """
        with self.lock(chassis):
            before = self.events(chassis, letter)
            facts = {
                **event,
                "format": FORMAT,
                "chassis": chassis,
                "letter": letter,
                "before": before[-1].sha256 if before else self.record(chassis, letter).sha256,
                "files": self._kept(files or {}),
            }
            return self._written(
                record_bytes(facts),
                f"{chassis}/{letter}.{len(before) + 1}",
                _taken(
                    f"{chassis} {letter}",
                    "a number nobody used",
                    "somebody wrote at the same moment: do it again",
                ),
            )

    def level(self, record: Record, listing: Listing | None = None) -> Level:
        """What a revision was signed for last; the level it was released at if nobody signed
        since. ``listing``: the chassis', where many revisions are asked after.
        """
        signed = [
            event.data["value"]
            for event in self.events(record.chassis, record.letter, listing)
            if event.data["kind"] == "signed"
        ]
        return Level(signed[-1]) if signed else released_at(record.data)

    def lock(self, chassis: str, wait: float = 10.0) -> AbstractContextManager[None]:
        """One writer a chassis at a time, see ``lock.held``; ``wait`` in seconds. Faults of
        ``clashes.stop`` before anything is held. A dry one holds nothing, and is stopped by what
        would stop another.
        """
        self._told_apart(chassis)
        clashes.stop(self.folder, chassis)
        path = self.folder / chassis / ".lock"
        if self.dry:
            disk.ready(path.parent)
            return lock.free(path, chassis, wait)
        return lock.held(path, chassis, wait)

    def content_path(self, sha256: str) -> Path:
        """Where a content lies: among the contents, packed or not, or where an earlier format put
        it.
        """
        path = self.folder / "contents" / sha256
        old = self.folder / "objects" / sha256[:2] / sha256[2:]
        found = (each for each in (path, path.with_name(sha256 + PACKED), old) if each.exists())
        return next(found, path)

    def store(self, data: bytes) -> str:
        """Keep a content; its hash.

        One that is there already but is not what its name says is put right.
        """
        name = digest(data)
        path = self.content_path(name)
        if self.dry:
            return name
        if path.exists():
            if _unpacked(path) != data:
                disk.put_file(path, zlib.compress(data) if path.suffix == PACKED else data)
            return name
        packed = zlib.compress(data)
        small = len(packed) < SAVES * len(data)
        with contextlib.suppress(FileExistsError):  # somebody stored the same content just now
            disk.new_file(
                path.with_name(name + PACKED) if small else path, packed if small else data
            )
        return name

    def content(self, sha256: str) -> bytes:
        """A content by its hash.

        Raises (ARCHIVE_DAMAGED) if it is missing or is not what its name says.
        """
        remedy = "bring it back from your copy of the archive"
        try:
            data = _unpacked(self.content_path(sha256))
        except FileNotFoundError:
            raise damaged(
                sha256[:12], "missing", "every content that a record names", remedy
            ) from None
        if data is None or digest(data) != sha256:
            raise damaged(sha256[:12], "changed", "the content as it was stored", remedy)
        return data

    def add(self, chassis: str, record: RecordFacts, files: Mapping[str, bytes]) -> Record:
        """Store contents, then the record, so that a stop in between leaves no record without them.

        The record as stored. Raises (DISK) if its letter was taken meanwhile.
        """
        return self._written(
            record_bytes({**record, "format": FORMAT, "files": self._kept(files)}),
            f"{chassis}/{record['letter']}",
            _taken(
                f"{chassis} {record['letter']}",
                "a letter nobody used",
                "somebody released at the same moment: run release again",
            ),
        )

    def _written(self, raw: bytes, name: str, taken: SoapstoneError) -> Record:
        """A record or an event under a name nobody used; raises ``taken`` where somebody did."""
        if not self.dry:
            path = self.folder / f"{name}.json"
            hashes.begin(path.parent)
            try:
                disk.new_file(path, raw)
            except FileExistsError:
                raise taken from None
            self.note_last(path.parent.name)
        return Record(json.loads(raw), digest(raw))

    def _kept(self, files: Mapping[str, bytes]) -> list[KeptFile]:
        """Contents stored, and the rows a record names them by."""
        return [
            {"path": path, "sha256": self.store(data), "bytes": len(data)}
            for path, data in sorted(files.items())
        ]

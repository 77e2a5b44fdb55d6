"""The archive: released revisions of every chassis, kept by content and never changed.

    <archive>/contents/<sha256>         one file a content, named by its sha256; formats 0 and 1 kept it as objects/ab/cdef.., which is still read
    <archive>/<chassis>/A.json          record of a revision: who, when, why, parts, files, and the hash of the record before
    <archive>/<chassis>/A.1.json        something that happened to it since: signed for a level, heat number, weld, concession; with the hash of what came before
    <archive>/<chassis>/last.json       hash of every record and event, so that the last of them cannot change unseen; see ``Archive.last``
    <archive>/<chassis>/.lock           somebody is releasing right now
    <archive>/index.sqlite              only for searching; may be deleted at any time, see ``index``

Every record and event carries ``format``; 0 is one without it (before events). A record is written
last and never replaced, so a stopped release leaves at most contents nobody names. Letters skip I O
Q S X Z [US Navy drafting course; ASME Y14.35 by web copy]; after Y comes AA (from memory).
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any, NamedTuple

from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.load import SLUG
from .. import disk
from . import lock
from .letters import letter_of

FORMAT = 2
"""Of records and events. A reader takes this and every earlier one."""
LAST = "last.json"
OWN = ("contents", "objects")
"""Folders of the archive that are no chassis."""
NAME = re.compile(r"([A-Z]{1,3})(?:\.([1-9][0-9]{0,5}))?\.json")


def _bytes(data: Mapping[str, Any]) -> bytes:
    """JSON with a line a fact, and within a fact no blanks: records are many."""
    return (
        "{\n"
        + ",\n".join(
            f"{json.dumps(k)}: {json.dumps(data[k], sort_keys=True, separators=(',', ':'))}"
            for k in sorted(data)
        )
        + "\n}\n"
    ).encode()


def _known(data: Any, who: str) -> dict[str, Any]:
    """A record or event of this format or an earlier one.

    Raises (ARCHIVE_DAMAGED) for a later one, KeyError or TypeError for what is neither.
    """
    if int(data.get("format", 0)) > FORMAT:
        raise damaged(
            who,
            f"format {data['format']}",
            f"format {FORMAT} or earlier",
            "a newer soapstone wrote it: install that one",
        )
    data["chassis"], data["letter"], data["before"]
    all(f["path"] and f["sha256"] for f in data["files"])
    if "kind" not in data:
        all(p["part"] and p["fingerprint"] and p["revision"] for p in data["parts"])
        data["changed"], data["gone"]
    return dict(data)


class Record(NamedTuple):
    """One released revision as stored, and the hash of its own file."""

    data: dict[str, Any]
    sha256: str

    @property
    def letter(self) -> str:
        return str(self.data["letter"])

    def fingerprints(self) -> dict[str, str]:
        """Fingerprint by part."""
        return {p["part"]: p["fingerprint"] for p in self.data["parts"]}

    def revisions(self) -> dict[str, str]:
        """Letter at which each part last changed."""
        return {p["part"]: p["revision"] for p in self.data["parts"]}


def digest(data: bytes) -> str:
    """sha256 in hex."""
    return hashlib.sha256(data).hexdigest()


def damaged(field: str, found: str, allowed: str, remedy: str) -> SoapstoneError:
    """An archive that is not what was stored."""
    return SoapstoneError(
        Exit.ARCHIVE_DAMAGED,
        [Fault(f"{field}: {found}", "", allowed, remedy)],
        "the archive is damaged; nothing was changed",
    )


def _unknown(field: str, found: str, allowed: str, remedy: str) -> SoapstoneError:
    return SoapstoneError(Exit.COMMAND_LINE, [Fault(field, found, allowed, remedy)])


def _listed(last: Mapping[str, str], stem: str, sha256: str, who: str) -> None:
    """Raises (ARCHIVE_DAMAGED) if the chassis' list names another hash."""
    if last.get(stem, sha256) != sha256:
        raise damaged(
            who,
            "was changed since it was stored",
            f"as {LAST} beside it says",
            "compare both files with your copy of the archive: one of the two was altered",
        )


class Archive:
    """A folder of released revisions."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

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
        for p in folder.iterdir() if folder.is_dir() else ():
            m = NAME.fullmatch(p.name)
            if m and m[2]:
                events.setdefault(m[1], []).append(int(m[2]))
            elif m:
                letters.append(m[1])
        return letters, {k: sorted(v) for k, v in events.items()}

    def last(self, chassis: str) -> dict[str, str]:
        """Hash of every record ("A") and event ("A.1") by the chassis' own list; empty where it has
        none yet or it cannot be read, which ``verify`` names.
        """
        try:
            found = json.loads((self.folder / chassis / LAST).read_bytes())
            return {str(k): str(v) for k, v in found.items()}
        except (OSError, ValueError, AttributeError):
            return {}

    def note_last(self, chassis: str) -> None:
        """Bring the list up to date.

        A stop before it leaves a record the list does not name yet: the next writer adds it.
        """
        letters, events = self.names(chassis)
        stems = [*letters, *(f"{k}.{n}" for k, v in events.items() for n in v)]
        was = self.last(chassis)
        now = {
            k: was.get(k) or digest((self.folder / chassis / f"{k}.json").read_bytes())
            for k in stems
        }
        if now != was:
            disk.put_file(self.folder / chassis / LAST, _bytes(now))

    def chassis(self) -> list[str]:
        """Every chassis with a released revision."""
        if not self.folder.is_dir():
            return []
        return sorted(
            p.name
            for p in self.folder.iterdir()
            if p.is_dir() and p.name not in OWN and any(p.glob("[A-Z]*.json"))
        )

    def records(self, chassis: str) -> list[Record]:
        """Revisions of a chassis, oldest first.

        Raises (ARCHIVE_DAMAGED) if one is missing, cannot be read, or follows another than it says.
        """
        found: list[Record] = []
        folder = self.folder / chassis
        last = self.last(chassis)
        names = {*self.names(chassis)[0], *(k for k in last if "." not in k)}
        for n in range(len(names)):
            path = folder / f"{letter_of(n)}.json"
            try:
                raw = path.read_bytes()
                record = Record(_known(json.loads(raw), f"{chassis} {letter_of(n)}"), digest(raw))
                before = record.data["before"]
            except FileNotFoundError:
                raise damaged(
                    f"{chassis} {letter_of(n)}",
                    "no record",
                    f"a record for each of {', '.join(sorted(names))}",
                    "bring the file back from your copy of the archive",
                ) from None
            except (ValueError, KeyError, TypeError, AttributeError):
                raise damaged(
                    f"{chassis} {letter_of(n)}",
                    "a record that cannot be read",
                    "the record as it was stored",
                    "bring the file back from your copy of the archive",
                ) from None
            if before != (found[-1].sha256 if found else ""):
                raise damaged(
                    f"{chassis} {letter_of(n)}",
                    "follows a record that was changed",
                    "each record as it was stored",
                    "compare with your copy of the archive: one of the two was altered",
                )
            _listed(last, letter_of(n), record.sha256, f"{chassis} {letter_of(n)}")
            found.append(record)
        return found

    def record(self, chassis: str, letter: str = "") -> Record:
        """One revision, the last without a letter. Faults (COMMAND_LINE) if there is none."""
        found = self.records(chassis)
        if not found:
            raise _unknown(
                "CHASSIS",
                chassis,
                ", ".join(self.chassis()) or "a released chassis",
                f"nothing of it is in {self.folder}",
            )
        wanted = [r for r in found if r.letter == letter] if letter else found[-1:]
        if not wanted:
            raise _unknown(
                "revision",
                letter,
                ", ".join(r.letter for r in found),
                f"{chassis} has no such revision",
            )
        return wanted[0]

    def events(self, chassis: str, letter: str) -> list[Record]:
        """What happened to a revision since, oldest first.

        Raises (ARCHIVE_DAMAGED) for one that is missing, unreadable or follows another than it
        says.
        """
        found: list[Record] = []
        listed = self.last(chassis)
        numbers = {
            *self.names(chassis)[1].get(letter, []),
            *(int(k.rpartition(".")[2]) for k in listed if k.startswith(f"{letter}.")),
        }
        last = digest((self.folder / chassis / f"{letter}.json").read_bytes()) if numbers else ""
        for n in range(1, len(numbers) + 1):
            who = f"{chassis} {letter} event {n}"
            try:
                raw = (self.folder / chassis / f"{letter}.{n}.json").read_bytes()
                event = Record(_known(json.loads(raw), who), digest(raw))
            except FileNotFoundError:
                raise damaged(
                    who,
                    "missing",
                    "every event in order",
                    "bring the file back from your copy of the archive",
                ) from None
            except (ValueError, KeyError, TypeError, AttributeError):
                raise damaged(
                    who,
                    "an event that cannot be read",
                    "the event as it was stored",
                    "bring the file back from your copy of the archive",
                ) from None
            if event.data.get("before") != last:
                raise damaged(
                    who,
                    "follows what was changed",
                    "each event as it was stored",
                    "compare with your copy of the archive: one of the two was altered",
                )
            _listed(listed, f"{letter}.{n}", event.sha256, who)
            last = event.sha256
            found.append(event)
        return found

    def happened(
        self,
        chassis: str,
        letter: str,
        event: Mapping[str, Any],
        files: Mapping[str, bytes] | None = None,
    ) -> Record:
        """Add an event to a revision; ``files``: contents it brings."""
        with self.lock(chassis):
            before = self.events(chassis, letter)
            last = before[-1].sha256 if before else self.record(chassis, letter).sha256
            stored = [
                {"path": p, "sha256": self.store(data), "bytes": len(data)}
                for p, data in sorted((files or {}).items())
            ]
            raw = _bytes(
                {
                    **event,
                    "format": FORMAT,
                    "chassis": chassis,
                    "letter": letter,
                    "before": last,
                    "files": stored,
                }
            )
            try:
                disk.new_file(self.folder / chassis / f"{letter}.{len(before) + 1}.json", raw)
            except FileExistsError:
                raise SoapstoneError(
                    Exit.DISK,
                    [
                        Fault(
                            f"{chassis} {letter}",
                            "",
                            "a number nobody used",
                            "somebody wrote at the same moment: do it again",
                        )
                    ],
                ) from None
            self.note_last(chassis)
            return Record(json.loads(raw), digest(raw))

    def level(self, chassis: str, letter: str) -> str:
        """What a revision was signed for last; the level it was released at if nobody signed since."""
        signed = [
            e.data["value"] for e in self.events(chassis, letter) if e.data["kind"] == "signed"
        ]
        return str(signed[-1] if signed else self.record(chassis, letter).data.get("level", "tack"))

    def lock(self, chassis: str, wait: float = 10.0) -> AbstractContextManager[None]:
        """One writer a chassis at a time, see ``lock.held``."""
        return lock.held(self.folder / chassis / ".lock", chassis, wait)

    def content_path(self, sha256: str) -> Path:
        """Where a content lies: among the contents, or where an earlier format put it."""
        path = self.folder / "contents" / sha256
        old = self.folder / "objects" / sha256[:2] / sha256[2:]
        return old if not path.exists() and old.exists() else path

    def store(self, data: bytes) -> str:
        """Keep a content; its hash.

        One that is there already but is not what its name says is put right.
        """
        name = digest(data)
        path = self.content_path(name)
        try:
            if digest(path.read_bytes()) != name:
                disk.put_file(path, data)
        except FileNotFoundError:
            try:
                disk.new_file(path, data)
            except FileExistsError:
                pass
        return name

    def content(self, sha256: str) -> bytes:
        """A content by its hash.

        Raises (ARCHIVE_DAMAGED) if it is missing or is not what its name says.
        """
        try:
            data = self.content_path(sha256).read_bytes()
        except FileNotFoundError:
            raise damaged(
                sha256[:12],
                "missing",
                "every content that a record names",
                "bring it back from your copy of the archive",
            ) from None
        if digest(data) != sha256:
            raise damaged(
                sha256[:12],
                "changed",
                "the content as it was stored",
                "bring it back from your copy of the archive",
            )
        return data

    def add(self, chassis: str, record: Mapping[str, Any], files: Mapping[str, bytes]) -> Record:
        """Store contents, then the record. Raises if its letter was taken meanwhile."""
        stored = [
            {"path": p, "sha256": self.store(data), "bytes": len(data)}
            for p, data in sorted(files.items())
        ]
        raw = _bytes({**record, "format": FORMAT, "files": stored})
        try:
            disk.new_file(self.folder / chassis / f"{record['letter']}.json", raw)
        except FileExistsError:
            raise SoapstoneError(
                Exit.DISK,
                [
                    Fault(
                        f"{chassis} {record['letter']}",
                        "",
                        "a letter nobody used",
                        "somebody released at the same moment: run release again",
                    )
                ],
            ) from None
        self.note_last(chassis)
        return Record(json.loads(raw), digest(raw))

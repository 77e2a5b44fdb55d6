"""The archive: released revisions of every chassis, kept by content and never changed.

    <archive>/objects/ab/cdef...        one file a content, named by its sha256
    <archive>/<chassis>/A.json          record of a revision: who, when, why, parts, files, and the hash of the record before

A record is written last and never replaced, so a stopped release leaves at most contents nobody names. Letters skip
I O Q S X Z [US Navy drafting course; ASME Y14.35 by web copy]; after Y comes AA (from memory).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from soapstone.cli import disk
from soapstone.layout.faults import Exit, Fault, SoapstoneError

LETTERS = "ABCDEFGHJKLMNPRTUVWY"


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


def letter_of(n: int) -> str:
    """Revision letter number ``n``, 0 = A; after Y: AA, AB ..."""
    low = LETTERS[n % len(LETTERS)]
    return low if n < len(LETTERS) else letter_of(n // len(LETTERS) - 1) + low


def damaged(field: str, found: str, allowed: str, remedy: str) -> SoapstoneError:
    """An archive that is not what was stored."""
    return SoapstoneError(Exit.ARCHIVE_DAMAGED, [Fault(f"{field}: {found}", "", allowed, remedy)], "the archive is damaged; nothing was changed")


class Archive:
    """A folder of released revisions."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def chassis(self) -> list[str]:
        """Every chassis with a released revision."""
        if not self.folder.is_dir():
            return []
        return sorted(p.name for p in self.folder.iterdir() if p.is_dir() and p.name != "objects" and any(p.glob("[A-Z]*.json")))

    def records(self, chassis: str) -> list[Record]:
        """Revisions of a chassis, oldest first. Raises (ARCHIVE_DAMAGED) if one is missing, cannot be read, or follows another than it says."""
        found: list[Record] = []
        folder = self.folder / chassis
        names = {p.stem for p in folder.glob("[A-Z]*.json")} if folder.is_dir() else set()
        for n in range(len(names)):
            path = folder / f"{letter_of(n)}.json"
            try:
                raw = path.read_bytes()
                record = Record(json.loads(raw), digest(raw))
                before = record.data["before"]
            except FileNotFoundError:
                raise damaged(f"{chassis} {letter_of(n)}", "no record", f"a record for each of {', '.join(sorted(names))}", "bring the file back from your copy of the archive") from None
            except (ValueError, KeyError, TypeError):
                raise damaged(f"{chassis} {letter_of(n)}", "a record that cannot be read", "the record as it was stored", "bring the file back from your copy of the archive") from None
            if before != (found[-1].sha256 if found else ""):
                raise damaged(f"{chassis} {letter_of(n)}", "follows a record that was changed", "each record as it was stored", "compare with your copy of the archive: one of the two was altered")
            found.append(record)
        return found

    def object_path(self, sha256: str) -> Path:
        """Where a content lies."""
        return self.folder / "objects" / sha256[:2] / sha256[2:]

    def store(self, data: bytes) -> str:
        """Keep a content; its hash."""
        name = digest(data)
        path = self.object_path(name)
        if not path.exists():
            try:
                disk.new_file(path, data)
            except FileExistsError:
                pass
        return name

    def content(self, sha256: str) -> bytes:
        """A content by its hash. Raises (ARCHIVE_DAMAGED) if it is missing or is not what its name says."""
        try:
            data = self.object_path(sha256).read_bytes()
        except FileNotFoundError:
            raise damaged(sha256[:12], "missing", "every content that a record names", "bring it back from your copy of the archive") from None
        if digest(data) != sha256:
            raise damaged(sha256[:12], "changed", "the content as it was stored", "bring it back from your copy of the archive")
        return data

    def add(self, chassis: str, record: Mapping[str, Any], files: Mapping[str, bytes]) -> Record:
        """Store contents, then the record. Raises if its letter was taken meanwhile."""
        stored = [{"path": p, "sha256": self.store(data), "bytes": len(data)} for p, data in sorted(files.items())]
        raw = (json.dumps({**record, "files": stored}, indent=1, sort_keys=True) + "\n").encode()
        try:
            disk.new_file(self.folder / chassis / f"{record['letter']}.json", raw)
        except FileExistsError:
            raise SoapstoneError(Exit.DISK, [Fault(f"{chassis} {record['letter']}", "", "a letter nobody used", "somebody released at the same moment: run release again")]) from None
        return Record(json.loads(raw), digest(raw))

    def check(self, chassis: str) -> Iterator[Fault]:
        """Re-hash everything a chassis has; each fault found."""
        try:
            records = self.records(chassis)
        except SoapstoneError as e:
            yield from e.faults
            return
        seen: set[str] = set()
        for r in records:
            for f in r.data["files"]:
                if f["sha256"] in seen:
                    continue
                seen.add(f["sha256"])
                try:
                    self.content(f["sha256"])
                except SoapstoneError as e:
                    yield e.faults[0]._replace(field=f"{chassis} {r.letter} {f['path']}")


def revise(parts: list[dict[str, Any]], last: Record | None, letter: str) -> tuple[dict[str, str], list[str], list[str]]:
    """Letter of each part (the one at which it last changed), parts that are new or changed, parts that are gone."""
    before = last.fingerprints() if last else {}
    letters = last.revisions() if last else {}
    found = {p["part"]: letters[p["part"]] if before.get(p["part"]) == p["fingerprint"] else letter for p in parts}
    changed = sorted(k for k, v in found.items() if v == letter)
    return found, changed, sorted(set(before) - set(found))

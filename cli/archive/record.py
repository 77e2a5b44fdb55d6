"""One record or event of the archive as it is stored: its format, its checks, its bytes.

Every record and event carries ``format``; 0 is one without it (before events).
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from typing import NamedTuple, cast

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.model.terms import Level
from .facts import RecordFacts

FORMAT = 4
"""Of records and events. A reader takes this and every earlier one; since 3 a row of an entry may
have a name and day of its own, since 4 contents are packed.
"""
NAME = re.compile(r"([A-Z]{1,3})(?:\.([1-9][0-9]{0,5}))?\.json")
"""File of a record ("A.json") or of an event ("A.1.json")."""
COPY = "bring the file back from your copy of the archive"
COMPARE = "compare with your copy of the archive: one of the two was altered"


def released_at(data: RecordFacts) -> Level:
    """What a revision was released for; the first ones kept did not say, and were for tack."""
    return Level(data.get("level", Level.TACK))


class Record(NamedTuple):
    """One released revision, or one event of it, as stored, and the hash of its own file."""

    data: RecordFacts
    sha256: str

    @property
    def chassis(self) -> str:
        """The chassis it is of."""
        return str(self.data["chassis"])

    @property
    def letter(self) -> str:
        """Its revision letter."""
        return str(self.data["letter"])

    def fingerprints(self) -> dict[str, str]:
        """Fingerprint by part."""
        return {row["part"]: row["fingerprint"] for row in self.data["parts"]}

    def revisions(self) -> dict[str, str]:
        """Letter at which each part last changed."""
        return {row["part"]: row["revision"] for row in self.data["parts"]}

    def file(self, path: str) -> str | None:
        """Hash of the file it keeps under a path; None if it keeps none."""
        return next((row["sha256"] for row in self.data["files"] if row["path"] == path), None)

    def welds(self) -> set[str]:
        """Number of every weld of the revision."""
        return {weld for numbers in self.data.get("welds", {}).values() for weld in numbers}


def digest(data: bytes) -> str:
    """sha256 in hex."""
    return hashlib.sha256(data).hexdigest()


def record_bytes(data: Mapping[str, object]) -> bytes:
    """JSON with a line a fact, and within a fact no blanks: records are many."""
    return (
        "{\n"
        + ",\n".join(
            f"{json.dumps(key)}: {json.dumps(data[key], sort_keys=True, separators=(',', ':'))}"
            for key in sorted(data)
        )
        + "\n}\n"
    ).encode()


def read_record(raw: bytes, who: str, before: str, noun: str) -> Record:
    """A record or event of this format or an earlier one.

    ``who``: what a fault names; ``before``: the hash of what it has to follow; ``noun``: "record"
    or "event". Raises (ARCHIVE_DAMAGED) for a later format, for what is neither, and for one that
    follows another than it says.
    """
    try:
        record = Record(_known(json.loads(raw), who), digest(raw))
    except (ValueError, KeyError, TypeError, AttributeError):
        article = "a" if noun == "record" else "an"
        raise damaged(
            who, f"{article} {noun} that cannot be read", f"the {noun} as it was stored", COPY
        ) from None
    if record.data["before"] != before:
        found = f"follows a {noun} that was changed" if noun == "record" else FOLLOWS
        raise damaged(who, found, f"each {noun} as it was stored", COMPARE)
    return record


FOLLOWS = "follows what was changed"


def _known(data: object, who: str) -> RecordFacts:
    """The facts of a record or event, once it has those every reader needs.

    Raises (ARCHIVE_DAMAGED) for a later format, KeyError or TypeError for what is neither.
    """
    if not isinstance(data, dict):
        raise TypeError("facts stand by name")
    if int(data.get("format", 0)) > FORMAT:
        raise damaged(
            who,
            f"format {data['format']}",
            f"format {FORMAT} or earlier",
            "a newer soapstone wrote it: install that one",
        )
    data["chassis"], data["letter"], data["before"]
    all(row["path"] and row["sha256"] for row in data["files"])
    if "kind" not in data:
        all(row["part"] and row["fingerprint"] and row["revision"] for row in data["parts"])
        data["changed"], data["gone"]
    return cast(RecordFacts, dict(data))


def damaged(field: str, found: str, allowed: str, remedy: str) -> SoapstoneError:
    """An archive that is not what was stored."""
    return SoapstoneError(
        Exit.ARCHIVE_DAMAGED,
        [Fault(f"{field}: {found}", "", allowed, remedy)],
        "the archive is damaged; nothing was changed",
    )

"""What stands in a record and in an event of the archive, key by key."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

if TYPE_CHECKING:
    from ..building.manifest import PartRow


class KeptFile(TypedDict):
    """A file a record or event names: its path in the revision's folder, hash, size in bytes."""

    path: str
    sha256: str
    bytes: int


class RecordFacts(TypedDict, total=False):
    """A record, or an event of one; an earlier format lacks some.

    Attributes
    ----------
    before: hash of the record or event it follows; empty for the first record.
    accepted: findings signed for by name: kind, id, title, verdict, reason, by, date, why.
    open: what stayed open: subject, what, by, date, why.
    level, parts, changed, moved, gone, typed, values, sheets, bolts, welds: of a record; readings
        as typed and values solved by their key, parts by sheet, weld numbers by part.
    solids: how many were read back, and by which kernel.
    kind, rows: of an event, "entered" with its rows (kind, what, value; by and date where they are
        not the event's) or "signed".
    what, value: of an event that is one row; of a signature ``value`` is the level.
    over: why a set-down could stay as it was, in signatures before they had ``open``.
    """

    format: int
    chassis: str
    letter: str
    before: str
    files: list[KeptFile]
    by: str
    date: str
    note: str
    headline: str
    accepted: list[dict[str, str]]
    open: list[dict[str, str]]

    level: str
    tool: str
    job_sha256: str
    solids: str
    parts: list[PartRow]
    changed: list[str]
    moved: list[str]
    gone: list[str]
    waiting: list[str]
    verdict: str
    typed: dict[str, str]
    values: dict[str, str]
    sheets: dict[str, list[str]]
    bolts: list[str]
    welds: dict[str, list[str]]

    kind: str
    rows: list[dict[str, str]]
    what: str
    value: str
    over: str

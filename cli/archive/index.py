"""The archive's index: what each revision holds, for lists and searches.

It is made from the records, brought up to date whenever it is opened, and may be deleted at any
time.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple, TypedDict

from ...layout.faults import SoapstoneError
from ...layout.job.load import SLUG
from . import entries
from .clashes import OWN
from .facts import RecordFacts
from .record import NAME
from .store import Archive

if TYPE_CHECKING:
    from ..building.manifest import PartRow

VERSION = 6
TABLES = """
create table file(path text primary key, mtime integer, size integer);
create table rev(
    chassis text, letter text, date text, who text, note text, level text, changed integer,
    parts integer, primary key(chassis, letter)
);
create table word(chassis text, letter text, name text, value text);
create table link(
    chassis text, letter text, sheet text, heat text, part text, number text, places text,
    welds text
);
create table moved(chassis text, letter text, part text);
create index word_rev on word(chassis, letter);
"""


BY_CHASSIS = ("rev", "word", "link", "moved")
"""Tables whose rows are of one revision each."""
TRACE = """
select chassis, group_concat(letter, ' '), sheet, heat, part, number, welds from (
    select * from link
    where ?1 in (lower(sheet), lower(heat), lower(number), lower(chassis))
        or ' ' || lower(places) || ' ' like ?2 or ' ' || lower(places) like ?3
        or ' ' || lower(welds) || ' ' like ?2
    order by chassis, length(letter), letter
)
group by chassis, sheet, heat, part, number, welds order by chassis, sheet, part
"""


class Hit(NamedTuple):
    """One hit: revision, field, value."""

    chassis: str
    letter: str
    name: str
    value: str


def open_index(store: Archive) -> sqlite3.Connection:
    """The index, up to date.

    Beside the archive where that can be written, in memory otherwise; a broken one is made anew.
    """
    path = store.folder / "index.sqlite"
    for target in (str(path), ":memory:"):
        try:
            if target != ":memory:" and not store.folder.is_dir():
                continue
            db = _ready(target)
            refresh(db, store)
            return db
        except sqlite3.DatabaseError:
            if target == ":memory:":
                raise
            try:
                path.unlink(missing_ok=True)
                db = _ready(target)
                refresh(db, store)
                return db
            except (sqlite3.DatabaseError, OSError):
                continue
    raise AssertionError("an index in memory can always be made")


def _ready(target: str) -> sqlite3.Connection:
    db = sqlite3.connect(target, timeout=10.0)
    if db.execute("pragma user_version").fetchone()[0] != VERSION:
        for (name,) in db.execute("select name from sqlite_master where type = 'table'").fetchall():
            db.execute(f"drop table {name}")
        db.executescript(TABLES)
        db.execute(f"pragma user_version = {VERSION}")
        db.commit()
    return db


def record_files(store: Archive) -> dict[str, tuple[int, int]]:
    """Every record and event file with when it changed and its size, by path from the archive."""
    import os

    found = {}
    with os.scandir(store.folder) as folders:
        for folder in folders:
            if folder.is_dir() and SLUG.fullmatch(folder.name) and folder.name not in OWN:
                with os.scandir(folder.path) as files:
                    for file in files:
                        if NAME.fullmatch(file.name):
                            stat = file.stat()
                            found[f"{folder.name}/{file.name}"] = (stat.st_mtime_ns, stat.st_size)
    return found


def refresh(db: sqlite3.Connection, store: Archive) -> None:
    """Take in what is new or changed, forget what is gone."""
    there = record_files(store)
    known = {
        path: (changed, size)
        for path, changed, size in db.execute("select path, mtime, size from file")
    }
    stale = {path.partition("/")[0] for path in there.keys() ^ known.keys()} | {
        path.partition("/")[0] for path in there.keys() & known.keys() if there[path] != known[path]
    }
    if not stale:
        return
    for chassis in stale:
        _forget(db, chassis)
        db.execute("delete from file where path like ?", (f"{chassis}/%",))
        try:
            _take(db, store, chassis)
        except SoapstoneError:
            _forget(db, chassis)  # verify names what is damaged
        db.executemany(
            "insert or replace into file values(?, ?, ?)",
            [(path, *there[path]) for path in there if path.startswith(f"{chassis}/")],
        )
    db.commit()


def _forget(db: sqlite3.Connection, chassis: str) -> None:
    for table in BY_CHASSIS:
        db.execute(f"delete from {table} where chassis = ?", (chassis,))


def _take(db: sqlite3.Connection, store: Archive, chassis: str) -> None:
    """Raises (ARCHIVE_DAMAGED) in the middle of a chassis that is damaged."""
    listing = store.listing(chassis)
    before: dict[str, str] = {}
    carried: dict[tuple[str, str], list[str]] = {}
    for record in store.each(chassis):
        data = record.data
        try:
            events = [event.data for event in store.events(chassis, record.letter, listing)]
        except SoapstoneError:
            events = []
        level = next(
            (event["value"] for event in reversed(events) if event["kind"] == "signed"),
            data.get("level", "tack"),
        )
        db.execute(
            "insert or replace into rev values(?, ?, ?, ?, ?, ?, ?, ?)",
            (
                chassis,
                record.letter,
                data.get("date", ""),
                data.get("by", ""),
                data.get("note", ""),
                level,
                len(data.get("changed", ())),
                len(data["parts"]),
            ),
        )
        words = dict(_words(data, events))
        db.executemany(
            "insert into word values(?, ?, ?, ?)",
            [
                (chassis, record.letter, name, value)
                for name, value in words.items()
                if before.get(name) != value
            ],
        )
        db.executemany(
            "insert into link values(?, ?, ?, ?, ?, ?, ?, ?)",
            [(chassis, record.letter, *row) for row in _links(data, events, carried)],
        )
        db.executemany(
            "insert into moved values(?, ?, ?)",
            [(chassis, record.letter, part) for part in (*data["changed"], *data["gone"])],
        )
        before = words


def _words(record: RecordFacts, events: Sequence[RecordFacts]) -> Iterator[tuple[str, str]]:
    for name in ("note", "by", "date", "tool", "level"):
        if record.get(name):
            yield name, str(record[name])
    facts = ("name", "stock", "steel", "revision", "fingerprint")
    for row in record["parts"]:
        yield row["part"], " ".join(str(row.get(fact, "")) for fact in facts).strip()
    for key, typed in record.get("typed", {}).items():
        yield f"typed {key}", str(typed)
    for key, shown in record.get("values", {}).items():
        yield f"solved {key}", str(shown)
    for number, entry in enumerate(entries.rows(events), 1):
        yield f"{entry.kind} {number}", " ".join(entry[1:]).strip()


def steel(
    record: RecordFacts,
    events: Sequence[RecordFacts],
    carried: dict[tuple[str, str], list[str]],
) -> Iterator[tuple[str, str, list[str]]]:
    """Part, sheet (or stock) and every heat it may be of.

    ``carried``: heats by part and letter so far, brought up to date: a part that keeps its letter
    keeps the steel it was cut from, and a heat entered later stands beside the earlier.
    """
    heats = entries.heats(events)
    sheets: dict[str, list[str]] = {}
    for sheet, parts in record.get("sheets", {}).items():
        for part in parts:
            sheets.setdefault(part, []).append(sheet)
    for row in record["parts"]:
        part, stock = row["part"], row.get("stock", "")
        on = sheets.get(part, [])
        own = carried.setdefault((part, row["revision"]), [])
        for name in dict.fromkeys((part, *on, stock)):
            own += [heat for heat in heats.get(name, ()) if heat not in own]
        for sheet in on or [stock]:
            elsewhere = {heat for other in on if other != sheet for heat in heats.get(other, ())}
            of_this = {heat for name in (sheet, part, stock) for heat in heats.get(name, ())}
            yield part, sheet, [heat for heat in own if heat in of_this or heat not in elsewhere]


def heats_kept(
    history: Iterable[tuple[RecordFacts, Sequence[RecordFacts]]], letters: Mapping[str, str]
) -> dict[str, list[str]]:
    """Heats entered so far of the parts that keep their letter: of the steel they were cut from.

    ``history``: records, oldest first, each with its events; ``letters``: part -> letter now.
    """
    carried: dict[tuple[str, str], list[str]] = {}
    for data, events in history:
        list(steel(data, events, carried))
    found = {part: carried.get((part, letter), []) for part, letter in letters.items()}
    return {part: heats for part, heats in found.items() if heats}


def _links(
    record: RecordFacts,
    events: Sequence[RecordFacts],
    carried: dict[tuple[str, str], list[str]],
) -> Iterator[tuple[str, str, str, str, str, str]]:
    """Sheet, heat, part, its number, every place it goes to, its welds, a row for every heat: what
    ``trace`` follows.
    """
    welds: dict[str, list[str]] = record.get("welds", {})
    rows = {row["part"]: row for row in record["parts"]}
    for part, sheet, heats in steel(record, events, carried):
        on = sheet if sheet in record.get("sheets", {}) else ""
        for heat in heats or [""]:
            number, places = numbered(rows[part]), " ".join((part, *rows[part].get("places", ())))
            yield on, heat, part, number, places, " ".join(welds.get(part, ()))


def numbered(row: PartRow) -> str:
    """The number of a stored part, which has a side only where left and right differ; in records
    from before there were numbers the part's own code.
    """
    return str(row.get("number") or row["part"])


class RevisionRow(TypedDict):
    """A revision as ``revisions`` lists it; ``changed`` and ``parts`` are counts."""

    chassis: str
    letter: str
    date: str
    by: str
    note: str
    level: str
    changed: int
    parts: int


def changed(db: sqlite3.Connection, part: str) -> set[tuple[str, str]]:
    """Chassis and letter of every revision in which a part changed, came or went; ``part``: its
    code, or that of a place it goes to.
    """
    by = "select part from link where ' ' || places || ' ' like ?2"
    found = f"select chassis, letter from moved where part = ?1 or part in ({by})"
    return set(db.execute(found, (part, f"% {part} %")))


def listed(db: sqlite3.Connection, chassis: str = "") -> list[RevisionRow]:
    """Every revision, or those of one chassis.

    By chassis, and within one from the oldest to the newest. Empty for a chassis that was never
    released.
    """
    rows = db.execute(
        "select chassis, letter, date, who, note, level, changed, parts from rev"
        + (" where chassis = ?" if chassis else "")
        + " order by chassis, length(letter), letter",
        (chassis,) if chassis else (),
    ).fetchall()
    return [
        RevisionRow(
            chassis=own,
            letter=letter,
            date=date,
            by=by,
            note=note,
            level=level,
            changed=changed,
            parts=parts,
        )
        for own, letter, date, by, note, level, changed, parts in rows
    ]


def search(db: sqlite3.Connection, words: list[str], most: int = 200) -> list[Hit]:
    """Fields in whose name or value every word stands, each where it first came in."""
    where = " and ".join(
        "(name like ? escape '~' or value like ? escape '~' or chassis like ? escape '~')"
        for _ in words
    )
    safe = [word.replace("~", "~~").replace("%", "~%").replace("_", "~_") for word in words]
    patterns = [pattern for word in safe for pattern in (f"%{word}%",) * 3]
    return [
        Hit(*row)
        for row in db.execute(
            f"select chassis, letter, name, value from word where {where} order by chassis,"
            " length(letter), letter, name limit ?",
            (*patterns, most),
        )
    ]


def trace(db: sqlite3.Connection, what: str) -> list[dict[str, str]]:
    """Rows of chassis, revisions, sheet, heat, part, its number and welds in which one is ``what``,
    or a place the part goes to; both ways.

    Revisions in which nothing of it changed stand in one row.
    """
    found = db.execute(TRACE, (what.lower(), f"% {what.lower()} %", f"% {what.lower()}.%"))
    columns = ("chassis", "revisions", "sheet", "heat", "part", "number", "welds")
    return [dict(zip(columns, row, strict=True)) for row in found]


def as_json(rows: Sequence[Hit]) -> str:
    """Rows as printed with --json."""
    return json.dumps([row._asdict() for row in rows], indent=1)

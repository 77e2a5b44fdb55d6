"""revisions: what was released, and what happened to it since."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...parts.words.names import code, sentence
from ...parts.words.names import part as name_of
from ..options import ArchiveFolder, AsJson, OneChassis
from ..screen import then

if TYPE_CHECKING:
    from ..archive.facts import RecordFacts
    from ..archive.index import RevisionRow
    from ..archive.store import Archive

    class ListedRow(RevisionRow):
        """A revision as printed: also whether it is the last of its chassis."""

        current: bool


PLACE = 160


def revisions(
    chassis: OneChassis = "",
    *,
    archive: ArchiveFolder = Path("archive"),
    part: Annotated[
        str, typer.Option("--part", help='only when this part changed, such as "CS1 left"')
    ] = "",
    as_json: AsJson = False,
) -> None:
    """List released revisions: letter, level, day, who, why, and how many parts changed; with
    --part, when one part changed.
    """
    from ..archive.store import Archive

    store = Archive(archive)
    if chassis:
        store.names(chassis)
    rows = _rows(store, chassis, code(part))
    if as_json:
        print(json.dumps(rows, indent=1))
        return
    for row in rows:
        print(
            f"{row['chassis']:16} {row['letter']:3} {row['level']:8} {row['date']:11}"
            f" {row['by']:16} {row['changed']:3} of {row['parts']} parts "
            f" {'current' if row['current'] else 'superseded':10}  {row['note']}"
        )
    if chassis and rows:
        _since(store, chassis, [row["letter"] for row in rows])
    if not rows:
        which = f" in which {name_of(code(part))} changed" if part else ""
        print(f"no released revision of {chassis or 'any chassis'}{which} in {archive}")
        then("release", "JOB", "--note", "why", "--by", "who", why="stores a build as one")


def _rows(store: Archive, chassis: str, part: str) -> list[ListedRow]:
    """Revisions as the index lists them, each with whether it is the last of its chassis."""
    from ..archive import index

    if not store.folder.is_dir():
        return []
    db = index.open_index(store)
    rows, moved = index.listed(db, chassis), index.changed(db, part)
    good = {row["chassis"]: row["letter"] for row in rows}
    return [
        {**row, "current": row["letter"] == good[row["chassis"]]}
        for row in rows
        if not part or (row["chassis"], row["letter"]) in moved
    ]


def _since(store: Archive, chassis: str, letters: list[str]) -> None:
    listing = store.listing(chassis)
    for letter in letters:
        for event in store.events(chassis, letter, listing):
            for line in _lines(event.data):
                print(f"  {letter} since: {sentence(line)}")


def _lines(event: RecordFacts) -> list[str]:
    """An event, a line a fact; welds and bolts of one entry stand in one."""
    from ..archive import entries

    lines: dict[tuple[str, ...], list[str]] = {}
    for entry in entries.rows([event]):
        what = [entry.what] if entry.what else []
        decided = entries.decided(entry)
        own = (entry.kind, entry.value, decided, f"by {entry.by}", entry.date, entry.note)
        lines.setdefault(own, []).extend(what)
    return [
        " ".join(word for word in (kind, ", ".join(what), *rest) if word)
        for (kind, *rest), what in lines.items()
    ] + [
        f"{row['subject']} accepted as it is by {row['by']} {row['date']} {row['why']}"
        for row in event.get("open", ())
    ]

"""revisions, search, trace and verify: what the archive holds, where something is, and whether it
is still what was stored.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.words.names import code, sentence
from ...parts.words.names import part as name_of
from ..options import Json, say
from ..options import said as end_line

Folder = Annotated[Path, typer.Option("--archive", help="folder of released revisions")]
Chassis = Annotated[str, typer.Argument(help="one chassis; all of them if not given")]


def revisions(
    chassis: Chassis = "",
    archive: Folder = Path("archive"),
    part: Annotated[
        str, typer.Option("--part", help='only when this part changed, such as "CS1 left"')
    ] = "",
    as_json: Json = False,
) -> None:
    """List released revisions: letter, level, day, who, why, and how many parts changed; with
    --part, when one part changed.
    """
    from ..archive import index
    from ..archive.store import Archive

    store = Archive(archive)
    if chassis:
        store.names(chassis)
    rows = index.listed(index.open_index(store), chassis) if archive.is_dir() else []
    part = code(part)
    if part:
        rows = [
            r
            for r in rows
            for d in [store.record(r["chassis"], r["letter"]).data]
            if part in d["changed"] or part in d["gone"]
        ]
    good = (
        {r["chassis"]: r["letter"] for r in index.listed(index.open_index(store), chassis)}
        if rows
        else {}
    )
    rows = [{**r, "current": r["letter"] == good[r["chassis"]]} for r in rows]
    if as_json:
        print(json.dumps(rows, indent=1))
        return
    if not rows:
        print(
            "no released revision of"
            f" {chassis or 'any chassis'}{f' in which {name_of(part)} changed' if part else ''} in"
            f" {archive}"
        )
    for r in rows:
        print(
            f"{r['chassis']:16} {r['letter']:3} {r['level']:8} {r['date']:11} {r['by']:16}"
            f" {r['changed']:3} of {r['parts']} parts "
            f" {'current' if r['current'] else 'superseded':10}  {r['note']}"
        )
    if chassis and rows:
        for r in rows:
            for e in store.events(chassis, r["letter"]):
                for line in said(e.data):
                    print(f"  {r['letter']} since: {sentence(line)}")


def said(event: dict[str, Any]) -> list[str]:
    """An event, a line a fact; welds and bolts of one entry stand in one."""
    from ..archive import log

    lines: dict[tuple[str, ...], list[str]] = {}
    for r in log.rows([event]):
        what = [r.what] if r.what else []
        lines.setdefault((r.kind, r.value, f"by {r.by}", r.date, r.note), []).extend(what)
    return [
        " ".join(x for x in (kind, ", ".join(what), *rest) if x)
        for (kind, *rest), what in lines.items()
    ]


def search(
    words: Annotated[
        list[str], typer.Argument(help="every one of these must stand in a field's name or value")
    ],
    archive: Folder = Path("archive"),
    as_json: Json = False,
) -> None:
    """Find revisions by any reading as typed, solved value, part, stock, note, name, heat number or
    concession; each where it first came in.
    """
    from ..archive import index
    from ..archive.store import Archive

    found = index.search(index.open_index(Archive(archive)), words) if archive.is_dir() else []
    if as_json:
        print(index.as_json(list(found)))
        return
    for f in found:
        print(sentence(f"{f.chassis:16} {f.letter:3} {f.name}: {f.value}"))
    if not found:
        print(f"nothing with {' and '.join(words)} in {archive}")


def trace(
    what: Annotated[str, typer.Argument(help="a heat number, sheet, part, weld or chassis")],
    archive: Folder = Path("archive"),
    as_json: Json = False,
) -> None:
    """Both ways: from a heat number to the sheets, parts, welds and trucks it is in, or from any of
    these to the rest.
    """
    from ..archive import index
    from ..archive.store import Archive

    rows = index.trace(index.open_index(Archive(archive)), code(what)) if archive.is_dir() else []
    if as_json:
        print(json.dumps(rows, indent=1))
        return
    for r in rows:
        letters = r["revisions"].split()
        print(
            f"{r['chassis']:16}"
            f" {letters[0] if len(letters) == 1 else f'{letters[0]} to {letters[-1]}':8}"
            f" {name_of(r['part']):8} sheet {r['sheet'] or '-'}, heat {r['heat'] or 'not entered'},"
            f" welds {r['welds'] or '-'}"
        )
    if not rows:
        print(f"{what} is in no released revision in {archive}")


def verify(
    chassis: Chassis = "",
    archive: Folder = Path("archive"),
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
    from ..archive import verify as verifying
    from ..archive.store import Archive

    store = Archive(archive)
    names = [chassis] if chassis else store.chassis()
    faults = [f for c in names for f in verifying.check(store, c, say)]
    if faults:
        end_line()
        raise SoapstoneError(
            Exit.ARCHIVE_DAMAGED, faults, "the archive is damaged; nothing was changed"
        )
    count = sum(len(store.records(c)) for c in names)
    if chassis and not count:
        raise SoapstoneError(
            Exit.COMMAND_LINE,
            [
                Fault(
                    "CHASSIS",
                    chassis,
                    ", ".join(store.chassis()) or "a released chassis",
                    f"nothing of it is in {archive}",
                )
            ],
        )
    faults = [f for c in names for f in verifying.copies(store, c, out, say)]
    end_line()
    if faults:
        raise SoapstoneError(
            Exit.ARCHIVE_DAMAGED,
            faults,
            "the archive is whole; copies made from it are not as it has them",
        )
    print(f"{count} revisions of {len(names)} chassis: every file is as it was stored")

"""sign and enter: what happens to a revision after its release.

Nothing released changes; each is a record of its own.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.words.names import sentence
from ..archive.acceptance import Accept, accepted, needs_acceptance, refusals

if TYPE_CHECKING:
    from ..archive.store import Archive, Record

Chassis = Annotated[str, typer.Argument(help="chassis")]
Letter = Annotated[str, typer.Argument(help="revision letter")]
By = Annotated[str, typer.Option("--by", help="who; required")]
Day = Annotated[str, typer.Option("--date", help="day, as 2026-01-31; required")]
Note = Annotated[str, typer.Option("--note", help="what is worth knowing")]
Folder = Annotated[Path, typer.Option("--archive", help="folder of released revisions")]
Out = Annotated[Path, typer.Option("--out", help="folder the chassis folder goes into")]


def _faults(by: str, date: str, note: str) -> list[Fault]:
    found = []
    if not 2 <= len(by.strip()) <= 60 or "\n" in by:
        found.append(Fault("--by", by, "a name of two letters or more", "say who"))
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", date):
        found.append(Fault("--date", date, "a day, as 2026-01-31", "say when"))
    if len(note) > 200 or "\n" in note:
        found.append(Fault("--note", note[:40], "up to 200 characters on one line", "shorten it"))
    return found


def sign(
    chassis: Chassis,
    letter: Letter,
    level: Annotated[str, typer.Option("--level", help="mock-up, tack, weld or final")] = "",
    by: By = "",
    date: Day = "",
    note: Note = "",
    accept: Accept = "",
    archive: Folder = Path("archive"),
    out: Out = Path("out"),
) -> None:
    """Sign a released revision for a level; its sheets are written again without the watermark that
    level takes away. The revision itself stays.
    """
    from .. import disk
    from ..archive import current
    from ..archive import reissue as issue
    from ..archive.store import Archive

    store = Archive(archive)
    r = store.record(chassis, letter)
    over = _set_down(store, r, level)
    faults = [*_faults(by, date, note), *_level_faults(store, r, level, note, over)]
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults, "not signed")
    found = issue.again(store, r)
    before = _accepted_before(store, r)
    judged = found.looked.judged
    refused = refusals(judged, level)
    faults = refused + needs_acceptance(judged, level, accept, before)
    if faults:
        raise SoapstoneError(
            Exit.CHECK_FAILS if refused else Exit.COMMAND_LINE, faults, "not signed"
        )
    took = accepted(judged, level, by, date, accept, before)
    made = {
        p: data
        for p, data in issue.rebuilt(store, r, level, found, took).items()
        if p.startswith(("sheet/", "drawing/", "nest/")) or p == "index.html"
    }
    event = {
        "kind": "signed",
        "value": level,
        "by": by,
        "date": date,
        "note": note,
        "headline": judged.headline,
        "accepted": took[len(before) :],
        "not_logged": _not_logged(store, r) if level == "final" else [],
    } | ({"over": over} if over else {})
    if level == "final":
        made |= issue.log_files(store, r, level, [event])
    store.happened(chassis, letter, event, made)
    for path, data in made.items():
        disk.put_file(out / chassis / letter / path, data)
    current.write(store, chassis, out)
    print(
        f"{chassis} {letter} is signed for {level} by {by}; its sheets are in"
        f" {out / chassis / letter / 'sheet'}"
    )
    print(judged.headline)
    if len(took) > len(before):
        print(f"{len(took) - len(before)} findings accepted, kept in the record: {accept}")
    print("A signature here is a record, not an approval; local law decides.")


def _set_down(store: Archive, r: Record, level: str) -> str | None:
    """What is out or not read at the last set-down, where the level asks for one; "" if nothing,
    None if none was recorded.
    """
    from ...parts.documents.levels import LEVELS
    from ..archive.log_sheets import AS_BUILT
    from ..archive.set_down import not_down

    if level not in LEVELS or LEVELS.index(level) < LEVELS.index("weld"):
        return ""
    kept = next((f["sha256"] for f in r.data["files"] if f["path"] == AS_BUILT), None)
    return None if kept is None else not_down(store.content(kept))


def _level_faults(
    store: Archive, r: Record, level: str, note: str, over: str | None
) -> list[Fault]:
    """A level nobody knows or that is signed already; weld before the truck stands right; final
    while welds are not logged.
    """
    from ...parts.documents.levels import LEVELS
    from ..archive.set_down import not_down

    if level not in LEVELS[1:]:
        return [Fault("--level", level, " | ".join(LEVELS[1:]), "use one of these")]
    now = store.level(r.data["chassis"], r.letter)
    if LEVELS.index(level) <= LEVELS.index(now):
        return [Fault("--level", level, f"more than {now}", "it is signed for that already")]
    faults = []
    if over is None:
        why = f"when this revision was released {not_down(None)}, then build and release again"
        faults.append(Fault("--level", level, "mock-up or tack", why))
    elif over and not note.strip():
        what = (
            f"{over}. Move it, read what was not read and set it down again, or say why it may stay"
        )
        faults.append(Fault("--note", note, "why it may stay so", what))
    if level == "final" and not note.strip() and (left := _not_logged(store, r)):
        every = len({w for v in r.data.get("welds", {}).values() for w in v})
        what = (
            f"not logged as laid and inspected: {', '.join(left)}, of {every} welds; log them with"
            " enter --weld, or say why they may stay so"
        )
        faults.append(Fault("--note", note, "why the truck is final without them", what))
    return faults


def _not_logged(store: Archive, r: Record) -> list[str]:
    """Welds of a revision nobody logged as laid and inspected, by number range."""
    from ...parts.verdict.findings import ranges
    from ..archive import log

    every = {w for v in r.data.get("welds", {}).values() for w in v}
    events = [e.data for e in store.events(r.data["chassis"], r.letter)]
    return ranges(every - {x.what for x in log.rows(events) if x.kind == "weld"})


def _accepted_before(store: Archive, r: Record) -> list[dict[str, str]]:
    """What was signed for at the release and by every signature since."""
    found = list(r.data.get("accepted", ()))
    for e in store.events(r.data["chassis"], r.letter):
        found += e.data.get("accepted", ())
    return found


def enter(
    chassis: Chassis,
    letter: Letter,
    heat: Annotated[
        list[str] | None,
        typer.Option("--heat", help="heat number of each --sheet and --part; several may be given"),
    ] = None,
    sheet: Annotated[
        list[str] | None,
        typer.Option("--sheet", help="nested sheet or stock the heats are of; several"),
    ] = None,
    part: Annotated[
        list[str] | None,
        typer.Option(
            "--part", help='part the heats are of, such as "CS1 left"; CS1 for both sides; several'
        ),
    ] = None,
    weld: Annotated[
        list[str] | None,
        typer.Option("--weld", help="welds that were laid and looked at: W12, W1-W38; several"),
    ] = None,
    bolt: Annotated[
        list[str] | None,
        typer.Option("--bolt", help="bolts that were tightened to --torque: B3, B1-B12; several"),
    ] = None,
    torque: Annotated[
        str, typer.Option("--torque", help="what the wrench was set to, with its unit")
    ] = "",
    concession: Annotated[
        list[str] | None,
        typer.Option("--concession", help="part used though it is not as drawn; --note says why"),
    ] = None,
    by: By = "",
    date: Day = "",
    note: Note = "",
    archive: Folder = Path("archive"),
) -> None:
    """Enter heats, welds, bolts, concessions or a note to a released revision: all of it, or
    nothing where anything is wrong. Nothing entered before is replaced.
    """
    from ..archive import log
    from ..archive.store import Archive

    store = Archive(archive)
    r = store.record(chassis, letter)
    asked = log.Asked(
        heat or (), sheet or (), part or (), weld or (), bolt or (), torque, concession or (), note
    )
    rows, wrong = log.taken(asked, r.data)
    faults = [*_faults(by, date, note), *wrong]
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults, "nothing was entered")
    event = {"kind": "entered", "rows": rows, "by": by, "date": date, "note": note}
    store.happened(chassis, letter, event)
    for row in rows[:12]:
        print(sentence(f"{chassis} {letter}: {row['kind']} {row['what']} {row['value']}").rstrip())
    if len(rows) > 12:
        print(f"{chassis} {letter}: and {len(rows) - 12} more, {len(rows)} in all")
    if said := _ahead(store.level(chassis, letter), [str(row["kind"]) for row in rows]):
        print(said)


def _ahead(level: str, kinds: Sequence[str]) -> str:
    """What was welded stays on record, but that nobody had released it for welding is said; ""
    where somebody had.
    """
    from ...parts.documents.levels import LEVELS

    if "weld" not in kinds or LEVELS.index(level) >= LEVELS.index("weld"):
        return ""
    return (
        f"NOT RELEASED FOR WELD: this revision is for {level} only, and welds of it are entered as"
        " laid. Stop, set the truck down, run correct, release or sign for weld before the"
        " next one"
    )

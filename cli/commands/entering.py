"""sign and enter: what happens to a revision after its release. Nothing released changes; each is a record of its own."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

import typer
from soapstone.layout.faults import Exit, Fault, SoapstoneError

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
    archive: Folder = Path("archive"),
    out: Out = Path("out"),
) -> None:
    """Sign a released revision for a level; its sheets are written again without the watermark that level takes away. The revision itself stays."""
    from soapstone.cli import current, disk
    from soapstone.cli.archive import Archive
    from soapstone.cli.commands.correct import not_down
    from soapstone.cli.issue import log_files, rebuilt
    from soapstone.parts.levels import LEVELS

    store = Archive(archive)
    r = store.record(chassis, letter)
    faults = _faults(by, date, note)
    now, over = store.level(chassis, letter), ""
    if level not in LEVELS[1:]:
        faults.append(Fault("--level", level, " | ".join(LEVELS[1:]), "use one of these"))
    elif LEVELS.index(level) <= LEVELS.index(now):
        faults.append(Fault("--level", level, f"more than {now}", "it is signed for that already"))
    elif LEVELS.index(level) >= LEVELS.index("weld"):
        kept = next(
            (f["sha256"] for f in r.data["files"] if f["path"] == "input/job.asbuilt.json"), None
        )
        if kept is None:
            faults.append(
                Fault(
                    "--level",
                    level,
                    "mock-up or tack",
                    f"when this revision was released {not_down(None)}, then build and release again",
                )
            )
        elif (over := not_down(store.content(kept))) and not note:
            faults.append(
                Fault(
                    "--note",
                    note,
                    "why it may stay so",
                    f"{over}. Move it, read what was not read and set it down again, or say why it may stay",
                )
            )
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults, "not signed")
    made = {
        p: data
        for p, data in rebuilt(store, r, level).items()
        if p.startswith(("sheet/", "drawing/", "nest/")) or p == "index.html"
    }
    event = {"kind": "signed", "value": level, "by": by, "date": date, "note": note}
    if over:
        event["over"] = over
    if level == "final":
        made |= log_files(store, r, level, [event])
    store.happened(chassis, letter, event, made)
    for path, data in made.items():
        disk.put_file(out / chassis / letter / path, data)
    current.write(store, chassis, out)
    print(
        f"{chassis} {letter} is signed for {level} by {by}; its sheets are in {out / chassis / letter / 'sheet'}"
    )
    print("A signature here is a record, not an approval; local law decides.")


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
            "--part", help="part the heats are of, such as CS1.L; CS1 for both sides; several"
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
    """Enter heats, welds, bolts, concessions or a note to a released revision: all of it, or nothing where anything is wrong. Nothing entered before is replaced."""
    from soapstone.cli import log
    from soapstone.cli.archive import Archive

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
        print(f"{chassis} {letter}: {row['kind']} {row['what']} {row['value']}".rstrip())
    if len(rows) > 12:
        print(f"{chassis} {letter}: and {len(rows) - 12} more, {len(rows)} in all")

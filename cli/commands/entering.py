"""sign and enter: what happens to a revision after its release. Nothing released changes; each is a record of its own."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from soapstone.cli.accepting import Accept, accepted, needs_acceptance, refusals
from soapstone.layout.faults import Exit, Fault, SoapstoneError

if TYPE_CHECKING:
    from soapstone.cli.archive import Archive, Record

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
    """Sign a released revision for a level; its sheets are written again without the watermark that level takes away. The revision itself stays."""
    from soapstone.cli import disk, issue
    from soapstone.cli.archive import Archive

    store = Archive(archive)
    r = store.record(chassis, letter)
    faults = [*_faults(by, date, note), *_level_faults(store, r, level, note)]
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
        if p.startswith("sheet/") or p == "index.html"
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
    }
    store.happened(chassis, letter, event, made)
    for path, data in made.items():
        disk.put_file(out / chassis / letter / path, data)
    print(
        f"{chassis} {letter} is signed for {level} by {by}; its sheets are in {out / chassis / letter / 'sheet'}"
    )
    print(judged.headline)
    if len(took) > len(before):
        print(f"{len(took) - len(before)} findings accepted, kept in the record: {accept}")
    print("A signature here is a record, not an approval; local law decides.")


def _level_faults(store: Archive, r: Record, level: str, note: str) -> list[Fault]:
    """A level nobody knows or that is signed already; weld before the truck stands right; final while welds are not logged."""
    from soapstone.cli.commands.correct import not_down
    from soapstone.parts.levels import LEVELS

    if level not in LEVELS[1:]:
        return [Fault("--level", level, " | ".join(LEVELS[1:]), "use one of these")]
    now = store.level(r.data["chassis"], r.letter)
    if LEVELS.index(level) <= LEVELS.index(now):
        return [Fault("--level", level, f"more than {now}", "it is signed for that already")]
    faults = []
    if LEVELS.index(level) >= LEVELS.index("weld"):
        kept = next(
            (f["sha256"] for f in r.data["files"] if f["path"] == "input/job.asbuilt.json"), None
        )
        if kept is None:
            why = f"when this revision was released {not_down(None)}, then build and release again"
            faults.append(Fault("--level", level, "mock-up or tack", why))
        elif (why := not_down(store.content(kept))) and not note:
            what = f"{why}; move it and set it down again, or say why it may stay"
            faults.append(Fault("--note", note, "why it may stay so", what))
    if level == "final" and not note.strip() and (left := _not_logged(store, r)):
        every = len({w for v in r.data.get("welds", {}).values() for w in v})
        what = f"not logged as laid and inspected: {', '.join(left)}, of {every} welds; log them with enter --weld, or say why they may stay so"
        faults.append(Fault("--note", note, "why the truck is final without them", what))
    return faults


def _not_logged(store: Archive, r: Record) -> list[str]:
    """Welds of a revision nobody logged as laid and inspected, by number range."""
    from soapstone.parts.verdict import ranges

    every = {w for v in r.data.get("welds", {}).values() for w in v}
    done = {
        e.data["what"]
        for e in store.events(r.data["chassis"], r.letter)
        if e.data["kind"] == "weld"
    }
    return ranges(every - done)


def _accepted_before(store: Archive, r: Record) -> list[dict[str, str]]:
    """What was signed for at the release and by every signature since."""
    found = list(r.data.get("accepted", ()))
    for e in store.events(r.data["chassis"], r.letter):
        found += e.data.get("accepted", ())
    return found


def enter(
    chassis: Chassis,
    letter: Letter,
    heat: Annotated[str, typer.Option("--heat", help="heat number of --sheet")] = "",
    sheet: Annotated[
        str, typer.Option("--sheet", help="nested sheet or stock the heat number is of")
    ] = "",
    weld: Annotated[
        str, typer.Option("--weld", help="weld that was laid and looked at, such as W12")
    ] = "",
    concession: Annotated[
        str,
        typer.Option("--concession", help="part used though it is not as drawn; --note says why"),
    ] = "",
    by: By = "",
    date: Day = "",
    note: Note = "",
    archive: Folder = Path("archive"),
) -> None:
    """Enter a heat number, a weld, a concession or a note to a released revision."""
    from soapstone.cli.archive import Archive

    store = Archive(archive)
    r = store.record(chassis, letter)
    faults = _faults(by, date, note)
    sheets, welds = (
        r.data.get("sheets", {}),
        {w for v in r.data.get("welds", {}).values() for w in v},
    )
    parts, stocks = (
        {p["part"] for p in r.data["parts"]},
        {p.get("stock", "") for p in r.data["parts"]},
    )
    if bool(heat) != bool(sheet):
        faults.append(
            Fault(
                "--heat, --sheet",
                f"{heat} {sheet}".strip(),
                "both",
                "a heat number is of a sheet or a stock",
            )
        )
    elif sheet and sheet not in sheets and sheet not in stocks:
        faults.append(
            Fault(
                "--sheet",
                sheet[:60],
                ", ".join([*sheets, *sorted(stocks)])[:400],
                "the names stand on the nests and in the material list",
            )
        )
    if weld and weld not in welds:
        faults.append(
            Fault(
                "--weld",
                weld[:20],
                "W1 .. W" + str(max((int(w[1:]) for w in welds), default=0)),
                "the number stands on the weld map",
            )
        )
    if concession and concession not in parts:
        faults.append(
            Fault(
                "--concession", concession[:20], "a part of this revision", f"such as {min(parts)}"
            )
        )
    if concession and len(note.strip()) < 3:
        faults.append(
            Fault(
                "--note",
                note,
                "why the part is used though it is not as drawn",
                "say what was measured and who decided",
            )
        )
    if not (heat or weld or concession or note.strip()):
        faults.append(
            Fault(
                "enter",
                "",
                "--heat with --sheet, --weld, --concession or --note",
                "say what to enter",
            )
        )
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults, "nothing was entered")
    rows = (
        ([("heat", sheet, heat)] if heat else [])
        + ([("weld", weld, "laid and looked at")] if weld else [])
        + ([("concession", concession, "")] if concession else [])
    )
    for kind, what, value in rows or [("note", "", "")]:
        store.happened(
            chassis,
            letter,
            {"kind": kind, "what": what, "value": value, "by": by, "date": date, "note": note},
        )
        print(f"{chassis} {letter}: {kind} {what} {value}".rstrip())

"""readings: check a job file, print the measuring sheet, take it back in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit
from ..building.design import read_for
from ..building.owed import nearest_lines, owed_lines, waiting_on
from ..options import JobFile, Json, ShopFile
from ..screen import then

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ...layout.assumed import Assumed
    from ...layout.job.load import Job
    from ...parts.verdict.findings import Judged

PLACE = 30


def readings(
    job: JobFile,
    *,
    sheet: Annotated[
        Path | None,
        typer.Option("--sheet", help="write the measuring sheet, CSV or PDF by its ending"),
    ] = None,
    take: Annotated[
        Path | None,
        typer.Option(
            "--take",
            help="take a filled measuring sheet (CSV) in: into JOB.taped.toml beside the job",
        ),
    ] = None,
    family: Annotated[
        str, typer.Option("--for", help="only what the parts of a code need, such as CM")
    ] = "",
    shop: ShopFile = None,
    as_json: Json = False,
) -> None:
    """Check the readings of a job file and list what is still owed, in the order of a walk round
    the truck, each with the parts it is for.
    """
    from ...layout.job_file import load

    kept = read_for(job, shop)
    if take:
        _take(job, take)
    got = load(job)
    if family:
        _for_one(got, family, as_json)
        return
    # not before: --for answers without a layout
    from ...layout.setout import solve
    from ...parts.verdict.assumptions import assumptions
    from ...parts.verdict.judging import judge_readings

    judged = judge_readings(got)
    if sheet:
        _sheet(job, sheet)
    assumed = assumptions(got, solve(got), None, None, kept)
    if as_json:
        _print_data(got, judged, assumed)
    else:
        _tell(got, assumed, judged.headline)
    _next(job, sheet, bool(got.owed))
    if judged.exit_code and not (sheet or take):
        raise typer.Exit(judged.exit_code)


def _print_data(got: Job, judged: Judged, assumed: Sequence[Assumed]) -> None:
    """What --json prints: readings as typed, what is owed and what it holds up, what is assumed."""
    facts = {
        "chassis": got.chassis,
        "verdict": judged.worst.value,
        "headline": judged.headline,
        "readings": {str(key): reading.typed for key, reading in got.readings.items()},
        "owed": list(map(str, got.owed)),
        "held_up": {str(key): list(parts) for key, parts in waiting_on(got).items()},
        "assumed": list(map(str, assumed)),
    }
    print(json.dumps(facts, indent=1))


def _tell(got: Job, assumed: Sequence[Assumed], headline: str) -> None:
    given = [reading for reading in got.readings.values() if not reading.assumed]
    print(f"{got.chassis}: {len(given)} readings, no faults; {len(got.owed)} still needed")
    defaults = len(got.readings) - len(given)
    print(
        f"assumed: {defaults} {'reading' if defaults == 1 else 'readings'},"
        f" {len(assumed) - defaults} other things; `check` adds what of the stock is"
    )
    for row in assumed:
        print(f"  {row}")
    for line in (*owed_lines(got), *nearest_lines(got)):
        print(f"  {line}")
    print(headline)


def _for_one(got: Job, family: str, as_json: bool) -> None:
    """What the parts of one code still need; ends with 4 while that is anything."""
    owed = waiting_on(got, family)
    if as_json:
        print(
            json.dumps(
                {"chassis": got.chassis, "for": family.upper(), "owed": list(map(str, owed))}
            )
        )
    else:
        count = f"{len(owed)} reading" + ("" if len(owed) == 1 else "s")
        print(f"{got.chassis} {family.upper()}: {count} still needed")
        for line in owed_lines(got, family):
            print(f"  {line}")
    if owed:
        raise typer.Exit(int(Exit.READINGS_OWED))


def _next(job: Path, sheet: Path | None, owed: bool) -> None:
    if sheet and sheet.suffix.lower() == ".csv":
        then("readings", job, "--take", sheet, why="fill in the column value, then")
    elif owed:
        then("readings", job, "--sheet", f"{job.stem}.pdf", why="measure what is needed, on paper")
    else:
        then("solve", job)


def _take(job: Path, csv_file: Path) -> None:
    from ...layout.job.sheet import sheet_rows
    from ...layout.job.taped import taped_path, taped_text
    from ...layout.job_file import load
    from .. import disk

    old = taped_path(job)
    text = taped_text(
        csv_file,
        old.read_text(encoding="utf-8") if old.exists() else "",
        {row.reading: row.value for row in sheet_rows(load(job))},
    )
    load(job, text)
    disk.put_file(old, text.encode())
    print(f"taken into {old}; the job file itself is unchanged")


def _sheet(job: Path, path: Path) -> None:
    from ...layout.job.sheet import sheet_csv, sheet_rows
    from ...layout.job_file import load
    from .. import disk

    rows = sheet_rows(load(job))
    if path.suffix.lower() == ".pdf":
        from ...parts.drawing.measuring import measuring_pdf

        data = measuring_pdf(load(job).chassis, rows)
    else:
        data = sheet_csv(rows)
    disk.put_file(path, data)
    print(f"{path}: {len(rows)} readings to take")

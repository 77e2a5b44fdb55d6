"""readings: check a job file, print the measuring sheet, take it back in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from soapstone.cli.options import JobFile, Json

if TYPE_CHECKING:
    from soapstone.layout.job.load import Job


def readings(
    job: JobFile,
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
    as_json: Json = False,
) -> None:
    """Check the readings of a job file and list what is still owed."""
    from soapstone.layout.job.load import load
    from soapstone.parts.judging import judge_readings

    if take:
        _take(job, take)
    got = load(job)
    judged = judge_readings(got)
    if sheet:
        _sheet(job, sheet)
    if as_json:
        print(
            json.dumps(
                {
                    "chassis": got.chassis,
                    "verdict": judged.worst.value,
                    "headline": judged.headline,
                    "readings": {str(k): r.typed for k, r in got.readings.items()},
                    "owed": list(map(str, got.owed)),
                },
                indent=1,
            )
        )
    else:
        _print(got, judged.headline)
    if judged.exit_code and not (sheet or take):
        raise typer.Exit(judged.exit_code)


def _print(got: Job, headline: str) -> None:
    from soapstone.layout.job.fields import FIELDS

    given = [r for r in got.readings.values() if not r.assumed]
    print(f"{got.chassis}: {len(given)} readings, no faults; {len(got.owed)} still owed")
    for k, r in got.readings.items():
        if r.assumed:
            print(f"  ASSUMED {k}: shop default, nobody measured it")
    for k in got.owed:
        print(f"  owed {FIELDS[k.name].sheet_code} {k}: {FIELDS[k.name].how}")
    print(headline)


def _take(job: Path, csv_file: Path) -> None:
    from soapstone.cli import disk
    from soapstone.layout.job.load import load
    from soapstone.layout.job.sheet import sheet_rows, taped_path, taped_text

    old = taped_path(job)
    text = taped_text(
        csv_file,
        old.read_text(encoding="utf-8") if old.exists() else "",
        {r.reading: r.value for r in sheet_rows(load(job))},
    )
    load(job, text)
    disk.put_file(old, text.encode())
    print(f"taken into {old}; the job file itself is unchanged")


def _sheet(job: Path, path: Path) -> None:
    from soapstone.cli import disk
    from soapstone.layout.job.load import load
    from soapstone.layout.job.sheet import sheet_csv, sheet_rows

    rows = sheet_rows(load(job))
    if path.suffix.lower() == ".pdf":
        from soapstone.parts.drawing.measuring import measuring_pdf

        data = measuring_pdf(load(job).chassis, rows)
    else:
        data = sheet_csv(rows)
    disk.put_file(path, data)
    print(f"{path}: {len(rows)} readings to take")

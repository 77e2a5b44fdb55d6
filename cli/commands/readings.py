"""readings: check a job file, print the measuring sheet, take it back in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ..building.designing import read_for
from ..options import JobFile, Json, ShopFile

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ...layout.assumed import Assumed
    from ...layout.job.load import Job
    from ...layout.quantities import Key


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
    shop: ShopFile = None,
    as_json: Json = False,
) -> None:
    """Check the readings of a job file and list what is still owed."""
    from ...layout.job_file import load
    from ...layout.setout import solve
    from ...parts.verdict.assumptions import assumptions
    from ...parts.verdict.judging import judge_readings

    kept = read_for(job, shop)
    if take:
        _take(job, take)
    got = load(job)
    judged = judge_readings(got)
    if sheet:
        _sheet(job, sheet)
    assumed = assumptions(got, solve(got), None, None, kept)
    if as_json:
        print(
            json.dumps(
                {
                    "chassis": got.chassis,
                    "verdict": judged.worst.value,
                    "headline": judged.headline,
                    "readings": {str(k): r.typed for k, r in got.readings.items()},
                    "owed": list(map(str, got.owed)),
                    "held_up": {str(k): parts for k, parts in waiting_on(got).items()},
                    "assumed": list(map(str, assumed)),
                },
                indent=1,
            )
        )
    else:
        _print(got, assumed, judged.headline)
    if judged.exit_code and not (sheet or take):
        raise typer.Exit(judged.exit_code)


def _print(got: Job, assumed: Sequence[Assumed], headline: str) -> None:
    given = [r for r in got.readings.values() if not r.assumed]
    print(f"{got.chassis}: {len(given)} readings, no faults; {len(got.owed)} still needed")
    for a in assumed:
        print(f"  {a}")
    for line in owed_lines(got):
        print(f"  {line}")
    print(headline)


def owed_lines(job: Job) -> list[str]:
    """A line for each reading that is owed: where and how it is taken, and the parts that wait for
    it.
    """
    from ...layout.job.fields import FIELDS, pattern

    found = []
    for k, parts in waiting_on(job).items():
        f = FIELDS[pattern(k.name)]
        other = f" (or {', '.join(FIELDS[n].sheet_code for n in f.instead)})" if f.instead else ""
        mark = "SAFETY " if f.safety else ""
        held = f"; for {', '.join(parts)}" if parts else ""
        found.append(f"needed {mark}{f.sheet_code} {k}{other}: {f.how}{held}")
    return found


def waiting_on(job: Job) -> dict[Key, list[str]]:
    """Every reading that is owed, with the titles of the parts that cannot be made without it."""
    if not job.owed:
        return {}
    from ...layout.setout import solve
    from ...parts.truck.truck import design

    # a part says only the first reading it misses, and half a survey misses hundreds: then nothing
    # can be said by name
    t = design(solve(job), job.words, job.pins, job.chassis)
    found: dict[Key, list[str]] = {k: [] for k in job.owed}
    for who, keys in t.waiting.items():
        title = who.rpartition(" ")[0]
        for k in keys:
            if k in found and title not in found[k]:
                found[k].append(title)
    return found


def _take(job: Path, csv_file: Path) -> None:
    from ...layout.job.sheet import sheet_rows
    from ...layout.job.taped import taped_path, taped_text
    from ...layout.job_file import load
    from .. import disk

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

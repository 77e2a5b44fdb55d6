"""solve: the layout."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import typer

from ..building.design import loaded
from ..options import AsJson, JobFile
from ..screen import then

if TYPE_CHECKING:
    from ...layout.job.load import Job
    from ...layout.setout.diagnosis import Diagnosis
    from ...parts.drawing.setout import SetoutRow
    from ...parts.verdict.findings import Judged

PLACE = 40
SMALLEST = 0.005
"""Under this a plus-minus of two decimals would print as zero."""


def solve(job: JobFile, as_json: AsJson = False) -> None:
    """Lay the truck out: where every pivot and seat goes, how sure it is, and what it waits for."""
    from ...layout.setout import diagnoses
    from ...layout.setout import solve as set_out
    from ...parts.verdict.judging import judge_layout
    from ..building.data_rows import gave_way_rows, setout_rows

    got, _ = loaded(job)
    solved = set_out(got)
    rows, moved = setout_rows(solved), gave_way_rows(solved)
    found = diagnoses.diagnose(got, solved)
    judged = judge_layout(got, solved)
    if as_json:
        facts = {
            "verdict": judged.worst.value,
            "headline": judged.headline,
            "setout": rows,
            "gave_way": moved,
            "owed": list(map(str, got.owed)),
            "diagnoses": [
                {
                    "code": diagnosis.code,
                    "severity": diagnosis.severity,
                    "says": diagnosis.sentence,
                    "cure": diagnosis.cure,
                }
                for diagnosis in found
            ],
        }
        print(json.dumps(facts, indent=1))
    else:
        for row in rows:
            print(_line(row))
        _tell(got, moved, found, judged)
    if judged.exit_code:
        raise typer.Exit(judged.exit_code)
    then("cycle", job)


def _tell(
    job: Job, moved: Sequence[Mapping[str, str]], found: Sequence[Diagnosis], judged: Judged
) -> None:
    from ..building.owed import owed_lines

    for row in moved:
        print(f"gave way: {row['key']} from {row['from']} to {row['to']}")
    for diagnosis in found:
        print(f"{diagnosis.severity}: {diagnosis.sentence} {diagnosis.cure}".rstrip())
    for line in owed_lines(job):
        print(line)
    print(judged.headline)


def _small(plus_minus: float) -> str:
    """Two decimals, and no zero for what is not."""
    return f"under {SMALLEST}" if 0 < plus_minus < SMALLEST else f"{plus_minus:.2f}"


def _line(row: SetoutRow) -> str:
    rests = ", ".join(row["rests_on"])
    if row["role"] == "waiting":
        return f"{row['key']:24} waits for {rests}"
    if row["role"] == "conflict":
        return f"{row['key']:24} has no solution: the readings cannot be met ({rests})"
    return (
        f"{row['key']:24} {row['shown']:>14}  ±{_small(row['plus_minus'] or 0.0)} {row['unit']:6}"
        f" {row['role']:8} {row['title']}"
    )

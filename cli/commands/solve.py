"""solve: the layout."""

from __future__ import annotations

import json
from typing import Any

import typer

from ..building.designing import loaded
from ..options import JobFile, Json


def solve(job: JobFile, as_json: Json = False) -> None:
    """Lay the truck out: where every pivot and seat goes, how sure it is, and what it waits for."""
    from ...layout.setout import diagnoses
    from ...layout.setout import solve as set_out
    from ...parts.verdict.judging import judge_layout
    from ..building.build import gave_way_rows, setout_rows
    from .readings import owed_lines

    got, _ = loaded(job)
    solved = set_out(got)
    rows, moved = setout_rows(solved), gave_way_rows(solved)
    found = diagnoses.diagnose(got, solved)
    judged = judge_layout(got, solved)
    if as_json:
        print(
            json.dumps(
                {
                    "verdict": judged.worst.value,
                    "headline": judged.headline,
                    "setout": rows,
                    "gave_way": moved,
                    "owed": list(map(str, got.owed)),
                    "diagnoses": [
                        {"code": d.code, "severity": d.severity, "says": d.sentence, "cure": d.cure}
                        for d in found
                    ],
                },
                indent=1,
            )
        )
    else:
        for r in rows:
            print(_line(r))
        for m in moved:
            print(f"gave way: {m['key']} from {m['from']} to {m['to']}")
        for d in found:
            print(f"{d.severity}: {d.sentence} {d.cure}".rstrip())
        for line in owed_lines(got):
            print(line)
        print(judged.headline)
    if judged.exit_code:
        raise typer.Exit(judged.exit_code)


def _small(x: Any) -> str:
    """Two decimals, and no zero for what is not."""
    return "under 0.005" if 0 < x < 0.005 else f"{x:.2f}"


def _line(r: dict[str, object]) -> str:
    rests = ", ".join(r["rests_on"])  # type: ignore[arg-type]
    if r["role"] == "waiting":
        return f"{r['key']:24} waits for {rests}"
    if r["role"] == "conflict":
        return f"{r['key']:24} has no solution: the readings cannot be met ({rests})"
    return (
        f"{r['key']:24} {r['shown']:>14}  ±{_small(r['plus_minus'])} {r['unit']:6} {r['role']:8}"
        f" {r['title']}"
    )

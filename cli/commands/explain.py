"""explain and suppose: why a number is what it is, and what one changed reading changes."""

from __future__ import annotations

import json
from typing import Annotated

import typer
from soapstone.cli.options import JobFile, Json, ShopFile, designed
from soapstone.layout.faults import Exit


def explain(
    job: JobFile,
    names: Annotated[
        list[str],
        typer.Argument(
            help="names as `solve` prints them, fields of the job file, or at_bump.caster.left"
        ),
    ],
    as_json: Json = False,
) -> None:
    """Explain a number: formula, the numbers put in, source, the readings under it and its plus-minus."""
    from soapstone.layout import explain as e
    from soapstone.layout.job.load import load
    from soapstone.layout.setout import solve

    got = load(job)
    solved = solve(got)
    if any(n.startswith("at_") for n in names):
        from soapstone.layout.travel import study
        from soapstone.layout.travel.sure import sure

        t = study(got, solved)
        solved = e.with_travel(solved, t, sure(solved, t.places))
    rows = {str(k): e.explained(solved, k) for n in names for k in e.find(solved, n)}
    print(
        json.dumps(rows, indent=1)
        if as_json
        else "\n".join(line for lines in rows.values() for line in lines)
    )


def suppose(
    job: JobFile,
    changes: Annotated[
        list[str],
        typer.Argument(help='FIELD=VALUE, as many as wanted: axle.kpi=8.25 or "travel.bump=4 1/2"'),
    ],
    shop: ShopFile = None,
    as_json: Json = False,
) -> None:
    """Suppose a reading were another: only the outputs and parts that change. Nothing is written."""
    from soapstone.layout import explain as e
    from soapstone.layout.setout import diagnoses
    from soapstone.parts.way_out import held

    d = designed(job, shop)
    changed = e.supposed(d.job, e.parse_changes(d.job, changes))
    solved = e.solve(changed)
    rows = e.differences(d.solved, solved)
    other = held(solved, changed.words, changed.pins, changed.chassis, d.shop).truck
    was, now = ({p.id: p.fingerprint for p in t.parts} for t in (d.truck, other))
    parts = {
        "change": sorted(i for i in was.keys() & now.keys() if was[i] != now[i]),
        "go": sorted(was.keys() - now.keys()),
        "come": sorted(now.keys() - was.keys()),
    }
    found = [
        x
        for x in diagnoses.diagnose(changed, solved)
        if x not in diagnoses.diagnose(d.job, d.solved)
    ]
    if as_json:
        print(
            json.dumps(
                {
                    "values": [
                        {
                            "key": str(c.key),
                            "was": _cell(d.solved, c.key),
                            "now": _cell(solved, c.key),
                        }
                        for c in rows
                    ],
                    "parts": parts,
                    "diagnoses": [x.sentence for x in found],
                },
                indent=1,
            )
        )
    else:
        print(f"{len(rows)} values change:")
        for c in rows:
            print(
                f"  {c.key!s:28} {_cell(d.solved, c.key):>14} -> {_cell(solved, c.key):>14}   {solved.title(c.key)}"
            )
        stay = len(was.keys() & now.keys()) - len(parts["change"])
        print(f"parts that change: {', '.join(parts['change']) or 'none'}; {stay} stay as they are")
        for word in ("go", "come"):
            if parts[word]:
                print(f"parts that {word}: {', '.join(parts[word])}")
        for x in found:
            print(f"{x.severity}: {x.sentence} {x.cure}".rstrip())
    if any(x.severity == "conflict" for x in found):
        raise typer.Exit(Exit.NO_SOLUTION)


def _cell(g, k) -> str:  # type: ignore[no-untyped-def]
    from soapstone.layout.explain import shown

    return shown(g, k) if k in g.values else "none"

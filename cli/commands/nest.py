"""nest: parts on the shop's sheets, better than the fixed rule, kept for every later build."""

from __future__ import annotations

import json
import sys
from typing import Annotated

import typer
from soapstone.cli.options import JobFile, Json, ShopFile, designed, said, say
from soapstone.layout.faults import Exit, Fault, SoapstoneError


def nest(
    job: JobFile,
    seconds: Annotated[
        int,
        typer.Option("--seconds", help="about so long for each thickness; 0 takes the fixed rule"),
    ] = 5,
    trucks: Annotated[int, typer.Option("--trucks", help="parts for so many trucks")] = 1,
    shop: ShopFile = None,
    as_json: Json = False,
) -> None:
    """Lay the parts on the shop's sheets and remnants; the places are kept in JOB.nest.json, and build uses them until an outline or a sheet changes."""
    from soapstone.cli import disk
    from soapstone.cli.kinds import nest_kept
    from soapstone.parts import nest as n

    faults = [
        Fault(f"--{w}", str(v), f"{low} .. {high}", "type a whole number in that range")
        for w, v, low, high in (("seconds", seconds, 0, 600), ("trucks", trucks, 1, 50))
        if not low <= v <= high
    ]
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults)
    d = designed(job, shop)
    judged = d.looked(say).judged
    parts = [p for p in d.truck.parts if judged.cut(p.id)[0]]
    kept = nest_kept(job)
    if seconds:
        kept = {**kept, **n.better(parts, d.shop, seconds, trucks, say)}
        said()
        disk.put_file(
            job.with_name(f"{job.stem}.nest.json"),
            (json.dumps(kept, indent=1, sort_keys=True) + "\n").encode(),
        )
    got = n.nest(parts, d.shop, kept, trucks)
    rows = [
        {
            "plate": s.sheet.stock,
            "sheet": s.sheet.name,
            "number": s.number,
            "parts": sum(p.name != n.SQUARE for p in s.placed),
            "utilisation": round(s.utilisation, 3),
            "used_in": round(s.used / n.IN, 2),
            "remnant_in": [round(x / n.IN, 2) for x in s.remnant],
            "rule": s.rule,
        }
        for s in got.sheets
    ]
    if as_json:
        print(json.dumps({"sheets": rows, "left": dict(got.left)}, indent=1))
    else:
        for r in rows:
            print(
                f"{r['plate']:14} {r['sheet']:12} no {r['number']}: {r['parts']:3} parts, {100 * r['utilisation']:.0f} % of the strip used, {r['used_in']:.1f} in long; remnant {r['remnant_in'][0]:.1f} x {r['remnant_in'][1]:.1f} in"
            )
    for name, why in judged.barred().items():
        print(f"{name} is on no sheet, it is not for cutting: {why}", file=sys.stderr)
    for name, why in got.left.items():
        print(f"{name} is on no sheet: {why}", file=sys.stderr)
    if got.left:
        raise typer.Exit(Exit.CHECK_FAILS)

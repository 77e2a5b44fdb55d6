"""check: rules with margins, and whether the placed parts fit together."""

from __future__ import annotations

import json
import sys

import typer
from soapstone.cli.options import JobFile, Json, ShopFile, designed, tell
from soapstone.layout import units
from soapstone.layout.faults import Exit


def shown(demand: float, capacity: float, unit: str) -> tuple[str, str, str]:
    """Demand and capacity in what the shop reads: inches, pounds-force, or a bare ratio."""
    kind, word, places = {"mm": ("length", "in", 3), "N": ("force", "lbf", 0)}.get(unit, ("count", unit, 2))
    numbers = (v if kind == "count" else units.to(v, kind, word) for v in (demand, capacity))
    one, two = (f"{v + 1e-9:.{places}f}" for v in numbers)
    return one, two, word


def check(job: JobFile, shop: ShopFile = None, as_json: Json = False) -> None:
    """Rules with margins, plate against frame, and whether the placed parts fit together."""
    from soapstone.parts.fit import fit

    d = designed(job, shop)
    rows = sorted(d.truck.checks, key=lambda c: -c.utilisation)
    misfits = fit(d.truck, d.shop, d.solved.values)
    if as_json:
        print(json.dumps({"checks": [{**c._asdict(), "utilisation": c.utilisation, "verdict": c.verdict} for c in rows], "misfits": list(map(str, misfits))}, indent=1))
    else:
        for c in rows:
            demand, capacity, unit = shown(c.demand, c.capacity, c.unit)
            print(f"{c.part:6} {c.verdict:8} {c.utilisation:5.2f}  {c.what}: {demand} of {capacity} {unit}  [{c.clause}]")
        print(f"placed assembly: {len(d.truck.assembly.members)} members, {len(misfits)} misfits")
        print("These are calculations, not an approval; local law decides.")
    for m in misfits:
        print(f"misfit: {m}", file=sys.stderr)
    tell(d.truck)
    if misfits:
        raise typer.Exit(Exit.CHECK_FAILS)

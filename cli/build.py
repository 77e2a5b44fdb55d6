"""A build: every file of one chassis made in memory, written to a temporary folder, swapped whole."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import math
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

from soapstone.layout import units
from soapstone.layout.faults import Exit, SoapstoneError
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.setout import given_and_solved
from soapstone.parts.truck import Truck

UNIT = {"length": "in", "angle": "deg", "force": "lbf", "rate": "lbf/in", "torsion": "in*lbf/deg", "mass": "lb", "count": ""}
OTHER = {"angle per length": (25.4 * 180 / math.pi, "deg/in")}
VERSION = "0.1.0"


def setout_rows(solved: Graph) -> list[dict[str, Any]]:
    """One row per solved or waiting quantity: key, title, value in shop units, plus-minus (2u), role, what it rests on."""
    rows = []
    for r in given_and_solved(solved):
        factor, unit = OTHER.get(r.unit, (1.0, UNIT.get(r.unit, r.unit)))
        row: dict[str, Any] = {"key": str(r.key), "title": r.title, "role": r.role, "unit": unit, "rests_on": list(map(str, r.rests_on)),
                               "value": None, "plus_minus": None, "shown": ""}
        if r.value is not None and r.plus_minus is not None:
            shop = (lambda x, k=r.unit, u=unit: units.to(x, k, u)) if r.unit in UNIT else (lambda x, f=factor: x * f)
            shown = _shown(r.key.name, r.value, r.unit) if r.unit in UNIT else f"{r.value * factor:.2f} {unit}"
            row |= {"value": round(shop(r.value), 6), "plus_minus": round(shop(r.plus_minus), 4), "shown": shown}
        rows.append(row)
    return rows


def _shown(name: str, value: float, kind: str) -> str:
    """As printed; a wall is never rounded to the tape's sixteenth."""
    return f"{value / units.IN:.3f} in" if name.endswith(".wall") else units.show(value, kind)


def _json(data: Any) -> bytes:
    return (json.dumps(data, indent=1, sort_keys=True) + "\n").encode()


def _csv(rows: list[dict[str, Any]], columns: tuple[str, ...]) -> bytes:
    out = io.StringIO()
    w = csv.DictWriter(out, columns, extrasaction="ignore", lineterminator="\n")
    w.writeheader()
    w.writerows(rows)
    return out.getvalue().encode()


def files(job: Job, solved: Graph, truck: Truck, say: Callable[[str], None]) -> dict[str, bytes]:
    """Every file of the build but the manifest, by path. Raises if a cut file does not read back as the part."""
    from soapstone.parts import drawing, schedules
    from soapstone.parts.export import cut, step
    from soapstone.parts.stock import default_shop
    from soapstone.parts.truck import is_plate

    shop = default_shop()
    made: dict[str, bytes] = {}
    rows = setout_rows(solved)
    made["setout.json"] = _json(rows)
    made["schedule/setout.csv"] = _csv(rows, ("key", "title", "shown", "value", "unit", "plus_minus", "role"))
    made["checks.json"] = _json([{**c._asdict(), "utilisation": round(c.utilisation, 4), "verdict": c.verdict} for c in truck.checks])
    for table in schedules.tables(truck, shop):
        made[f"schedule/{table.name}.csv"] = _csv(list(table.rows), table.columns)
        made[f"schedule/{table.name}.json"] = _json(table.rows)
    faults = []
    for p in truck.parts:
        say(f"{p.id} {p.member.title}")
        revision = f"d{p.fingerprint[:6]}"
        if is_plate(p):
            name = cut.cut_name(p, job.chassis, revision, shop)
            text = cut.cut_text(p)
            faults += cut.read_back(text, p, name)
            stem = name.removesuffix(".dxf")
            made[f"cut/{name}"] = text.encode()
        else:
            stem = f"{job.chassis}-{p.id.replace('.', '-')}-{revision}"
        head = {"chassis": job.chassis, "revision": revision, "date": job.words.get("job.date", ""), "level": "DRAFT - not released"}
        sheet = drawing.sheet(p, tuple(w for w in truck.assembly.welds if p.id in (w.on, w.to)), head, shop)
        made[f"drawing/{stem}.pdf"] = drawing.pdf([sheet])
        made[f"drawing/{stem}.dxf"] = drawing.dxf(sheet)
        made[f"solid/{stem}.step"] = step.part_text(p, shop)
    if faults:
        raise SoapstoneError(Exit.CHECK_FAILS, faults, "a cut file does not read back as its part; nothing was written")
    say("the placed assembly")
    made[f"solid/{job.chassis}-assembly.step"] = step.assembly_text(truck.assembly.members, truck.parts, shop, job.chassis)
    return made


def manifest(job: Job, truck: Truck, made: dict[str, bytes]) -> bytes:
    """manifest.json: every file with its hash, every part with its facts, what waits and what failed."""
    parts = [{"part": p.id, "name": p.member.title, "family": p.member.family, "hand": p.hand, "stock": getattr(p.member.body, "stock", ""), "quantity": p.quantity,
              "fingerprint": p.fingerprint, "area_net_mm2": round(p.area_net, 3), "area_cut_mm2": round(p.area_cut, 3), "mass_kg": round(p.mass, 4),
              "place": [[round(v, 4) + 0.0 for v in axis] for axis in p.member.place], "fixed_after": p.member.fixed_after, "level": "draft",
              "rests_on": sorted(map(str, truck.reads.get(p.id, ())))} for p in truck.parts]
    rows = [{"path": path, "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()} for path, data in sorted(made.items())]
    return _json({"tool": VERSION, "job_sha256": job.sha256, "chassis": job.chassis, "unit": "in", "kerf": "nominal size: kerf belongs to the table",
                  "files": rows, "parts": parts, "waiting": {k: list(map(str, v)) for k, v in truck.waiting.items()}, "failed": truck.failed,
                  "say": "These are calculations, not an approval; local law decides."})


def write(out: Path, job: Job, made: dict[str, bytes]) -> Path:
    """Write ``out/<chassis>/draft`` whole: a temporary sibling is filled, then swapped in. Returns the folder."""
    base = out / job.chassis
    draft, new, prev = base / "draft", base / ".new", base / ".prev"
    base.mkdir(parents=True, exist_ok=True)
    if prev.exists() and not draft.exists():
        prev.rename(draft)
    shutil.rmtree(new, ignore_errors=True)
    try:
        for path, data in made.items():
            target = new / path
            target.parent.mkdir(parents=True, exist_ok=True)
            with target.open("wb") as f:
                f.write(data)
                f.flush()
                os.fsync(f.fileno())
        shutil.rmtree(prev, ignore_errors=True)
        if draft.exists():
            draft.rename(prev)
        new.rename(draft)
    except BaseException:
        if not draft.exists() and prev.exists():
            prev.rename(draft)
        shutil.rmtree(new, ignore_errors=True)
        raise
    shutil.rmtree(prev, ignore_errors=True)
    return draft

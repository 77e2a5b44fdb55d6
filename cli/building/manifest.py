"""manifest.json: every file with its hash, every part with its facts, the verdict."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ...parts.model.assembly import Part
from ...parts.model.body import Plate
from ...parts.stock import Shop
from ...parts.truck.truck import Truck
from ...parts.verdict.findings import Judged
from .build import Build
from .file_names import revision_of
from .text import json_bytes

VERSION = "0.1.0"
NAME = "manifest.json"
DIGITS = 4
"""Decimals of a millimeter, and of a kilogram."""


def part_rows(
    truck: Truck, shop: Shop, letters: Mapping[str, str], judged: Judged | None = None
) -> list[dict[str, Any]]:
    """One row a part: what it is, its fingerprint and revision, every place it goes to with the
    fingerprint there, where the first is, what it rests on; its verdict where the truck is
    ``judged``.
    """
    rows = []
    placed = {p.id: p.fingerprint for p in truck.singles}
    for p in truck.parts:
        body = p.member.body
        key = getattr(body, "stock", "")
        plate = shop.plate(key) if isinstance(body, Plate) else None
        rows.append(
            {
                "part": p.id,
                "number": p.called,
                "places": {x: placed[x] for x in p.places},
                "name": p.member.title,
                "family": p.member.family,
                "hand": p.hand,
                "stock": key,
                "quantity": p.quantity,
                "revision": revision_of(p, letters),
                "level": "released" if p.id in letters else "draft",
                "fingerprint": p.fingerprint,
                "cut": p.cut_fingerprint,
                "t_nominal_mm": round(plate.thickness, DIGITS) if plate else None,
                "t_measured_mm": round(plate.measured, DIGITS) if plate and plate.taken else None,
                "steel": (plate or shop.tube(key)).steel,
                "area_net_mm2": round(p.area_net, 3),
                "area_cut_mm2": round(p.area_cut, 3),
                "mass_kg": round(p.mass, DIGITS),
                "origin_mm": list(_origin(p)),
                "place": [[round(v, DIGITS) + 0.0 for v in axis] for axis in p.member.place],
                "moves": {k: list(v) for k, v in p.member.moves.items()},
                "fixed_after": p.member.fixed_after,
                "rests_on": sorted({str(k) for x in p.places for k in truck.reads.get(x, ())}),
                **({} if judged is None else _verdict_of(judged, p)),
            }
        )
    return rows


def _verdict_of(judged: Judged, p: Part) -> dict[str, Any]:
    f = judged.of(p.id)
    return {"verdict": f.verdict.value, "reason": f.reason, "for_cutting": judged.cut(p.id)[0]}


def _origin(p: Part) -> tuple[float, float]:
    """From the part's own origin to the lower left of its cut file, mm."""
    from ...parts.geometry import outline

    x, y = (
        outline.bbox(p.member.body.outline)[:2] if isinstance(p.member.body, Plate) else (0.0, 0.0)
    )
    return round(x, DIGITS) + 0.0, round(y, DIGITS) + 0.0


def manifest(build: Build, made: Mapping[str, bytes]) -> bytes:
    """manifest.json: the verdict; every file with kind, part and hash; every part with its facts
    and verdict; what is not for cutting. It omits itself.
    """
    owner: dict[str, Part] = {}
    for part in build.truck.parts:
        paths = (build.cut_path(part), *build.drawing_paths(part), build.solid_path(part))
        owner = dict.fromkeys(paths, part) | owner
    judged = build.judged
    return json_bytes(
        {
            "tool": VERSION,
            "job_sha256": build.job.sha256,
            "chassis": build.chassis,
            "kerf": "nominal size: kerf and lead-ins belong to the table",
            "files": [
                _file_row(path, data, owner.get(path), build.shop.unit)
                for path, data in sorted(made.items())
                if path != NAME
            ],
            "verdict": judged.worst.value,
            "headline": judged.headline,
            "exit": int(judged.exit_code),
            "parts": part_rows(build.truck, build.shop, build.issue.letters, judged),
            "waiting": {k: list(map(str, v)) for k, v in build.truck.waiting.items()},
            "not_for_cutting": dict(judged.barred()),
            "say": "These are calculations, not an approval; local law decides.",
        }
    )


def _file_row(path: str, data: bytes, of: Part | None, unit: str) -> dict[str, Any]:
    """What the manifest says of a file; ``unit``: of the cut files and drawings."""
    row: dict[str, Any] = {
        "path": path,
        "kind": path.partition("/")[0] if "/" in path else "data",
        "bytes": len(data),
        "sha256": hashlib.sha256(data).hexdigest(),
    }
    if of:
        row |= {
            "part": of.id,
            "hand": of.hand,
            "quantity": of.quantity,
            "unit": "mm" if path.startswith("solid/") else unit,
        }
    return row


def named(folder: Path) -> frozenset[str]:
    """Paths a folder's manifest names, itself too; none if it has no manifest that can be read."""
    try:
        data = json.loads((folder / "manifest.json").read_bytes())
        return frozenset(f["path"] for f in data["files"]) | {NAME}
    except (OSError, ValueError, KeyError, TypeError):
        return frozenset()

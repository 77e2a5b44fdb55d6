"""manifest.json: every file with its hash, every part with its facts, the verdict."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import NotRequired, TypedDict

from ...parts.model.assembly import Part
from ...parts.model.body import Plate
from ...parts.stock import Shop
from ...parts.truck.likeness import CutRow
from ...parts.truck.truck import Truck
from ...parts.verdict.cut_today import when
from ...parts.verdict.findings import Judged
from .build import Build
from .file_names import revision_of
from .text import json_bytes

VERSION = "0.1.0"
NAME = "manifest.json"
DIGITS = 4
"""Decimals of a millimeter, and of a kilogram."""


class VerdictRow(TypedDict, total=False):
    """What the verdict says of a part.

    Attributes
    ----------
    verdict: its worst finding.
    reason: why; empty if it is ok.
    for_cutting: whether it may be cut.
    """

    verdict: str
    reason: str
    for_cutting: bool


class PartRow(CutRow, VerdictRow):
    """A part's facts in the manifest and in a record, lengths in mm, areas in mm2, mass in kg.

    Attributes
    ----------
    number: what is engraved and printed; ``part`` is the model's own name.
    hand: side it is cut for, where left and right differ.
    stock: key of its plate or tube.
    revision: letter at which it last changed, or the draft's mark.
    origin_mm: from its own origin to the lower left of its cut file.
    place: its frame in the truck, rounded.
    when: it may be cut: now, after set-down, waiting.
    rests_on: readings it is made from.
    first: chassis whose number it keeps, in a record only.
    """

    number: str
    name: str
    family: str
    hand: str
    stock: str
    quantity: int
    revision: str
    level: str
    t_nominal_mm: float | None
    t_measured_mm: float | None
    steel: str
    area_net_mm2: float
    area_cut_mm2: float
    mass_kg: float
    origin_mm: list[float]
    place: list[list[float]]
    moves: dict[str, list[float]]
    fixed_after: str
    when: NotRequired[str]
    rests_on: list[str]
    first: NotRequired[str]


class FileRow(TypedDict):
    """A file in the manifest; of a part's own file also whose it is, and its unit."""

    path: str
    kind: str
    bytes: int
    sha256: str
    part: NotRequired[str]
    hand: NotRequired[str]
    quantity: NotRequired[int]
    unit: NotRequired[str]


def part_rows(
    truck: Truck, shop: Shop, letters: Mapping[str, str], judged: Judged | None = None
) -> list[PartRow]:
    """One row a part: what it is, its fingerprint and revision, every place it goes to with the
    fingerprint there, where the first is, what it rests on; its verdict where the truck is
    ``judged``.
    """
    rows: list[PartRow] = []
    placed = {single.id: single.fingerprint for single in truck.singles}
    for part in truck.parts:
        body = part.member.body
        key = getattr(body, "stock", "")
        plate = shop.plate(key) if isinstance(body, Plate) else None
        row: PartRow = {
            "part": part.id,
            "number": part.called,
            "places": {place: placed[place] for place in part.places},
            "name": part.member.title,
            "family": part.member.family,
            "hand": part.hand,
            "stock": key,
            "quantity": part.quantity,
            "revision": revision_of(part, letters),
            "level": "released" if part.id in letters else "draft",
            "fingerprint": part.fingerprint,
            "cut": part.cut_fingerprint,
            "t_nominal_mm": round(plate.thickness, DIGITS) if plate else None,
            "t_measured_mm": round(plate.measured, DIGITS) if plate and plate.taken else None,
            "steel": (plate or shop.tube(key)).steel,
            "area_net_mm2": round(part.area_net, 3),
            "area_cut_mm2": round(part.area_cut, 3),
            "mass_kg": round(part.mass, DIGITS),
            "origin_mm": list(_origin(part)),
            "place": [[_rounded(value) for value in axis] for axis in part.member.place],
            "moves": {name: list(by) for name, by in part.member.moves.items()},
            "fixed_after": part.member.fixed_after,
            "rests_on": _rests_on(part, truck),
        }
        if judged is not None:
            finding = judged.of(part.id)
            row["verdict"], row["reason"] = finding.verdict.value, finding.reason
            row["for_cutting"] = judged.cut(part.id)[0]
            row["when"] = when(part, judged).value
        rows.append(row)
    return rows


def _rests_on(part: Part, truck: Truck) -> list[str]:
    return sorted({str(key) for place in part.places for key in truck.reads.get(place, ())})


def _rounded(value: float) -> float:
    """To the manifest's digits, without a minus before zero."""
    return round(value, DIGITS) + 0.0


def _origin(part: Part) -> tuple[float, float]:
    """From the part's own origin to the lower left of its cut file, mm."""
    from ...parts.geometry import outline

    x, y = (
        outline.bbox(part.member.body.outline)[:2]
        if isinstance(part.member.body, Plate)
        else (0.0, 0.0)
    )
    return _rounded(x), _rounded(y)


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
            "waiting": {who: list(map(str, keys)) for who, keys in build.truck.waiting.items()},
            "not_for_cutting": dict(judged.barred()),
            "say": "These are calculations, not an approval; local law decides.",
        }
    )


def _file_row(path: str, data: bytes, of: Part | None, unit: str) -> FileRow:
    """What the manifest says of a file; ``unit``: of the cut files and drawings."""
    row: FileRow = {
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
        return frozenset(row["path"] for row in data["files"]) | {NAME}
    except (OSError, ValueError, KeyError, TypeError):
        return frozenset()

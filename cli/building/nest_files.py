"""Nested sheets as cut files and one PDF, what is left of each; places kept beside the job."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ...layout import reader
from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.load import Job
from ...parts.model.assembly import Part
from ...parts.model.body import Plate
from ...parts.stock import Shop
from .text import csv_bytes, json_bytes

if TYPE_CHECKING:
    from ...parts.export.nest import KeptNest, Nested, Result
    from ...parts.export.packing import Piece

COLUMNS = (
    "sheet",
    "plate",
    "name",
    "number",
    "utilisation",
    "at_best",
    "used",
    "unit",
    "remnant",
    "remnant_width",
    "remnant_length",
    "rule",
    "cut",
    "parts",
)


def nest_kept(job: Path) -> dict[str, KeptNest]:
    """Places stored by ``nest`` beside the job file; none if there are none.

    By stock and what is nested of it, as ``parts.export.nest`` keeps them. Raises SoapstoneError
    (JOB_FILE) for a file that cannot be read or was not written by ``nest``.
    """
    path = job.with_name(f"{job.stem}.nest.json")
    if not path.is_file():
        return {}
    try:
        found = json.loads(path.read_bytes())
        assert isinstance(found, dict) and all(
            isinstance(own["sheets"], list) for own in found.values()
        )
    except (ValueError, KeyError, TypeError, AssertionError):
        raise SoapstoneError(
            Exit.JOB_FILE,
            [Fault(str(path), "", "places as nest wrote them", "delete it and run nest again")],
        ) from None
    return found


def nest_files(
    job: Job,
    parts: Sequence[Part],
    shop: Shop,
    kept: Mapping[str, KeptNest],
    *,
    foot: str = "",
    trucks: int = 1,
) -> tuple[dict[str, bytes], Result]:
    """Nested sheets as DXF and as one PDF, and the remnant report; and the nest.

    ``kept``: see ``nest_kept``; ``trucks``: parts for so many. Raises SoapstoneError
    (JOB_FILE) if parts of a sheet come too near each other or its edge.
    """
    from ...parts import drawing
    from ...parts.drawing.nest import nest_sheets
    from ...parts.export import nest
    from ...parts.export.nest_cut import sheet_dxf

    called = {part.called: part for part in parts}
    result = nest.nest(parts, shop, kept, trucks)
    pieces = {piece.name: piece for piece in nest.pieces(parts, trucks)}
    named = (job.chassis, *([f"x{trucks}"] if trucks > 1 else []))
    made: dict[str, bytes] = {}
    rows: list[dict[str, str | float]] = []
    for sheet in result.sheets:
        _apart(sheet, {**pieces, nest.SQUARE: nest.check_square(shop, sheet.sheet.stock)}, shop)
        stem = _stem((*named, *_sheet_names(sheet), shop.unit))
        made[f"nest/{stem}.dxf"] = sheet_dxf(sheet, called, shop).encode()
        rows.append(_row(sheet, stem, job.chassis))
    if rows or result.left:
        made[f"nest/{'-'.join(named)}-nest.pdf"] = drawing.pdf(
            nest_sheets(
                job.chassis,
                job.words.get("job.date", ""),
                result.sheets,
                {**pieces, nest.SQUARE: nest.check_square(shop, "")},
                result.left,
                shop.unit,
                _bends(parts),
            ),
            shop.paper,
            foot,
            shop.name,
        )
    made["schedule/nest.csv"] = csv_bytes(rows, COLUMNS)
    made["schedule/nest.json"] = json_bytes({"sheets": rows, "left": dict(result.left)})
    return made, result


def _bends(parts: Sequence[Part]) -> dict[str, list[tuple[float, float]]]:
    """The way each bend line runs on the flat, of every part that has one, by its name."""
    return {
        part.called: [
            (bend.end[0] - bend.start[0], bend.end[1] - bend.start[1])
            for bend in part.member.body.bends
        ]
        for part in parts
        if isinstance(part.member.body, Plate) and part.member.body.bends
    }


def _apart(sheet: Nested, pieces: Mapping[str, Piece], shop: Shop) -> None:
    """Raise where parts of a sheet come too near each other or its edge."""
    from ...parts.export.nest import clashes

    wrong = clashes(sheet, pieces, shop)
    if wrong:
        raise SoapstoneError(
            Exit.JOB_FILE,
            [
                Fault(
                    f"{sheet.sheet.stock} sheet {sheet.number}",
                    words,
                    "parts apart and off the edge",
                    "delete the job's .nest.json and run nest again",
                )
                for words in wrong
            ],
        )


def _sheet_names(sheet: Nested) -> tuple[str, ...]:
    """Plate, sheet and number, and of one that is cut later that it is."""
    late = ("after set-down",) if sheet.after else ()
    return sheet.sheet.stock.replace("/", "_"), sheet.sheet.name, f"s{sheet.number}", *late


def _stem(fields: Sequence[str]) -> str:
    """Fields of a file name, each without what a table's controller may choke on."""
    return "-".join(re.sub(r"[^A-Za-z0-9_]", "_", field) for field in fields)


def _row(sheet: Nested, stem: str, chassis: str) -> dict[str, str | float]:
    from ...parts.export.nest import SQUARE

    counts = Counter(piece.name for piece in sheet.placed if piece.name != SQUARE)
    return {
        "sheet": stem,
        "plate": sheet.sheet.stock,
        "name": sheet.sheet.name,
        "number": sheet.number,
        "utilisation": round(sheet.utilisation, 3),
        "at_best": round(sheet.at_best, 3),
        "used": round(reader.valued(sheet.used, "length"), 2),
        "unit": reader.unit("length"),
        "remnant": f"{chassis} {sheet.remnant_name}",
        "remnant_width": round(reader.valued(sheet.remnant[0], "length"), 2),
        "remnant_length": round(reader.valued(sheet.remnant[1], "length"), 2),
        "rule": sheet.rule,
        "cut": "after set-down" if sheet.after else "now",
        "parts": " ".join(f"{name} x{count}" for name, count in sorted(counts.items())),
    }

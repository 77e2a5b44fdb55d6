"""nest: parts on the shop's sheets, better than the fixed rule, kept for every later build."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ...layout import reader
from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.words.names import part
from ..building.designing import Designed, designed
from ..options import JobFile, Json, Out, ShopFile, said, say

if TYPE_CHECKING:
    from ...parts.truck.truck import Truck
    from ...parts.verdict.findings import Judged


def nest(
    job: JobFile,
    seconds: Annotated[
        int,
        typer.Option("--seconds", help="about so long for each thickness; 0 takes the fixed rule"),
    ] = 5,
    trucks: Annotated[
        int,
        typer.Option(
            "--trucks", help="parts for so many trucks; their sheets go to OUT/CHASSIS/nest-xN"
        ),
    ] = 1,
    out: Out = Path("out"),
    shop: ShopFile = None,
    as_json: Json = False,
) -> None:
    """Lay the parts on the shop's sheets and remnants; the places are kept in JOB.nest.json, and
    build uses them until an outline or a sheet changes. For several trucks the nested sheets are
    written too (DXF, PDF, remnants); the build stays one truck's.
    """
    from ...parts.export import nest as n
    from .. import disk
    from ..building.files import nest_kept

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
            "used": round(reader.valued(s.used, "length"), 2),
            "remnant": [round(reader.valued(x, "length"), 2) for x in s.remnant],
            "unit": reader.unit("length"),
            "rule": s.rule,
        }
        for s in got.sheets
    ]
    if trucks > 1:
        _write(d, judged, job, kept, trucks, out)
    if as_json:
        print(json.dumps({"sheets": rows, "left": dict(got.left)}, indent=1))
    else:
        for r in rows:
            print(
                f"{r['plate']:14} {r['sheet']:12} no {r['number']}: {r['parts']:3} parts,"
                f" {100 * r['utilisation']:.0f} % of the strip used, {r['used']:.1f} {r['unit']}"
                f" long; remnant {r['remnant'][0]:.1f} x {r['remnant'][1]:.1f} {r['unit']}"
            )
        if trucks > 1:
            print(
                f"{len(got.sheets)} sheets for {trucks} trucks are in"
                f" {folder_of(out, d.job.chassis, trucks)}; cut them from there, not from the build"
            )
    for name, why in judged.barred().items():
        print(f"{part(name)} is on no sheet, it is not for cutting: {why}", file=sys.stderr)
    for name, why in got.left.items():
        print(f"{part(name)} is on no sheet: {why}", file=sys.stderr)
    if got.left:
        raise typer.Exit(Exit.CHECK_FAILS)


def folder_of(out: Path, chassis: str, trucks: int) -> Path:
    """Where nested sheets of several trucks go."""
    return out / chassis / f"nest-x{trucks}"


def _write(
    d: Designed, judged: Judged, job: Path, kept: dict[str, Any], trucks: int, out: Path
) -> None:
    """Nested sheets of several trucks, whole or not at all, apart from the build; the steel carries
    the released letters where the job is as it was released, else the draft's mark.
    """
    from ...parts.documents.levels import foot
    from .. import disk
    from ..building import files as kinds

    truck, letter = _released(d, job)
    says = f"RELEASED {letter}" if letter else "DRAFT - not released"
    parts = [p for p in truck.parts if judged.cut(p.id)[0]]
    words = foot(d.job.chassis, f"{says}, parts for {trucks} trucks", letter)
    made, _ = kinds.nest_files(d.job, parts, d.shop, kept, words, trucks)
    folder = folder_of(out, d.job.chassis, trucks)
    own = {path.partition("/")[2]: data for path, data in made.items()}
    disk.swap_in(folder.parent, folder.name, own)


def _released(d: Designed, job: Path) -> tuple[Truck, str]:
    """The truck with the letters of its last revision, and that revision, if every part is cut as
    it was released; else as it is, and nothing.
    """
    from ...parts.truck.likeness import compare_rows
    from ...parts.truck.truck import relettered
    from ..archive.store import Archive
    from ..building.build import part_rows
    from .release import archive_of

    records = Archive(archive_of(None, d.shop.archive, job)).records(d.job.chassis)
    if not records:
        return d.truck, ""
    last = records[-1]
    found = compare_rows(last.data["parts"], part_rows(d.truck, d.shop, {}))
    if found.shape or found.come or found.gone:
        return d.truck, ""
    letters = {p.id: last.revisions().get(p.id, last.letter) for p in d.truck.singles}
    firsts = {p["part"]: p["first"] for p in last.data["parts"] if "first" in p}
    return relettered(d.truck, d.shop, d.job.chassis, letters, firsts), last.letter

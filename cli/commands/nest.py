"""nest: parts on the shop's sheets, better than the fixed rule, kept for every later build."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypedDict

import typer

from ...layout import reader
from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.words.names import part
from ..building.design import Designed, designed
from ..options import AsJson, JobFile, NoCache, Out, ShopFile
from ..screen import said, say, then

if TYPE_CHECKING:
    from ...parts.export.nest import KeptNest, Result
    from ...parts.truck.truck import Truck
    from ...parts.verdict.findings import Judged

PLACE = 110
LONGEST = 600
"""Seconds a thickness may take: beyond ten minutes the places hardly get tighter."""
MOST_TRUCKS = 50


Seconds = Annotated[
    int,
    typer.Option("--seconds", help="about so long for each thickness; 0 takes the fixed rule"),
]
Trucks = Annotated[
    int,
    typer.Option(
        "--trucks", help="parts for so many trucks; their sheets go to OUT/CHASSIS/nest-xN"
    ),
]


class NestedRow(TypedDict):
    """A nested sheet as printed, lengths in the reader's unit."""

    plate: str
    sheet: str
    number: int
    parts: int
    utilisation: float
    at_best: float
    used: float
    remnant: list[float]
    unit: str
    rule: str
    cut: str


def nest(
    job: JobFile,
    *,
    seconds: Seconds = 5,
    trucks: Trucks = 1,
    out: Out = Path("out"),
    shop: ShopFile = None,
    no_cache: NoCache = False,
    as_json: AsJson = False,
) -> None:
    """Lay the parts on the shop's sheets and remnants; the places are kept in JOB.nest.json, and
    build uses them until an outline or a sheet changes. For several trucks the nested sheets are
    written too (DXF, PDF, remnants); the build stays one truck's.
    """
    from ...parts.export import nest as nesting
    from ...parts.export.tighter import better
    from .. import disk
    from ..building.nest_files import nest_kept

    _in_range(seconds, trucks)
    found = designed(job, shop)
    judged = found.looked(say).judged
    parts = [own for own in found.truck.parts if judged.cut(own.id)[0]]
    kept = nest_kept(job)
    if seconds:
        kept = {**kept, **better(parts, found.shop, seconds, trucks, say)}
        said()
        disk.put_file(
            job.with_name(f"{job.stem}.nest.json"),
            (json.dumps(kept, indent=1, sort_keys=True) + "\n").encode(),
        )
    nested = nesting.nest(parts, found.shop, kept, trucks)
    rows = _rows(nested)
    folder = folder_of(out, found.job.chassis, trucks)
    if trucks > 1:
        _write(found, judged, job, kept, trucks, folder)
    if as_json:
        print(json.dumps({"sheets": rows, "left": dict(nested.left)}, indent=1))
    else:
        _tell(rows, trucks, folder)
    for name, why in judged.barred().items():
        print(f"{part(name)} is on no sheet, it is not for cutting: {why}", file=sys.stderr)
    for name, why in nested.left.items():
        print(f"{part(name)} is on no sheet: {why}", file=sys.stderr)
    if nested.left:
        raise typer.Exit(Exit.CHECK_FAILS)
    if trucks == 1:
        then("build", job, why="cuts from these places")


def _in_range(seconds: int, trucks: int) -> None:
    """Faults for numbers out of range."""
    faults = [
        Fault(f"--{word}", str(value), f"{low} .. {high}", "type a whole number in that range")
        for word, value, low, high in (
            ("seconds", seconds, 0, LONGEST),
            ("trucks", trucks, 1, MOST_TRUCKS),
        )
        if not low <= value <= high
    ]
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults)


def _rows(nested: Result) -> list[NestedRow]:
    from ...parts.export.nest import SQUARE

    def length(value: float) -> float:
        return round(reader.valued(value, "length"), 2)

    return [
        NestedRow(
            plate=own.sheet.stock,
            sheet=own.sheet.name,
            number=own.number,
            parts=sum(piece.name != SQUARE for piece in own.placed),
            utilisation=round(own.utilisation, 3),
            at_best=round(own.at_best, 3),
            used=length(own.used),
            remnant=[length(side) for side in own.remnant],
            unit=reader.unit("length"),
            rule=own.rule,
            cut="after set-down" if own.after else "now",
        )
        for own in nested.sheets
    ]


def _tell(rows: list[NestedRow], trucks: int, folder: Path) -> None:
    for row in rows:
        unit, (long, wide) = row["unit"], row["remnant"]
        best = f"{100 * row['at_best']:.0f} at best"
        print(
            f"{row['plate']:14} {row['sheet']:12} no {row['number']}: {row['parts']:3} parts,"
            f" {100 * row['utilisation']:.0f} % of the strip used ({best} with the shop's spacing),"
            f" {row['used']:.1f} {unit} long; remnant {long:.1f} x {wide:.1f} {unit};"
            f" cut {row['cut']}"
        )
    if trucks > 1:
        print(
            f"{len(rows)} sheets for {trucks} trucks are in {folder}; cut them from there, not from"
            " the build"
        )


def folder_of(out: Path, chassis: str, trucks: int) -> Path:
    """Where nested sheets of several trucks go."""
    return out / chassis / f"nest-x{trucks}"


def _write(
    found: Designed,
    judged: Judged,
    job: Path,
    kept: Mapping[str, KeptNest],
    trucks: int,
    folder: Path,
) -> None:
    """Nested sheets of several trucks, whole or not at all, apart from the build; the steel carries
    the released letters where the job is as it was released, else the draft's mark.
    """
    from ...parts.documents.levels import foot
    from .. import disk
    from ..building.nest_files import nest_files

    truck, letter = _released(found, job)
    says = f"RELEASED {letter}" if letter else "DRAFT - not released"
    parts = [own for own in truck.parts if judged.cut(own.id)[0]]
    words = foot(found.job.chassis, f"{says}, parts for {trucks} trucks", letter)
    made, _ = nest_files(found.job, parts, found.shop, kept, foot=words, trucks=trucks)
    own = {path.partition("/")[2]: data for path, data in made.items()}
    ours = frozenset(own) | disk.begun_with(folder, found.job.chassis)
    disk.swap_in(folder.parent, folder.name, own, ours)


def _released(found: Designed, job: Path) -> tuple[Truck, str]:
    """The truck with the letters of its last revision, and that revision, if every part is cut as
    it was released; else as it is, and nothing.
    """
    from ...parts.truck.likeness import compare_rows
    from ...parts.truck.truck import relettered
    from ..archive.releasing import archive_of
    from ..archive.store import Archive
    from ..building.manifest import part_rows

    records = Archive(archive_of(None, found.shop.archive, job)).records(found.job.chassis)
    if not records:
        return found.truck, ""
    last = records[-1]
    compared = compare_rows(last.data["parts"], part_rows(found.truck, found.shop, {}))
    if compared.shape or compared.come or compared.gone:
        return found.truck, ""
    letters = {own.id: last.revisions().get(own.id, last.letter) for own in found.truck.singles}
    firsts = {row["part"]: row["first"] for row in last.data["parts"] if "first" in row}
    return relettered(found.truck, found.shop, found.job.chassis, letters, firsts), last.letter

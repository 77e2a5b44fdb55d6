"""Several trucks built in one run: each whole or not at all, a failed one stops none of the rest;
then a table of all of them against the first.
"""

from __future__ import annotations

import json
import sys
import traceback
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ...layout import reader
from ...layout.faults import Exit, Fault, SoapstoneError
from .. import disk, interrupt
from ..screen import said, say
from .cache import made_with
from .spread import over_cluster, spread
from .text import csv_bytes, json_bytes
from .variants import ToBuild, named_in

if TYPE_CHECKING:
    from ...layout.job.load import Job
    from ...parts.design.sizing import Check
    from ...parts.export.nest import KeptNest
    from ...parts.stock import Shop
    from .design import Designed
    from .manifest import PartRow
    from .verdict import Looked

NAME = "trucks"
WORST = (
    *(Exit.BUG, Exit.COMMAND_LINE, Exit.JOB_FILE, Exit.DISK, Exit.NO_SOLUTION),
    *(Exit.CHECK_FAILS, Exit.READINGS_OWED, Exit.DONE),
)
"""Codes, the one that the run ends with first."""
COLUMNS = (
    *("chassis", "code", "verdict", "parts", "cut_now", "waits", "mass", "unit", "used", "by"),
    *("same", "moved", "shape", "gone", "come", "says"),
)
CODES = 4
"""Parts of a new shape that the screen names."""


class TruckToBuild(NamedTuple):
    """A job as it is sent to where it is built, for whoever reads it."""

    job: Job
    shop: Shop
    kept: Mapping[str, KeptNest]
    voice: reader.Voice


class TruckBuilt(NamedTuple):
    """What came of it.

    Attributes
    ----------
    files: by path, none where it could not be made.
    says: the verdict in a sentence, or the faults.
    verdict, cut_now, waits: of the whole, and plates counted.
    used, by: the row that is used most, as a share, and what it holds.
    made_with: version of tool and libraries, as the cache names it.
    """

    code: int
    says: str
    files: Mapping[str, bytes] = {}
    verdict: str = ""
    cut_now: int = 0
    waits: int = 0
    used: float = 0.0
    by: str = ""
    made_with: str = ""


def built(work: TruckToBuild) -> TruckBuilt:
    """A truck designed and every file of it made, in whichever process this is."""
    from .build import Build
    from .design import designed_job
    from .every_file import files

    reader.take(work.voice)
    try:
        found = designed_job(work.job, work.shop)
        build = Build(found, kept=work.kept)
        made = files(build, alone=True)
        build.again.keep(made)
        return _told(found, build.looked, made)
    except SoapstoneError as e:
        return TruckBuilt(e.code, "; ".join(map(str, e.faults)), made_with=made_with())
    except Exception:
        return TruckBuilt(Exit.BUG, traceback.format_exc(), made_with=made_with())


def _told(found: Designed, looked: Looked, made: Mapping[str, bytes]) -> TruckBuilt:
    from ...parts.model.terms import When
    from ...parts.truck.truck import is_plate
    from ...parts.verdict.cut_today import sorted_parts
    from ...parts.words.names import sentence

    plates = {
        when: sum(map(is_plate, parts))
        for when, parts in sorted_parts(found.truck, looked.judged).items()
    }
    most = max(found.strength.checks, key=_used, default=None)
    return TruckBuilt(
        code=looked.judged.exit_code,
        says=looked.judged.headline,
        files=made,
        verdict=looked.judged.worst.value,
        cut_now=plates[When.NOW],
        waits=plates[When.WAITS],
        used=most.utilisation if most else 0.0,
        by=sentence(f"{most.part}: {most.what}") if most else "",
        made_with=made_with(),
    )


def _used(check: Check) -> float:
    return check.utilisation if check.must else 0.0


def catalogue(paths: Sequence[Path], out: Path, shop: Path | None, jobs: int, cluster: str) -> Exit:
    """Build every truck that the files name, write each as it comes and then the table; the code
    the run ends with.

    Raises SoapstoneError (JOB_FILE) where two are of one name or a file of variants is wrong.
    """
    disk.ready(out)
    wanted = [one for path in paths for one in named_in(path)]
    works, told = _loaded(wanted, shop)
    chassis = [work.job.chassis for work in works]
    answers = over_cluster(built, works, cluster) if cluster else spread(built, works, jobs)
    found: dict[str, TruckBuilt] = {}
    for number, answer in answers:
        interrupt.stop_if_pressed()
        name = chassis[number]
        found[name] = _written(out, name, _sound(answer))
        done = f"{len(found)} of {len(works)} trucks"
        interrupt.leaves(f"{done} are built, each whole; the others are as they were")
        say(f"{done}, last {name}")
    said()
    found = {name: found[name] for name in chassis if name in found}
    rows = [_row(name, one, found) for name, one in found.items()]
    for row in rows:
        print(_line(row))
    for ending, data in (("csv", csv_bytes(rows, COLUMNS)), ("json", json_bytes(rows))):
        disk.put_file(out / f"{NAME}.{ending}", data)
    count = f"{len(rows)} truck{'' if len(rows) == 1 else 's'}"
    print(f"{count}, side by side in {out / f'{NAME}.csv'}")
    codes = {*told, *(Exit(one.code) for one in found.values())}
    return next(code for code in WORST if code in codes or code is Exit.DONE)


def _loaded(wanted: Sequence[ToBuild], shop: Path | None) -> tuple[list[TruckToBuild], set[Exit]]:
    """Each job as it is sent; the faults of one that cannot be read are told, and the codes."""
    from .design import loaded
    from .nest_files import nest_kept

    works: list[TruckToBuild] = []
    codes = set()
    for one in wanted:
        called = str(one.put.get("job.chassis", one.job))
        try:
            job, own = loaded(one.job, shop, one.put)
            works.append(TruckToBuild(job, own, nest_kept(one.job), reader.voice()))
        except SoapstoneError as e:
            codes.add(e.code)
            print(f"{called} is not built:", file=sys.stderr)
            for fault in e.faults:
                print(f"  {fault}", file=sys.stderr)
    names = [work.job.chassis.lower() for work in works]
    twice = [
        Fault("job.chassis", work.job.chassis, "each name once", "give one of the two another")
        for at, work in enumerate(works)
        if names.index(work.job.chassis.lower()) != at
    ]
    if twice:
        raise SoapstoneError(Exit.JOB_FILE, twice, "two trucks of one name; nothing was built")
    return works, codes


def _sound(answer: TruckBuilt | None) -> TruckBuilt:
    """What came, unless another version of the tool made it."""
    if answer is None:
        return TruckBuilt(Exit.BUG, "the process it was built in ended, twice: too little memory?")
    if answer.made_with != made_with():
        remedy = "install the same soapstone, Python and libraries on every worker"
        return TruckBuilt(Exit.COMMAND_LINE, f"a worker is of another version: {remedy}")
    return answer


def _written(out: Path, name: str, answer: TruckBuilt) -> TruckBuilt:
    """On the disk, whole, and of its files what the table of all is made from: those of a hundred
    trucks are no load for one machine. A disk that refuses one does not keep the others from
    theirs.
    """
    from .every_file import write
    from .manifest import NAME as MANIFEST

    if not answer.files:
        return answer
    try:
        write(out, name, answer.files)
    except OSError as e:
        return TruckBuilt(Exit.DISK, f"not written: {e}")
    return answer._replace(files={MANIFEST: answer.files[MANIFEST]})


def _row(name: str, one: TruckBuilt, every: Mapping[str, TruckBuilt]) -> dict[str, object]:
    """A truck's line of the table, held against the first that could be made."""
    from ...parts.truck.likeness import compare_rows

    row: dict[str, object] = {"chassis": name, "code": one.code, "says": one.says.strip()}
    if not one.files:
        return row
    first = next(each for each in every.values() if each.files)
    parts = _parts(one)
    differs = compare_rows(_parts(first), parts)
    mass = sum(part["mass_kg"] * part["quantity"] for part in parts)
    return row | {
        "verdict": one.verdict,
        "parts": sum(part["quantity"] for part in parts),
        "cut_now": one.cut_now,
        "waits": one.waits,
        "mass": reader.valued(mass, "mass"),
        "unit": reader.unit("mass"),
        "used": one.used,
        "by": one.by,
        **{word: " ".join(parts) for word, parts in differs._asdict().items()},
    }


def _parts(one: TruckBuilt) -> list[PartRow]:
    rows: list[PartRow] = json.loads(one.files["manifest.json"])["parts"]
    return rows


def _line(row: Mapping[str, object]) -> str:
    """A truck on the screen."""
    head = f"{row['chassis']!s:24} "
    if "verdict" not in row:
        last = str(row["says"]).splitlines()[-1:]
        return f"{head}not built ({row['code']}): {''.join(last)}"
    counts = {word: len(str(row[word]).split()) for word in ("moved", "shape", "gone", "come")}
    named = str(row["shape"]).split()
    shapes = f" ({' '.join(named)})" if 0 < len(named) <= CODES else ""
    differs = (
        f"{counts['moved']} at another place, {counts['shape']} of a new shape{shapes},"
        f" {counts['come']} more, {counts['gone']} fewer"
        if any(counts.values())
        else "the same parts"
    )
    return (
        f"{head}{row['verdict']!s:14} {float(str(row['mass'])):7.1f} {row['unit']},"
        f" cut now {row['cut_now']}, waits {row['waits']},"
        f" most used {float(str(row['used'])):.2f}; {differs}"
    )

"""readings: check a job file, print the measuring sheet, take it back in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.cross import sides_apart
from ...layout.job.reading import all_taken
from ..building.design import read_for
from ..building.form_file import is_handed, said_lines, take_form, write_form
from ..building.owed import cut_now, of_code, owed_lines, shown_first, step_lines, steps, waiting_on
from ..options import AsJson, JobFile, ShopFile
from ..screen import then

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ...layout.assumed import Assumed
    from ...layout.job.load import Job
    from ...parts.verdict.findings import Judged

PLACE = 30
MOST_APART = 6
"""Lines of readings whose left and right differ far."""
EVERY = "all"
"""What --add takes beside the code of a part."""


def _schema(path: Path | None) -> None:
    """The schema to a file; needs no job."""
    if path is None:
        return
    from .. import disk
    from ..building.schema import schema_text
    from ..out_file import ends_in

    ends_in("--schema", path, ".json")
    disk.put_file(path, schema_text().encode())
    print(f"{path}: the schema of job and shop files; their first line points an editor at it:")
    print(f"#:schema ./{path.name}")
    raise typer.Exit


SheetFile = Annotated[
    Path | None,
    typer.Option("--sheet", help="write the measuring sheet, CSV or PDF by its ending"),
]
TakenFile = Annotated[
    Path | None,
    typer.Option(
        "--take",
        help=(
            "take a filled measuring sheet (CSV), or what the form handed back, in: into"
            " JOB.taped.toml beside the job"
        ),
    ),
]
FormFile = Annotated[
    Path | None,
    typer.Option("--form", help="write the form for a phone under the truck, one HTML file"),
]
ForParts = Annotated[
    str, typer.Option("--for", help="only what the parts of a code need, such as CM")
]
Add = Annotated[
    list[str] | None,
    typer.Option(
        "--add",
        help=(
            "write lines to fill in for what the parts of a code need, such as CM, into the job"
            " file, for all that is still needed, or for fields by how their names begin, such as"
            " arms.lower_bush; what stands in it stays as it is"
        ),
    ),
]
SchemaFile = Annotated[
    Path | None,
    typer.Option(
        "--schema",
        is_eager=True,
        callback=_schema,
        help="write the JSON schema of job and shop files, for an editor, and nothing else",
    ),
]


EveryReading = Annotated[
    bool,
    typer.Option("--all", help="every reading that is needed and everything assumed, a line each"),
]


def readings(  # noqa: PLR0913  # each is an argument or option of the command line
    job: JobFile,
    *,
    sheet: SheetFile = None,
    form: FormFile = None,
    take: TakenFile = None,
    family: ForParts = "",
    add: Add = None,
    schema: SchemaFile = None,
    every: EveryReading = False,
    shop: ShopFile = None,
    as_json: AsJson = False,
) -> None:
    """Check the readings of a job file and list what is still owed, in the order of a walk round
    the truck, each with the parts it is for, and which further readings free which parts.
    """
    del schema  # written before anything else
    from ...layout.job_file import load

    kept = read_for(job, shop)
    if take:
        _take(job, take)
    if add:
        _add(job, add)
    got = load(job)
    if form:
        write_form(job, form)
        then("readings", job, "--take", f"{got.chassis}-readings.json", why="at the truck, then")
        return
    if family:
        _for_one(got, family, as_json)
        return
    # not before: --for answers without a layout
    from ...layout.setout import solve
    from ...parts.verdict.assumptions import assumptions
    from ...parts.verdict.judging import judge_readings

    judged = judge_readings(got)
    if sheet:
        _sheet(job, sheet, kept.paper)
    assumed = assumptions(got, solve(got), None, None, kept)
    if as_json:
        _print_data(got, judged, assumed)
    else:
        _tell(job, got, assumed, judged.headline, every=every)
    _next(job, sheet, got)
    if judged.exit_code and not (sheet or take or add):
        raise typer.Exit(judged.exit_code)


def _print_data(got: Job, judged: Judged, assumed: Sequence[Assumed]) -> None:
    """What --json prints: readings as typed, what is owed and what it holds up, what is assumed."""
    facts = {
        "chassis": got.chassis,
        "verdict": judged.worst.value,
        "headline": judged.headline,
        "readings": {str(key): reading.typed for key, reading in got.readings.items()},
        "taken": {says: list(map(str, keys)) for says, keys in all_taken(got.readings).items()},
        "owed": list(map(str, got.owed)),
        "held_up": {str(key): list(parts) for key, parts in waiting_on(got).items()},
        "steps": [
            {"readings": list(map(str, step.keys)), "parts": dict(step.parts)}
            for step in steps(got)
        ],
        "sides_apart": list(sides_apart(got.readings)),
        "assumed": list(map(str, assumed)),
    }
    print(json.dumps(facts, indent=1))


def _tell(job: Path, got: Job, assumed: Sequence[Assumed], headline: str, *, every: bool) -> None:
    given = [reading for reading in got.readings.values() if not reading.assumed]
    print(f"{got.chassis}: {len(given)} readings, no faults; {len(got.owed)} still needed")
    among = frozenset(got.owed) if every else shown_first(got, job.read_text(encoding="utf-8-sig"))
    for line in owed_lines(got, among=among):
        print(f"  {line}")
    if len(among) < len(got.owed):
        print(
            f"  and {len(got.owed) - len(among)} readings that this file has no line for yet"
            f" (soapstone readings {job} --all)"
        )
    for line in (*said_lines(job, got), *step_lines(got, str(job))):
        print(line)
    for says, keys in all_taken(got.readings).items():
        print(f"taken {says}: {', '.join(map(str, keys)) if every else len(keys)}")
    apart = list(sides_apart(got.readings))
    shown = apart if every else apart[:MOST_APART]
    for line in shown:
        print(f"left and right: {line}")
    if len(shown) < len(apart):
        print(f"and {len(apart) - len(shown)} more like it (soapstone readings {job} --all)")
    defaults = len(got.readings) - len(given)
    print(
        f"assumed: {defaults} {'reading' if defaults == 1 else 'readings'},"
        f" {len(assumed) - defaults} other things; `check` adds what of the stock is"
        + ("" if every else f"; soapstone readings {job} --all lists them")
    )
    for row in assumed if every else ():
        print(f"  {row}")
    print(headline)


def _for_one(got: Job, family: str, as_json: bool) -> None:
    """What the parts of one code still need; ends with 4 while that is anything."""
    owed = waiting_on(got, family)
    if as_json:
        print(
            json.dumps(
                {"chassis": got.chassis, "for": family.upper(), "owed": list(map(str, owed))}
            )
        )
    else:
        count = f"{len(owed)} reading" + ("" if len(owed) == 1 else "s")
        print(f"{got.chassis} {family.upper()}: {count} still needed")
        for line in owed_lines(got, family):
            print(f"  {line}")
    if owed:
        raise typer.Exit(int(Exit.READINGS_OWED))


def _next(job: Path, sheet: Path | None, got: Job) -> None:
    if sheet and sheet.suffix.lower() == ".csv":
        then("readings", job, "--take", sheet, why="fill in the column value, then")
    elif cut_now(got) and not _built(got):
        then("build", job, why="the first plates can be cut")
    elif cut_now(got) and (rest := steps(got)):
        then("readings", job, "--add", next(iter(rest[0].parts)), why="for what is freed next")
    elif got.owed:
        then("readings", job, "--sheet", f"{job.stem}.pdf", why="measure what is needed, on paper")
    else:
        then("solve", job)


def _built(got: Job) -> bool:
    """Whether the first plates' files are there already, where `build` puts them."""
    return (Path("out") / got.chassis / "draft" / "manifest.json").exists()


def _add(job: Path, codes: Sequence[str]) -> None:
    """Lines for what the parts of some codes need into the job file."""
    from ...layout.job.fields import FIELDS, is_second_way, nearest, pattern
    from ...layout.job.form import with_fields
    from ...layout.job_file import load
    from .. import disk

    every = [code.lower() == EVERY for code in codes]
    fields = {name for code in codes if "." in code for name in FIELDS if _begins(name, code)}
    if lost := [
        code for code in codes if "." in code and not any(_begins(n, code) for n in fields)
    ]:
        faults = [
            Fault("--add", code[:80], "fields of the job file", nearest(code)) for code in lost
        ]
        raise SoapstoneError(Exit.COMMAND_LINE, faults)
    parts = [code for code in codes if code.lower() != EVERY and "." not in code]
    rows = [row for code in parts for row in of_code(code, "--add")]
    got = load(job)  # what is wrong with the file is told before anything is written into it
    names = fields.union(*(row.fields for row in rows))
    if any(every):
        names |= {pattern(key.name) for key in got.owed}
        # something is assumed, or cannot be checked, without those that nobody has to say
        names |= {
            field.name
            for field in FIELDS.values()
            if (not field.needed or field.default is not None)
            and field.table not in ("job", "units")
        }
    # without the mark of a bolt or the steel of a tube the least in use is taken
    names |= {f"{name}_class" for name in names if f"{name}_class" in FIELDS}
    text, new = with_fields(
        job.read_bytes().decode("utf-8"), {name for name in names if not is_second_way(name)}
    )
    called = [row.title for row in rows] + [code for code in codes if "." in code]
    titles = ", ".join(dict.fromkeys(called + ["all that is still needed"] * any(every)))
    if new:
        disk.put_file(job, text.encode())
        print(f"{job}: {len(new)} lines to fill in for {titles}; nothing that was typed is changed")
    else:
        print(f"{job}: has a line for everything already: {titles}")


def _begins(name: str, start: str) -> bool:
    """Whether a field's name begins so, row numbers left out."""
    return name.replace(".*", "").startswith(start.strip().removesuffix("."))


def _take(job: Path, csv_file: Path) -> None:
    if is_handed(csv_file):
        take_form(job, csv_file)
        return
    from ...layout.job.sheet import sheet_rows
    from ...layout.job.taped import taped_path, taped_text
    from ...layout.job_file import load
    from .. import disk

    old = taped_path(job)
    before = {row.reading: row.value for row in sheet_rows(load(job))}
    text = taped_text(csv_file, old.read_text(encoding="utf-8-sig") if old.exists() else "", before)
    after = {row.reading: row.value for row in sheet_rows(load(job, text))}
    disk.put_file(old, text.encode())
    print(f"taken into {old}; the job file itself is unchanged")
    for path, was in before.items():
        if was and after[path] != was:
            print(f"{path}: {was} stood there, {after[path]} holds now; settle which one is right")


def _sheet(job: Path, path: Path, paper: str) -> None:
    from ...layout.job.sheet import sheet_csv, sheet_rows
    from ...layout.job_file import load
    from .. import disk
    from ..out_file import ends_in, put_to_fill_in

    ends_in("--sheet", path, ".pdf", ".csv")
    rows = sheet_rows(load(job))
    if path.suffix.lower() == ".pdf":
        from ...parts.drawing.measuring import measuring_pdf

        got = load(job)
        disk.put_file(path, measuring_pdf(got.chassis, rows, paper, got.words))
    else:
        remedy = "there is a sheet already; take it in with --take, or name another"
        put_to_fill_in(path, sheet_csv(rows), remedy)
    print(f"{path}: {len(rows)} readings to take")

"""The commands. Heavy modules are imported where they are used."""

from __future__ import annotations

import json
import sys
import tempfile
import traceback
from pathlib import Path
from typing import Annotated

import typer

from soapstone.layout.faults import Exit, Fault, SoapstoneError

app = typer.Typer(rich_markup_mode=None, no_args_is_help=True, add_completion=False, pretty_exceptions_enable=False,
                  help="Tape readings in; set-out, plates, cut files, solids and drawings out. Calculations, not an approval.")
JobFile = Annotated[Path, typer.Argument(help="the chassis' job file (TOML)")]
Json = Annotated[bool, typer.Option("--json", help="print data instead of text")]
Out = Annotated[Path, typer.Option("--out", help="folder the chassis folder goes into")]


def say(text: str) -> None:
    """A line of progress, on a terminal only."""
    if sys.stderr.isatty():
        print(text, file=sys.stderr)


@app.command()
def readings(job: JobFile, as_json: Json = False) -> None:
    """Check the readings of a job file and list what is still owed."""
    from soapstone.layout.job.fields import FIELDS
    from soapstone.layout.job.load import load

    got = load(job)
    if as_json:
        print(json.dumps({"chassis": got.chassis, "readings": {str(k): r.typed for k, r in got.readings.items()}, "owed": list(map(str, got.owed))}, indent=1))
        return
    given = [r for r in got.readings.values() if not r.assumed]
    print(f"{got.chassis}: {len(given)} readings, no faults; {len(got.owed)} still owed")
    for k, r in got.readings.items():
        if r.assumed:
            print(f"  ASSUMED {k}: shop default, nobody measured it")
    for k in got.owed:
        print(f"  owed {FIELDS[k.name].sheet_code} {k}: {FIELDS[k.name].how}")


@app.command()
def solve(job: JobFile, as_json: Json = False) -> None:
    """Set out: where every pivot and seat goes, how sure it is, and what it waits for."""
    from soapstone.cli.build import setout_rows
    from soapstone.layout.job.load import load
    from soapstone.layout.setout import solve as set_out

    rows = setout_rows(set_out(load(job)))
    if as_json:
        print(json.dumps(rows, indent=1))
    else:
        for r in rows:
            if r["role"] == "waiting":
                print(f"{r['key']:24} waits for {', '.join(r['rests_on'])}")
            elif r["role"] == "conflict":
                print(f"{r['key']:24} has no solution: the readings cannot be met ({', '.join(r['rests_on'])})")
            else:
                print(f"{r['key']:24} {r['shown']:>14}  +-{r['plus_minus']:.2f} {r['unit']:4} {r['title']}")
    if any(r["role"] == "conflict" for r in rows):
        raise typer.Exit(Exit.NO_SOLUTION)
    if any(r["role"] == "waiting" for r in rows):
        raise typer.Exit(Exit.READINGS_OWED)


@app.command()
def check(job: JobFile, as_json: Json = False) -> None:
    """Rules with margins, plate against frame, and whether the placed parts fit together."""
    from soapstone.layout.job.load import load
    from soapstone.layout.setout import solve as set_out
    from soapstone.parts.fit import fit
    from soapstone.parts.stock import default_shop
    from soapstone.parts.truck import design

    got = load(job)
    solved = set_out(got)
    truck = design(solved, got.words, got.pins, got.chassis)
    rows = sorted(truck.checks, key=lambda c: -c.utilisation)
    misfits = fit(truck, default_shop(), solved.values)
    if as_json:
        print(json.dumps([{**c._asdict(), "utilisation": c.utilisation, "verdict": c.verdict} for c in rows], indent=1))
    else:
        for c in rows:
            print(f"{c.part:6} {c.verdict:8} {c.utilisation:5.2f}  {c.what}: {c.demand:.2f} of {c.capacity:.2f} {c.unit}  [{c.clause}]")
        print(f"placed assembly: {len(truck.assembly.members)} members, {len(misfits)} misfits")
        print("These are calculations, not an approval; local law decides.")
    for m in misfits:
        print(f"misfit: {m}", file=sys.stderr)
    _tell(truck)
    if misfits:
        raise typer.Exit(Exit.CHECK_FAILS)


@app.command()
def build(job: JobFile, out: Out = Path("out")) -> None:
    """Make every file of the chassis: cut files, solids, drawings, schedules, manifest."""
    _build(job, out)


@app.command()
def demo(out: Out = Path("out")) -> None:
    """Build the invented truck; needs nothing else."""
    from importlib.resources import as_file, files

    with as_file(files("soapstone.layout.data") / "demo.toml") as job:
        _build(job, out)


def _build(job: Path, out: Path) -> None:
    from soapstone.cli import build as b
    from soapstone.layout.job.load import load
    from soapstone.layout.setout import solve as set_out
    from soapstone.parts.truck import design

    got = load(job)
    solved = set_out(got)
    truck = design(solved, got.words, got.pins, got.chassis)
    made = b.files(got, solved, truck, say)
    made["manifest.json"] = b.manifest(got, truck, made)
    folder = b.write(out, got, made)
    print(f"{len(truck.parts)} parts, {len(made)} files in {folder}")
    _tell(truck)


def _tell(truck) -> None:  # type: ignore[no-untyped-def]
    for part, keys in truck.waiting.items():
        print(f"{part} waits for {', '.join(map(str, keys))}", file=sys.stderr)
    for part, why in truck.failed.items():
        print(f"{part} is not for cutting: {why}", file=sys.stderr)
    if truck.failed:
        raise typer.Exit(Exit.CHECK_FAILS)
    if truck.waiting:
        raise typer.Exit(Exit.READINGS_OWED)


def run() -> None:
    """Entry point and the one error handler."""
    try:
        code = app(standalone_mode=False) or 0
    except SoapstoneError as e:
        code = _faults(e.code, e.title, e.faults)
    except (KeyboardInterrupt, typer.Abort):
        print("stopped; nothing was changed", file=sys.stderr)
        code = Exit.INTERRUPTED
    except OSError as e:
        code = _faults(Exit.DISK, "", [Fault(str(e.filename or "disk"), e.strerror or str(e), "a folder that can be written, with room",
                                             "free some room or choose another folder with --out; nothing was changed")])
    except Exception as e:  # noqa: BLE001
        if hasattr(e, "format_message"):
            print(e.format_message(), file=sys.stderr)
            sys.exit(Exit.COMMAND_LINE)
        with tempfile.NamedTemporaryFile("w", prefix="soapstone-", suffix=".txt", delete=False) as f:
            traceback.print_exc(file=f)
        print(f"this is a bug of soapstone, not of your job; the details are in {f.name}", file=sys.stderr)
        code = Exit.BUG
    sys.exit(int(code))


def _faults(code: Exit, title: str, faults) -> Exit:  # type: ignore[no-untyped-def]
    if title:
        print(title, file=sys.stderr)
    for f in faults:
        print(f, file=sys.stderr)
    return code

"""build and demo: every file of a chassis."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer
from soapstone.cli.options import JobFile, Out, ShopFile, designed, said, say, tell
from soapstone.layout.faults import Exit


def build(
    job: JobFile,
    out: Out = Path("out"),
    shop: ShopFile = None,
    watch: Annotated[
        bool,
        typer.Option(
            "--watch",
            help="build again whenever a file of the job is saved, and show the page, which follows",
        ),
    ] = False,
    port: Annotated[
        int, typer.Option("--port", help="where the page is shown while watching")
    ] = 8123,
) -> None:
    """Make every file of the chassis: cut files, nests, solids, drawings, schedules, shop sheets, the page, manifest."""
    if watch:
        from soapstone.cli.watching import watch as follow

        follow(job, out, shop, port, lambda: _build(job, out, shop))
    else:
        _build(job, out, shop)


def demo(
    out: Out = Path("out"),
    uneven: Annotated[
        bool, typer.Option("--uneven", help="the second invented truck, its rails unequal")
    ] = False,
) -> None:
    """Build the invented truck; needs nothing else."""
    from importlib.resources import as_file, files

    with as_file(
        files("soapstone.layout.data") / ("demo_uneven.toml" if uneven else "demo.toml")
    ) as job:
        _build(job, out, None)


def _build(path: Path, out: Path, shop: Path | None) -> None:
    from soapstone.cli import build as b
    from soapstone.cli import disk, interrupt, kinds
    from soapstone.cli.reuse import Reuse
    from soapstone.layout.setout import diagnoses

    d = designed(path, shop)
    disk.DISK.make_folder(out / d.job.chassis)
    again = Reuse(out / d.job.chassis)
    made = b.files(
        d.job, d.solved, d.truck, d.shop, d.strength, say, kept=kinds.nest_kept(path), again=again
    )
    made["manifest.json"] = b.manifest(d.job, d.truck, made, d.shop)
    interrupt.stop_if_pressed()
    folder = b.write(out, d.job, made)
    again.save(made)
    said()
    print(f"{len(d.truck.parts)} parts, {len(made)} files in {folder}")
    found = diagnoses.diagnose(d.job, d.solved)
    for x in found:
        if x.severity != "note":
            print(f"{x.severity}: {x.sentence} {x.cure}".rstrip(), file=sys.stderr)
    if any(x.severity == "conflict" for x in found):
        raise typer.Exit(Exit.NO_SOLUTION)
    tell(d.truck, d.strength)

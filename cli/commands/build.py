"""build and demo: every file of a chassis."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from ..building.designing import designed
from ..options import JobFile, Out, ShopFile, said, say


def build(
    job: JobFile,
    out: Out = Path("out"),
    shop: ShopFile = None,
    watch: Annotated[
        bool,
        typer.Option(
            "--watch",
            help=(
                "build again whenever a file of the job is saved, and show the page, which follows"
            ),
        ),
    ] = False,
    port: Annotated[
        int, typer.Option("--port", help="where the page is shown while watching")
    ] = 8123,
) -> None:
    """Make every file of the chassis: cut files, nests, solids, drawings, schedules, shop sheets,
    the page, manifest.
    """
    if watch:
        from ..building.watch import watch as follow

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
        _build(job, out, None, "soapstone check JOB --all")


def _build(path: Path, out: Path, shop: Path | None, more: str = "") -> None:
    from ...parts.words.names import sentence
    from .. import disk, interrupt
    from ..building import build as b
    from ..building import files as kinds
    from ..building.looking import tell
    from ..building.reuse import Reuse

    d = designed(path, shop)
    looked = d.looked(say)
    disk.DISK.make_folder(out / d.job.chassis)
    again = Reuse(out / d.job.chassis)
    kept = kinds.nest_kept(path)
    made = b.files(
        d.job, d.solved, d.truck, d.shop, d.strength, say, kept=kept, again=again, looked=looked
    )
    made["manifest.json"] = b.manifest(d.job, d.truck, made, d.shop, looked.judged)
    interrupt.stop_if_pressed()
    folder = b.write(out, d.job, made)
    again.save(made)
    said()
    print(f"{len(d.truck.parts)} parts, {len(made)} files in {folder}")
    tell(looked.judged, more or f"soapstone check {path} --all")
    for g in d.strength.grown:
        print(f"made larger for its loads: {sentence(g)}", file=sys.stderr)
    if looked.judged.exit_code:
        raise typer.Exit(looked.judged.exit_code)

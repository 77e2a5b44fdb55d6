"""build: every file of a chassis."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ...layout.faults import Exit
from ..options import JobFile, NoCache, Out, ShopFile
from ..screen import WHY_FAILS, then

PLACE = 90


def build(
    job: JobFile,
    *,
    out: Out = Path("out"),
    shop: ShopFile = None,
    no_cache: NoCache = False,
    only: Annotated[
        str,
        typer.Option(
            "--only",
            help="one part alone, such as CM2: cut file, drawing, solid, its mirror image too",
        ),
    ] = "",
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
    from ..building import watch as watching

    if only:
        if watch:
            raise typer.BadParameter("--only writes one part once: leave out --watch")
        from ..building.only import make_only

        if code := make_only(job, out, shop, only):
            raise typer.Exit(code)
        return
    if watch:
        watching.watch(job, out, shop, port, lambda: _once(job, out, shop))
        return
    _once(job, out, shop)
    then("correct", job, "--blank", why="cut, tack and set the truck on its wheels, then")


def _once(job: Path, out: Path, shop: Path | None) -> None:
    from ..building.draft import make_draft

    judged = make_draft(job, out, shop, f"soapstone check {job} --all")
    if judged.exit_code == Exit.READINGS_OWED:
        then("readings", job, why="cut what lies in cut/now; for the rest")
    elif judged.first_failing:
        then("explain", job, judged.first_failing, why=WHY_FAILS)
    if judged.exit_code:
        raise typer.Exit(judged.exit_code)

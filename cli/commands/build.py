"""build: every file of a chassis."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ...layout.faults import Exit
from ..options import AtOnce, Cluster, JobFiles, NoCache, Out, ShopFile
from ..screen import WHY_FAILS, then

PLACE = 90


def build(  # noqa: PLR0913  # one an option
    job: JobFiles,
    *,
    out: Out = Path("out"),
    shop: ShopFile = None,
    no_cache: NoCache = False,
    only: Annotated[
        str, typer.Option(help="one part alone, such as CM2, and its mirror image")
    ] = "",
    watch: Annotated[
        bool,
        typer.Option(
            "--watch",
            help="build again at every save of the job, and show the page, which follows",
        ),
    ] = False,
    port: Annotated[
        int, typer.Option("--port", help="where the page is shown while watching")
    ] = 8123,
    jobs: AtOnce = 2,
    cluster: Cluster = "",
) -> None:
    """Make every file of the chassis: cut files, nests, solids, drawings, schedules, shop sheets,
    the page, manifest. Of several job files, or a file of variants, every truck, and a table.
    """
    from ..building.variants import named_in

    if only and watch:
        raise typer.BadParameter("--only writes one part once: leave out --watch")
    if len(job) > 1 or cluster or any(one.put for one in named_in(job[0])):
        if only or watch:
            raise typer.BadParameter("--only and --watch take one job")
        _ended(_several(job, out, shop, jobs, cluster))
    elif only:
        from ..building.only import make_only

        _ended(make_only(job[0], out, shop, only))
    elif watch:
        from ..building import watch as watching

        watching.watch(job[0], out, shop, port, lambda: _once(job[0], out, shop))
    else:
        _once(job[0], out, shop)
        then("correct", job[0], "--blank", why="cut, tack and set the truck on its wheels, then")


def _several(jobs: list[Path], out: Path, shop: Path | None, at_once: int, cluster: str) -> int:
    from ..building.catalogue import catalogue

    return catalogue(jobs, out, shop, at_once, cluster)


def _ended(code: int) -> None:
    """Leave with a code that is not that of everything well."""
    if code:
        raise typer.Exit(code)


def _once(job: Path, out: Path, shop: Path | None) -> None:
    from ..building.draft import make_draft

    judged = make_draft(job, out, shop, f"soapstone check {job} --all")
    if judged.exit_code == Exit.READINGS_OWED:
        then("readings", job, why="cut what lies in cut/now; for the rest")
    elif judged.first_failing:
        then("explain", job, judged.first_failing, why=WHY_FAILS)
    _ended(judged.exit_code)

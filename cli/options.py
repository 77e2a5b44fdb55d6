"""Options and arguments that commands share, and the job file when none is named."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import Annotated

import typer

BESIDE = (".taped.toml", ".down.toml")
"""Endings of the files that stand beside a job file and are none."""
SHOP = "shop.toml"


def job_files(folder: Path) -> list[Path]:
    """Every job file of a folder: TOML with a table ``[job]``."""
    return [
        path
        for path in sorted(folder.glob("*.toml"))
        if path.name != SHOP
        and not path.name.endswith(BESIDE)
        and re.search(
            r"(?m)^\s*\[\s*job\s*\]", path.read_text(encoding="utf-8-sig", errors="replace")
        )
    ]


def only_job() -> Path:
    """The job file when none is named: the only one in this folder, and the screen says so.

    Raises a fault of the command line where there is none or more than one.
    """
    found = job_files(Path())
    if len(found) == 1:
        print(f"job file: {found[0]}, the only one in this folder", file=sys.stderr)
        return found[0]
    if found:
        raise typer.BadParameter(
            f"name the job file: there are {', '.join(path.name for path in found)}"
        )
    raise typer.BadParameter(
        "name the job file: there is none in this folder; soapstone new CHASSIS starts one"
    )


def job_and_words(words: list[str]) -> tuple[Path, list[str]]:
    """Arguments that may begin with a job file: it, or the only one in the folder, and the rest."""
    if words[0].endswith(".toml") or Path(words[0]).is_file():
        job, words = Path(words[0]), words[1:]
    else:
        job = only_job()
    if not words:
        raise typer.BadParameter("say what, after the job file")
    return job, words


def _uncached(asked: bool) -> None:
    if asked:
        from .building import cache

        cache.off()


JobFile = Annotated[
    Path,
    typer.Argument(
        help="the chassis' job file (TOML); the only one in the folder if not given",
        default_factory=only_job,
        show_default=False,
    ),
]
JobFiles = Annotated[
    list[Path],
    typer.Argument(
        metavar="JOB",
        help=(
            "the chassis' job file (TOML), the only one in the folder if not given; several, or a"
            " file of variants, for several trucks in one run"
        ),
        default_factory=lambda: [only_job()],
        show_default=False,
    ),
]
AtOnce = Annotated[
    int, typer.Option("--jobs", min=1, help="of several trucks, how many are built at once")
]
Cluster = Annotated[
    str, typer.Option("--cluster", help="address of a dask scheduler whose workers build them")
]
AsJson = Annotated[bool, typer.Option("--json", help="print data instead of text")]
Out = Annotated[Path, typer.Option("--out", help="folder the chassis folder goes into")]
ShopFile = Annotated[
    Path | None,
    typer.Option(
        "--shop", help="the shop's settings (TOML); shop.toml beside the job file if there is one"
    ),
]
NoCache = Annotated[
    bool,
    typer.Option(
        "--no-cache",
        callback=_uncached,
        help="work everything out anew, and keep nothing in the user's cache folder",
    ),
]
ArchiveDir = Annotated[
    Path | None,
    typer.Option(
        "--archive",
        help="folder of released revisions; else the shop's, else archive beside the job file",
    ),
]
ArchiveFolder = Annotated[Path, typer.Option("--archive", help="folder of released revisions")]
Chassis = Annotated[str, typer.Argument(help="chassis")]
Letter = Annotated[str, typer.Argument(help="revision letter")]
OneChassis = Annotated[str, typer.Argument(help="one chassis; all of them if not given")]
By = Annotated[str, typer.Option("--by", help="who; required")]
Day = Annotated[str, typer.Option("--date", help="day, as 2026-01-31; required")]
Note = Annotated[str, typer.Option("--note", help="what is worth knowing")]
DryRun = Annotated[
    bool,
    typer.Option(
        "--dry-run", help="check everything and say what would be done; nothing is written"
    ),
]
Accept = Annotated[
    list[str] | None,
    typer.Option(
        "--accept",
        help=(
            'why something may stay as it is, required for weld and final: gaps="why",'
            ' confirm="why", assumed="why", waiting="why", not-looked-at="why", or a code of a part'
            ' in place of these; set-down="why" where it is not within its limits, welds="why" and'
            ' bolts="why" where not all is logged; each kept with the name'
        ),
    ),
]

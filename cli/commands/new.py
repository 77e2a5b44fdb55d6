"""new: start a job file with every field in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout.faults import Exit, Fault, SoapstoneError

if TYPE_CHECKING:
    from ...layout.job.survey import SurveyLine, Taken


def new(
    chassis: Annotated[
        str, typer.Argument(help="short name of the chassis: letters, digits, - or _")
    ],
    out: Annotated[
        Path | None, typer.Option("--out", help="file to write; CHASSIS.toml here if not given")
    ] = None,
    like: Annotated[
        str, typer.Option("--like", help="a released chassis this truck is like, or CHASSIS:LETTER")
    ] = "",
    archive: Annotated[
        Path, typer.Option("--archive", help="folder of released revisions, for --like")
    ] = Path("archive"),
) -> None:
    """Write a job file with every field, each with where and how to measure it; with --like, that
    of a released truck and a short survey of fifteen readings.
    """
    from ...layout.job.load import SLUG
    from ...layout.job.sheet import blank_job
    from .. import disk

    if not SLUG.fullmatch(chassis):
        raise SoapstoneError(
            Exit.COMMAND_LINE,
            [
                Fault(
                    "CHASSIS",
                    chassis,
                    "1 to 24 of A-Z a-z 0-9 _ -",
                    "it names the folder and every part: no spaces, dots or slashes",
                )
            ],
        )
    path = out or Path(f"{chassis}.toml")
    if like:
        _like(chassis, path, like, archive)
        return
    try:
        disk.new_file(path, blank_job(chassis).encode())
    except FileExistsError:
        raise SoapstoneError(
            Exit.DISK,
            [
                Fault(
                    str(path),
                    "",
                    "a name that is free",
                    "there is a file already: choose another with --out; nothing was changed",
                )
            ],
        ) from None
    print(f"{path}: fill in what you measure, then: soapstone readings {path}")


def _like(chassis: str, path: Path, like: str, archive: Path) -> None:
    import json

    from ...layout.job.survey import lines, survey_csv
    from ...layout.job_file import load
    from .. import disk
    from ..archive import reissue as issue
    from ..archive.store import Archive
    from ..building.designing import read_for

    store = Archive(archive)
    r = store.record(*issue.named(store, like))
    if r.data["chassis"] == chassis:
        raise SoapstoneError(
            Exit.COMMAND_LINE,
            [Fault("CHASSIS", chassis, "a name of its own", "the new truck is another chassis")],
        )
    files = issue.stored(store, r)
    text = _as_its_own(files["input/job.toml"].decode(), chassis, like)
    made = {
        path: text.encode(),
        path.with_name(f"{path.stem}.like.json"): (
            (json.dumps({"chassis": r.data["chassis"], "letter": r.letter}) + "\n").encode()
        ),
    }
    if "input/job.taped.toml" in files:
        made[path.with_name(f"{path.stem}.taped.toml")] = files["input/job.taped.toml"]
    survey = path.with_name(f"{path.stem}.survey.csv")
    taken = [p for p in (*made, survey) if p.exists()]
    if taken:
        raise SoapstoneError(
            Exit.DISK,
            [
                Fault(
                    str(p),
                    "",
                    "a name that is free",
                    "there is a file already: choose another with --out; nothing was changed",
                )
                for p in taken
            ],
        )
    for p, data in made.items():
        disk.new_file(p, data)
    read_for(path)
    rows = lines(load(path))
    disk.new_file(survey, survey_csv(rows))
    print(
        f"{path}: as {r.data['chassis']}:{r.letter}. Write its own title and date into it, take the"
        f" {len(rows)} readings of {survey}, then: soapstone survey {path}"
    )


OWN = ("title", "by", "date", "note")
"""What a truck says of itself: never taken from another."""


def _as_its_own(text: str, chassis: str, like: str) -> str:
    """A master's job file with this truck's chassis, and title, date, name and note left to be
    filled in. Faults if a line of them cannot be found.
    """
    import re
    import tomllib

    lines = text.splitlines(keepends=True)
    table = ""
    for i, line in enumerate(lines):
        head = re.match(r"\s*\[\s*([^\[\]]+?)\s*\]", line)
        table = head[1] if head else table
        if table == "job":
            line = re.sub(rf"^\s*({'|'.join(OWN)})\s*=.*", r'#\1 = ""   # of this truck', line)
            lines[i] = re.sub(r"^(\s*chassis\s*=\s*)(\"[^\"]*\"|'[^']*')", rf'\1"{chassis}"', line)
    made = "".join(lines)
    try:
        job = tomllib.loads(made)["job"]
    except (tomllib.TOMLDecodeError, KeyError):
        job = {}
    if job.get("chassis") != chassis or any(k in job for k in OWN):
        raise SoapstoneError(
            Exit.JOB_FILE,
            [
                Fault(
                    "job.chassis",
                    like,
                    "a [job] table with a line each for chassis, title, by, date, note",
                    "copy the master's job file by hand and change these",
                )
            ],
        )
    return made


def survey(
    job: Annotated[Path, typer.Argument(help="job file that new --like wrote")],
    archive: Annotated[Path, typer.Option("--archive", help="folder of released revisions")] = Path(
        "archive"
    ),
    shop: Annotated[
        Path | None,
        typer.Option(
            "--shop",
            help="the shop's settings (TOML); shop.toml beside the job file if there is one",
        ),
    ] = None,
) -> None:
    """Take in the short survey: what is within its allowance keeps the master's reading; then which
    parts differ from the released ones: the same, same plate at another place, or new shape, and
    why.
    """
    import tempfile

    from ...layout.job.survey import lines, read
    from ...layout.job_file import load
    from ...parts.truck.likeness import Likeness
    from ...parts.words.names import part as name_of
    from ..archive import reissue as issue
    from ..archive import second_truck as like
    from ..archive.store import Archive
    from ..building import build as b
    from ..building.designing import designed, read_for
    from .issuing import said_of

    store = Archive(archive)
    master = like.master_of(store, job)
    if master is None:
        raise SoapstoneError(
            Exit.COMMAND_LINE,
            [
                Fault(
                    str(job),
                    "",
                    "a job that new --like wrote",
                    "this one is like no released truck",
                )
            ],
        )
    read_for(job, shop)
    files = issue.stored(store, master)
    with tempfile.TemporaryDirectory(prefix="soapstone-") as tmp:
        rows = lines(load(issue.inputs(files, Path(tmp))[0]))
    got = read(job.with_name(f"{job.stem}.survey.csv"), rows, load(job).words)
    own = _settle(job, rows, got, files.get("input/job.taped.toml", b"").decode())
    _tell(got, {r.path: r.kind for r in rows}, own)
    d = designed(job, shop)
    judged = d.looked().judged
    typed = {
        str(k): " | ".join(r.typed) for k, r in d.job.readings.items() if r.typed and not r.assumed
    }
    found = like.likeness(
        b.part_rows(d.truck, d.shop, {}),
        master,
        {**{k: v for k, v in d.job.words.items() if v}, **typed},
    )
    print(f"against {master.data['chassis']}:{master.letter}, part by part:")
    print("\n".join(f"  {line}" for line in said_of(found.parts, (Likeness.SHAPE,))))
    by_reason: dict[tuple[str, ...], list[str]] = {}
    for part, why in found.why.items():
        by_reason.setdefault(tuple(why), []).append(part)
    print(f"  {Likeness.SHAPE}: {len(found.why)}")
    for reasons, parts in by_reason.items():
        print(
            f"    since {', '.join(reasons[:6])}{' ...' if len(reasons) > 6 else ''} differs:"
            f" {', '.join(map(name_of, parts))}"
        )
    if found.parts.moved:
        print(
            f"{Likeness.MOVED} means: cut from the file {master.data['chassis']} has; where it goes"
            " on this truck stands in this truck's own papers"
        )
    if got.owed:
        print(
            f"{len(got.owed)} of {len(rows)} readings are still needed: until they are taken this"
            " truck is only believed to be like the other"
        )
    print(judged.headline)
    if judged.exit_code or got.owed:
        raise typer.Exit(judged.exit_code or Exit.READINGS_OWED)


def _settle(job: Path, rows: list[SurveyLine], got: Taken, of_master: str) -> dict[str, str]:
    """Leave in the taped file what the survey says: what differs, and for what is the same the
    master's reading again, whatever was taken earlier.

    Returns what holds at the lines left blank where it is not the master's.
    """
    from ...layout.job.fields import key_of
    from ...layout.job.survey import not_the_masters, restated, settled
    from ...layout.job.taped import taped_path, taped_rows, written
    from ...layout.job_file import load
    from .. import disk

    path = taped_path(job)
    before = taped_rows(path.read_text(encoding="utf-8") if path.exists() else "")
    taped = settled(got, before, taped_rows(of_master))
    taped |= restated(load(job, written(taped)), rows, got)
    now = load(job, written(taped))
    if taped != before:
        disk.put_file(path, written(taped).encode())
    own = not_the_masters(now, rows, got.owed)
    return {name: " | ".join(now.readings[key_of(name)].typed) for name in own}


def _tell(got: Taken, kinds: dict[str, str], own: dict[str, str]) -> None:
    """What the survey says of each reading.

    ``own``: what holds at lines left blank where it is not the master's.
    """
    from ...layout.job.survey import shown

    for path, typed, by in got.same:
        print(
            f"same      {path}: {typed} ({shown(by, kinds[path])} off): the master's reading stays"
        )
    for path, typed, by in got.off:
        print(
            f"differs   {path}: {typed} ({shown(by, kinds[path])} off): taken as this truck's own"
        )
    for path in got.owed:
        held = (
            f": blank here; {own[path]}, taken before, holds until it is read"
            if path in own
            else ""
        )
        print(f"needed    {path}{held}")

"""A released revision again: its stored files, or built anew from its stored inputs and held
against them.
"""

from __future__ import annotations

import itertools
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from ...layout.faults import Exit, Fault, SoapstoneError
from .store import Archive, Record, digest

if TYPE_CHECKING:
    from ...parts.documents.engine import Head
    from ..building.designing import Designed
    from ..building.looking import Looked

INPUT = "input/"


def stored(store: Archive, r: Record) -> dict[str, bytes]:
    """Every file of a revision as it was stored.

    Raises (ARCHIVE_DAMAGED) naming each that is missing or altered.
    """
    found, faults = {}, []
    for f in r.data["files"]:
        try:
            found[f["path"]] = store.content(f["sha256"])
        except SoapstoneError as e:
            faults.append(
                e.faults[0]._replace(
                    field=(
                        f"{r.data['chassis']} {r.letter} {f['path']}:"
                        f" {e.faults[0].field.partition(': ')[2]}"
                    )
                )
            )
    if faults:
        raise SoapstoneError(
            Exit.ARCHIVE_DAMAGED, faults, "the archive is damaged; nothing was written"
        )
    return found


def inputs(files: Mapping[str, bytes], folder: Path) -> tuple[Path, Path | None]:
    """A revision's inputs written to a folder: its job file, and the shop's settings if it had any."""
    folder.mkdir(parents=True, exist_ok=True)
    for path, data in files.items():
        if path.startswith(INPUT) and "/" not in path.removeprefix(INPUT):
            (folder / path.removeprefix(INPUT)).write_bytes(data)
    shop = folder / "shop.toml"
    return folder / "job.toml", shop if shop.is_file() else None


def cut_before(store: Archive, earlier: Iterable[Record], paths: Iterable[str]) -> dict[str, bytes]:
    """Cut files that were released before under the very same name: a part that keeps its letter
    keeps its file to the byte, not only to the hundredth of a millimeter.
    """
    wanted = {p for p in paths if p.startswith("cut/")}
    return {
        f["path"]: store.content(f["sha256"])
        for r in earlier
        for f in r.data["files"]
        if f["path"] in wanted
    }


class Again(NamedTuple):
    """A revision designed anew by this version from its stored inputs: with its travel and verdict,
    and the places of its nest.
    """

    designed: Designed
    looked: Looked
    kept: dict[str, Any]
    master: Record | None


def again(store: Archive, r: Record) -> Again:
    """The revision designed and looked at anew, before anything of it is drawn."""
    from ..building import files as kinds
    from ..building.designing import designed
    from .second_truck import master_of

    files = stored(store, r)
    with tempfile.TemporaryDirectory(prefix="soapstone-") as tmp:
        job, shop = inputs(files, Path(tmp))
        d = designed(job, shop)
        return Again(d, d.looked(), kinds.nest_kept(job), master_of(store, job))


def rebuilt(
    store: Archive,
    r: Record,
    level: str = "",
    found: Again | None = None,
    accepted: Sequence[Mapping[str, str]] | None = None,
) -> dict[str, bytes]:
    """The revision built anew by this version from its stored inputs, at its own level or another;
    ``found``: as ``again`` gave it; ``accepted``: what is signed for by then, else what the release
    carried.
    """
    from ...parts.truck.truck import relettered
    from ..building import build as b

    d, looked, kept, master = found or again(store, r)
    letters = {p.id: r.revisions().get(p.id, r.letter) for p in d.truck.singles}
    firsts = {p["part"]: p["first"] for p in r.data["parts"] if "first" in p}
    truck = relettered(d.truck, d.shop, d.job.chassis, letters, firsts)
    level = level or r.data.get("level", "tack")
    made = b.files(
        d.job,
        d.solved,
        truck,
        d.shop,
        d.strength,
        lambda _: None,
        letters,
        f"RELEASED {r.letter}, for {level}",
        kept,
        level,
        firsts,
        revision=r.letter,
        looked=looked,
        accepted=r.data.get("accepted", ()) if accepted is None else accepted,
    )
    own = itertools.takewhile(lambda e: e.letter != r.letter, store.records(r.data["chassis"]))
    made |= cut_before(store, (*([master] if master else []), *own), made)
    made["manifest.json"] = b.manifest(d.job, truck, made, d.shop, looked.judged, letters, firsts)
    return made


def at_level(store: Archive, r: Record, level: str = "") -> tuple[dict[str, bytes], str]:
    """A revision's files as they were signed for a level, the last it was signed for if none is
    named; and that level. Faults (COMMAND_LINE) for one it was never signed for.
    """
    found, now = stored(store, r), str(r.data.get("level", "tack"))
    signed = [e for e in store.events(r.data["chassis"], r.letter) if e.data["kind"] == "signed"]
    levels = [now, *(str(e.data["value"]) for e in signed)]
    wanted = level or levels[-1]
    if wanted not in levels:
        fault = Fault(
            "--level",
            level,
            " | ".join(levels),
            "it was signed for these; leave it out for the last",
        )
        raise SoapstoneError(Exit.COMMAND_LINE, [fault])
    for e in signed[: levels.index(wanted)]:
        found |= {f["path"]: store.content(f["sha256"]) for f in e.data["files"]}
    return found, wanted


def superseded(letter: str) -> str:
    """What is stamped over a revision when ``letter`` is the good one."""
    return f"SUPERSEDED BY {letter}"


def over(files: Mapping[str, bytes], words: str) -> dict[str, bytes]:
    """Every page of every PDF stamped."""
    from ...parts.documents.stamp import stamped

    return {p: stamped(x, words) if p.endswith(".pdf") else x for p, x in files.items()}


def log_files(
    store: Archive, r: Record, level: str, more: Sequence[Mapping[str, Any]] = ()
) -> dict[str, bytes]:
    """Log sheets of a stored revision; ``more``: an event about to be written."""
    from ...parts.documents import log
    from ..building.designing import read_for
    from . import log_sheets as logsheets

    files = {f["path"]: f["sha256"] for f in r.data["files"]}
    name = f"{INPUT}shop.toml"
    with tempfile.TemporaryDirectory(prefix="soapstone-") as tmp:
        shop = Path(tmp) / "shop.toml"
        if name in files:
            shop.write_bytes(store.content(files[name]))
        job = Path(tmp) / "job.toml"
        if f"{INPUT}job.toml" in files:
            job.write_bytes(store.content(files[f"{INPUT}job.toml"]))
        paper = read_for(job).paper
    head = log_head(r.data["chassis"], r.data.get("date", ""), r.letter, level, paper)
    return log.files(logsheets.of(store, r, level, more), head)


def log_head(chassis: str, date: str, letter: str, level: str, paper: str) -> Head:
    """What stands on every page of the log sheets."""
    from ...parts.documents.engine import Head
    from ...parts.documents.levels import void

    says = f"Revision {letter}, for {level}"
    return Head(chassis, date, level, says, paper, void(chassis, letter))


def differing(old: Mapping[str, bytes], new: Mapping[str, bytes]) -> dict[str, list[str]]:
    """Files that differ, are only stored, are only built; inputs and logs, which no build makes,
    left out, and the list that names the logs.
    """
    logs = any(p.startswith("log/") for p in old)
    own, now = (
        {
            p: digest(x)
            for p, x in files.items()
            if not p.startswith((INPUT, "log/")) and not (logs and p == "manifest.json")
        }
        for files in (old, new)
    )
    return {
        "differ": sorted(p for p in own.keys() & now.keys() if own[p] != now[p]),
        "only stored": sorted(own.keys() - now.keys()),
        "only built now": sorted(now.keys() - own.keys()),
    }


def named(store: Archive, words: str) -> tuple[str, str]:
    """ "T1:A" or "T1" as chassis and letter."""
    chassis, _, letter = words.partition(":")
    if not chassis:
        raise SoapstoneError(
            Exit.COMMAND_LINE,
            [
                Fault(
                    "revision",
                    words,
                    "CHASSIS or CHASSIS:LETTER",
                    ", ".join(store.chassis()) or "nothing is released yet",
                )
            ],
        )
    return chassis, letter

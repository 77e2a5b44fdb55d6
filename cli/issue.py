"""A released revision again: its stored files, or built anew from its stored inputs and held against them."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from soapstone.cli.archive import Archive, Record, digest
from soapstone.layout.faults import Exit, Fault, SoapstoneError

if TYPE_CHECKING:
    from soapstone.cli.looking import Looked
    from soapstone.cli.options import Designed

INPUT = "input/"


def stored(store: Archive, r: Record) -> dict[str, bytes]:
    """Every file of a revision as it was stored. Raises (ARCHIVE_DAMAGED) naming each that is missing or altered."""
    found, faults = {}, []
    for f in r.data["files"]:
        try:
            found[f["path"]] = store.content(f["sha256"])
        except SoapstoneError as e:
            faults.append(
                e.faults[0]._replace(
                    field=f"{r.data['chassis']} {r.letter} {f['path']}: {e.faults[0].field.partition(': ')[2]}"
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


class Again(NamedTuple):
    """A revision designed anew by this version from its stored inputs: with its travel and verdict, and the places of its nest."""

    designed: Designed
    looked: Looked
    kept: dict[str, Any]


def again(store: Archive, r: Record) -> Again:
    """The revision designed and looked at anew, before anything of it is drawn."""
    from soapstone.cli import kinds
    from soapstone.cli.options import designed

    files = stored(store, r)
    with tempfile.TemporaryDirectory(prefix="soapstone-") as tmp:
        job, shop = inputs(files, Path(tmp))
        d = designed(job, shop)
        return Again(d, d.looked(), kinds.nest_kept(job))


def rebuilt(
    store: Archive,
    r: Record,
    level: str = "",
    found: Again | None = None,
    accepted: Sequence[Mapping[str, str]] | None = None,
) -> dict[str, bytes]:
    """The revision built anew by this version from its stored inputs, at its own level or another; ``found``: as ``again`` gave it; ``accepted``: what is
    signed for by then, else what the release carried."""
    from soapstone.cli import build as b
    from soapstone.parts.truck import relettered

    d, looked, kept = found or again(store, r)
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
        looked=looked,
        accepted=r.data.get("accepted", ()) if accepted is None else accepted,
    )
    made["manifest.json"] = b.manifest(d.job, truck, made, d.shop, looked.judged, letters, firsts)
    return made


def differing(old: Mapping[str, bytes], new: Mapping[str, bytes]) -> dict[str, list[str]]:
    """Files that differ, are only stored, are only built; inputs left out."""
    own = {p: digest(x) for p, x in old.items() if not p.startswith(INPUT)}
    now = {p: digest(x) for p, x in new.items()}
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

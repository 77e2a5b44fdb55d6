"""A released revision again: its stored files, or built anew from its stored inputs and held against them."""

from __future__ import annotations

import itertools
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from soapstone.cli.archive import Archive, Record, digest
from soapstone.layout.faults import Exit, Fault, SoapstoneError

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


def cut_before(store: Archive, earlier: Iterable[Record], paths: Iterable[str]) -> dict[str, bytes]:
    """Cut files that were released before under the very same name: a part that keeps its letter keeps its file to the byte, not only to the hundredth of a millimeter."""
    wanted = {p for p in paths if p.startswith("cut/")}
    return {
        f["path"]: store.content(f["sha256"])
        for r in earlier
        for f in r.data["files"]
        if f["path"] in wanted
    }


def rebuilt(store: Archive, r: Record, level: str = "") -> dict[str, bytes]:
    """The revision built anew by this version from its stored inputs, at its own level or another."""
    from soapstone.cli import build as b
    from soapstone.cli import kinds
    from soapstone.cli.like import master_of
    from soapstone.cli.options import designed
    from soapstone.parts.truck import relettered

    files = stored(store, r)
    with tempfile.TemporaryDirectory(prefix="soapstone-") as tmp:
        job, shop = inputs(files, Path(tmp))
        d = designed(job, shop)
        kept = kinds.nest_kept(job)
        master = master_of(store, job)
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
    )
    own = itertools.takewhile(lambda e: e.letter != r.letter, store.records(r.data["chassis"]))
    made |= cut_before(store, (*([master] if master else []), *own), made)
    made["manifest.json"] = b.manifest(d.job, truck, made, d.shop, letters, firsts)
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

"""release: store a build as a revision of its chassis."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer
from soapstone.cli.options import ArchiveDir, Designed, JobFile, Out, ShopFile, designed, said, say
from soapstone.layout.faults import Exit, Fault, SoapstoneError

Note = Annotated[str, typer.Option("--note", help="what changed and why; required")]
By = Annotated[str, typer.Option("--by", help="who releases it; required")]
Day = Annotated[str, typer.Option("--date", help="day of the release (2026-01-31); else the job's date")]


def archive_of(archive: Path | None, shop_archive: str, job: Path) -> Path:
    """Folder of released revisions: the one named, the shop's, else ``archive`` beside the job file."""
    return archive or (Path(shop_archive) if shop_archive else job.parent / "archive")


def release(job: JobFile, note: Note = "", by: By = "", day: Day = "", out: Out = Path("out"), archive: ArchiveDir = None, shop: ShopFile = None) -> None:
    """Store the build as the next revision of the chassis. What is released never changes."""
    from soapstone.cli import build as b
    from soapstone.cli import disk, kinds
    from soapstone.cli.archive import Archive, letter_of, revise
    from soapstone.parts.truck import relettered

    d = designed(job, shop)
    _fit_to_release(d, note, by, day or d.job.words.get("job.date", ""), out)
    store = Archive(archive_of(archive, d.shop.archive, job))
    records = store.records(d.job.chassis)
    letter = letter_of(len(records))
    parts = b.part_rows(d.truck, d.shop, {})
    letters, changed, gone = revise(parts, records[-1] if records else None, letter)
    inputs = {"input/job.toml": job.read_bytes(), **_beside(job, shop)}
    if records and not changed and not gone:
        raise SoapstoneError(Exit.CHECK_FAILS, [Fault(d.job.chassis, "", "a part that changed", f"nothing changed since revision {records[-1].letter}: there is nothing to release")])
    truck = relettered(d.truck, d.shop, d.job.chassis, letters)
    if {p.id: p.fingerprint for p in truck.parts} != {p.id: p.fingerprint for p in d.truck.parts}:
        raise AssertionError("a part changed when its letter was put on")
    made = b.files(d.job, d.solved, truck, d.shop, d.strength, say, letters, f"RELEASED {letter}", kinds.nest_kept(job))
    made["manifest.json"] = b.manifest(d.job, truck, made, d.shop, letters)
    record: dict[str, Any] = {"chassis": d.job.chassis, "letter": letter, "note": note, "by": by, "date": day or d.job.words.get("job.date", ""), "tool": b.VERSION,
                              "before": records[-1].sha256 if records else "", "job_sha256": d.job.sha256, "parts": b.part_rows(truck, d.shop, letters), "changed": changed, "gone": gone,
                              "waiting": sorted(d.truck.waiting)}
    store.add(d.job.chassis, record, {**made, **inputs})
    disk.swap_in(out / d.job.chassis, letter, made)
    said()
    print(f"{d.job.chassis} revision {letter}: {len(changed)} parts new or changed, {len(parts) - len(changed)} as before, {len(gone)} gone; stored in {store.folder}")
    print(f"to cut from: {out / d.job.chassis / letter}")
    print("A release is a record, not an approval; local law decides, and whoever may sign must sign.")


def _beside(job: Path, shop: Path | None) -> dict[str, bytes]:
    """The taped file, the shop's settings and the nest's places, if there are any: a release keeps what it was made from."""
    taped, settings = job.with_name(job.stem + ".taped.toml"), shop or job.parent / "shop.toml"
    return {name: p.read_bytes() for name, p in (("input/job.taped.toml", taped), ("input/shop.toml", settings), ("input/job.nest.json", job.with_name(job.stem + ".nest.json"))) if p.is_file()}


def _fit_to_release(d: Designed, note: str, by: str, day: str, out: Path) -> None:
    """Every reason not to release, in one go: no note, nobody's name, no day, parts that fail or do not fit, a draft of another job."""
    import json
    import re

    from soapstone.parts.fit import fit

    faults = []
    if not 3 <= len(note.strip()) <= 200 or "\n" in note:
        faults.append(Fault("--note", note, "3 to 200 characters on one line", "say what changed and why"))
    if not 2 <= len(by.strip()) <= 60 or "\n" in by:
        faults.append(Fault("--by", by, "a name", "say who releases it"))
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", day):
        faults.append(Fault("--date", day, "a day, as 2026-01-31", "give the day here or in the job file"))
    faults += [Fault(part, "", "a part that can be cut", why) for part, why in d.truck.failed.items()]
    faults += [Fault("placed assembly", "", "parts that fit together", str(m)) for m in fit(d.truck, d.shop, d.solved.values)]
    try:
        draft = json.loads((out / d.job.chassis / "draft" / "manifest.json").read_bytes())
        built = {p["part"]: p["fingerprint"] for p in draft["parts"]}
    except (OSError, ValueError, KeyError):
        built = None
    if built is None:
        faults.append(Fault(str(out / d.job.chassis / "draft"), "", "a build of this job", "run build first and look at what comes out"))
    elif built != {p.id: p.fingerprint for p in d.truck.parts}:
        faults.append(Fault(str(out / d.job.chassis / "draft"), "", "a build of the job as it is now", "readings or stock changed since: build again and look at it before it is released"))
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE if all(f.field.startswith("--") for f in faults) else Exit.CHECK_FAILS, faults, "not released")

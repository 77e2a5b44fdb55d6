"""release: store a build as a revision of its chassis."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.documents.levels import LEVELS, part_level
from ...parts.model.numbering import numbered_bolts, numbered_welds
from ...parts.verdict.findings import Judged
from ..archive.acceptance import Accept, accepted, needs_acceptance, refusals
from ..building.designing import Designed, designed
from ..options import ArchiveDir, JobFile, Out, ShopFile, said, say

if TYPE_CHECKING:
    from ..archive.store import Archive, Record
    from ..building.looking import Looked

Note = Annotated[str, typer.Option("--note", help="what changed and why; required")]
By = Annotated[str, typer.Option("--by", help="who releases it; required")]
Day = Annotated[
    str, typer.Option("--date", help="day of the release (2026-01-31); else the job's date")
]


def archive_of(archive: Path | None, shop_archive: str, job: Path) -> Path:
    """Folder of released revisions: the one named, the shop's, else ``archive`` beside the job
    file.
    """
    return archive or (Path(shop_archive) if shop_archive else job.parent / "archive")


Level = Annotated[
    str, typer.Option("--level", help="what it may be used for: mock-up, tack, weld or final")
]


def release(
    job: JobFile,
    note: Note = "",
    by: By = "",
    day: Day = "",
    level: Level = "tack",
    accept: Accept = "",
    out: Out = Path("out"),
    archive: ArchiveDir = None,
    shop: ShopFile = None,
) -> None:
    """Store the build as the next revision of the chassis. What is released never changes."""
    from ..archive.store import Archive

    d = designed(job, shop)
    day = day or d.job.words.get("job.date", "")
    looked = d.looked(say)
    said()
    _fit_to_release(d, looked.judged, note, by, day, out, level, job, accept)
    took = accepted(looked.judged, level, by, day, accept)
    store = Archive(archive_of(archive, d.shop.archive, job))
    with store.lock(d.job.chassis):
        _release(d, looked, took, job, shop, note, by, day, level, out, store)


def _release(
    d: Designed,
    looked: Looked,
    took: list[dict[str, str]],
    job: Path,
    shop: Path | None,
    note: str,
    by: str,
    day: str,
    level: str,
    out: Path,
    store: Archive,
) -> None:
    from ...parts.truck.likeness import Likeness
    from ...parts.truck.truck import relettered
    from .. import disk
    from ..archive import current
    from ..archive import reissue as issue
    from ..archive.letters import revise
    from ..archive.second_truck import firsts_of, master_of
    from ..archive.store import letter_of
    from ..building import build as b
    from ..building import files as kinds

    records = store.records(d.job.chassis)
    letter = letter_of(len(records))
    parts = b.part_rows(d.truck, d.shop, {})
    master = master_of(store, job)
    letters, since = revise(parts, records[-1] if records else None, letter)
    kept, firsts = firsts_of(parts, master, records[-1] if records else None)
    firsts = {k: v for k, v in firsts.items() if v != d.job.chassis}
    letters |= {k: kept[k] for k in firsts}
    changed = sorted(k for k in (*since.shape, *since.come) if k not in firsts)
    inputs = {"input/job.toml": job.read_bytes(), **_beside(job, shop)}
    if records and not since.differs and _same_inputs(records[-1], inputs):
        raise SoapstoneError(
            Exit.CHECK_FAILS,
            [
                Fault(
                    d.job.chassis,
                    "",
                    "a part, a reading or a set-down that changed",
                    f"nothing changed since revision {records[-1].letter}: there is nothing to"
                    " release; sign raises its level",
                )
            ],
        )
    truck = relettered(d.truck, d.shop, d.job.chassis, letters, firsts)
    if {p.id: p.fingerprint for p in truck.singles} != {
        p.id: p.fingerprint for p in d.truck.singles
    }:
        raise AssertionError("a part changed when its letter was put on")
    made = b.files(
        d.job,
        d.solved,
        truck,
        d.shop,
        d.strength,
        say,
        letters,
        f"RELEASED {letter}, for {level}",
        kinds.nest_kept(job),
        level,
        firsts,
        revision=letter,
        looked=looked,
        accepted=took,
    )
    made |= issue.cut_before(store, (*([master] if master else []), *records), made)
    record: dict[str, Any] = {
        "chassis": d.job.chassis,
        "letter": letter,
        "note": note,
        "by": by,
        "date": day,
        "level": level,
        "tool": b.VERSION,
        "before": records[-1].sha256 if records else "",
        "job_sha256": d.job.sha256,
        "parts": [
            {**row, **({"first": firsts[row["part"]]} if row["part"] in firsts else {})}
            for row in b.part_rows(truck, d.shop, letters, looked.judged)
        ],
        "changed": changed,
        "moved": list(since.moved),
        "gone": list(since.gone),
        "waiting": sorted(d.truck.waiting),
        "verdict": looked.judged.worst.value,
        "headline": looked.judged.headline,
        "accepted": took,
        **facts_of(d, made),
    }
    if level == "final":
        made |= _log(store, record, inputs, d.shop.paper)
    made["manifest.json"] = b.manifest(d.job, truck, made, d.shop, looked.judged, letters, firsts)
    store.add(d.job.chassis, record, {**made, **inputs})
    disk.swap_in(out / d.job.chassis, letter, made)
    page = current.write(store, d.job.chassis, out)
    said()
    print(
        f"{d.job.chassis} revision {letter}: {len(changed)} parts new or with a new shape,"
        f" {len(since.moved)} {Likeness.MOVED}, {len(since.same)} {Likeness.SAME},"
        f" {len(since.gone)} gone; stored in {store.folder}"
    )
    if firsts:
        print(
            f"{len(firsts)} parts are parts of {', '.join(sorted(set(firsts.values())))} and keep"
            f" their numbers: {', '.join(sorted(firsts))}"
        )
    print(looked.judged.headline)
    if took:
        print(f"{len(took)} findings accepted by {by}, kept in the record: {took[0]['why']}")
    held = sorted(
        {
            p.number
            for p in truck.singles
            if part_level(p.member.fixed_after, level, not _not_down(job)) != level
        }
    )
    if held:
        print(f"stay at tack until the truck stands right: {', '.join(held)}")
    print(f"to cut from: {out / d.job.chassis / letter}; {page} says which revision is good")
    if records:
        print(
            f"prints of {records[-1].letter} and before are void, but for drawings of parts that"
            " keep their letter"
        )
    print(
        "A release is a record, not an approval; local law decides, and whoever may sign must sign."
    )


def _log(
    store: Archive, record: Mapping[str, Any], inputs: Mapping[str, bytes], paper: str
) -> dict[str, bytes]:
    """Log sheets of a revision about to be stored: what was entered to the revisions before it."""
    import json

    from ...parts.documents import log
    from ..archive import log_sheets as logsheets
    from ..archive import reissue as issue

    chassis, letter, level = (str(record[k]) for k in ("chassis", "letter", "level"))
    before = [
        (r.data, [e.data for e in store.events(chassis, r.letter)]) for r in store.records(chassis)
    ]
    kept = inputs.get(logsheets.AS_BUILT)
    built = None if kept is None else json.loads(kept)
    found = logsheets.gathered(record, built, [*before, (record, [])], level)
    return log.files(found, issue.log_head(chassis, str(record["date"]), letter, level, paper))


def _same_inputs(last: Record, inputs: Mapping[str, bytes]) -> bool:
    """Whether job, shop, nest and set-down are as the last release kept them: a set-down alone is
    worth a revision, though no part changed.
    """
    from ..archive.store import digest

    return {
        f["path"]: f["sha256"] for f in last.data["files"] if f["path"].startswith("input/")
    } == {k: digest(v) for k, v in inputs.items()}


def facts_of(d: Designed, made: Mapping[str, bytes]) -> dict[str, Any]:
    """What lists, searches and traces need of a revision: readings as typed, values solved, which
    part is on which sheet and carries which weld.
    """
    import json

    rows = json.loads(made["setout.json"])
    nests = json.loads(made["schedule/nest.json"])["sheets"]
    home = {place: p.id for p in d.truck.parts for place in p.places}
    ids = {p.called: p.id for p in d.truck.parts}
    welds: dict[str, list[str]] = {}
    for n, w in numbered_welds(d.truck.assembly).items():
        for end in (w.on, w.to):
            part = home.get(end)
            if part and n not in welds.setdefault(part, []):
                welds[part].append(n)
    return {
        "typed": (
            {
                str(k): " | ".join(r.typed)
                for k, r in d.job.readings.items()
                if r.typed and not r.assumed
            }
            | {k: v for k, v in d.job.words.items() if v}
        ),
        "values": {r["key"]: r["shown"] for r in rows if r["shown"]},
        "sheets": {
            r["sheet"]: [ids[w.partition(" x")[0]] for w in _pairs(r["parts"])] for r in nests
        },
        "bolts": list(numbered_bolts(d.truck.assembly)),
        "welds": welds,
    }


def _pairs(words: str) -> list[str]:
    """ "AB1.L x1 AB2.L x2" as ["AB1.L x1", "AB2.L x2"]."""
    row = words.split()
    return [f"{a} {b}" for a, b in zip(row[::2], row[1::2], strict=True)]


def _not_down(job: Path) -> str:
    from ..archive.set_down import not_down

    path = job.with_name(f"{job.stem}.asbuilt.json")
    return not_down(path.read_bytes() if path.is_file() else None)


def _beside(job: Path, shop: Path | None) -> dict[str, bytes]:
    """The taped file, the shop's settings the nest's places, set-downs and the as-built, if there
    are any: a release keeps what it was made from.
    """
    taped, settings = job.with_name(job.stem + ".taped.toml"), shop or job.parent / "shop.toml"
    return {
        name: p.read_bytes()
        for name, p in (
            ("input/job.taped.toml", taped),
            ("input/shop.toml", settings),
            ("input/job.nest.json", job.with_name(job.stem + ".nest.json")),
            ("input/job.down.toml", job.with_name(job.stem + ".down.toml")),
            ("input/job.like.json", job.with_name(job.stem + ".like.json")),
            ("input/job.asbuilt.json", job.with_name(job.stem + ".asbuilt.json")),
        )
        if p.is_file()
    }


def _named(note: str, by: str, day: str) -> list[Fault]:
    """No note, nobody's name, no day."""
    import re

    faults = []
    if not 3 <= len(note.strip()) <= 200 or "\n" in note:
        faults.append(
            Fault("--note", note, "3 to 200 characters on one line", "say what changed and why")
        )
    if not 2 <= len(by.strip()) <= 60 or "\n" in by:
        faults.append(Fault("--by", by, "a name of two letters or more", "say who releases it"))
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", day):
        faults.append(
            Fault("--date", day, "a day, as 2026-01-31", "give the day here or in the job file")
        )
    return faults


def _fit_to_release(
    d: Designed,
    judged: Judged,
    note: str,
    by: str,
    day: str,
    out: Path,
    level: str,
    job: Path,
    accept: str,
) -> None:
    """Every reason not to release, in one go: no note, nobody's name, no day, what nobody can sign
    for, what nobody signed for yet, a draft of another job.
    """
    faults = _named(note, by, day)
    if level not in LEVELS[1:]:
        faults.append(Fault("--level", level, " | ".join(LEVELS[1:]), "use one of these"))
    elif LEVELS.index(level) >= LEVELS.index("weld") and (why := _not_down(job)):
        faults.append(
            Fault("--level", level, "mock-up or tack", f"nothing is released for weld yet: {why}")
        )
    faults += refusals(judged, level)
    if level in LEVELS:
        faults += needs_acceptance(judged, level, accept)
    faults += _stale(d, out)
    if faults:
        raise SoapstoneError(
            (
                Exit.COMMAND_LINE
                if all(f.field.startswith("--") for f in faults)
                else Exit.CHECK_FAILS
            ),
            faults,
            "not released",
        )


def _stale(d: Designed, out: Path) -> list[Fault]:
    """No draft, or a draft of another job."""
    import json

    faults = []
    try:
        draft = json.loads((out / d.job.chassis / "draft" / "manifest.json").read_bytes())
        built = {k: v for p in draft["parts"] for k, v in p["places"].items()}
    except (OSError, ValueError, KeyError):
        built = None
    if built is None:
        faults.append(
            Fault(
                str(out / d.job.chassis / "draft"),
                "",
                "a build of this job",
                "run build first and look at what comes out",
            )
        )
    elif built != {p.id: p.fingerprint for p in d.truck.singles}:
        faults.append(
            Fault(
                str(out / d.job.chassis / "draft"),
                "",
                "a build of the job as it is now",
                "readings or stock changed since: build again and look at it before it is released",
            )
        )
    return faults

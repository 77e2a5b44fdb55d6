"""A build about to be stored: the letters its parts get, its record, its files."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ...parts.model.terms import Level
from . import history, revision_files
from .facts import RecordFacts
from .letters import letter_of
from .record import Record, digest
from .signature import Signer
from .store import Archive

if TYPE_CHECKING:
    from ...layout.job.load import Job
    from ...parts.export.nest import KeptNest
    from ...parts.truck.likeness import Compared
    from ...parts.truck.truck import Truck
    from ..building.design import Designed
    from ..building.verdict import Looked


def archive_of(archive: Path | None, shop_archive: str, job: Path) -> Path:
    """Folder of released revisions: the one named, the shop's, else ``archive`` beside the job
    file.
    """
    return archive or (Path(shop_archive) if shop_archive else job.parent / "archive")


class Lettered(NamedTuple):
    """A truck with the letters of its next revision.

    ``letters``: of each part; ``firsts``: the other chassis whose number a part keeps; ``since``:
    what became of each part since the last revision; ``earlier``: the revisions whose cut files
    stay as they are, the master's first.
    """

    letter: str
    truck: Truck
    letters: dict[str, str]
    firsts: dict[str, str]
    since: Compared
    last: Record | None
    earlier: tuple[Record, ...]

    @property
    def changed(self) -> list[str]:
        """Parts that are new or have a new shape and no number from another chassis."""
        new = (*self.since.shape, *self.since.come)
        return sorted(part for part in new if part not in self.firsts)


def lettered(store: Archive, found: Designed, job: Path) -> Lettered:
    """Put the next revision's letters on a designed truck.

    A part whose plate or tube is as it was keeps its letter, one that is cut from another chassis'
    file its number too. Nothing is stored. Raises (ARCHIVE_DAMAGED) where an earlier revision
    cannot be read, (JOB_FILE) where the job says unreadably what it is like.
    """
    from ...parts.truck.truck import relettered
    from ..building.manifest import part_rows
    from .part_letters import firsts_of, revise
    from .second_truck import master_of

    chassis = found.job.chassis
    records = store.records(chassis)
    last = records[-1] if records else None
    letter = letter_of(len(records))
    rows = part_rows(found.truck, found.shop, {})
    master = master_of(store, job)
    letters, since = revise(rows, last, letter)
    kept, named = firsts_of(rows, master, last)
    firsts = {part: first for part, first in named.items() if first != chassis}
    letters |= {part: kept[part] for part in firsts}
    truck = relettered(found.truck, found.shop, chassis, letters, firsts)
    if _fingerprints(truck) != _fingerprints(found.truck):
        raise AssertionError("a part changed when its letter was put on")
    earlier = (*([master] if master else []), *records)
    return Lettered(
        letter=letter,
        truck=truck,
        letters=letters,
        firsts=firsts,
        since=since,
        last=last,
        earlier=earlier,
    )


def _fingerprints(truck: Truck) -> dict[str, str]:
    return {part.id: part.fingerprint for part in truck.singles}


class Signed(NamedTuple):
    """What a release is signed for: findings accepted, and what stays open in words of its own."""

    level: Level
    signer: Signer
    accepted: list[dict[str, str]]
    open: list[dict[str, str]]


def release_files(
    store: Archive,
    found: Designed,
    looked: Looked,
    new: Lettered,
    signed: Signed,
    *,
    inputs: Mapping[str, bytes],
    kept: Mapping[str, KeptNest],
) -> tuple[RecordFacts, dict[str, bytes]]:
    """Record of the next revision, and its files but the inputs.

    ``inputs``: what it was made from, by path in the record; ``kept``: places of its nest. Cut
    files that were released before under the same name are taken as they were, to the byte; a
    revision for final has its log sheets. Nothing is stored.
    """
    from ..building.build import Build, Issue
    from ..building.manifest import manifest
    from ..building.witnessed import witnessed
    from ..screen import say

    level, who = signed.level, signed.signer
    before = [history.of_record(record) for record in store.records(found.job.chassis)]
    whole, own = history.blocks(
        [*before, history.Released(new.letter, who.by, who.date, who.note, new.letters)], new.firsts
    )
    issue = Issue(
        letters=new.letters,
        firsts=new.firsts,
        says=f"RELEASED {new.letter}, for {level}",
        level=level,
        revision=new.letter,
        accepted=signed.accepted,
        heats=_heats(store, found.job.chassis, new.letters),
        revisions=whole,
        history=own,
    )
    build = Build(found, looked, truck=new.truck, issue=issue, kept=kept, say=say)
    made, solids = witnessed(build)
    build.again.keep(made)
    made |= revision_files.cut_before(store, new.earlier, made)
    record = _record(found, looked, new, signed) | facts_of(found, made) | {"solids": solids}
    if level is Level.FINAL:
        made |= _log(store, record, inputs, found.shop.paper)
    made["manifest.json"] = manifest(build, made)
    return record, made


def _heats(store: Archive, chassis: str, letters: Mapping[str, str]) -> dict[str, list[str]]:
    """Heats entered so far of parts that keep their letter."""
    from .index import heats_kept

    return heats_kept(
        (
            (record.data, [event.data for event in store.events(record.chassis, record.letter)])
            for record in store.each(chassis)
        ),
        letters,
    )


def _record(found: Designed, looked: Looked, new: Lettered, signed: Signed) -> RecordFacts:
    from ..building.manifest import VERSION, part_rows

    rows = part_rows(new.truck, found.shop, new.letters, looked.judged)
    for row in rows:
        if row["part"] in new.firsts:
            row["first"] = new.firsts[row["part"]]
    return {
        "chassis": found.job.chassis,
        "letter": new.letter,
        **signed.signer.facts(),
        "level": signed.level,
        "tool": VERSION,
        "before": new.last.sha256 if new.last else "",
        "job_sha256": found.job.sha256,
        "parts": rows,
        "changed": new.changed,
        "moved": list(new.since.moved),
        "gone": list(new.since.gone),
        "waiting": sorted(found.truck.waiting),
        "verdict": looked.judged.worst.value,
        "headline": looked.judged.headline,
        "accepted": signed.accepted,
        "open": signed.open,
    }


def _log(
    store: Archive, record: RecordFacts, inputs: Mapping[str, bytes], paper: str
) -> dict[str, bytes]:
    """Log sheets of a revision about to be stored: what was entered to the revisions before it."""
    from ...parts.documents import log
    from . import log_sheets

    chassis, letter = str(record["chassis"]), str(record["letter"])
    level = Level(record["level"])
    listing = store.listing(chassis)
    before = [
        (earlier.data, [event.data for event in store.events(chassis, earlier.letter, listing)])
        for earlier in store.each(chassis)
    ]
    kept = inputs.get(log_sheets.AS_BUILT)
    built = None if kept is None else json.loads(kept)
    found = log_sheets.gathered(record, built, [*before, (record, [])], level)
    head = revision_files.log_head(chassis, str(record["date"]), letter, level, paper)
    return log.files(found, head)


def inputs_of(job: Path, shop: Path | None, read: Job | None = None) -> dict[str, bytes]:
    """What a release was made from, by where the record keeps it: the job file, and if there are
    any the taped file, photos taken beside readings, the solids the job names once it is ``read``,
    the shop's settings, the nest's places, set-downs and the as-built.
    """
    from ..building.obstacle_files import named_files

    photos = sorted(job.with_name(f"{job.stem}.photos").glob("*.jpg"))
    beside = {
        "shop.toml": shop or job.parent / "shop.toml",
        **{
            f"job.{own}": job.with_name(f"{job.stem}.{own}")
            for own in (
                "taped.toml",
                "nest.json",
                "down.toml",
                "like.json",
                "asbuilt.json",
            )
        },
        **{f"job.photos/{photo.name}": photo for photo in photos},
        **{name: job.with_name(name) for name in (named_files(read) if read else {}).values()},
    }
    return {f"{revision_files.INPUT}job.toml": job.read_bytes()} | {
        f"{revision_files.INPUT}{name}": path.read_bytes()
        for name, path in beside.items()
        if path.is_file()
    }


def same_inputs(last: Record, inputs: Mapping[str, bytes]) -> bool:
    """Whether job, shop, nest and set-down are as the last release kept them: a set-down alone is
    worth a revision, though no part changed.
    """
    kept = {
        file["path"]: file["sha256"]
        for file in last.data["files"]
        if file["path"].startswith(revision_files.INPUT)
    }
    return kept == {path: digest(data) for path, data in inputs.items()}


def typed_of(job: Job) -> dict[str, str]:
    """Every reading and word of a job as it was typed, what is assumed left out."""
    return {
        str(key): " | ".join(reading.typed)
        for key, reading in job.readings.items()
        if reading.typed and not reading.assumed
    } | {name: word for name, word in job.words.items() if word}


def facts_of(found: Designed, made: Mapping[str, bytes]) -> RecordFacts:
    """What lists, searches and traces need of a revision: readings as typed, values solved, which
    part is on which sheet and carries which weld.
    """
    from ...parts.model.numbering import numbered_bolts

    rows = json.loads(made["setout.json"])
    nests = json.loads(made["schedule/nest.json"])["sheets"]
    ids = {part.called: part.id for part in found.truck.parts}
    return {
        "typed": typed_of(found.job),
        "values": {row["key"]: row["shown"] for row in rows if row["shown"]},
        "sheets": {row["sheet"]: [ids[name] for name in _names(row["parts"])] for row in nests},
        "bolts": list(numbered_bolts(found.truck.assembly)),
        "welds": _welds(found.truck),
    }


def _welds(truck: Truck) -> dict[str, list[str]]:
    """Weld numbers by the part that carries them."""
    from ...parts.model.numbering import numbered_welds

    home = {place: part.id for part in truck.parts for place in part.places}
    found: dict[str, list[str]] = {}
    for number, weld in numbered_welds(truck.assembly).items():
        for end in (weld.on, weld.to):
            part = home.get(end)
            if part and number not in found.setdefault(part, []):
                found[part].append(number)
    return found


def _names(words: str) -> Sequence[str]:
    """The parts of a nested sheet.

    >>> _names("AB1.L x1 AB2.L x2")
    ['AB1.L', 'AB2.L']
    """
    return words.split()[::2]

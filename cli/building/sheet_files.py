"""Shop sheets, the workbook, and the packet of each stage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from ...layout import reader
from ...parts.documents import levels
from .build import Build
from .cache import Cache, key_of
from .design import inputs, sendable

if TYPE_CHECKING:
    from ...layout.job.load import Job
    from ...parts.documents.heads import PageHead
    from ...parts.export.nest import Result
    from ...parts.stock import Shop
    from ...parts.strength.result import Strength
    from ...parts.truck.truck import Truck
    from ...parts.verdict.findings import Judged

BEHIND = {1: (("Layout", "sheet/setout.pdf"),)}
"""Sheets drawn elsewhere that a stage's packet holds too, with their bookmarks."""
TOGETHER = {
    2: (("Nested sheets", "nest/{}-nest.pdf"),),
    8: (("Travel", "sheet/travel.pdf"),),
}
"""Those that are laid together on large sheets, as the drawings of parts are."""
SURVEY, CUT = 1, 2
"""Numbers of the stages that the general arrangement, a sheet of its own, and the drawings of parts
belong to.
"""
TOLD = {"Layout": 1, "Travel": 3}
"""Pages before the lists of rows, of a sheet that has any; the lists are in the workbook."""


class SheetsToWrite(NamedTuple):
    """Everything the shop documents are made from, as data: they are written in another process.

    Attributes
    ----------
    truck: without its holds, which no sheet looks at and which are no data.
    revisions: of every part, by its id; ``revision``: of the whole, empty for a draft.
    close: the pairs for the sheet that is filled in.
    voice: whose units paper speaks, and whose words of the trade.
    key: of everything they are made from.
    """

    job: Job
    truck: Truck
    shop: Shop
    strength: Strength
    judged: Judged
    nested: Result
    revisions: Mapping[str, str]
    revision: str
    accepted: Sequence[Mapping[str, str]]
    head: PageHead
    close: Sequence[tuple[str, str, str, str]]
    voice: reader.Voice
    key: str


def sheets_to_write(
    build: Build, nested: Result, close: Sequence[tuple[str, str, str, str]]
) -> SheetsToWrite:
    """The shop documents of a build, to be written."""
    from ...parts.documents.heads import PageHead

    issue, truck = build.issue, build.truck
    head = PageHead(
        chassis=build.chassis,
        date=build.date,
        level=issue.level,
        says=issue.says,
        paper=build.shop.paper,
        void=levels.void(build.chassis, issue.revision),
        shop=build.shop.name,
    )
    revisions = {part.id: build.revision(part) for part in truck.parts}
    named = [sorted(each.items()) for each in (issue.letters, issue.firsts, revisions)]
    accepted = [sorted(each.items()) for each in issue.accepted]
    return SheetsToWrite(
        job=build.job,
        truck=sendable(truck),
        shop=build.shop,
        strength=build.strength,
        judged=build.judged,
        nested=nested,
        revisions=revisions,
        revision=issue.revision,
        accepted=issue.accepted,
        head=head,
        close=close,
        voice=reader.voice(),
        key=key_of(
            *("sheets", *inputs(build.job, build.shop), head, reader.voice()),
            *(named, accepted, nested, close),
        ),
    )


def sheets_kept(work: SheetsToWrite) -> bool:
    """Whether the documents were made of the same before: no second process is worth its start."""
    return Cache().has(work.key)


def document_files(work: SheetsToWrite) -> tuple[dict[str, bytes], list[bytes]]:
    """Shop documents and the workbook, and each stage's packet without its drawings."""
    kept = Cache()
    made = kept.value(work.key, lambda: _written(work, kept))
    kept.trim()
    return made


def _written(work: SheetsToWrite, kept: Cache) -> tuple[dict[str, bytes], list[bytes]]:
    from ...layout.setout import solve
    from ...parts import documents
    from ...parts.documents.facts import Facts

    reader.take(work.voice)
    facts = Facts(
        chassis=work.job.chassis,
        date=work.head.date,
        words=work.job.words,
        readings=work.job.readings,
        solved=solve(work.job),
        truck=work.truck,
        shop=work.shop,
        strength=work.strength,
        nest=work.nested,
        revisions=work.revisions,
        judged=work.judged,
        accepted=work.accepted,
        revision=work.revision,
    )
    return documents.files(
        facts,
        work.head,
        work.close,
        lambda make, *rests_on: kept.value(key_of(work.voice, *rests_on), make),
    )


def packet_files(
    build: Build,
    made: Mapping[str, bytes],
    packets: Sequence[bytes],
    assemblies: Mapping[int, Sequence[str]],
) -> dict[str, bytes]:
    """Each stage's packet: its sheets, what else belongs to it, the ``assemblies`` drawn for it;
    in the packet of who cuts and drills the drawings of parts.
    """
    from ...parts.documents.bound import Bound, Names, bound
    from ...parts.drawing.scales import largest

    large = largest(build.shop.paper)
    found = {}
    for stage, own in enumerate(packets, 1):
        drawn = [(_titled(path), path) for path in assemblies[stage]]
        behind = [*BEHIND.get(stage, ()), *(drawn if stage == SURVEY else ())]
        together = [
            *(drawn if stage != SURVEY else ()),
            *TOGETHER.get(stage, ()),
            *(_drawings(build) if stage == CUT else ()),
        ]
        found[f"sheet/stage-{stage}.pdf"] = bound(
            own,
            [Bound(title, made[path], TOLD.get(title)) for title, path in behind if path in made],
            [
                Bound(title, made[path], TOLD.get(title))
                for title, path in ((title, path.format(build.chassis)) for title, path in together)
                if path in made
            ],
            large,
            Names(f"packet {stage}", f"{build.chassis} stage {stage}", build.shop.name),
        )
    return found


def _titled(path: str) -> str:
    """A drawing's bookmark, by its file."""
    return path.partition("/")[2].removesuffix(".pdf").replace("-", " ")


def _drawings(build: Build) -> list[tuple[str, str]]:
    """Drawings of every part with their bookmarks, each outline's once."""
    found: dict[str, str] = {}
    for part in build.truck.parts:
        found.setdefault(build.drawing_paths(part)[0], part.number)
    return [(title, path) for path, title in found.items()]

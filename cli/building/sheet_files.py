"""Shop sheets, the workbook, and the packet of each stage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ...parts.documents import levels
from .build import Build

if TYPE_CHECKING:
    from ...parts.export.nest import Result

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
STAGE_OF = {"axle": 3, "frame": 4, "crossmember": 5, "arms": 6, "set-down": 6}
"""Number of the stage a part is fitted in."""


def document_files(
    build: Build, nested: Result, close: Sequence[tuple[str, str, str, str]]
) -> tuple[dict[str, bytes], list[bytes]]:
    """Shop documents and the workbook, and each stage's packet without its drawings.

    ``close``: the pairs for the sheet that is filled in.
    """
    from ...parts import documents
    from ...parts.documents.facts import Facts
    from ...parts.documents.heads import PageHead

    issue, job = build.issue, build.job
    facts = Facts(
        chassis=build.chassis,
        date=build.date,
        words=job.words,
        readings=job.readings,
        solved=build.solved,
        truck=build.truck,
        shop=build.shop,
        strength=build.strength,
        nest=nested,
        revisions={part.id: build.revision(part) for part in build.truck.parts},
        judged=build.judged,
        accepted=issue.accepted,
    )
    head = PageHead(
        chassis=build.chassis,
        date=build.date,
        level=issue.level,
        says=issue.says,
        paper=build.shop.paper,
        void=levels.void(build.chassis, issue.revision),
        shop=build.shop.name,
    )
    return documents.files(facts, head, close, build.say)


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

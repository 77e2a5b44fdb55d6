"""Shop sheets, the workbook, and the packet of each stage."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ...parts.documents import levels
from .build import Build

if TYPE_CHECKING:
    from ...parts.export.nest import Result

WITH_STAGE = {
    1: ("sheet/setout.pdf",),
    2: ("nest/{chassis}-nest.pdf",),
    8: ("sheet/travel.pdf",),
}
"""Sheets drawn elsewhere that a stage's packet holds too, after its own."""
STAGE_OF = {"axle": 3, "frame": 4, "crossmember": 5, "arms": 6, "set-down": 6}
"""Number of the stage a part is fitted in."""


def document_files(
    build: Build, nested: Result, close: Sequence[tuple[str, str, str, str]]
) -> tuple[dict[str, bytes], dict[int, list[str]]]:
    """Shop documents and the workbook, and which of them each stage has.

    ``close``: the pairs for the sheet that is filled in.
    """
    from ...parts import documents
    from ...parts.documents.engine import Head
    from ...parts.documents.facts import Facts

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
    head = Head(
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
    stages: Mapping[int, Sequence[str]],
    assemblies: Mapping[int, Sequence[str]],
) -> dict[str, bytes]:
    """Each stage's packet: its sheets, what else belongs to it, the ``assemblies`` drawn for it,
    and the drawings of the parts that are fitted in it.
    """
    found = {}
    for stage, own in stages.items():
        more = (path.format(chassis=build.chassis) for path in WITH_STAGE.get(stage, ()))
        drawn = (*assemblies.get(stage, ()), *_drawings(build, stage))
        paths = [path for path in (*own, *more, *drawn) if path in made]
        found[f"sheet/stage-{stage}.pdf"] = _bound(build, stage, [made[path] for path in paths])
    return found


def _drawings(build: Build, stage: int) -> list[str]:
    """Drawings of the parts that are fitted in a stage."""
    from ...parts.model.numbering import stage_of

    members = {member.code: member for member in build.truck.assembly.members}
    paths = [
        build.drawing_paths(part)[0]
        for part in build.truck.parts
        if any(
            STAGE_OF[stage_of(m)] == stage and m.fixed_after != "tool"
            for m in map(members.__getitem__, part.places)
        )
    ]
    return list(dict.fromkeys(paths))


def _bound(build: Build, stage: int, sheets: Sequence[bytes]) -> bytes:
    """Several PDFs as one."""
    from pypdf import PdfWriter

    from ...parts.drawing.display import TOOL

    book = PdfWriter()
    for sheet in sheets:
        book.append(io.BytesIO(sheet))
    book.add_metadata(
        {
            "/Title": f"{build.chassis} stage {stage}",
            "/Author": build.shop.name,
            "/Creator": TOOL,
            "/Producer": TOOL,
        }
    )
    out = io.BytesIO()
    book.write(out)
    return out.getvalue()

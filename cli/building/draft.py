"""A draft: every file of a job built and written, and what the screen says of it."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from .. import disk, interrupt
from ..screen import said, say
from .design import design_kept, designed_job, inputs, loaded

if TYPE_CHECKING:
    from ...parts.stock import Shop
    from ...parts.truck.truck import Truck
    from ...parts.verdict.findings import Judged
    from .design import Designed
    from .worker import Spares


def cut_lines(truck: Truck, shop: Shop, judged: Judged) -> Iterator[str]:
    """A line for what is cut now, by thickness, for what is cut once the truck has stood right, and
    for how much waits.
    """
    from ...parts.export.cut import thickness_name
    from ...parts.model.terms import When
    from ...parts.truck.truck import is_plate
    from ...parts.verdict.cut_today import sorted_parts
    from .build import AFTER, NOW

    plates = {
        each: [part for part in parts if is_plate(part)]
        for each, parts in sorted_parts(truck, judged).items()
    }
    counts = Counter(thickness_name(part, shop) for part in plates[When.NOW])
    thick = ", ".join(f"{name}: {count}" for name, count in sorted(counts.items()))
    if counts:
        yield f"cut now, {NOW}: {_files(counts.total())} ({thick})"
    if late := plates[When.AFTER]:
        yield f"cut after set-down, {AFTER}: {_files(len(late))}"
    if waits := plates[When.WAITS]:
        yield f"not to be cut yet: {len(waits)} plates, drawn and marked; why is said below"


def _files(count: int) -> str:
    return f"{count} file{'' if count == 1 else 's'}"


def make_draft(path: Path, out: Path, shop: Path | None, more: str) -> Judged:
    """Build a job into ``out/<chassis>/draft``, whole or not at all, and say what came of it;
    ``more``: the command that prints every finding. The verdict.
    """
    from .worker import KERNEL, PAPERS, Spares

    disk.ready(out)
    job, own = loaded(path, shop)
    with Spares() as spares:
        if not design_kept(job, own):
            spares.begin(KERNEL, PAPERS)
        return _drafted(path, out, designed_job(job, own), spares, more)


def _drafted(path: Path, out: Path, found: Designed, spares: Spares, more: str) -> Judged:
    from ...parts.words.names import sentence
    from .build import Build
    from .every_file import files, write
    from .nest_files import nest_kept
    from .reuse import Reuse
    from .verdict import tell

    job = found.job
    again, kept = Reuse(out / job.chassis), nest_kept(path)
    build = Build(found, kept=kept, again=again, say=say)
    made = again.whole(inputs(job, found.shop), job.sha256, kept)
    folder = out / job.chassis / "draft"
    if made is None:
        made = files(build, spares=spares)
        interrupt.stop_if_pressed()
        folder = write(out, job.chassis, made)
        again.save(made)
    looked = build.looked
    said()
    count = len(found.truck.parts)
    print(f"{count} part{'' if count == 1 else 's'}, {len(made)} files in {folder}")
    for line in cut_lines(found.truck, found.shop, looked.judged):
        print(f"  {line}")
    tell(looked.judged, more)
    for one in found.strength.grown:
        print(f"made larger for its loads: {sentence(str(one))}", file=sys.stderr)
    return looked.judged

"""A draft: every file of a job built and written, and what the screen says of it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from .. import disk, interrupt
from ..screen import said, say
from .designing import designed

if TYPE_CHECKING:
    from ...parts.verdict.findings import Judged


def make_draft(path: Path, out: Path, shop: Path | None, more: str) -> Judged:
    """Build a job into ``out/<chassis>/draft``, whole or not at all, and say what came of it;
    ``more``: the command that prints every finding. The verdict.
    """
    from ...parts.words.names import sentence
    from . import build, files
    from .looking import tell
    from .reuse import Reuse

    found = designed(path, shop)
    job, truck = found.job, found.truck
    looked = found.looked(say)
    disk.DISK.make_folder(out / job.chassis)
    again = Reuse(out / job.chassis)
    made = build.files(
        job,
        found.solved,
        truck,
        found.shop,
        found.strength,
        say,
        kept=files.nest_kept(path),
        again=again,
        looked=looked,
    )
    made["manifest.json"] = build.manifest(job, truck, made, found.shop, looked.judged)
    interrupt.stop_if_pressed()
    folder = build.write(out, job, made)
    again.save(made)
    said()
    print(f"{len(truck.parts)} parts, {len(made)} files in {folder}")
    tell(looked.judged, more)
    for words in found.strength.grown:
        print(f"made larger for its loads: {sentence(words)}", file=sys.stderr)
    return looked.judged

"""A draft: every file of a job built and written, and what the screen says of it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from .. import disk, interrupt
from ..screen import said, say
from .design import designed, inputs

if TYPE_CHECKING:
    from ...parts.verdict.findings import Judged


def make_draft(path: Path, out: Path, shop: Path | None, more: str) -> Judged:
    """Build a job into ``out/<chassis>/draft``, whole or not at all, and say what came of it;
    ``more``: the command that prints every finding. The verdict.
    """
    from ...parts.words.names import sentence
    from .build import Build
    from .every_file import files, write
    from .nest_files import nest_kept
    from .reuse import Reuse
    from .verdict import tell

    disk.ready(out)
    found = designed(path, shop)
    job = found.job
    looked = found.looked(say)
    disk.DISK.make_folder(out / job.chassis)
    again, kept = Reuse(out / job.chassis), nest_kept(path)
    made = again.whole(inputs(job, found.shop), job.sha256, kept)
    folder = out / job.chassis / "draft"
    if made is None:
        made = files(Build(found, looked, kept=kept, again=again, say=say))
        interrupt.stop_if_pressed()
        folder = write(out, job.chassis, made)
        again.save(made)
    said()
    print(f"{len(found.truck.parts)} parts, {len(made)} files in {folder}")
    tell(looked.judged, more)
    for words in found.strength.grown:
        print(f"made larger for its loads: {sentence(words)}", file=sys.stderr)
    return looked.judged

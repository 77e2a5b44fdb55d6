"""A build whose solids the kernel read back from their files."""

from __future__ import annotations

from ...layout.faults import Exit, Fault, SoapstoneError
from . import solid_files
from .build import Build
from .every_file import files
from .worker import nothing_beside, working


def witnessed(build: Build) -> tuple[dict[str, bytes], str]:
    """Every file, and in a sentence how its solids were read back, those that were made before
    beside everything else.

    Raises SoapstoneError (CHECK_FAILS) for a solid that is not the part.
    """
    from ...parts.export.witness import read_back

    before = solid_files.read_back(build, solid_files.ready(build))
    with (working if before else nothing_beside)(read_back, before) as early:
        made = files(build)
        build.say("solids read back")
        every = solid_files.read_back(build, made)
        fresh = {path: own for path, own in every.items() if before.get(path) != own}
        with (working if fresh else nothing_beside)(read_back, fresh) as late:
            wrong = early() | late()
    if wrong:
        faults = [
            Fault(path, "", "the part as it is drawn and cut", f"it {why}: run it with --no-cache")
            for path, why in sorted(wrong.items())
        ]
        raise SoapstoneError(Exit.CHECK_FAILS, faults, "a solid is not its part; not released")
    return made, f"{len(every)} read back by {solid_files.kernel()}, each sound and of its volume"

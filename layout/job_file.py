"""A job file read: what the tape gave, and the results its [fixed] table gives by the names the
layout solves.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from .job.load import NOTHING, Job, read
from .job.load import of_table as table_read
from .setout import names


def load(path: Path, taped: str | None = None, put: Mapping[str, object] = NOTHING) -> Job:
    """Read a job file with the taped file beside it, or with the text of one; ``put``: what stands
    in its place, by the name of the field.

    Raises SoapstoneError(JOB_FILE) with every fault.
    """
    return read(path, names(), taped, put)


def of_table(table: dict[str, object], sha256: str = "") -> Job:
    """The job of a parsed file, [fixed] by the names the layout solves.

    ``table``: the TOML tree; ``sha256``: of the file's bytes, empty where there is no file. Raises
    SoapstoneError(JOB_FILE) with every fault.
    """
    return table_read(table, names(), sha256)

"""Everything a build says, by every reader of its files."""

from __future__ import annotations

from built_jobs import Made
from soapstone.layout.reader import reading_in
from told import Told
from told_by_drawings import (
    from_cut_files,
    from_drawings,
    from_solids,
    holes_in_pictures,
    holes_in_solids,
)
from told_by_sheets import from_page, from_sheets
from told_by_tables import from_manifest, from_model, from_tables

WITHOUT_SOLIDS = (
    from_model,
    from_tables,
    from_manifest,
    from_cut_files,
    from_drawings,
    from_sheets,
    from_page,
    holes_in_pictures,
)
COLLECT = (*WITHOUT_SOLIDS, from_solids, holes_in_solids)


def told_by_all(build: Made, solids: bool = True) -> Told:
    """What its files say; ``solids``: those too."""
    found = Told()
    with reading_in(build.system):
        for collect in COLLECT if solids else WITHOUT_SOLIDS:
            collect(build, found)
    return found

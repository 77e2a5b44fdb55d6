"""Every file of a build, in memory, and written whole."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from .. import disk
from . import solid_files
from .assembly_files import assembly_files
from .build import Build
from .calculation_files import calculation_files
from .manifest import NAME, manifest, named
from .nest_files import nest_files
from .page_file import page_file
from .part_files import part_files
from .sheet_files import document_files, packet_files, sheets_kept, sheets_to_write
from .table_files import table_files
from .travel_files import travel_files
from .worker import KERNEL, NO_SPARES, PAPERS, Spares, here


def files(build: Build, alone: bool = False, spares: Spares = NO_SPARES) -> dict[str, bytes]:
    """Every file by its path, the manifest too; kernel and shop documents each work beside the
    drawings, in a process of their own, unless this is ``alone`` one of several that build;
    ``spares``: processes that wait for them.

    Raises SoapstoneError if a cut file does not read back as the part, or parts of a nested sheet
    come too near each other.
    """
    ready = solid_files.ready(build)
    work = solid_files.to_make(build, ready)
    beside = spares.working if build.with_solids and not alone else here
    kernel = beside if work.parts or work.whole else here
    with kernel(solid_files.solids, work, KERNEL) as solids:
        travel, close = travel_files(build)
        cut = [part for part in build.truck.parts if build.judged.cut(part.id)[0]]
        nested, result = nest_files(build.job, cut, build.shop, build.kept, foot=build.foot)
        sheets = sheets_to_write(build, result, close)
        papers = here if sheets_kept(sheets) else beside
        with papers(document_files, sheets, PAPERS) as written:
            made = table_files(build) | part_files(build) | travel | nested
            assemblies, fitted = assembly_files(build)
            made |= assemblies | calculation_files(build)
            build.say("sheets and packets")
            documents, packets = written()
        made |= documents
        made |= packet_files(build, made, packets, fitted)
        build.say("the page")
        made["index.html"] = page_file(build, made)
        build.say("solids and the placed assembly")
        made |= ready | solids()
    made[NAME] = manifest(build, made)
    return made


def write(out: Path, chassis: str, made: Mapping[str, bytes]) -> Path:
    """Write ``out/<chassis>/draft`` whole.

    Files in it that its manifest does not name are kept in ``out/<chassis>/kept``.
    """
    base = out / chassis
    return disk.swap_in(base, "draft", made, named(base / "draft"))

"""Every file of a build, in memory, and written whole."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ...layout.assumed import about
from .. import disk
from . import solid_files
from .assembly_files import assembly_files
from .build import Build
from .data_rows import setout_rows
from .manifest import NAME, manifest, named
from .nest_files import nest_files
from .page_file import page_file
from .part_files import part_files
from .sheet_files import document_files, packet_files
from .table_files import table_files
from .travel_files import travel_files
from .worker import nothing_beside, working


def files(build: Build) -> dict[str, bytes]:
    """Every file by its path, the manifest too; the kernel works beside the sheets.

    Raises SoapstoneError if a cut file does not read back as the part, or parts of a nested sheet
    come too near each other.
    """
    ready = solid_files.ready(build)
    work = solid_files.to_make(build, ready)
    beside = working if work.parts or work.whole else nothing_beside
    with beside(solid_files.solids, work) as solids:
        made = table_files(build) | part_files(build)
        travel, close = travel_files(build)
        cut = [part for part in build.truck.parts if build.judged.cut(part.id)[0]]
        nested, result = nest_files(build.job, cut, build.shop, build.kept, foot=build.foot)
        documents, packets = document_files(build, result, close)
        assemblies, fitted = assembly_files(build)
        made |= travel | nested | documents | assemblies | _calculations(build)
        made |= packet_files(build, made, packets, fitted)
        build.say("the page")
        made["index.html"] = page_file(build, made)
        build.say("solids and the placed assembly")
        made |= ready | solids()
    made[NAME] = manifest(build, made)
    return made


def _calculations(build: Build) -> dict[str, bytes]:
    """Set-out sheet, and the calculations for whoever signs."""
    from ...parts.calculations.cover import Issued
    from ...parts.calculations.document import ForSigner, calculations_pdf
    from ...parts.drawing.setout import setout_pdf
    from ...parts.words.readings import in_words

    assumed = (str(key) for key, reading in build.job.readings.items() if reading.assumed)
    issued = Issued(
        chassis=build.chassis,
        date=build.date,
        shop=build.shop.name,
        says=build.issue.says,
        revision=build.issue.revision,
        fingerprint=build.job.sha256,
    )
    designed = ForSigner(
        readings=build.job.readings,
        solved=build.solved,
        truck=build.truck,
        shop=build.shop,
        strength=build.strength,
        aside=list(build.aside.values()),
        heats={
            place: build.issue.heats.get(part.id, ())
            for part in build.truck.parts
            for place in (part.id, *part.places)
        },
    )
    return {
        "sheet/calculations.pdf": calculations_pdf(issued, designed, build.foot),
        "sheet/setout.pdf": setout_pdf(
            chassis=build.chassis,
            date=build.date,
            solved=build.solved,
            rows=setout_rows(build.solved),
            paper=build.shop.paper,
            assumed=[
                in_words(line, build.solved)
                for line in about(build.strength.assumed, "plus-minus", *assumed)
            ],
            foot=build.foot,
        ),
    }


def write(out: Path, chassis: str, made: Mapping[str, bytes]) -> Path:
    """Write ``out/<chassis>/draft`` whole.

    Files in it that its manifest does not name are kept in ``out/<chassis>/kept``.
    """
    base = out / chassis
    return disk.swap_in(base, "draft", made, named(base / "draft"))

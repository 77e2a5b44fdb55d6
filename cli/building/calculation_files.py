"""The calculations for whoever signs, and the set-out sheet."""

from __future__ import annotations

from ...layout.assumed import about
from ...parts.words.readings import in_words
from .build import Build
from .data_rows import setout_rows
from .design import inputs

CALCULATIONS, SETOUT = "sheet/calculations.pdf", "sheet/setout.pdf"


def calculation_files(build: Build) -> dict[str, bytes]:
    """Both by path; the calculations are taken again where nothing they are worked from changed."""
    return {CALCULATIONS: _calculations(build), SETOUT: _setout(build)}


def _calculations(build: Build) -> bytes:
    from ...parts.calculations.cover import Issued
    from ...parts.calculations.document import ForSigner, calculations_pdf
    from ...parts.geometry.kept import keeping
    from .cache import Cache

    issue = build.issue
    issued = Issued(
        chassis=build.chassis,
        date=build.date,
        shop=build.shop.name,
        says=issue.says,
        revision=issue.revision,
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
            place: issue.heats.get(part.id, ())
            for part in build.truck.parts
            for place in (part.id, *part.places)
        },
    )

    def made() -> bytes:
        with keeping(Cache().again):
            return calculations_pdf(issued, designed, build.foot)

    return build.again.get(
        CALCULATIONS,
        made,
        *inputs(build.job, build.shop),
        issued,
        [sorted(each.items()) for each in (issue.letters, issue.firsts, designed.heats)],
        build.foot,
    )


def _setout(build: Build) -> bytes:
    from ...parts.drawing.setout import setout_pdf

    assumed = (str(key) for key, reading in build.job.readings.items() if reading.assumed)
    return setout_pdf(
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
    )

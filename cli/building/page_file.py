"""The page of a chassis, from everything else that was made."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from ...parts.placed.travel_rows import gap_words
from .build import Build
from .data_rows import setout_rows

if TYPE_CHECKING:
    from ...parts.drawing.setout import SetoutRow

SIDES = {".left": ", left", ".right": ", right"}
CLOSEST = 20
"""How many of the closest pairs the page lists."""


def page_file(build: Build, made: Mapping[str, bytes]) -> bytes:
    """The page; it links what else is made."""
    from ...parts.drawing.travel import views
    from ...parts.page.html import page
    from ...parts.page.shown import PageContents
    from ...parts.placed import motion

    travel = build.travel.travel
    places, moves = _moves(build)
    shown = PageContents(
        chassis=build.chassis,
        date=build.date,
        level=build.issue.says,
        groups=motion.groups(build.truck.assembly),
        places=places,
        moves=moves,
        sheets=views(build.chassis, build.date, travel, build.solved.values)[::-1],
        links=_links(build, made),
        documents=[
            (path.partition("/")[2].removesuffix(".pdf").replace("-", " "), path)
            for path in sorted(made)
            if path.startswith(("sheet/", "nest/")) and path.endswith((".pdf", ".xlsx"))
        ],
        setout=[_said(row) for row in setout_rows(build.solved)],
        readings=build.job.readings,
        gaps=[gap_words(gap) for gap in build.travel.gaps[:CLOSEST]],
        assumed=[*map(str, build.strength.assumed), *build.strength.notes],
        solved=build.solved,
    )
    return page(build.truck, build.shop, build.strength, build.judged, shown)


def _moves(build: Build) -> tuple[list[str], dict[str, list[list[float]]]]:
    """Names of the positions that have a rest, ride height first, and there each group's rotation
    and shift, (positions, 12).
    """
    from ...parts.placed import motion

    travel = build.travel.travel
    if travel.pose is None:
        return ["ride height"], {}
    kept = [at for at in range(len(travel.places)) if travel.pose.settled[at]]
    kept.sort(key=lambda at: travel.places[at].name != "ride height")
    moves = {
        group: [[*np.asarray(turn[at]).ravel(), *shift[at]] for at in kept]
        for group, (turn, shift) in motion.transforms(travel).items()
    }
    return [travel.places[at].name for at in kept], moves


def _links(build: Build, made: Mapping[str, bytes]) -> dict[str, list[tuple[str, str]]]:
    """Files of every part: what it is called on the page, and the path."""
    return {
        part.id: [
            (kind, path)
            for kind, path in (
                ("cut file", build.cut_path(part)),
                ("drawing", build.drawing_paths(part)[0]),
                ("solid", build.solid_path(part)),
            )
            if kind == "solid" or path in made
        ]
        for part in build.truck.parts
    }


def _said(row: SetoutRow) -> tuple[str, str, str]:
    """A result as the page lists it: what, value, plus-minus."""
    side = next((word for end, word in SIDES.items() if row["key"].endswith(end)), "")
    doubt = "" if row["plus_minus"] is None else f"{row['plus_minus']:.2f} {row['unit']}"
    return f"{row['title']}{side}", row["shown"] or "waits", doubt

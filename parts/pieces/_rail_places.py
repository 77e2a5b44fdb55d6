"""Places on the rail and the truck: holes that are there, a face's own x, the fitter's words."""

from __future__ import annotations

from ..model.family import Site
from ..model.vectors import Frame, Vec3
from ..words import numbers as shown

UP: Vec3 = (0.0, 0.0, 1.0)


def own_holes(site: Site, face: str, use: str) -> list[int]:
    """Numbers of the readings ``frame.hole.N`` in this side's rail, on ``face``, with this ``use``.

    A site shows its own side as the left.
    """
    found, number = [], 1
    while site.has(f"frame.hole.{number}.x"):
        if (
            site.word(f"frame.hole.{number}.side"),
            site.word(f"frame.hole.{number}.face"),
            site.word(f"frame.hole.{number}.use"),
        ) == ("left", face, use):
            found.append(number)
        number += 1
    return found


def along_to_x(frame: Frame, x: float) -> float:
    """Distance along a rail face's own x axis at which truck x equals ``x``."""
    return (x - frame.origin[0]) / frame.x[0]


def from_datum(site: Site, place: Vec3) -> str:
    """Where a truck point is, in the fitter's words: from the datum hole, the center line and the
    floor at ride height.
    """
    along = ""
    if site.has("frame.datum_hole"):
        behind = site.q("frame.datum_hole") - place[0]
        along = (
            f"{shown.tape(abs(behind))} {'behind' if behind >= 0 else 'ahead of'} the datum hole, "
        )
    return (
        f"{along}{shown.tape(abs(place[1]))} from the center line, {shown.tape(place[2])} above"
        " the floor"
    )

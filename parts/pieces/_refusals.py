"""What no family builds, each refused with its reason and the way out of it."""

from __future__ import annotations

import math

from ...layout import reader
from ..design.site import Refused
from ..model.family import Site
from ._lengths import IN


def weldable(site: Site) -> None:
    """Refused where the rail may be heat-treated [US Army TM 5-4210-230-14&P-1; maker frame-weld
    sheets: rails not heat-treated only].
    """
    if site.word("frame.heat_treated") != "no":
        raise Refused(
            "the rail may be heat-treated: welding on it is refused. Find a label or the"
            ' body-builder guide that says it is not, then say heat_treated = "no"'
        )


OFF_SQUARE = math.radians(1.0)
"""How far a bolt may read off square before parts drawn square to it no longer go on: 0.04 in over
a 2 1/4 in sleeve (judgment, no source).
"""


def bolt_square(site: Site, base: str, bolt: str, what: str) -> None:
    """Refused by name where a bolt's own axis reading is further off square than ``what`` can
    follow.
    """
    for turn, way in (("plan", "in plan"), ("tilt", "seen from ahead")):
        key = f"arms.{base}_{turn}"
        if site.has(key) and abs(site.q(key)) > OFF_SQUARE + 1e-9:
            raise Refused(
                f"the {bolt} reads {math.degrees(site.q(key)):.1f} deg off square {way} ({key});"
                f" {what} is drawn square and follows up to {math.degrees(OFF_SQUARE):.1f} deg:"
                " true the bracket that holds the bolt, then read it again"
            )


def rail_at_coil(site: Site) -> None:
    """Refused where the rail's sizes, carried on from the stations to the coil, are those of no
    rail: walls or corners that leave nothing between them.
    """
    corner = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    for what, way in (("height", "high"), ("width", "wide")):
        size, wall = site.q(f"rail.coil.{what}"), site.q("rail.coil.wall")
        if wall <= 0.0 or size <= 2 * max(wall, corner):
            raise Refused(
                f"carried on from the stations the rail would be {reader.length(size)} {way} at"
                f" the coil, with walls of {reader.fine(wall)}: tape a station at the coil, or read"
                f" frame.station's {what} and wall again"
            )


def inner_wall(site: Site, what: str) -> None:
    """Refused where the rail is a channel open inboard: no inner side to weld ``what`` to."""
    if site.open_face() == "inner":
        raise Refused(
            f"the rail is a channel open on its inner face, and {what} would be welded there: box"
            " the rail there with a plate as thick as its wall (common practice) and say"
            ' frame.section = "boxed" where it is boxed over the whole length in question, or have'
            " this part made to suit"
        )


def off_casting(site: Site, y: float, half: float, what: str, field: str) -> None:
    """Refused if plates ``half`` each side of ``y`` and their welds (1/4 in) would land on the
    axle's cast center.
    """
    if not site.has("axle.casting_from"):
        return
    low, high = sorted((site.q("axle.casting_from"), site.q("axle.casting_to")))
    reach = half + IN / 4
    if y - reach < high and y + reach > low:
        raise Refused(
            f"{what} at {reader.length(y)} from the center line would stand on the casting"
            f" ({reader.length(low)} to {reader.length(high)}): set {field} at least"
            f" {reader.length(high + reach)} out, or have the bracket made by someone who welds"
            " castings"
        )


def coil_outboard(site: Site, out: float) -> None:
    """Refused if the coil's middle does not stand ``out`` > 0 of its mount's back plate, mm."""
    if out <= 0.0:
        y = site.q("seat.upper.y")
        raise Refused(
            f"the coil's middle at {reader.length(y)} from the center line stands"
            f" {reader.length(-out)} behind the plate its mount would hang on: a coil stands"
            " outboard of the rail. Read axle.spring_seat.y and the rail again"
        )

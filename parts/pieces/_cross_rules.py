"""Rules the crossmember's side plates are sized by, and their mass."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..model.family import Grid, Rule, Site
from ..model.vectors import Number
from ..rules.bolts import spacing
from ..rules.frame import hole_most, hole_spacing, web_hole
from ._cross_spot import FLANGE_CLEAR, SEAT_GAP, TWO_ROWS
from ._from_stock import STEEL
from ._lengths import IN
from ._outlines import socket_radius
from ._rail_places import own_holes
from ._room_rules import room_rule
from .cross_tube import SEAT_MARGIN


def mass(grid: Grid, site: Site) -> Number:
    """Side plate, foot, gussets and strap, kg."""
    drop = site.q("rail.cross.bottom") - site.port("cross.tube").frame.origin[2]
    height, width = site.q("rail.cross.height"), site.q("rail.cross.width")
    reach = grid["spread"] + 2 * IN
    area = (
        reach * height
        + (reach + site.port("cross.tube").size["od"] + 2 * SEAT_MARGIN) / 2 * drop
        + (reach + 2 * IN) * width
        + width * width
    )
    strap = (reach + 2 * IN) * width / 2
    return (area * grid["plate.t"] + strap * grid["strap.t"]) * STEEL


def flange_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """1.5 in from a side-wall hole to the rail's top and bottom, or half of a lower rail; what
    the rows leave (mm).
    """
    height = site.port("rail.cross.side").size["height"]
    two = (grid["rows"] >= TWO_ROWS) & (height - 2 * FLANGE_CLEAR >= 3 * grid["bolt.d"])
    return min(FLANGE_CLEAR, height / 2), np.where(two, FLANGE_CLEAR, height / 2)


def access_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Radius of a socket with the side plate's weld, and the way from a bottom bolt to the side
    plate (mm).
    """
    near = [
        site.q(f"frame.hole.{number}.from_edge")
        for number in own_holes(site, "bottom", "crossmember")
    ]
    return socket_radius(grid["bolt.d"]) + 0.1875 * IN, min(near, default=3 * IN)


def old_hole_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Bolt diameter, and the smallest of the rail's own bottom holes (mm)."""
    found = [
        site.q(f"frame.hole.{number}.diameter")
        for number in own_holes(site, "bottom", "crossmember")
    ]
    return grid["bolt.d"], min(found, default=2 * IN)


def nearest_row(grid: Grid, site: Site) -> Number:
    """Height of the lowest bolt row over the rail's bottom, mm: rows are even about mid-depth."""
    height = site.port("rail.cross.side").size["height"]
    two = (grid["rows"] >= TWO_ROWS) & (height - 2 * FLANGE_CLEAR >= 3 * grid["bolt.d"])
    return np.where(two, FLANGE_CLEAR, height / 2)


def wall_hole(grid: Grid, site: Site) -> Mapping[str, Number]:
    """What the rail's own hole is: the sleeve's in a box, the bolt's in a channel."""
    return {
        "hole_mm": (
            grid["sleeve.od"] + IN / 64
            if site.word("frame.section") == "boxed"
            else grid["bolt.hole"] + 0 * grid["sleeve.od"]
        )
    }


RULES = (
    Rule(
        "frame.hole.web",
        web_hole,
        lambda grid, site: {
            **wall_hole(grid, site),
            "from_flange_mm": nearest_row(grid, site),
            "wall_mm": site.q("rail.cross.wall"),
        },
        "side-wall holes keep clear of the flanges",
    ),
    Rule("frame.hole.most", hole_most, wall_hole, "holes in the rail no larger than need be"),
    Rule(
        "frame.hole.apart",
        hole_spacing,
        lambda grid, site: {**wall_hole(grid, site), "spacing_mm": grid["spread"]},
        "steel between the holes in the rail",
    ),
    Rule(
        "frame.bolt.spacing",
        spacing,
        lambda grid, site: {"d_mm": grid["bolt.d"], "spacing_mm": grid["spread"]},
        "bolts keep their spacing",
    ),
    room_rule(
        "frame.hole.flange",
        flange_room,
        "side-wall holes 1.5 in from the flanges, or as far as the rail's height allows",
    ),
    room_rule(
        "frame.hole.old", old_hole_room, "bolt passes the holes that are in the rail's bottom"
    ),
    room_rule(
        "frame.hole.access", access_room, "a socket reaches the bottom bolts beside the side plate"
    ),
    room_rule(
        "cross.sleeve.bore",
        lambda grid, site: (grid["bolt.d"] + IN / 64, grid["sleeve.od"] - 2 * grid["sleeve.wall"]),
        "bolt passes its crush sleeve",
    ),
    room_rule(
        "cross.sleeve.od",
        lambda grid, site: (1.6 * grid["bolt.d"], grid["sleeve.od"]),
        "crush sleeve at least 1.6 bolt diameters outside",
    ),
    room_rule(
        "cross.sleeve.wall",
        lambda grid, site: (0.1875 * IN, grid["sleeve.wall"]),
        "crush sleeve wall at least 3/16 in",
    ),
    room_rule(
        "cross.seat.web",
        lambda grid, site: (grid["plate.t"], SEAT_MARGIN - SEAT_GAP),
        "steel below the tube at least a plate thickness",
    ),
)

"""Coil-seat plate: the plate on the rail side that closes the cut and carries the coil mount.

It lies on the plane of the cut, up to the flange corners less one weld leg, and runs two rail
heights past the cut with round ends. A fillet in a round-ended slot ties it to sound wall beside
each end of the cut.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from ...layout import reader
from ..design.site import Refused
from ..geometry import section
from ..geometry.outline import check, slot
from ..geometry.shape import LEAST_EDGE
from ..model.assembly import Assembly, Member, Port, Scribe, Weld
from ..model.body import Edge, Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Variable
from ..model.vectors import Frame, Vec2, add, cross, scale, unit
from ..rules.frame import reinforcement, reinforcement_most, restored
from ..rules.welds import BRIDGED, fillet_most, leg_for
from ._coil import mount_half
from ._from_stock import STEEL, plate_keys
from ._holding import held
from ._holds_coil import COIL_PLATE_REST, coil_plate
from ._lengths import IN
from ._rail_places import from_datum
from ._refusals import weldable
from ._room_rules import room_rule

SAME = IN / 8
"""Two tapes of 1/16 in each."""


def leg(site: Site, *more: Any) -> Any:
    """Fillet leg on the rail's wall."""
    return leg_for(site.shop.legs, site.q("rail.coil.wall"), *more)


def set_in(site: Site) -> float:
    """How far the plate's edge stays in from a flange's face and from a slot's middle: room for the
    largest leg the rail's wall could take.
    """
    return min(3 * IN / 16, site.q("rail.coil.wall"))


def slot_width(site: Site) -> float:
    """Width of a slot that takes a fillet on both sides, and the gun between them."""
    return 2 * set_in(site) + IN / 4


NO_STEP = 1e-9
"""A step of the plate's edge shorter than this (mm) is the error of arithmetic: no step."""


def outline(
    left: float, right: float, low: float, high: float, flat: tuple[float, float], inner: float
) -> Loop:
    """Plate with half-round ends, x from ``left`` (front) to ``right`` (rear) over all.

    The ends keep to the ``flat`` of the wall; an edge that goes on to a strip steps out to it at 45
    degrees, its inner corner round with radius ``inner``.
    """
    back = inner * math.tan(math.pi / 8)
    least = (back + 1.5 * LEAST_EDGE) * math.sqrt(0.5)
    down, up = (max(x, least) if x > NO_STEP else 0.0 for x in (flat[0] - low, high - flat[1]))
    foot, head = low + down, high - up
    r = (head - foot) / 2

    def step(by: float, corner: Vec2, way: Vec2, name: str) -> list[Edge]:
        """The 45 degree step and the fillet that brings it into the end: out of the plate's long
        edge if ``way`` leaves it, else back to it.
        """
        if not by:
            return []
        fillet = -math.tan(math.pi / 16)
        k = back * math.sqrt(0.5)
        if name in ("rear_low", "front_high"):
            start = (corner[0] - way[0] * by, corner[1] - way[1] * by)
            turn = (corner[0] - way[0] * k, corner[1] - way[1] * k)
            return [Edge(name, start), Edge(f"{name}~", turn, fillet)]
        leaves = (corner[0] + way[0] * k, corner[1] + way[1] * k)
        return [
            Edge(f"{name}~", (corner[0] - way[0] * back, corner[1]), fillet),
            Edge(name, leaves),
        ]

    aside = {by: by + back if by else 0.0 for by in (down, up)}
    edges = [
        Edge("bottom", (left + r + aside[down], low)),
        *step(down, (right - r - back, foot), (1.0, 1.0), "rear_low"),
        Edge("rear_end", (right - r, foot), 1.0),
        *step(up, (right - r - back, head), (-1.0, 1.0), "rear_high"),
        Edge("top", (right - r - aside[up], high)),
        *step(up, (left + r + back, head), (-1.0, -1.0), "front_high"),
        Edge("front_end", (left + r, head), 1.0),
        *step(down, (left + r + back, foot), (1.0, -1.0), "front_low"),
    ]
    return check(tuple(edges))


def gap_at(site: Site, up: float) -> float:
    """Gap behind a plate edge ``up`` from a flange's face: the rail's round corner falls away
    there.
    """
    r = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    return r - math.sqrt(r * r - (r - up) ** 2) if up < r else 0.0


def reaches(site: Site) -> tuple[bool, bool]:
    """Whether the cut reaches the bottom and the top flange."""
    wall = site.q("rail.coil.wall")
    return (
        site.q("frame.notch.z_low") <= wall,
        site.q("frame.notch.z_high") >= site.q("rail.coil.height") - wall,
    )


def edges(site: Site, strip: float, t: float) -> tuple[float, float]:
    """Lower and upper edge of the plate above the rail bottom.

    Where the cut reaches a flange: a weld leg in from its face, so that one outside-corner weld
    closes the cell, or right to the face where a strip lies on that flange. Elsewhere the cut and
    max(1 in, 3 t) of sound wall, at most to a leg from the flange's face, clear of its corner.
    """
    height, w = site.q("rail.coil.height"), set_in(site)
    own = w if gap_at(site, w) <= BRIDGED else max(w, site.q("frame.corner_radius"))
    sound = max(IN, 3 * t)
    low, high = reaches(site)
    down = (0.0 if strip else w) if low else max(own, site.q("frame.notch.z_low") - sound)
    up = (0.0 if strip else w) if high else max(own, height - site.q("frame.notch.z_high") - sound)
    return down, height - up


def strip_width(site: Site, t: Any) -> Any:
    """How far a strip reaches inboard under the flange: 4 t, and past the corner by 1/2 in."""
    r = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    return np.maximum(4 * t, r + IN / 2)


def plane(site: Site) -> Frame:
    """The plate's plane: origin under the coil at the rail bottom, x rearward, z outward.

    Where the cut's four readings agree with the rail's side to the tape (1/8 in at the plate's
    ends), the plate lies on the rail's side. Where they do not, it cannot lie on sound wall at both
    ends: Refused, with the miss.
    """
    x, z, y, yaw = (
        site.q("seat.upper.x"),
        site.q("rail.coil.bottom"),
        site.q("rail.coil.outer"),
        site.q("rail.coil.slope_side"),
    )
    height = site.q("rail.coil.height")
    if site.has("notch.y0"):
        for name, way in (("frame.notch.x_first", -1.0), ("frame.notch.x_last", 1.0)):
            reach = site.q(name) + way * 2 * height - x
            for up in (0.0, height):
                miss = (
                    site.q("notch.y0")
                    + site.q("notch.yaw") * reach
                    + site.q("notch.lean") * up
                    - y
                    - yaw * reach
                )
                if abs(miss) > SAME:
                    raise Refused(
                        f"the plane of the cut stands {reader.length(abs(miss))}"
                        f" {'outside' if miss > 0 else 'inside'} the rail's side at the plate's"
                        f" {'rear' if way < 0 else 'front'} end: the plate cannot lie on sound wall"
                        " there. Read the plane (F-44 to F-51) and the stations again, or cut the"
                        " bulge flush with the rail's side"
                    )
    along = unit((1.0, yaw, site.q("rail.coil.slope_bottom")))
    return Frame.of((x, y, z), scale(along, -1.0), unit(cross((0.0, 0.0, 1.0), along)))


def build(sizes: Mapping[str, Any], site: Site) -> Assembly:
    """The plate of one side; port ``coil.plate``: its top face, origin under the coil at the rail
    bottom, x rearward.
    """
    weldable(site)
    x = site.q("seat.upper.x")
    height, w = site.q("rail.coil.height"), set_in(site)
    front, rear = x - site.q("frame.notch.x_last"), x - site.q("frame.notch.x_first")
    low, high = edges(site, sizes["strip"], sizes["plate.t"])
    reach = 2 * height
    wide, tall = slot_width(site), (high - low) - 2 * IN
    clear = mount_half(site) + w + IN / 8
    slots = tuple(
        slot((c, height / 2), tall, wide, math.pi / 2, n)
        for c, n in (
            (min(front - IN / 8, -clear) - wide / 2, "slot1"),
            (max(rear + IN / 8, clear) + wide / 2, "slot2"),
        )
    )
    place = plane(site)
    flat = (
        edges(site, 0.0, sizes["plate.t"])
        if gap_at(site, w) <= BRIDGED
        else (
            max(low, site.q("frame.corner_radius")),
            min(high, height - site.q("frame.corner_radius")),
        )
    )
    plate = Plate(
        sizes["plate"],
        outline(front - reach, rear + reach, low, high, flat, site.shop.inner_radius),
        slots,
    )
    member = Member(
        "CS1",
        "coil-seat plate",
        "CS",
        plate,
        place,
        ("front_end", "bottom"),
        ref="on the plane of the cut, its line under the coil " + from_datum(site, place.origin),
        fixed_after="plates in",
    )
    scribes = (
        Scribe("CS1", "ride", (((0.0, low), (0.0, high)),), "AXLE"),
        Scribe("CS1", "mate", tuple(((c, low), (c, high)) for c in (front, rear))),
    )
    rail = site.port("rail.coil.side").member
    size_of_weld = leg(site, sizes["plate.t"])
    at = dict(zip(("bottom", "top"), reaches(site), strict=True))
    welds = [
        Weld(
            "coil.plate.ends",
            "CS1",
            ("front_end", "rear_end"),
            rail,
            "fillet",
            size_of_weld,
            order=3,
        ),
        Weld("coil.plate.slots", "CS1", ("slot1", "slot2"), rail, "fillet", size_of_weld, order=1),
    ]
    for name, cut in at.items():
        if not (cut and sizes["strip"]):
            welds.append(
                Weld(
                    f"coil.plate.{name}",
                    "CS1",
                    (name,),
                    rail,
                    "fillet",
                    size_of_weld,
                    care=frozenset({"closes the cell: no gap"} if cut else ()),
                    run=0.0 if cut else 2 * IN,
                    pitch=0.0 if cut else 6 * IN,
                    order=2,
                )
            )
    size = {
        "t": sizes["plate.t"],
        "low": low,
        "high": high,
        "front": front,
        "rear": rear,
        "half": plate.outline[0].start[0] - (front - reach),
        "reach": reach,
        "strip": float(sizes["strip"]),
        "bottom": float(at["bottom"]),
        "top": float(at["top"]),
        "width": float(strip_width(site, sizes["plate.t"])),
    }
    top = Port(
        place._replace(origin=add(place.origin, scale(place.z, sizes["plate.t"]))), size, "CS1"
    )
    return held(
        Assembly((member,), (), tuple(welds), (), scribes, {"coil.plate": top}),
        coil_plate(not site.open_face()),
        COIL_PLATE_REST,
    )


def mass(grid: Grid, site: Site) -> Any:
    """Plate, and the strips on each flange the cut reaches, by their boxes, kg."""
    span = (
        site.q("frame.notch.x_last")
        - site.q("frame.notch.x_first")
        + 4 * site.q("rail.coil.height")
    )
    strips = (
        sum(reaches(site)) * grid["strip"] * (strip_width(site, grid["plate.t"]) + grid["plate.t"])
    )
    return span * (site.q("rail.coil.height") + strips) * grid["plate.t"] * STEEL


def ratio(which: str, grid: Grid, site: Site) -> Any:
    """Plated / as measured (W or torsion constant) for each thickness of the grid, without and with
    strips.
    """
    rail = section.RailSection(
        width=site.q("rail.coil.width"),
        height=site.q("rail.coil.height"),
        wall=site.q("rail.coil.wall"),
        shape=site.word("frame.section") or "boxed",
        radius=site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0,
    )
    notch = (site.q("frame.notch.z_low"), site.q("frame.notch.z_high"))

    def one(t: float, strip: float) -> float:
        low, top = reaches(site)
        lies = (t, float(strip_width(site, t))) if strip and low else (0.0, 0.0)
        found = section.restored(rail, notch, t, edges(site, strip, t), lies, bool(strip and top))
        return found.get(which, 1.0)

    return np.vectorize(one)(grid["plate.t"], grid["strip"])


def closing_gap(grid: Grid, site: Site) -> tuple[Any, Any]:
    """Gap behind the plate's edge at a rail corner against what one fillet bridges; none where a
    strip lies on the flange.
    """
    worst = gap_at(site, set_in(site)) if any(reaches(site)) else 0.0
    return worst * (1 - grid["strip"]) + 0 * grid["plate.t"], BRIDGED


FAMILY = Family(
    code="CS",
    title="coil-seat plate",
    where="each side",
    needs=("rail.coil.side",),
    gives=("coil.plate",),
    variables=(
        Variable("plate", "plate", plate_keys),
        Variable("strip", "", lambda shop: (0, 1), 0),
    ),
    rules=(
        Rule(
            "coil.plate.vertical",
            restored,
            lambda grid, site: {"ratio": ratio("vertical", grid, site)},
            "the plated rail carries vertical bending as before",
        ),
        Rule(
            "coil.plate.held",
            restored,
            lambda grid, site: {"ratio": ratio("held", grid, site)},
            "and where its crossmembers hold it sideways",
        ),
        Rule(
            "coil.plate.torsion",
            restored,
            lambda grid, site: {"ratio": ratio("torsion", grid, site)},
            "the cell closed again carries torsion as before",
        ),
        Rule(
            "coil.plate.leg",
            fillet_most,
            lambda grid, site: {
                "t_mm": np.minimum(grid["plate.t"], site.q("rail.coil.wall")),
                "leg_mm": leg(site, grid["plate.t"]),
            },
            "weld no larger than the wall or the plate carries",
        ),
        room_rule(
            "coil.plate.gap", closing_gap, "the plate's edge closes on the flange with one weld"
        ),
        Rule(
            "coil.plate.lateral",
            restored,
            lambda grid, site: {"ratio": ratio("lateral", grid, site)},
            "the plated rail carries sideways bending as before",
        ),
        Rule(
            "coil.plate.thick",
            reinforcement_most,
            lambda grid, site: {"t_mm": grid["plate.t"], "wall_mm": site.q("rail.coil.wall")},
            "plate at most 1.5 times the rail's wall",
        ),
        Rule(
            "coil.plate.rail",
            reinforcement,
            lambda grid, site: {"t_mm": grid["plate.t"], "wall_mm": site.q("rail.coil.wall")},
            "plate no thicker than the rail's wall",
        ),
    ),
    mass=mass,
    build=build,
    place="coil",
)

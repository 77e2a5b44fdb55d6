"""Steel of the track-bar frame bracket on its own rail: ears, base plates, closing plate."""

from __future__ import annotations

import math
from typing import NamedTuple

from ..geometry.contours import mirrored, rectangle, tangent
from ..geometry.outline import check
from ..model.assembly import Member
from ..model.body import Edge, Loop, Plate
from ..model.family import Site, Sizes
from ..model.vectors import Frame, Vec2, Vec3, add, scale
from ._lengths import IN, round_down
from ._rail_places import from_datum
from .track_bar_axle import X, end_radius, inside

HOLE = 0.375 * IN


STOP = IN / 4


UP_SIDE = 3.0 * IN


BASE_PAST = 2.0 * IN
"""From an ear to the end of the base plates, which fold in their whole length under it."""


MAY_MOVE = {"y": (-IN, IN), "z": (-IN, IN)}


class TrackBarFramePlace(NamedTuple):
    """Bolt center and, from it: rail inner face, outer face and bottom (the base plates on),
    inboard edge of the cheeks; ``t`` and ``base``: thickness of the cheeks and of the base plates.

    ``inner`` and ``bottom`` are where the faces come nearest the bolt along the bracket: a rail
    tapers in plan and rakes.
    """

    at: Vec3
    inner: float
    outer: float
    bottom: float
    edge: float
    end: float
    t: float
    base: float
    gap: float
    corner: float


def spot(sizes: Sizes, site: Site) -> TrackBarFramePlace:
    """Sizes of the bracket seen along x; y outboard, z up from the bolt."""
    at = (site.q("bar.frame.x"), site.q("bar.frame.y"), site.q("bar.frame.z"))
    t, base = sizes["plate.t"], sizes["base.t"]
    inner, bottom = nearest(site, at, base, -inside(site) / 2 - t, inside(site) / 2 + t)
    corner = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    end = end_radius(site)
    return TrackBarFramePlace(
        at=at,
        inner=inner,
        outer=site.q("rail.bar.outer") - corner - at[1],
        bottom=bottom,
        edge=min(inner - 1.25 * IN, -end),
        end=end,
        t=t,
        base=base,
        gap=inside(site),
        corner=corner,
    )


def nearest(site: Site, at: Vec3, t: float, rear: float, front: float) -> tuple[float, float]:
    """Inner side and bottom of the rail with base plates ``t`` thick on them, from the bolt ``at``:
    inboard-most and lowest between two distances ahead of it.
    """
    side, under = site.port("rail.bar.inner").frame, site.port("rail.bar.bottom").frame
    inner, bottom = [], []
    for x in (at[0] + rear, at[0] + front):
        normal, origin = side.z, side.origin
        inner.append(origin[1] + (t - normal[0] * (x - origin[0])) / normal[1] - at[1])
        normal, origin = under.z, under.origin
        for y in (origin[1], at[1] + inner[-1]):
            bottom.append(
                origin[2]
                + (t - normal[0] * (x - origin[0]) - normal[1] * (y - origin[1])) / normal[2]
                - at[2]
            )
    return min(inner), min(bottom)


def cheek_loop(spot: TrackBarFramePlace, inner: float, bottom: float) -> Loop:
    """Cheek seen from ahead on the left: x outboard, y up, bolt at the origin.

    ``inner`` and ``bottom``: the faces at this ear, so that it meets a rail that tapers or rakes. A
    round relief keeps it off the rail's corner.
    """
    hole = max(
        HOLE, spot.corner, max(spot.corner, IN / 4) + spot.base - STOP
    )  # the welds begin on the base plates, which keep off the rail's round corner
    right = (spot.outer - IN / 4, bottom)
    top = spot.bottom + spot.base + UP_SIDE
    low = (spot.edge, spot.bottom - 1.5 * IN)
    start, end = tangent(right, (0.0, 0.0), spot.end, 1), tangent(low, (0.0, 0.0), spot.end, -1)
    sweep = (math.atan2(start[1], start[0]) - math.atan2(end[1], end[0])) % math.tau
    pts: list[tuple[str, Vec2, float]] = [
        ("side_out", start, 0.0),
        ("bottom", right, 0.0),
        ("relief", (inner + hole, bottom), -math.tan(3 * math.pi / 8)),
        ("inner", (inner, bottom + hole), 0.0),
        ("top", (inner, top), 0.0),
        ("closing", (spot.edge, top), 0.0),
        ("side_in", low, 0.0),
        ("end", end, math.tan(sweep / 4)),
    ]
    return check(tuple(Edge(name, at, bulge) for name, at, bulge in pts))


def cheeks(sizes: Sizes, site: Site, spot: TrackBarFramePlace) -> list[Member]:
    """TB1 front (x outboard, z forward), TB2 rear (x inboard, z rearward)."""
    made = []
    for code, side, name in (("TB1", 1.0, "front"), ("TB2", -1.0, "rear")):
        near, far = sorted((side * spot.gap / 2, side * (spot.gap / 2 + spot.t)))
        loop = cheek_loop(spot, *nearest(site, spot.at, spot.base, near, far))
        loop = loop if side > 0 else mirrored(loop)
        frame = Frame(add(spot.at, scale(X, side * spot.gap / 2)), (0.0, side, 0.0), scale(X, side))
        made.append(
            Member(
                code,
                f"track-bar frame ear, {name}",
                "TB",
                Plate(sizes.stock("plate"), loop),
                frame,
                ("closing", "bottom"),
                moves=MAY_MOVE,
                fixed_after="set-down",
                ref=f"on the base plates, square to the truck; bolt {from_datum(site, spot.at)}",
            )
        )
    return made


def bases(sizes: Sizes, site: Site, spot: TrackBarFramePlace) -> list[Member]:
    """TB3 on the rail's inner side, TB14 on its bottom; long edges along the rail."""
    half = spot.gap / 2 + spot.t + BASE_PAST
    side, under = site.port("rail.bar.inner"), site.port("rail.bar.bottom")
    low, high = (
        max(spot.corner, IN / 4),
        round_down(min(side.size["height"] - spot.corner, UP_SIDE + IN)),
    )
    loop = rectangle(-half, low, half, high, IN / 2, ("lower", "front", "upper", "rear"))
    plate = rectangle(
        -half,
        spot.corner,
        half,
        under.size["width"] - spot.corner,
        IN / 2,
        ("outer", "front", "inner", "rear"),
    )
    ref = "edges along the rail; its line under the bracket's middle"
    return [
        Member(
            "TB3",
            "track-bar base plate, rail side",
            "TB",
            Plate(sizes.stock("base"), loop),
            side.frame,
            ("rear", "lower"),
            moves=MAY_MOVE,
            fixed_after="set-down",
            ref=f"on the rail's inner side, {ref}",
        ),
        Member(
            "TB14",
            "track-bar base plate, rail bottom",
            "TB",
            Plate(sizes.stock("base"), plate),
            under.frame,
            ("rear", "outer"),
            moves=MAY_MOVE,
            fixed_after="set-down",
            ref=f"on the rail's bottom, {ref}",
        ),
    ]


def closing(sizes: Sizes, site: Site, spot: TrackBarFramePlace) -> Member:
    """TB15: plate between the ears' inboard edges, outer face flush with them; x along the truck
    rearward, y up, z inboard.
    """
    low, high = spot.bottom - 1.5 * IN, spot.bottom + spot.base + UP_SIDE
    loop = rectangle(-spot.gap / 2, low, spot.gap / 2, high, 0.0, ("low", "front", "high", "rear"))
    return Member(
        "TB15",
        "track-bar closing plate",
        "TB",
        Plate(sizes.stock("plate"), loop),
        Frame(add(spot.at, (0.0, spot.edge + spot.t, 0.0)), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)),
        ("rear", "low"),
        moves=MAY_MOVE,
        fixed_after="set-down",
        ref="between the ears, inboard, flush",
    )

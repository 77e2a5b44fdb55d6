"""Steel of the track-bar frame bracket on its own rail: ears, base plates, closing plate."""

from __future__ import annotations

import math
from typing import NamedTuple

from ..geometry.outline import check, mirrored, rectangle, tangent
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


MAY_MOVE = {"y": (-IN, IN), "z": (-IN, IN)}


class Spot(NamedTuple):
    """Bolt center and, from it: rail inner face, outer face and bottom (the base plates on),
    inboard edge of the cheeks.

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
    gap: float
    corner: float


def spot(sizes: Sizes, site: Site) -> Spot:
    """Sizes of the bracket seen along x; y outboard, z up from the bolt."""
    at = (site.q("bar.frame.x"), site.q("bar.frame.y"), site.q("bar.frame.z"))
    t = sizes["plate.t"]
    inner, bottom = nearest(site, at, t, -inside(site) / 2 - t, inside(site) / 2 + t)
    corner = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    end = end_radius(site)
    return Spot(
        at,
        inner,
        site.q("rail.bar.outer") - corner - at[1],
        bottom,
        min(inner - 1.25 * IN, -end),
        end,
        t,
        inside(site),
        corner,
    )


def nearest(site: Site, at: Vec3, t: float, rear: float, front: float) -> tuple[float, float]:
    """Inner side and bottom of the rail with base plates ``t`` thick on them, from the bolt ``at``:
    inboard-most and lowest between two distances ahead of it.
    """
    side, under = site.port("rail.bar.inner").frame, site.port("rail.bar.bottom").frame
    inner, bottom = [], []
    for x in (at[0] + rear, at[0] + front):
        n, o = side.z, side.origin
        inner.append(o[1] + (t - n[0] * (x - o[0])) / n[1] - at[1])
        n, o = under.z, under.origin
        for y in (o[1], at[1] + inner[-1]):
            bottom.append(o[2] + (t - n[0] * (x - o[0]) - n[1] * (y - o[1])) / n[2] - at[2])
    return min(inner), min(bottom)


def cheek_loop(g: Spot, inner: float, bottom: float) -> Loop:
    """Cheek seen from ahead on the left: x outboard, y up, bolt at the origin.

    ``inner`` and ``bottom``: the faces at this ear, so that it meets a rail that tapers or rakes. A
    round relief keeps it off the rail's corner.
    """
    hole = max(
        HOLE, g.corner, max(g.corner, IN / 4) + g.t - STOP
    )  # the welds begin on the base plates, which keep off the rail's round corner
    right = (g.outer - IN / 4, bottom)
    top = g.bottom + g.t + UP_SIDE
    low = (g.edge, g.bottom - 1.5 * IN)
    p, q = tangent(right, (0.0, 0.0), g.end, 1), tangent(low, (0.0, 0.0), g.end, -1)
    sweep = (math.atan2(p[1], p[0]) - math.atan2(q[1], q[0])) % math.tau
    pts: list[tuple[str, Vec2, float]] = [
        ("side_out", p, 0.0),
        ("bottom", right, 0.0),
        ("relief", (inner + hole, bottom), -math.tan(3 * math.pi / 8)),
        ("inner", (inner, bottom + hole), 0.0),
        ("top", (inner, top), 0.0),
        ("closing", (g.edge, top), 0.0),
        ("side_in", low, 0.0),
        ("end", q, math.tan(sweep / 4)),
    ]
    return check(tuple(Edge(n, at, b) for n, at, b in pts))


def cheeks(sizes: Sizes, site: Site, g: Spot) -> list[Member]:
    """TB1 front (x outboard, z forward), TB2 rear (x inboard, z rearward)."""
    made = []
    for code, side, name in (("TB1", 1.0, "front"), ("TB2", -1.0, "rear")):
        near, far = sorted((side * g.gap / 2, side * (g.gap / 2 + g.t)))
        loop = cheek_loop(g, *nearest(site, g.at, g.t, near, far))
        loop = loop if side > 0 else mirrored(loop)
        frame = Frame(add(g.at, scale(X, side * g.gap / 2)), (0.0, side, 0.0), scale(X, side))
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
                ref=f"on the base plates, square to the truck; bolt {from_datum(site, g.at)}",
            )
        )
    return made


def bases(sizes: Sizes, site: Site, g: Spot) -> list[Member]:
    """TB3 on the rail's inner side, TB14 on its bottom; long edges along the rail."""
    half = g.gap / 2 + g.t + 1.5 * IN
    side, under = site.port("rail.bar.inner"), site.port("rail.bar.bottom")
    low, high = max(g.corner, IN / 4), round_down(min(side.size["height"] - g.corner, UP_SIDE + IN))
    loop = rectangle(-half, low, half, high, IN / 2, ("lower", "front", "upper", "rear"))
    plate = rectangle(
        -half,
        g.corner,
        half,
        under.size["width"] - g.corner,
        IN / 2,
        ("outer", "front", "inner", "rear"),
    )
    ref = "edges along the rail; its line under the bracket's middle"
    return [
        Member(
            "TB3",
            "track-bar base plate, rail side",
            "TB",
            Plate(sizes.stock("plate"), loop),
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
            Plate(sizes.stock("plate"), plate),
            under.frame,
            ("rear", "outer"),
            moves=MAY_MOVE,
            fixed_after="set-down",
            ref=f"on the rail's bottom, {ref}",
        ),
    ]


def closing(sizes: Sizes, site: Site, g: Spot) -> Member:
    """TB15: plate between the ears' inboard edges, outer face flush with them; x along the truck
    rearward, y up, z inboard.
    """
    low, high = g.bottom - 1.5 * IN, g.bottom + g.t + UP_SIDE
    loop = rectangle(-g.gap / 2, low, g.gap / 2, high, 0.0, ("low", "front", "high", "rear"))
    return Member(
        "TB15",
        "track-bar closing plate",
        "TB",
        Plate(sizes.stock("plate"), loop),
        Frame(add(g.at, (0.0, g.edge + g.t, 0.0)), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)),
        ("rear", "low"),
        moves=MAY_MOVE,
        fixed_after="set-down",
        ref="between the ears, inboard, flush",
    )

"""Track-bar frame bracket: two ears in double shear on base plates on the rail's inner side and
bottom, closed inboard, with a brace tube to the far rail.

No weld runs across a flange: the base plates are welded along the rail only, the ears stand on
them. Nothing is located in y and z before set-down: the bracket is tacked until then.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

from ..geometry.outline import check, mirrored, rectangle, tangent
from ..model.assembly import Assembly, Bolt, Member, Port, Weld
from ..model.body import Bought, Edge, Loop, Plate, Rod, Tube, TubeEnd
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, Vec2, Vec3, add, scale
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ._from_stock import STEEL, plate_keys_over, tube_keys_between
from ._lengths import IN, round_down, round_up, tape_step
from ._rail_places import from_datum
from ._refusals import inner_wall, weldable
from ._room_rules import edge_rule, room_rule
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


def spot(d: Mapping[str, Any], s: Site) -> Spot:
    """Sizes of the bracket seen along x; y outboard, z up from the bolt."""
    at = (s.q("bar.frame.x"), s.q("bar.frame.y"), s.q("bar.frame.z"))
    t = d["plate.t"]
    inner, bottom = nearest(s, at, t, -inside(s) / 2 - t, inside(s) / 2 + t)
    corner = s.q("frame.corner_radius") if s.has("frame.corner_radius") else 0.0
    end = end_radius(s)
    return Spot(
        at,
        inner,
        s.q("rail.bar.outer") - corner - at[1],
        bottom,
        min(inner - 1.25 * IN, -end),
        end,
        t,
        inside(s),
        corner,
    )


def nearest(s: Site, at: Vec3, t: float, rear: float, front: float) -> tuple[float, float]:
    """Inner side and bottom of the rail with base plates ``t`` thick on them, from the bolt ``at``:
    inboard-most and lowest between two distances ahead of it.
    """
    side, under = s.port("rail.bar.inner").frame, s.port("rail.bar.bottom").frame
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


def cheeks(d: Mapping[str, Any], s: Site, g: Spot) -> list[Member]:
    """TB1 front (x outboard, z forward), TB2 rear (x inboard, z rearward)."""
    made = []
    for code, side, name in (("TB1", 1.0, "front"), ("TB2", -1.0, "rear")):
        near, far = sorted((side * g.gap / 2, side * (g.gap / 2 + g.t)))
        loop = cheek_loop(g, *nearest(s, g.at, g.t, near, far))
        loop = loop if side > 0 else mirrored(loop)
        frame = Frame(add(g.at, scale(X, side * g.gap / 2)), (0.0, side, 0.0), scale(X, side))
        made.append(
            Member(
                code,
                f"track-bar frame ear, {name}",
                "TB",
                Plate(d["plate"], loop),
                frame,
                ("closing", "bottom"),
                moves=MAY_MOVE,
                fixed_after="set-down",
                ref=f"on the base plates, square to the truck; bolt {from_datum(s, g.at)}",
            )
        )
    return made


def bases(d: Mapping[str, Any], s: Site, g: Spot) -> list[Member]:
    """TB3 on the rail's inner side, TB14 on its bottom; long edges along the rail."""
    half = g.gap / 2 + g.t + 1.5 * IN
    side, under = s.port("rail.bar.inner"), s.port("rail.bar.bottom")
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
            Plate(d["plate"], loop),
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
            Plate(d["plate"], plate),
            under.frame,
            ("rear", "outer"),
            moves=MAY_MOVE,
            fixed_after="set-down",
            ref=f"on the rail's bottom, {ref}",
        ),
    ]


def closing(d: Mapping[str, Any], s: Site, g: Spot) -> Member:
    """TB15: plate between the ears' inboard edges, outer face flush with them; x along the truck
    rearward, y up, z inboard.
    """
    low, high = g.bottom - 1.5 * IN, g.bottom + g.t + UP_SIDE
    loop = rectangle(-g.gap / 2, low, g.gap / 2, high, 0.0, ("low", "front", "high", "rear"))
    return Member(
        "TB15",
        "track-bar closing plate",
        "TB",
        Plate(d["plate"], loop),
        Frame(add(g.at, (0.0, g.edge + g.t, 0.0)), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)),
        ("rear", "low"),
        moves=MAY_MOVE,
        fixed_after="set-down",
        ref="between the ears, inboard, flush",
    )


def pad_half(d: Mapping[str, Any]) -> float:
    """Half the height of the brace's pad; it is twice as long."""
    return round_up(d["tube.od"] / 2 + 0.75 * IN)


def brace(d: Mapping[str, Any], s: Site, g: Spot) -> tuple[list[Member], str]:
    """Tube TB16 level across to pad TB17 on the far rail's inner side; the far rail's member."""
    half = pad_half(d)
    height = max(s.q("rail.bar.bottom"), s.other("rail.bar.bottom")) + g.corner + half + IN / 8
    far = -(s.other("rail.bar.outer") - s.other("rail.bar.width"))
    near = g.at[1] + g.edge
    t = d["plate.t"]
    slant = abs(s.other("rail.bar.slope_side")) * d["tube.od"] / 2
    length = round_down(near - far - t - slant, tape_step(s.shop))
    near -= (near - far - t - slant - length) / 2
    tube = Tube(d["tube"], length, (TubeEnd(), TubeEnd()))
    arm = Member(
        "TB16",
        "track-bar brace",
        "TB",
        tube,
        Frame((g.at[0], near, height), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="level across the truck, from the closing plate to the pad on the far rail",
    )
    pad = Member(
        "TB17",
        "track-bar brace pad",
        "TB",
        Plate(
            d["plate"],
            rectangle(
                -2 * half, -half, 2 * half, half, half / 2, ("lower", "rear", "upper", "front")
            ),
        ),
        Frame.of(
            (g.at[0], far, height), (-1.0, 0.0, 0.0), (s.other("rail.bar.slope_side"), 1.0, 0.0)
        ),
        ("front", "lower"),
        fixed_after="set-down",
        ref="on the far rail's inner side, long edges along the rail",
    )
    return [arm, pad], s.port("rail.bar.inner").member + ".far"


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """The bracket, its brace and the bar's bushing; bolt ``bar.frame#1``."""
    weldable(s)
    inner_wall(s, "the track-bar bracket and the pad of its brace")
    g = spot(d, s)
    far, far_rail = brace(d, s, g)
    wide = s.q("track_bar.sleeve")
    bushing = Member(
        "TB18",
        "track-bar bushing, frame",
        "TB",
        Bought(
            "bushing with sleeve, track bar",
            Rod(wide, s.q("track_bar.bushing_od"), s.q("track_bar.sleeve_od")),
        ),
        Frame(add(g.at, scale(X, -wide / 2)), X, (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="in the frame bracket",
    )
    pin = Bolt(
        "bar.frame#1",
        add(g.at, scale(X, g.gap / 2 + g.t)),
        scale(X, -1.0),
        s.need("track_bar.bolt"),
        class_for(s, "bar.frame", s.need("track_bar.bolt")),
        ("TB1", "TB18", "TB2"),
        "steering",
        "close",
    )
    members = (*cheeks(d, s, g), *bases(d, s, g), closing(d, s, g), *far, bushing)
    pad = far[1].place
    ports = {
        "bar.pad": Port(
            pad._replace(origin=add(pad.origin, scale(pad.z, d["plate.t"]))),
            {"half": 2 * pad_half(d), "od": d["tube.od"]},
            "TB17",
        )
    }
    return Assembly(members, (pin,), welds(s, g, far_rail), ports=ports)


def welds(s: Site, g: Spot, far_rail: str) -> tuple[Weld, ...]:
    """Base plates along the rail; ears on the base plates; closing plate; brace."""
    rail, wall = s.port("rail.bar.inner").member, s.q("rail.bar.wall")
    leg, thin, stop = leg_for(s.shop.legs, g.t), leg_for(s.shop.legs, g.t, wall), STOP
    care = frozenset({"bushing out", "dummy sleeve in", "bolt through"})
    found = [
        Weld("bar.base.side", "TB3", ("lower", "upper"), rail, "fillet", thin, stop=stop, order=10),
        Weld(
            "bar.base.bottom", "TB14", ("outer", "inner"), rail, "fillet", thin, stop=stop, order=10
        ),
    ]
    for n, c in (("front", "TB1"), ("rear", "TB2")):
        found += [
            Weld(
                f"bar.cheek.{n}.bottom",
                c,
                ("bottom",),
                "TB14",
                "fillet",
                leg,
                care=care,
                face="both",
                stop=stop,
                order=11,
            ),
            Weld(
                f"bar.cheek.{n}.side",
                c,
                ("inner",),
                "TB3",
                "fillet",
                leg,
                care=care,
                face="both",
                stop=stop,
                order=11,
            ),
        ]
    found += [
        Weld(
            "bar.closing.front",
            "TB15",
            ("front",),
            "TB1",
            "fillet",
            leg,
            care=care,
            face="top",
            order=12,
        ),
        Weld(
            "bar.closing.rear",
            "TB15",
            ("rear",),
            "TB2",
            "fillet",
            leg,
            care=care,
            face="top",
            order=12,
        ),
        Weld("bar.brace.near", "TB16", ("end0",), "TB15", "fillet", leg, order=13),
        Weld("bar.brace.far", "TB16", ("end1",), "TB17", "fillet", leg, order=13),
        Weld(
            "bar.brace.pad",
            "TB17",
            ("lower", "upper"),
            far_rail,
            "fillet",
            thin,
            stop=stop,
            order=13,
        ),
    ]
    return tuple(found)


def mass(v: Grid, s: Site) -> Any:
    """Plates by their boxes and the brace, kg."""
    tall = s.q("rail.bar.bottom") - s.q("bar.frame.z") + UP_SIDE
    plates = (2 * tall * 4 * IN + 2 * 6 * IN * 4 * IN + tall * 2 * IN + 24 * IN * IN) * v["plate.t"]
    tube = math.pi * (v["tube.od"] - v["tube.wall"]) * v["tube.wall"] * 2 * s.q("rail.bar.outer")
    return (plates + tube) * STEEL


def drop(v: Grid, s: Site) -> tuple[Any, Any]:
    """Bushing and 1/4 in over it against the height of the rail above the bolt."""
    return (
        s.q("track_bar.bushing_od") / 2 + IN / 4 + v["plate.t"],
        s.q("rail.bar.bottom") - s.q("bar.frame.z") + 0 * v["plate.t"],
    )


def under(v: Grid, s: Site) -> tuple[Any, Any]:
    """The bolt against the rail's outer face: the bracket hangs under the rail, not outside it."""
    return s.q("bar.frame.y") + 0 * v["plate.t"], s.q("rail.bar.outer")


FAMILY = Family(
    code="TB",
    title="track-bar frame bracket",
    where="one side",
    needs=("rail.bar.inner", "rail.bar.bottom"),
    gives=("bar.pad",),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("tube", "tube", tube_keys_between(1.25 * IN, 2.0 * IN)),
    ),
    rules=(
        edge_rule(
            "bar.frame.edge",
            lambda s: s.need("track_bar.bolt"),
            lambda v, s: end_radius(s) + 0 * v["plate.t"],
            "bar's bolt keeps its edge distance",
        ),
        room_rule("bar.frame.drop", drop, "bar's bushing clear of the rail"),
        room_rule("bar.frame.under", under, "bolt under the rail"),
    ),
    mass=mass,
    build=build,
    side_of="bar.frame.y",
)

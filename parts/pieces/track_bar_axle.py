"""Track-bar axle bracket: two ears saddled on the axle tube, bolt fore and aft in double shear; and
the bar itself, to show.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from ...layout import reader
from ..design.site import Refused
from ..geometry.outline import OutlineError, check, mirrored, rectangle
from ..model.assembly import Assembly, Bolt, Member, Port, Weld
from ..model.body import Bought, Edge, Loop, Plate, Rod
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, Vec3, add, scale, sub, unit
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ..words import numbers as shown
from ._conflicts import AXLE_TURNED, BAR
from ._from_stock import STEEL, bolt_size, plate_keys_over
from ._holding import held
from ._holds_bar import AXLE, AXLE_REST
from ._lengths import IN, round_up
from ._rail_places import from_datum
from ._room_rules import edge_rule, room_rule
from ._saddles import HORN, saddle_end

X: Vec3 = (1.0, 0.0, 0.0)
PAST_WELD = IN / 8
"""How far the shelf goes on past the toe of the front ear's weld (common practice, no source)."""


def inside(s: Site) -> float:
    """Gap between the ears: sleeve and 1/32 in for weld shrink (practice)."""
    return s.q("track_bar.sleeve") + IN / 32


def end_radius(s: Site) -> float:
    """2 bolt diameters in the load's direction (practice), to the next 1/16 in."""
    return round_up(2.0 * bolt_size(s.need("track_bar.bolt")).d)


def ear_loop(drop: float, half: float, end: float) -> Loop:
    """A plate from a straight foot of half width ``half``, ``drop`` below, to an end circle about
    the origin.
    """
    left, right = (-half, -drop), (half, -drop)
    d = math.hypot(half, drop)
    if d <= end:
        raise OutlineError(f"the foot lies inside the end radius of {end:.1f} mm")
    turn = math.acos(end / d)
    base_r, base_l = math.atan2(right[1], right[0]), math.atan2(left[1], left[0])
    tr, tl = base_r + turn, base_l - turn
    p, q = (end * math.cos(tr), end * math.sin(tr)), (end * math.cos(tl), end * math.sin(tl))
    return check(
        (
            Edge("foot", left),
            Edge("side_a", right),
            Edge("end", p, math.tan(((tl - tr) % math.tau) / 4)),
            Edge("side_b", q),
        )
    )


def ends(s: Site) -> tuple[Vec3, Vec3]:
    """Bolt centers at the axle and at the frame."""
    return (s.q("bar.axle.x"), s.q("bar.axle.y"), s.q("bar.axle.z")), (
        s.q("bar.frame.x"),
        s.q("bar.frame.y"),
        s.q("bar.frame.z"),
    )


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Shelf TB4 on two ribs over the tube, ears TB5 front and TB6 rear standing on the shelf, bar
    TB7; bolt ``bar.axle#1``.
    """
    a, f = ends(s)
    t, gap, end = d["plate.t"], inside(s), end_radius(s)
    shelf_z = a[2] - s.q("track_bar.bushing_od") / 2 - IN / 4
    half = shelf_half(s)
    low, high = shelf_reach(s, shelf_z - t - s.q("axle.z_ride"), t)
    members = [shelf(d, s, a, low, high, half, shelf_z)]
    for code, side, name in (("TB5", 1.0, "front"), ("TB6", -1.0, "rear")):
        frame = Frame(add(a, scale(X, side * gap / 2)), (0.0, side, 0.0), scale(X, side))
        body = Plate(d["plate"], ear_loop(a[2] - shelf_z, half - IN / 4, end))
        members.append(
            Member(
                code,
                f"track-bar axle ear, {name}",
                "TB",
                body,
                frame,
                ("foot", "end"),
                fixed_after="axle prepared",
                ref=f"on the shelf, square to the truck; bolt {from_datum(s, a)}",
            )
        )
    ribs = [rib(d, s, a, side, low, high, half, shelf_z) for side in (1.0, -1.0)]
    along = unit(sub(f, a))
    eye = s.q("track_bar.bushing_od") / 2
    length = math.dist(a, f) - 2 * eye
    bar = Member(
        "TB7",
        "track bar",
        "TB",
        Bought("track bar, bushed both ends", Rod(length, s.q("track_bar.od"))),
        Frame.of(add(a, scale(along, eye)), along, X),
        fixed_after="set-down",
        ref=f"bolt centers {shown.finely(math.dist(a, f))} apart",
    )
    sleeve = Member(
        "TB8",
        "track-bar bushing, axle",
        "TB",
        Bought(
            "bushing with sleeve, track bar",
            Rod(s.q("track_bar.sleeve"), 2 * eye, s.q("track_bar.sleeve_od")),
        ),
        Frame(add(a, scale(X, -s.q("track_bar.sleeve") / 2)), X, (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="in the axle bracket",
    )
    pin = Bolt(
        "bar.axle#1",
        add(a, scale(X, gap / 2 + t)),
        scale(X, -1.0),
        s.need("track_bar.bolt"),
        class_for(s, "bar.axle", s.need("track_bar.bolt")),
        ("TB5", "TB8", "TB6"),
        "steering",
        "close",
    )
    return held(
        Assembly(
            (*members, *ribs, bar, sleeve),
            (pin,),
            welds(d, s),
            ports={"bar.axle": Port(Frame(a, X, (0.0, 0.0, 1.0)), {"gap": gap}, "TB8")},
        ),
        AXLE,
        AXLE_REST,
    )


def shelf_half(s: Site) -> float:
    """Half width of the shelf across the truck."""
    return round_up(end_radius(s) + IN / 2)


def shelf_reach(s: Site, top: float, t: float) -> tuple[float, float]:
    """Rear and front end of the shelf ahead of the tube's axis: clear of the tube and of the lower
    seat's saddles, and no further forward than the front ear's weld needs, since the drag link
    passes there.
    """
    ahead = s.q("bar.axle.x") - s.q("axle.x_ride")
    r = s.q("axle.tube_diameter") / 2
    clear = math.sqrt(max(r * r - top * top, 0.0)) + IN / 8
    if s.has("seat.lower.x"):
        clear = max(
            clear,
            s.q("seat.lower.x")
            - s.q("axle.x_ride")
            + (s.q("spring.mean_diameter") + s.q("spring.wire")) / 2
            - IN
            + IN / 4,
        )
    return clear, ahead + inside(s) / 2 + t + round_up(leg_for(s.shop.legs, t) + PAST_WELD)


def shelf(
    d: Mapping[str, Any], s: Site, a: Vec3, low: float, high: float, half: float, z: float
) -> Member:
    """TB4: level plate under the ears; local x rearward, y inboard on the left, z up; top face at
    ``z``.
    """
    loop = rectangle(-high, -half, -low, half, IN / 4, ("out", "rear", "in", "front"))
    return Member(
        "TB4",
        "track-bar shelf",
        "TB",
        Plate(d["plate"], loop),
        Frame((s.q("axle.x_ride"), a[1], z - d["plate.t"]), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        ("out", "front"),
        fixed_after="axle prepared",
        ref="level, on its two ribs over the axle tube",
    )


def rib(
    d: Mapping[str, Any],
    s: Site,
    a: Vec3,
    side: float,
    low: float,
    high: float,
    half: float,
    z: float,
) -> Member:
    """TB9 outboard, TB10 inboard: rib from the tube's front to the shelf's underside; local x
    rearward, y up, origin on the tube's axis.
    """
    t, r = d["plate.t"], s.q("axle.tube_diameter") / 2
    top = z - t - s.q("axle.z_ride")
    flat = max(HORN, t)
    rise = min(
        math.radians(75.0), math.asin(max(-1.0, min(1.0, top / (r + flat))))
    )  # no horn stands above the shelf
    upper = saddle_end(r, flat, math.pi, -rise, (-low, top)) if rise > 0 else None
    lower = saddle_end(r, flat, math.pi, math.radians(40.0), (-high + IN / 4, top - IN / 2))
    if upper is None or lower is None:
        raise Refused(
            f"the track bar's shelf at the axle lies {reader.length(abs(top))}"
            f" {'above' if top > 0 else 'below'} the tube's middle and begins {reader.length(low)}"
            " ahead of it: its ribs have no tube to stand on. Set axle.track_bar_mount.z nearer"
            f" {reader.length(s.q('axle.track_bar_mount.z') - top + 0.6 * r)}, or have this bracket"
            " made to suit"
        )
    (p_top, p_low), (o_top, o_low) = (
        tuple((k * math.cos(a), k * math.sin(a)) for a in (upper, lower)) for k in (r, r + flat)
    )
    pts = [
        ("horn_top", p_top, 0.0),
        ("neck", o_top, 0.0),
        ("shelf", (-low, top), 0.0),
        ("tip", (-high + IN / 4, top), 0.0),
        ("under", (-high + IN / 4, top - IN / 2), 0.0),
        ("horn_low", o_low, 0.0),
        ("saddle", p_low, -math.tan((lower - upper) / 4)),
    ]
    loop: Loop = tuple(Edge(n, p, b) for n, p, b in pts)
    if side < 0:
        loop = mirrored(loop)
    code = "TB9" if side > 0 else "TB10"
    frame = Frame(
        (s.q("axle.x_ride"), a[1] + side * (half - IN / 4 - t), s.q("axle.z_ride")),
        (-side, 0.0, 0.0),
        (0.0, side, 0.0),
    )
    return Member(
        code,
        f"track-bar rib, {'outboard' if side > 0 else 'inboard'}",
        "TB",
        Plate(d["plate"], check(loop)),
        frame,
        ("saddle", "shelf"),
        fixed_after="axle prepared",
        ref="upright on the axle tube, under the shelf",
    )


def welds(d: Mapping[str, Any], s: Site) -> tuple[Weld, ...]:
    """Cheeks to shelf, ribs to shelf and tube."""
    t = d["plate.t"]
    tube, leg = s.port("axle.tube").member, leg_for(s.shop.legs, t)
    care = frozenset({"bushing out", "dummy sleeve in", "bolt through", "seals out"})
    found = [
        Weld(
            f"bar.axle.{n}",
            c,
            ("foot",),
            "TB4",
            "fillet",
            leg,
            care=care,
            face="both",
            stop=IN / 4,
            order=3,
        )
        for n, c in (("front", "TB5"), ("rear", "TB6"))
    ]
    for n, c in (("out", "TB9"), ("in", "TB10")):
        found.append(
            Weld(
                f"bar.rib.{n}.shelf",
                c,
                ("shelf",),
                "TB4",
                "fillet",
                leg,
                care=care,
                face="both",
                stop=IN / 4,
                order=1,
            )
        )
        found.append(
            Weld(
                f"bar.rib.{n}.tube",
                c,
                ("saddle",),
                tube,
                "fillet",
                leg_for(s.shop.legs, t, s.q("axle.tube_wall")),
                care=care,
                face="both",
                stop=IN / 4,
                order=2,
            )
        )
    return tuple(found)


def mass(v: Grid, s: Site) -> Any:
    """Shelf, ears and ribs, kg."""
    reach = s.q("bar.axle.x") - s.q("axle.x_ride") + 2 * IN
    return reach * 12 * IN * v["plate.t"] * STEEL


def under(v: Grid, s: Site) -> tuple[Any, Any]:
    """Shelf and a rib of 1/2 in under it against its height over the tube's middle."""
    z = s.q("bar.axle.z") - s.q("track_bar.bushing_od") / 2 - IN / 4
    return v["plate.t"] + IN / 2, z - s.q("axle.z_ride")


FAMILY = Family(
    code="TA",
    title="track-bar axle bracket",
    where="one side",
    needs=("axle.tube",),
    gives=("bar.axle",),
    variables=(Variable("plate", "plate", plate_keys_over(0.25 * IN)),),
    rules=(
        edge_rule(
            "bar.axle.edge",
            lambda s: s.need("track_bar.bolt"),
            lambda v, s: end_radius(s) + 0 * v["plate.t"],
            "bar's bolt keeps its edge distance",
        ),
        room_rule("bar.axle.under", under, "room for shelf and ribs between bar and axle tube"),
    ),
    mass=mass,
    build=build,
    place="track bar",
    about=AXLE_TURNED + BAR,
    side_of="bar.axle.y",
)

"""Track-bar axle bracket: two ears saddled on the axle tube, bolt fore and aft in double shear; and
the bar itself, to show.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ...layout import reader
from ..design.site import Refused
from ..design.weld_size import WELD
from ..geometry.contours import mirrored, rectangle
from ..geometry.outline import OutlineError, check
from ..model.assembly import Assembly, Bolt, Member, Port, Weld
from ..model.body import Bought, Edge, Loop, Plate, Rod
from ..model.family import Family, Grid, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number, Vec3, add, scale, sub, unit
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
from ._saddles import HORN, on_round, saddle_end

X: Vec3 = (1.0, 0.0, 0.0)
PAST_WELD = IN / 8
"""How far the shelf goes on past the toe of the front ear's weld (common practice, no source)."""


def inside(site: Site) -> float:
    """Gap between the ears: sleeve and 1/32 in for weld shrink (practice)."""
    return site.q("track_bar.sleeve") + IN / 32


def end_radius(site: Site) -> float:
    """2 bolt diameters in the load's direction (practice), to the next 1/16 in."""
    return round_up(2.0 * bolt_size(site.need("track_bar.bolt")).d)


def ear_loop(drop: float, half: float, end: float) -> Loop:
    """A plate from a straight foot of half width ``half``, ``drop`` below, to an end circle about
    the origin.
    """
    left, right = (-half, -drop), (half, -drop)
    reach = math.hypot(half, drop)
    if reach <= end:
        raise OutlineError(f"the foot lies inside the end radius of {end:.1f} mm")
    turn = math.acos(end / reach)
    from_right, from_left = math.atan2(right[1], right[0]), math.atan2(left[1], left[0])
    turn_right, turn_left = from_right + turn, from_left - turn
    start, stop = (
        (end * math.cos(turn_right), end * math.sin(turn_right)),
        (end * math.cos(turn_left), end * math.sin(turn_left)),
    )
    return check(
        (
            Edge("foot", left),
            Edge("side_a", right),
            Edge("end", start, math.tan(((turn_left - turn_right) % math.tau) / 4)),
            Edge("side_b", stop),
        )
    )


def ends(site: Site) -> tuple[Vec3, Vec3]:
    """Bolt centers at the axle and at the frame."""
    return (site.q("bar.axle.x"), site.q("bar.axle.y"), site.q("bar.axle.z")), (
        site.q("bar.frame.x"),
        site.q("bar.frame.y"),
        site.q("bar.frame.z"),
    )


class AxleBracketPlace(NamedTuple):
    """Where the bracket stands: bolt center ``at``; top face of the shelf ``high`` in truck
    coordinates, its ``rear`` and ``front`` ends ahead of the tube's axis and its ``half`` width
    across the truck, mm.
    """

    at: Vec3
    high: float
    rear: float
    front: float
    half: float


def stand_of(sizes: Sizes, site: Site) -> AxleBracketPlace:
    """The shelf lies under the bar's bushing by 1/4 in."""
    at, thick = ends(site)[0], sizes["plate.t"]
    high = at[2] - site.q("track_bar.bushing_od") / 2 - IN / 4
    rear, front = shelf_reach(site, high - thick - site.q("axle.z_ride"), thick)
    return AxleBracketPlace(at, high, rear, front, round_up(end_radius(site) + IN / 2))


def ear(sizes: Sizes, site: Site, stand: AxleBracketPlace, code: str, name: str) -> Member:
    """One ear standing on the shelf, TB5 ahead of the bushing or TB6 behind it."""
    forward = 1.0 if name == "front" else -1.0
    loop = ear_loop(stand.at[2] - stand.high, stand.half - IN / 4, end_radius(site))
    return Member(
        code,
        f"track-bar axle ear, {name}",
        "TB",
        Plate(sizes.stock("plate"), loop),
        Frame(
            add(stand.at, scale(X, forward * inside(site) / 2)),
            (0.0, forward, 0.0),
            scale(X, forward),
        ),
        ("foot", "end"),
        fixed_after="axle prepared",
        ref=f"on the shelf, square to the truck; bolt {from_datum(site, stand.at)}",
    )


def bar(site: Site) -> Member:
    """TB7, the bar between its bushings' shells, to show."""
    at_axle, at_frame = ends(site)
    along, eye = unit(sub(at_frame, at_axle)), site.q("track_bar.bushing_od") / 2
    apart = math.dist(at_axle, at_frame)
    return Member(
        "TB7",
        "track bar",
        "TB",
        Bought("track bar, bushed both ends", Rod(apart - 2 * eye, site.q("track_bar.od"))),
        Frame.of(add(at_axle, scale(along, eye)), along, X),
        fixed_after="set-down",
        ref=f"bolt centers {shown.finely(apart)} apart",
    )


def bushing(site: Site) -> Member:
    """TB8, the bar's bushing at the axle, fore and aft."""
    sleeve = site.q("track_bar.sleeve")
    shell = site.q("track_bar.bushing_od")
    return Member(
        "TB8",
        "track-bar bushing, axle",
        "TB",
        Bought("bushing with sleeve, track bar", Rod(sleeve, shell, site.q("track_bar.sleeve_od"))),
        Frame(add(ends(site)[0], scale(X, -sleeve / 2)), X, (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="in the axle bracket",
    )


def bar_bolt(sizes: Sizes, site: Site) -> Bolt:
    """Through front ear, bushing and rear ear, head forward."""
    return Bolt(
        "bar.axle#1",
        add(ends(site)[0], scale(X, inside(site) / 2 + sizes["plate.t"])),
        scale(X, -1.0),
        site.need("track_bar.bolt"),
        class_for(site, "bar.axle", site.need("track_bar.bolt")),
        ("TB5", "TB8", "TB6"),
        "steering",
        "close",
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Shelf TB4 on two ribs over the tube, ears TB5 front and TB6 rear standing on the shelf, bar
    TB7; bolt ``bar.axle#1``.
    """
    stand = stand_of(sizes, site)
    at_axle = Frame(stand.at, X, (0.0, 0.0, 1.0))
    return held(
        Assembly(
            members=(
                shelf(sizes, site, stand),
                ear(sizes, site, stand, "TB5", "front"),
                ear(sizes, site, stand, "TB6", "rear"),
                rib(sizes, site, stand, "TB9", 1.0),
                rib(sizes, site, stand, "TB10", -1.0),
                bar(site),
                bushing(site),
            ),
            bolts=(bar_bolt(sizes, site),),
            welds=welds(sizes, site),
            ports={"bar.axle": Port(at_axle, {"gap": inside(site)}, "TB8")},
        ),
        AXLE,
        AXLE_REST,
    )


def shelf_reach(site: Site, top: float, thick: float) -> tuple[float, float]:
    """Rear and front end of the shelf ahead of the tube's axis: clear of the tube and of the lower
    seat's saddles, and no further forward than the front ear's weld needs, since the drag link
    passes there.
    """
    ahead = site.q("bar.axle.x") - site.q("axle.x_ride")
    radius = site.q("axle.tube_diameter") / 2
    clear = math.sqrt(max(radius * radius - top * top, 0.0)) + IN / 8
    if site.has("seat.lower.x"):
        clear = max(
            clear,
            site.q("seat.lower.x")
            - site.q("axle.x_ride")
            + (site.q("spring.mean_diameter") + site.q("spring.wire")) / 2
            - IN
            + IN / 4,
        )
    return clear, ahead + inside(site) / 2 + thick + round_up(
        leg_for(site.shop.legs, thick) + PAST_WELD
    )


def shelf(sizes: Sizes, site: Site, stand: AxleBracketPlace) -> Member:
    """TB4: level plate under the ears; local x rearward, y inboard on the left, z up."""
    loop = rectangle(
        -stand.front,
        -stand.half,
        -stand.rear,
        stand.half,
        IN / 4,
        ("out", "rear", "in", "front"),
    )
    origin = (site.q("axle.x_ride"), stand.at[1], stand.high - sizes["plate.t"])
    return Member(
        "TB4",
        "track-bar shelf",
        "TB",
        Plate(sizes.stock("plate"), loop),
        Frame(origin, (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        ("out", "front"),
        fixed_after="axle prepared",
        ref="level, on its two ribs over the axle tube",
    )


def rib_feet(site: Site, stand: AxleBracketPlace, top: float, flat: float) -> tuple[float, float]:
    """Where a rib's saddle begins on the tube under the shelf and where it ends below, rad from x
    rearward; ``top``: the shelf's underside over the tube's axis, ``flat`` of its horns, mm.

    No horn stands above the shelf. Refused where no tube is left to stand on.
    """
    radius = site.q("axle.tube_diameter") / 2
    rise = min(math.radians(75.0), math.asin(max(-1.0, min(1.0, top / (radius + flat)))))
    shelf_end, tip = (-stand.rear, top), (-stand.front + IN / 4, top - IN / 2)
    upper = saddle_end(radius, flat, math.pi, -rise, shelf_end) if rise > 0 else None
    lower = saddle_end(radius, flat, math.pi, math.radians(40.0), tip)
    if upper is None or lower is None:
        nearer = site.q("axle.track_bar_mount.z") - top + 0.6 * radius
        raise Refused(
            f"the track bar's shelf at the axle lies {reader.length(abs(top))}"
            f" {'above' if top > 0 else 'below'} the tube's middle and begins"
            f" {reader.length(stand.rear)} ahead of it: its ribs have no tube to stand on. Set"
            f" axle.track_bar_mount.z nearer {reader.length(nearer)}, or have this bracket made to"
            " suit"
        )
    return upper, lower


def rib_loop(site: Site, stand: AxleBracketPlace, thick: float) -> Loop:
    """From the tube's front to the shelf's underside; x rearward, y up, origin on the tube's
    axis.
    """
    radius, flat = site.q("axle.tube_diameter") / 2, max(HORN, thick)
    top = stand.high - thick - site.q("axle.z_ride")
    upper, lower = rib_feet(site, stand, top, flat)
    outer, tip = radius + flat, -stand.front + IN / 4
    axis = (0.0, 0.0)
    return (
        Edge("horn_top", on_round(axis, radius, radius, upper)),
        Edge("neck", on_round(axis, outer, outer, upper)),
        Edge("shelf", (-stand.rear, top)),
        Edge("tip", (tip, top)),
        Edge("under", (tip, top - IN / 2)),
        Edge("horn_low", on_round(axis, outer, outer, lower)),
        Edge("saddle", on_round(axis, radius, radius, lower), -math.tan((lower - upper) / 4)),
    )


def rib(sizes: Sizes, site: Site, stand: AxleBracketPlace, code: str, outboard: float) -> Member:
    """TB9 for ``outboard`` +1, TB10 for -1: upright between tube and shelf."""
    thick = sizes["plate.t"]
    loop = rib_loop(site, stand, thick)
    across = stand.at[1] + outboard * (stand.half - IN / 4 - thick)
    return Member(
        code,
        f"track-bar rib, {'outboard' if outboard > 0 else 'inboard'}",
        "TB",
        Plate(sizes.stock("plate"), check(loop if outboard > 0 else mirrored(loop))),
        Frame(
            (site.q("axle.x_ride"), across, site.q("axle.z_ride")),
            (-outboard, 0.0, 0.0),
            (0.0, outboard, 0.0),
        ),
        ("saddle", "shelf"),
        fixed_after="axle prepared",
        ref="upright on the axle tube, under the shelf",
    )


def welds(sizes: Sizes, site: Site) -> tuple[Weld, ...]:
    """Ears to shelf, ribs to shelf and tube: both faces, stopped short of the ends."""
    leg = leg_for(site.shop.legs, sizes["plate.t"])
    on_tube = leg_for(site.shop.legs, sizes["plate.t"], site.q("axle.tube_wall"))
    tube = site.port("axle.tube").member
    feet = (
        ("bar.axle.front", "TB5", "foot", "TB4", leg, 3),
        ("bar.axle.rear", "TB6", "foot", "TB4", leg, 3),
        ("bar.rib.out.shelf", "TB9", "shelf", "TB4", leg, 1),
        ("bar.rib.out.tube", "TB9", "saddle", tube, on_tube, 2),
        ("bar.rib.in.shelf", "TB10", "shelf", "TB4", leg, 1),
        ("bar.rib.in.tube", "TB10", "saddle", tube, on_tube, 2),
    )
    return tuple(
        Weld(
            name,
            code,
            (foot,),
            onto,
            "fillet",
            size,
            care=frozenset({"bushing out", "dummy sleeve in", "bolt through", "seals out"}),
            face="both",
            stop=IN / 4,
            order=order,
        )
        for name, code, foot, onto, size, order in feet
    )


def mass(grid: Grid, site: Site) -> Number:
    """Shelf, ears and ribs, kg."""
    reach = site.q("bar.axle.x") - site.q("axle.x_ride") + 2 * IN
    return reach * 12 * IN * grid["plate.t"] * STEEL


def under(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Shelf and a rib of 1/2 in under it against its height over the tube's middle."""
    z = site.q("bar.axle.z") - site.q("track_bar.bushing_od") / 2 - IN / 4
    return grid["plate.t"] + IN / 2, z - site.q("axle.z_ride")


FAMILY = Family(
    code="TA",
    title="track-bar axle bracket",
    where="one side",
    needs=("axle.tube",),
    gives=("bar.axle",),
    variables=(Variable("plate", "plate", plate_keys_over(0.25 * IN)), WELD),
    rules=(
        edge_rule(
            "bar.axle.edge",
            lambda site: site.need("track_bar.bolt"),
            lambda grid, site: end_radius(site) + 0 * grid["plate.t"],
            "bar's bolt keeps its edge distance",
        ),
        room_rule("bar.axle.under", under, "room for shelf and ribs between bar and axle tube"),
    ),
    mass=mass,
    build=build,
    sheet="axle brackets",
    about=AXLE_TURNED + BAR,
    side_of="bar.axle.y",
    roles={Role.BAR: ("TB7", "TB8")},
)

"""Track-bar axle bracket: two ears on a shelf ahead of the axle tube, bolt fore and aft in double
shear; and the bar itself, to show.
"""

from __future__ import annotations

import math

from ...layout import reader
from ..design.weld_size import WELD
from ..geometry.outline import OutlineError, check
from ..model.assembly import Assembly, Bolt, Member, Port
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
from ._holds_shelf import AXLE
from ._lengths import IN, round_up
from ._rail_places import from_datum
from ._room_rules import edge_rule, room_rule
from ._track_bar_shelf import AxleBracketPlace, rib, shelf, web, welds

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
        raise OutlineError(f"the foot lies inside the end radius of {reader.fine(end)}")
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


def stand_of(sizes: Sizes, site: Site) -> AxleBracketPlace:
    """The shelf lies under the bar's bushing by 1/4 in."""
    at, thick = ends(site)[0], sizes["plate.t"]
    high = at[2] - site.q("track_bar.bushing_od") / 2 - IN / 4
    top = high - thick - site.q("axle.z_ride")
    rear, front = shelf_reach(site, top, thick)
    return AxleBracketPlace(at, high, top, rear, front, round_up(end_radius(site) + IN / 2))


def ear(sizes: Sizes, site: Site, stand: AxleBracketPlace, code: str, name: str) -> Member:
    """One ear standing on the shelf, TB5 ahead of the bushing or TB6 behind it."""
    forward = 1.0 if name == "front" else -1.0
    loop = ear_loop(stand.at[2] - stand.high, stand.half - IN / 4, end_radius(site))
    return Member(
        code,
        f"track-bar axle ear, {name}",
        "TA",
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
        "TA",
        Bought("track bar, bushed both ends", Rod(apart - 2 * eye, site.q("track_bar.od"))),
        Frame.of(add(at_axle, scale(along, eye)), along, X),
        fixed_after="set-down",
        ref=f"bolt centers {shown.tape(apart)} apart",
    )


def bushing(site: Site) -> Member:
    """TB8, the bar's bushing at the axle, fore and aft."""
    sleeve = site.q("track_bar.sleeve")
    shell = site.q("track_bar.bushing_od")
    return Member(
        "TB8",
        "track-bar bushing, axle",
        "TA",
        Bought("bushing with sleeve, track bar", Rod(sleeve, shell, site.q("track_bar.sleeve_od"))),
        Frame(add(ends(site)[0], scale(X, -sleeve / 2)), X, (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="in the axle bracket",
    )


def bar_bolt(sizes: Sizes, site: Site) -> Bolt:
    """Through front ear, bushing and rear ear, head forward."""
    return Bolt(
        id="bar.axle#1",
        at=add(ends(site)[0], scale(X, inside(site) / 2 + sizes["plate.t"])),
        along=scale(X, -1.0),
        size=site.need("track_bar.bolt"),
        grade=class_for(site, "bar.axle", site.need("track_bar.bolt")),
        through=("TB5", "TB8", "TB6"),
        duty="steering",
        hole="close",
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Shelf TB4 on two ribs over the tube with the web TB11 between them, ears TB5 front and TB6
    rear standing on the shelf, bar TB7; bolt ``bar.axle#1``.
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
                web(sizes, site, stand),
                bar(site),
                bushing(site),
            ),
            bolts=(bar_bolt(sizes, site),),
            welds=welds(sizes, site),
            ports={"bar.axle": Port(at_axle, {"gap": inside(site)}, "TB8")},
        ),
        AXLE,
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


def mass(grid: Grid, site: Site) -> Number:
    """Shelf, web, ears and ribs, kg."""
    reach = site.q("bar.axle.x") - site.q("axle.x_ride") + 2 * IN
    return reach * (9 * IN * grid["plate.t"] + 3 * IN * grid["rib.t"]) * STEEL


def under(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Shelf and a rib of 1/2 in under it against its height over the tube's middle."""
    z = site.q("bar.axle.z") - site.q("track_bar.bushing_od") / 2 - IN / 4
    return grid["plate.t"] + IN / 2, z - site.q("axle.z_ride")


FAMILY = Family(
    code="TA",
    shares="TB",
    title="track-bar axle bracket",
    where="one side",
    needs=("axle.tube",),
    gives=("bar.axle",),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("rib", "plate", plate_keys_over(0.25 * IN)),
        WELD,
    ),
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

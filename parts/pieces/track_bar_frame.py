"""Track-bar frame bracket: two ears in double shear on base plates on the rail's inner side and
bottom, closed inboard, with a brace tube to the far rail.

No weld runs across a flange: the base plates are welded along the rail only, the ears stand on
them. Nothing is located in y and z before set-down: the bracket is tacked until then.
"""

from __future__ import annotations

import math

from ..design.weld_size import WELD
from ..geometry.contours import rectangle
from ..model.assembly import Assembly, Bolt, Member, Port
from ..model.body import Bought, Plate, Rod, Tube, TubeEnd
from ..model.family import Family, Grid, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number, add, scale
from ..stock.classes import class_for
from ._conflicts import BAR
from ._from_stock import STEEL, plate_keys_over, tube_keys_between
from ._holding import held
from ._holds_bar import FRAME
from ._lengths import IN, round_down, round_up, tape_step
from ._refusals import inner_wall, weldable
from ._room_rules import edge_rule, room_rule
from ._track_bar_frame_plates import UP_SIDE, TrackBarFramePlace, bases, cheeks, closing, spot
from ._track_bar_frame_welds import welds
from .track_bar_axle import X, end_radius


def pad_half(sizes: Sizes) -> float:
    """Half the height of the brace's pad; it is twice as long."""
    return round_up(sizes["tube.od"] / 2 + 0.75 * IN)


def brace(sizes: Sizes, site: Site, spot: TrackBarFramePlace) -> tuple[list[Member], str]:
    """Tube TB16 level across to pad TB17 on the far rail's inner side; the far rail's member."""
    half = pad_half(sizes)
    height = (
        max(site.q("rail.bar.bottom"), site.other("rail.bar.bottom")) + spot.corner + half + IN / 8
    )
    far = -(site.other("rail.bar.outer") - site.other("rail.bar.width"))
    near = spot.at[1] + spot.edge
    t = sizes["plate.t"]
    slant = abs(site.other("rail.bar.slope_side")) * sizes["tube.od"] / 2
    length = round_down(near - far - t - slant, tape_step(site.shop))
    near -= (near - far - t - slant - length) / 2
    tube = Tube(sizes.stock("tube"), length, (TubeEnd(), TubeEnd()))
    arm = Member(
        "TB16",
        "track-bar brace",
        "TB",
        tube,
        Frame((spot.at[0], near, height), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="level across the truck, from the closing plate to the pad on the far rail",
    )
    pad = Member(
        "TB17",
        "track-bar brace pad",
        "TB",
        Plate(
            sizes.stock("plate"),
            rectangle(
                -2 * half, -half, 2 * half, half, half / 2, ("lower", "rear", "upper", "front")
            ),
        ),
        Frame.of(
            (spot.at[0], far, height),
            (-1.0, 0.0, 0.0),
            (site.other("rail.bar.slope_side"), 1.0, 0.0),
        ),
        ("front", "lower"),
        fixed_after="set-down",
        ref="on the far rail's inner side, long edges along the rail",
    )
    return [arm, pad], site.port("rail.bar.inner").member + ".far"


def build(sizes: Sizes, site: Site) -> Assembly:
    """The bracket, its brace and the bar's bushing; bolt ``bar.frame#1``."""
    weldable(site)
    inner_wall(site, "the track-bar bracket and the pad of its brace")
    stand = spot(sizes, site)
    far, far_rail = brace(sizes, site, stand)
    wide = site.q("track_bar.sleeve")
    bushing = Member(
        "TB18",
        "track-bar bushing, frame",
        "TB",
        Bought(
            "bushing with sleeve, track bar",
            Rod(wide, site.q("track_bar.bushing_od"), site.q("track_bar.sleeve_od")),
        ),
        Frame(add(stand.at, scale(X, -wide / 2)), X, (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="in the frame bracket",
    )
    pin = Bolt(
        id="bar.frame#1",
        at=add(stand.at, scale(X, stand.gap / 2 + stand.t)),
        along=scale(X, -1.0),
        size=site.need("track_bar.bolt"),
        grade=class_for(site, "bar.frame", site.need("track_bar.bolt")),
        through=("TB1", "TB18", "TB2"),
        duty="steering",
        hole="close",
    )
    members = (
        *cheeks(sizes, site, stand),
        *bases(sizes, site, stand),
        closing(sizes, site, stand),
        *far,
        bushing,
    )
    pad = far[1].place
    ports = {
        "bar.pad": Port(
            pad._replace(origin=add(pad.origin, scale(pad.z, sizes["plate.t"]))),
            {"half": 2 * pad_half(sizes), "od": sizes["tube.od"]},
            "TB17",
        )
    }
    return held(Assembly(members, (pin,), welds(site, stand, far_rail), ports=ports), FRAME)


def mass(grid: Grid, site: Site) -> Number:
    """Plates by their boxes and the brace, kg."""
    tall = site.q("rail.bar.bottom") - site.q("bar.frame.z") + UP_SIDE
    plates = (2 * tall * 4 * IN + tall * 2 * IN + 24 * IN * IN) * grid["plate.t"]
    bases = 2 * 6 * IN * 4 * IN * grid["base.t"]
    tube = (
        math.pi
        * (grid["tube.od"] - grid["tube.wall"])
        * grid["tube.wall"]
        * 2
        * site.q("rail.bar.outer")
    )
    return (plates + bases + tube) * STEEL


def drop(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Bushing and 1/4 in over it against the height of the rail above the bolt."""
    return (
        site.q("track_bar.bushing_od") / 2 + IN / 4 + grid["base.t"],
        site.q("rail.bar.bottom") - site.q("bar.frame.z") + 0 * grid["plate.t"],
    )


def under(grid: Grid, site: Site) -> tuple[Number, Number]:
    """The bolt against the rail's outer face: the bracket hangs under the rail, not outside it."""
    return site.q("bar.frame.y") + 0 * grid["plate.t"], site.q("rail.bar.outer")


FAMILY = Family(
    code="TB",
    title="track-bar frame bracket",
    where="one side",
    needs=("rail.bar.inner", "rail.bar.bottom"),
    gives=("bar.pad",),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("base", "plate", plate_keys_over(0.25 * IN)),
        Variable("tube", "tube", tube_keys_between(1.25 * IN, 2.0 * IN)),
        WELD,
    ),
    rules=(
        edge_rule(
            "bar.frame.edge",
            lambda site: site.need("track_bar.bolt"),
            lambda grid, site: end_radius(site) + 0 * grid["plate.t"],
            "bar's bolt keeps its edge distance",
        ),
        room_rule("bar.frame.drop", drop, "bar's bushing clear of the rail"),
        room_rule("bar.frame.under", under, "bolt under the rail"),
    ),
    mass=mass,
    build=build,
    sheet="track bar",
    about=BAR,
    side_of="bar.frame.y",
    roles={Role.BAR: ("TB18",)},
)

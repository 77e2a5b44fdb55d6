"""Track-bar frame bracket: two ears in double shear on base plates on the rail's inner side and
bottom, closed inboard, with a brace tube to the far rail.

No weld runs across a flange: the base plates are welded along the rail only, the ears stand on
them. Nothing is located in y and z before set-down: the bracket is tacked until then.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from ..geometry.outline import rectangle
from ..model.assembly import Assembly, Bolt, Member, Port
from ..model.body import Bought, Plate, Rod, Tube, TubeEnd
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, add, scale
from ..stock.classes import class_for
from ._conflicts import BAR
from ._from_stock import STEEL, plate_keys_over, tube_keys_between
from ._holding import held
from ._holds_bar import FRAME, FRAME_REST
from ._lengths import IN, round_down, round_up, tape_step
from ._refusals import inner_wall, weldable
from ._room_rules import edge_rule, room_rule
from ._track_bar_frame_plates import UP_SIDE, Spot, bases, cheeks, closing, spot
from ._track_bar_frame_welds import welds
from .track_bar_axle import X, end_radius


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
    return held(Assembly(members, (pin,), welds(s, g, far_rail), ports=ports), FRAME, FRAME_REST)


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
    place="track bar",
    about=BAR,
    side_of="bar.frame.y",
)

"""Shock tabs and limit-strap tabs: pairs of ears for the shock on the axle tube and on the
coil-seat plate; for the strap a bent tab on the rail's inner side and an ear on the axle tube.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from ...layout import reader
from ..design.site import Refused
from ..geometry.bend import allowance
from ..geometry.outline import Corner, ear, rounded
from ..model.assembly import Assembly, Bolt, Member, Port, Weld
from ..model.body import Bend, Bought, Existing, Loop, Plate, Rod
from ..model.family import Family, Grid, Rule, Site, Variable
from ..model.vectors import Frame, Vec3, add, scale
from ..rules.plates import bend_radius
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ..words import numbers as shown
from ._coil import mount_half
from ._from_stock import STEEL, bolt_size, plate_keys_over
from ._lengths import IN
from ._outlines import ear_radius
from ._rail_places import from_datum
from ._refusals import inner_wall, off_casting, weldable
from ._room_rules import edge_rule, room_rule
from ._saddles import ear_to_tube
from .coil_seat import set_in, slot_width

Y: Vec3 = (0.0, 1.0, 0.0)
STRAP_OFF = 1.25 * IN
"""From the axle tube to the strap's lower bolt; from the rail to its upper bolt."""
TAB = (3.0 * IN, 2.5 * IN)
"""Strap tab along the rail, and its height."""
CARE = frozenset({"shock out", "opposite sides in turn"})


def end_radius(bolt: str) -> float:
    """1.5 bolt diameters (practice), to the next 1/16 in."""
    return float(ear_radius(bolt_size(bolt).d))


def axle_ear(s: Site, at: Vec3, end: float, side: float, t: float) -> Loop:
    """Ear ``t`` thick about a pin square to the truck, its foot saddled on the axle tube; local x
    rearward for ``side`` +1, forward for -1, y up.
    """
    to = ((s.q("axle.x_ride") - at[0]) * -side, s.q("axle.z_ride") - at[2])
    return ear_to_tube(to, s.q("axle.tube_diameter"), end, t)


def gap(s: Site) -> float:
    """Between a pair of shock ears: the eye and 1/32 in for weld shrink (practice)."""
    return s.q("travel.shock_eye") + IN / 32


def eye(s: Site, bolt: str) -> Rod:
    """The shock's eye as a simple body: its width, twice the bolt's diameter (practice), the bolt's
    hole.
    """
    d = bolt_size(bolt).d
    return Rod(s.q("travel.shock_eye"), 2 * d, d)


def lower_shock(d: Mapping[str, Any], s: Site) -> tuple[list[Member], Bolt, list[Weld]]:
    """ST1 outboard, ST2 inboard; pin level with the axle at ride, bolt square to the truck."""
    t, bolt = d["plate.t"], s.need("travel.shock_bolt")
    at: Vec3 = (s.q("travel.shock_x"), s.q("travel.shock_y"), s.q("axle.z_ride"))
    off_casting(s, at[1], gap(s) / 2 + t, "the lower shock tabs", "travel.shock_y")
    made, welds = [], []
    for code, side, name in (("ST1", 1.0, "out"), ("ST2", -1.0, "in")):
        place = Frame(add(at, scale(Y, side * gap(s) / 2)), (-side, 0.0, 0.0), scale(Y, side))
        made.append(
            Member(
                code,
                f"lower shock tab, {name}board",
                "ST",
                Plate(d["plate"], axle_ear(s, at, end_radius(bolt), side, t)),
                place,
                ("saddle", "end"),
                fixed_after="axle prepared",
                ref=f"on the axle tube; pin {from_datum(s, at)}",
            )
        )
        welds.append(
            Weld(
                f"shock.lower.{name}",
                code,
                ("saddle",),
                s.port("axle.tube").member,
                "fillet",
                leg_for(s.shop.legs, t, s.q("axle.tube_wall")),
                care=CARE,
                face="both",
                stop=IN / 4,
                order=2,
            )
        )
    made.append(
        Member(
            "ST7",
            "shock absorber",
            "ST",
            Bought("shock absorber, eye both ends", eye(s, bolt)),
            Frame(add(at, scale(Y, -s.q("travel.shock_eye") / 2)), Y, (0.0, 0.0, 1.0)),
            fixed_after="set-down",
            ref="only its eyes are drawn",
        )
    )
    pin = Bolt(
        "shock.lower#1",
        add(at, scale(Y, -gap(s) / 2 - t)),
        Y,
        bolt,
        class_for(s, "shock", bolt),
        ("ST2", "ST7", "ST1"),
        "mount",
        "close",
    )
    return made, pin, welds


def top_point(s: Site, face: Port) -> tuple[Vec3, Vec3]:
    """Upper shock pin on the truck, and in the axes of the coil-seat plate's face.

    Refused where it does not stand over the plate.
    """
    at: Vec3 = (s.q("travel.shock_top_x"), s.q("travel.shock_y"), s.q("travel.shock_z"))
    p = face.frame.into(at)
    reach = 2 * s.q("rail.coil.height") - (face.size["high"] - face.size["low"]) / 2
    low, high = face.size["front"] - reach, face.size["rear"] + reach
    if not low < p[0] < high:
        raise Refused(
            f"the upper shock pin at {reader.length(at[0])} from the plumb line stands off the"
            " coil-seat plate's full height: choose travel.shock_top_x within"
            f" {reader.length(s.q('seat.upper.x') - high)} to"
            f" {reader.length(s.q('seat.upper.x') - low)}"
        )
    return at, p


def upper_shock(d: Mapping[str, Any], s: Site) -> tuple[list[Member], Bolt, list[Weld]]:
    """ST3 front, ST4 rear, square on the coil-seat plate; bolt along the rail."""
    face, t, bolt = s.port("coil.plate"), d["plate.t"], s.need("travel.shock_bolt")
    f = face.frame
    at, p = top_point(s, face)
    low, high = face.size["low"] + 3 * IN / 8, face.size["high"] - 3 * IN / 8
    made, welds = [], []
    for code, side, name in (("ST3", -1.0, "front"), ("ST4", 1.0, "rear")):
        foot = ((0.0, high), (0.0, low)) if side < 0 else ((0.0, low), (0.0, high))
        loop = ear(
            *foot, (-side * p[2], p[1]), end_radius(bolt), ("foot", "side_a", "end", "side_b")
        )
        place = Frame(
            f.out((p[0] + side * gap(s) / 2, 0.0, 0.0)), scale(f.z, -side), scale(f.x, side)
        )
        made.append(
            Member(
                code,
                f"upper shock tab, {name}",
                "ST",
                Plate(d["plate"], loop),
                place,
                ("foot", "end"),
                fixed_after="set-down",
                ref=f"square on the coil-seat plate; pin {from_datum(s, at)}",
            )
        )
        welds.append(
            Weld(
                f"shock.upper.{name}",
                code,
                ("foot",),
                face.member,
                "fillet",
                leg_for(s.shop.legs, t, face.size["t"]),
                care=CARE,
                face="both",
                stop=IN / 4,
                order=8,
            )
        )
    made.append(
        Member(
            "ST8",
            "shock absorber, upper eye",
            "ST",
            Existing("shock", eye(s, bolt)),
            Frame(add(at, scale(f.x, -s.q("travel.shock_eye") / 2)), f.x, f.z),
            fixed_after="existing",
        )
    )
    pin = Bolt(
        "shock.upper#1",
        add(at, scale(f.x, -gap(s) / 2 - t)),
        f.x,
        bolt,
        class_for(s, "shock", bolt),
        ("ST3", "ST8", "ST4"),
        "mount",
        "close",
        length=s.q("travel.shock_eye"),
    )
    return made, pin, welds


def strap_tab(d: Mapping[str, Any], s: Site) -> tuple[Member, Bolt, Weld]:
    """ST5: bent tab, one leg flat on the rail's inner side, the other standing inboard across the
    truck; bolt along the rail.
    """
    port, t, bolt = s.port("rail.coil.inner"), d["plate.t"], s.need("travel.strap_bolt")
    f, radius = port.frame, d["plate.t"]
    ba, end = allowance(math.pi / 2, radius, t), end_radius(bolt)
    low = max(port.size["corner"], IN / 4) + IN / 8
    mid = (s.q("travel.strap_x") - f.origin[0]) / f.x[0] + ba / 2 - radius - t / 2
    hole = mid + ba / 2 + STRAP_OFF - t - radius
    base, far, up = mid - ba / 2, hole + end, low + TAB[1]
    loop = rounded(
        [
            Corner("lower", base - TAB[0], low, IN / 4),
            Corner("low_free", base, low),
            Corner("end", far, low, end),
            Corner("high_free", far, up, end),
            Corner("upper", base, up),
            Corner("rear", base - TAB[0], up, IN / 4),
        ]
    )
    fold = Bend("bend", (mid, up), (mid, low), math.pi / 2, radius)
    member = Member(
        "ST5",
        "limit-strap tab, frame",
        "ST",
        Plate(d["plate"], loop, (), (fold,)),
        f,
        ("rear", "lower"),
        fixed_after="set-down",
        ref=(
            "on the rail's inner side, long edges along the rail; standing leg"
            f" {shown.finely(s.q('travel.strap_x'))} from the plumb line"
        ),
    )
    inward = radius - ba / 2 + mid
    at = f.out((inward, (low + up) / 2, STRAP_OFF))
    pin = Bolt(
        "strap.upper#1",
        at,
        f.x,
        bolt,
        class_for(s, "strap", bolt),
        ("ST5",),
        "mount",
        "close",
        length=IN / 8,
    )
    weld = Weld(
        "strap.frame",
        "ST5",
        ("lower", "upper"),
        port.member,
        "fillet",
        leg_for(s.shop.legs, t, port.size["wall"]),
        stop=IN / 4,
        order=8,
    )
    return member, pin, weld


def strap_ear(d: Mapping[str, Any], s: Site) -> tuple[Member, Bolt, Weld]:
    """ST6: ear on the axle tube, its bolt square to the truck."""
    t, bolt = d["plate.t"], s.need("travel.strap_bolt")
    x, y = s.q("travel.strap_x"), s.q("travel.strap_y")
    off_casting(s, y, t / 2, "the strap's lower tab", "travel.strap_y")
    away, ahead = s.q("axle.tube_diameter") / 2 + STRAP_OFF, x - s.q("axle.x_ride")
    if abs(ahead) > away:
        raise Refused(
            f"the strap at {reader.length(x)} from the plumb line passes the axle tube by"
            f" {reader.length(abs(ahead) - away)}: move travel.strap_x to within"
            f" {reader.length(away)} of the axle's center ({reader.length(s.q('axle.x_ride'))})"
        )
    at: Vec3 = (x, y, s.q("axle.z_ride") + math.sqrt(away * away - ahead * ahead))
    place = Frame(add(at, scale(Y, -t / 2)), (-1.0, 0.0, 0.0), Y)
    member = Member(
        "ST6",
        "limit-strap tab, axle",
        "ST",
        Plate(d["plate"], axle_ear(s, at, end_radius(bolt), 1.0, t)),
        place,
        ("saddle", "end"),
        fixed_after="axle prepared",
        ref=f"on the axle tube; bolt {from_datum(s, at)}",
    )
    pin = Bolt(
        "strap.lower#1",
        add(at, scale(Y, -t / 2)),
        Y,
        bolt,
        class_for(s, "strap", bolt),
        ("ST6",),
        "mount",
        "close",
        length=IN / 8,
    )
    weld = Weld(
        "strap.axle",
        "ST6",
        ("saddle",),
        s.port("axle.tube").member,
        "fillet",
        leg_for(s.shop.legs, t, s.q("axle.tube_wall")),
        care=CARE,
        face="both",
        stop=IN / 4,
        order=2,
    )
    return member, pin, weld


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """All six tabs and the four bolts."""
    weldable(s)
    inner_wall(s, "the limit-strap tab")
    low, low_pin, low_welds = lower_shock(d, s)
    top, top_pin, top_welds = upper_shock(d, s)
    tab, tab_pin, tab_weld = strap_tab(d, s)
    lug, lug_pin, lug_weld = strap_ear(d, s)
    return Assembly(
        (*low, *top, tab, lug),
        (low_pin, top_pin, tab_pin, lug_pin),
        (*low_welds, *top_welds, tab_weld, lug_weld),
    )


def mass(v: Grid, s: Site) -> Any:
    """Six tabs, about, kg."""
    tall = s.q("travel.shock_z") - s.q("rail.coil.bottom")
    return (
        (
            2 * 4 * IN * abs(s.q("travel.shock_x") - s.q("axle.x_ride"))
            + 2 * 3 * IN * tall
            + 6 * IN * 4 * IN
        )
        * v["plate.t"]
        * STEEL
    )


def past_slot(v: Grid, s: Site) -> tuple[Any, Any]:
    """Coil mount, slot of the coil-seat plate and 1/8 in against how far the nearer shock ear
    stands from the coil's line.
    """
    w = set_in(s)
    at = s.port("coil.plate").frame.into(
        (s.q("travel.shock_top_x"), s.q("travel.shock_y"), s.q("travel.shock_z"))
    )
    return (
        mount_half(s) + w + slot_width(s) + IN / 4 + 0 * v["plate.t"],
        abs(at[0]) - gap(s) / 2 - v["plate.t"],
    )


def eye_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """Two bolt diameters for the shock's eye and 1/8 in against the way from pin to axle tube."""
    ahead = abs(s.q("travel.shock_x") - s.q("axle.x_ride")) - s.q("axle.tube_diameter") / 2
    return 2 * bolt_size(s.need("travel.shock_bolt")).d + IN / 8 + 0 * v["plate.t"], ahead


FAMILY = Family(
    code="ST",
    title="shock and strap tabs",
    where="each side",
    needs=("axle.tube", "coil.plate", "rail.coil.inner"),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(0.1875 * IN)),),
    rules=(
        edge_rule(
            "shock.edge",
            lambda s: s.need("travel.shock_bolt"),
            lambda v, s: end_radius(s.need("travel.shock_bolt")) + 0 * v["plate.t"],
            "shock bolt keeps its edge distance",
        ),
        edge_rule(
            "strap.edge",
            lambda s: s.need("travel.strap_bolt"),
            lambda v, s: end_radius(s.need("travel.strap_bolt")) + 0 * v["plate.t"],
            "strap bolt keeps its edge distance",
        ),
        Rule(
            "strap.bend",
            bend_radius,
            lambda v, s: {"t_mm": v["plate.t"], "fy_MPa": v["plate.fy"], "radius_mm": v["plate.t"]},
            "strap tab bends without cracking",
        ),
        room_rule(
            "shock.slot",
            past_slot,
            "upper shock tabs clear of the coil mount and of the plate's slot",
        ),
        room_rule("shock.eye", eye_room, "shock's eye clear of the axle tube"),
    ),
    mass=mass,
    build=build,
)
